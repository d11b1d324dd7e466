//! What a YAML library says of a file that it cannot read, in shop words and with the place.

mod place;

use serde_yaml::Error;

use place::Place;

use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::source::{SourceId, Span};

const REST: &str = "the rest of the file was not read";
const QUOTES: &str = "put the whole text in quotes";

/// The library's fault, which is the first of the file.
pub(super) fn explain(error: &Error, text: &str, id: SourceId) -> Diagnostic {
    let error = error.without_snippet();
    let words = error.to_string();
    let Some(location) = error.location() else {
        return said(error, &words, None).into_diagnostic(id);
    };
    let at = place::byte_at(text, location.line(), location.column());
    said(error, &words, Some(&Place::new(text, at))).into_diagnostic(id)
}

/// A fault before it has its source.
struct Said {
    code: Code,
    message: String,
    help: String,
    bytes: Option<(usize, usize)>,
}

impl Said {
    fn new(code: Code, message: impl Into<String>, help: &str) -> Said {
        Said { code, message: message.into(), help: help.to_owned(), bytes: None }
    }

    fn on(self, bytes: (usize, usize)) -> Said {
        Said { bytes: Some(bytes), ..self }
    }

    fn into_diagnostic(self, id: SourceId) -> Diagnostic {
        let help = if self.help.is_empty() { REST.to_owned() } else { format!("{}; {REST}", self.help) };
        let fault = Diagnostic::error(self.code, self.message).help(help);
        match self.bytes {
            Some((start, end)) => fault.at(Span { source: id, start, end }),
            None => fault,
        }
    }
}

fn said(error: &Error, words: &str, place: Option<&Place<'_>>) -> Said {
    let here = place.map(Place::here);
    let said = match place {
        Some(place) => of_limits(error, words, place).unwrap_or_else(|| of_grammar(words, place)),
        None => fallback(words),
    };
    Said { bytes: said.bytes.or(here), ..said }
}

/// What is YAML but not taken.
fn of_limits(error: &Error, words: &str, place: &Place<'_>) -> Option<Said> {
    let quoted = |bytes: Option<(usize, usize)>, otherwise: &str| {
        bytes.map_or(otherwise.to_owned(), |(start, end)| place.text[start..end].to_owned())
    };
    let low = words.to_lowercase();
    if low.contains("anchor") || low.contains("alias") {
        let bytes = place.word(&['&', '*']);
        let message = format!("`{}` links one value to another, which is not taken", quoted(bytes, "&"));
        let help = "write the value out where it is used; a text that begins with `&` or `*` goes in quotes";
        let said = Said::new(Code::Alias, message, help);
        return Some(Said { bytes, ..said });
    }
    if matches!(error, Error::Budget { .. }) || low.contains("nesting") || low.contains("recursion") {
        return Some(Said::new(Code::TooLarge, "the file is nested too deeply or has too many values", ""));
    }
    if low.contains("merge key") {
        let help = "write the values out where they are used";
        let said = Said::new(Code::Alias, "a merge key `<<` is not taken", help);
        return Some(if place.behind().starts_with("<<") { said.on((place.at, place.at + 2)) } else { said });
    }
    if matches!(error, Error::UnsupportedTag { .. }) {
        let bytes = place.word(&['!']);
        let message = format!("`{}` is a tag, and tags are not taken", quoted(bytes, "!"));
        let said = Said::new(Code::Tag, message, "take it out; a text that begins with `!` goes in quotes");
        return Some(Said { bytes, ..said });
    }
    if low.contains("multiple yaml documents") {
        let help = "keep one document a file; take the `---` out";
        return Some(Said::new(Code::Yaml, "a second document begins here", help));
    }
    None
}

/// What is not YAML.
fn of_grammar(words: &str, place: &Place<'_>) -> Said {
    let indent = place.line.len() - place.line.trim_start().len();
    if let Some(tab) = place.line[..indent].find('\t').map(|tab| place.start + tab) {
        let said = Said::new(Code::Tab, "a tab stands where YAML wants spaces", "indent with spaces only");
        return said.on((tab, tab + 1));
    }
    if let Some((start, end)) = place.number_sign() {
        let text = &place.text[start..end];
        let message = format!("`{text}`: a `#` with a blank before it begins a remark, and what follows is not read");
        let help = format!("write `{}`", text.replace('#', ""));
        return Said::new(Code::HashInText, message, &help).on((start, end));
    }
    if words.contains("block sequence entries are not allowed")
        || words.contains("only valid inside a block")
        || place.value().starts_with("- ")
    {
        let help = "begin with the positive term, or with `0 - `; or put the expression in quotes";
        return Said::new(Code::ChainDash, "a value that begins with `- ` is read as a list", help);
    }
    if words.contains("mapping values are not allowed") {
        if place.before().contains(": ") {
            return colon_in_text();
        }
        if !place.is_indented_further() {
            return stray();
        }
        let help = "begin it below the first letter of the line above it";
        return Said::new(Code::Yaml, "this line is indented further than the one that it follows", help);
    }
    if words.contains("expected ',' or") {
        return in_brackets(place);
    }
    punctuation(words, place).unwrap_or_else(|| fallback(words))
}

