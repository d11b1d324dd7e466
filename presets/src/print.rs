//! A tree as YAML text: digits as typed, small maps and lists on one line, quotes only where they are needed.
//!
//! Reading the text back gives the same tree apart from the places, and a plain scalar that YAML cannot hold as one
//! comes back quoted.

use std::fmt::Write as _;

use shimwright_engine::document::tree::{Entry, Node, Scalar, Value};

/// A map or a list is written on one line where the line is no longer than this.
const LINE: usize = 100;
/// Spaces a level.
const STEP: usize = 2;

/// A tree as YAML text, its lines ended.
#[must_use]
pub fn print(node: &Node) -> String {
    let mut out = String::new();
    match &node.value {
        Value::Map(entries) if !entries.is_empty() => map(&mut out, entries, 0, 0),
        Value::List(items) if !items.is_empty() => list(&mut out, items, 0, 0),
        _ => {
            scalar_or_empty(&mut out, node);
            out.push('\n');
        }
    }
    out
}

/// A tree on one line.
#[must_use]
pub fn inline(node: &Node) -> String {
    let mut out = String::new();
    flow(&mut out, node);
    out
}

fn map(out: &mut String, entries: &[Entry], indent: usize, level: usize) {
    for entry in entries {
        let start = out.len();
        pad(out, indent);
        out.push_str(&key(&entry.key.text));
        out.push(':');
        let used = out[start..].chars().count();
        value(out, &entry.value, indent, used, level);
    }
}

fn list(out: &mut String, items: &[Node], indent: usize, level: usize) {
    for item in items {
        pad(out, indent);
        out.push('-');
        value(out, item, indent, indent + 1, level.max(1));
    }
}

/// A value behind its key or dash, with the blank or the line end before it and the line end behind it.
fn value(out: &mut String, node: &Node, indent: usize, used: usize, level: usize) {
    let inner = indent + STEP;
    match &node.value {
        Value::Scalar(scalar) if is_literal(scalar) => {
            out.push_str(" |\n");
            for line in scalar.text.lines() {
                if !line.is_empty() {
                    pad(out, inner);
                    out.push_str(line);
                }
                out.push('\n');
            }
        }
        // The top of a document stands in blocks, so that sections and lists of sentences can be read.
        Value::Map(entries) if !entries.is_empty() && (level == 0 || !fits(node, used)) => {
            out.push('\n');
            map(out, entries, inner, level + 1);
        }
        Value::List(items) if !items.is_empty() && (level == 0 || !fits(node, used)) => {
            out.push('\n');
            list(out, items, inner, level + 1);
        }
        Value::Map(_) | Value::List(_) => {
            out.push(' ');
            flow(out, node);
            out.push('\n');
        }
        Value::Scalar(_) | Value::Null => {
            out.push(' ');
            scalar_or_empty(out, node);
            out.push('\n');
        }
    }
}

fn pad(out: &mut String, indent: usize) {
    out.extend(std::iter::repeat_n(' ', indent));
}

/// Whether a map or a list can stand on the line behind `used` characters.
fn fits(node: &Node, used: usize) -> bool {
    flow_safe(node) && used + 1 + inline(node).chars().count() <= LINE
}

/// Whether nothing in it would have to be quoted only because of the brackets, and no text has lines.
fn flow_safe(node: &Node) -> bool {
    match &node.value {
        Value::Null => true,
        Value::Scalar(scalar) => {
            !is_literal(scalar) && (scalar.quoted || !is_plain(&scalar.text) || is_plain_in_flow(&scalar.text))
        }
        Value::List(items) => items.iter().all(flow_safe),
        Value::Map(entries) => entries.iter().all(|entry| flow_safe(&entry.value)),
    }
}

fn flow(out: &mut String, node: &Node) {
    match &node.value {
        Value::Null => out.push('~'),
        Value::Scalar(scalar) if !scalar.quoted && is_plain_in_flow(&scalar.text) => out.push_str(&scalar.text),
        Value::Scalar(scalar) => out.push_str(&quoted(&scalar.text)),
        Value::List(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { "" });
                flow(out, item);
            }
            out.push(']');
        }
        Value::Map(entries) => {
            out.push('{');
            for (index, entry) in entries.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { " " });
                out.push_str(&key(&entry.key.text));
                out.push_str(": ");
                flow(out, &entry.value);
            }
            out.push_str(if entries.is_empty() { "}" } else { " }" });
        }
    }
}

fn scalar_or_empty(out: &mut String, node: &Node) {
    match &node.value {
        Value::Scalar(scalar) if !scalar.quoted && is_plain(&scalar.text) => out.push_str(&scalar.text),
        _ => flow(out, node),
    }
}

fn key(text: &str) -> String {
    if is_plain_in_flow(text) { text.to_owned() } else { quoted(text) }
}

/// Whether a text is written line by line: it has lines, and none that such a block would lose.
fn is_literal(scalar: &Scalar) -> bool {
    let text = &scalar.text;
    let ended = text.ends_with('\n') && !text.ends_with("\n\n");
    let whole = |line: &str| !line.ends_with(' ') && !line.chars().any(is_odd);
    ended && !text.starts_with(['\n', ' ']) && text.split('\n').all(whole)
}

/// Whether a text can stand without quotes behind a key.
fn is_plain(text: &str) -> bool {
    let first = text.chars().next();
    let second = text.chars().nth(1);
    let begins = match first {
        None => false,
        // A minus before a digit, but not the dash of a list or of a document's end.
        Some('-') => second.is_some_and(|c| c != ' ' && c != '-'),
        Some(c) => !"?:,[]{}#&*!|>'\"%@`".contains(c),
    };
    let word = text.to_ascii_lowercase();
    begins
        && text.trim() == text
        && !text.starts_with("...")
        && !text.contains(": ")
        && !text.contains(" #")
        && !text.ends_with(':')
        && !text.chars().any(is_odd)
        // What some reader of YAML takes for nothing, for yes and no, or for a merge.
        && !matches!(word.as_str(), "~" | "null" | "y" | "n" | "yes" | "no" | "on" | "off" | "=" | "<<")
}

/// Whether a text can stand without quotes between brackets.
fn is_plain_in_flow(text: &str) -> bool {
    is_plain(text) && !text.contains([',', '[', ']', '{', '}', ':'])
}

/// Control characters, line ends and marks that YAML does not take as they are.
fn is_odd(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if is_odd(c) => {
                write!(out, "\\u{:04X}", u32::from(c)).expect("a string takes all that is written to it");
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests;