fn stray() -> Said {
    let help = "the line above may lack its colon or its closing bracket";
    Said::new(Code::Yaml, "this does not belong to what stands above it", help)
}

fn colon_in_text() -> Said {
    let help = "put the text in quotes, or leave the space behind the colon out; a key of its own goes on its own line";
    Said::new(Code::ColonInText, "a `: ` in a text is read as a key", help)
}

/// A comma or a closing bracket is missing, or a colon is one too many.
fn in_brackets(place: &Place<'_>) -> Said {
    if !place.behind().starts_with(':') {
        return Said::new(Code::Yaml, "a comma or a closing bracket is missing before this", "");
    }
    let before = place.before();
    let piece = before.rfind(['{', '[', ',']).map_or(before, |open| &before[open + 1..]);
    let value = piece.split_once(": ").map_or("", |(_, value)| value.trim_start());
    let key = piece.rsplit(' ').next().unwrap_or(piece);
    // `size: 42.5 tolerance` lacks a comma; `note: seat to face` is a text.
    if value.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '.' | '"' | '\'')) && value != key {
        let bytes = (place.at - key.len(), place.at);
        return Said::new(Code::Yaml, format!("a comma is missing before `{key}`"), "").on(bytes);
    }
    colon_in_text()
}

/// Quotation marks, brackets and colons out of place.
fn punctuation(words: &str, place: &Place<'_>) -> Option<Said> {
    let here = place.behind().chars().next();
    let named: Vec<char> = words.split('\'').skip(1).step_by(2).filter_map(|piece| piece.chars().next()).collect();
    let yaml = |message: String, help: &str| Some(Said::new(Code::Yaml, message, help));
    if words.contains("unclosed quote") {
        return yaml("a quotation mark opens here and never closes".into(), "");
    }
    if words.contains("invalid trailing content after") {
        let help = "put the whole text in quotes of the other kind, or take the quotation marks out";
        return yaml("something stands behind the closing quotation mark".into(), help);
    }
    if words.contains("unexpected character") {
        return match here.filter(|c| !c.is_control()) {
            Some(c) => yaml(format!("a text cannot begin with `{c}`"), QUOTES),
            None => yaml("a sign stands here that no text has".into(), "is this the right file?"),
        };
    }
    if let (true, [open, ..]) = (words.contains("unclosed bracket"), named.as_slice()) {
        return yaml(format!("a `{open}` opens here and never closes"), "");
    }
    if let (true, [open, close, ..]) = (words.contains("mismatched bracket"), named.as_slice()) {
        return yaml(format!("the `{open}` that opens here is closed by a `{close}`"), "");
    }
    if let (true, Some(c)) = (words.contains("misplaced bracket"), here) {
        return yaml(format!("this `{c}` closes nothing"), "");
    }
    if words.contains("simple key expected ':'") {
        let help = "a key and its value are written `key: value`";
        return yaml("a colon with a space behind it is missing on this line".into(), help);
    }
    if words.contains("block mapping, did not find expected key") {
        if place.before().trim().is_empty() {
            let help = "lines that belong together begin at the same column";
            return yaml("this line begins at another column than those before it".into(), help);
        }
        return yaml("something stands behind the closing bracket".into(), QUOTES);
    }
    if words.contains("unexpected EOF") {
        return yaml("the file ends here within something that is not finished".into(), "a bracket may be open");
    }
    if words.contains("expected <document start>") || words.contains("illegal placement of ':'") {
        return Some(stray());
    }
    if words.contains("comment intercepting") {
        return yaml("a `#` with a blank before it begins a remark, and the line lacks its colon".into(), QUOTES);
    }
    if words.contains("found a tab") {
        return Some(Said::new(Code::Tab, "a tab stands where YAML wants spaces", "write spaces only"));
    }
    if words.contains("comments must be separated") {
        return yaml("a `#` needs a blank before it to begin a remark".into(), "or put the text in quotes");
    }
    if words.contains("':' may not precede") {
        return yaml("a space is missing behind the colon".into(), "");
    }
    if words.contains("cannot start with '-'") {
        return yaml("a `-` alone is no value".into(), "");
    }
    if words.contains("block scalar") {
        let help = "write `at least 0.10` or `at most 0.20`; put another text in quotes";
        return yaml("a value that begins with `>` or `|` is read as a block of text".into(), help);
    }
    None
}

fn fallback(words: &str) -> Said {
    // The library's words without the place behind them, which is shown in another way.
    let first = words.lines().next().unwrap_or(words);
    let first = first.split(" at line ").next().unwrap_or(first);
    Said::new(Code::Yaml, format!("this is not YAML ({first})"), "")
}
