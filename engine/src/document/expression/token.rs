//! The words of an expression.

use super::ExpressionFault;
use crate::length::{NumberFault, Typed, Unit, parse_number};

/// A word with its place in the text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) start: usize,
    pub(super) end: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    Number(Typed),
    Name(String),
    Plus,
    Minus,
    Times,
    Divide,
    Percent,
    Of,
    Open,
    Close,
}

/// Cuts a text into words.
pub(super) fn tokens(text: &str) -> Result<Vec<Token>, ExpressionFault> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let start = at;
        let kind = match c {
            _ if c.is_whitespace() => {
                at += c.len_utf8();
                continue;
            }
            '0'..='9' | '.' => {
                let (typed, end) = number(text, start)?;
                at = end;
                Kind::Number(typed)
            }
            _ if c.is_alphabetic() => {
                at = name_end(text, start);
                match &text[start..at] {
                    "of" => Kind::Of,
                    name => match name.strip_prefix("of ") {
                        // `15 % of cord`: the name behind `of` is a word of its own.
                        Some(_) if matches!(found.last(), Some(Token { kind: Kind::Percent, .. })) => {
                            at = start + 2;
                            Kind::Of
                        }
                        _ => Kind::Name(name.to_owned()),
                    },
                }
            }
            _ => {
                at += c.len_utf8();
                symbol(c).ok_or_else(|| unknown(text, start, c))?
            }
        };
        found.push(Token { kind, start, end: at });
    }
    Ok(found)
}

fn symbol(c: char) -> Option<Kind> {
    Some(match c {
        '+' => Kind::Plus,
        '-' | '−' | '–' => Kind::Minus,
        '*' | '×' | '·' => Kind::Times,
        '/' | '÷' => Kind::Divide,
        '%' => Kind::Percent,
        '(' => Kind::Open,
        ')' => Kind::Close,
        _ => return None,
    })
}

fn unknown(text: &str, start: usize, c: char) -> ExpressionFault {
    let help = match c {
        ',' => Some("use a decimal point; names are joined by + and -".to_owned()),
        '^' => Some("a chain is linear: it may only add, subtract and scale".to_owned()),
        '_' => Some("a name begins with a letter".to_owned()),
        '[' | ']' | '{' | '}' => Some("use ( and )".to_owned()),
        _ => None,
    };
    fault(
        format!("`{c}` has no meaning in a chain"),
        help,
        start,
        start + text[start..].chars().next().map_or(1, char::len_utf8),
    )
}

/// A number with the unit behind it, if a unit is there.
fn number(text: &str, start: usize) -> Result<(Typed, usize), ExpressionFault> {
    let mut end = start;
    let bytes = text.as_bytes();
    while end < bytes.len() && (bytes[end].is_ascii_digit() || bytes[end] == b'.') {
        end += 1;
    }
    // An exponent, but not the first letter of a unit or a name.
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if matches!(bytes.get(signed), Some(b) if b.is_ascii_digit()) {
            end = signed;
            while matches!(bytes.get(end), Some(b) if b.is_ascii_digit()) {
                end += 1;
            }
        }
    }
    let mut whole = end;
    let word_start = end + text[end..].len() - text[end..].trim_start_matches(' ').len();
    let word_end = word_start
        + text[word_start..].find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len() - word_start);
    let word = &text[word_start..word_end];
    if Unit::from_word(word).is_some() {
        whole = word_end;
    } else if !word.is_empty() && word != "of" {
        let help = format!("between a number and a name write `*`; the units are {}", unit_words());
        return Err(fault(format!("`{word}` behind a number is no unit"), Some(help), word_start, word_end));
    }
    parse_number(&text[start..whole]).map(|typed| (typed, whole)).map_err(|why| {
        let message = match why {
            NumberFault::NotFinite => "the number is too large".to_owned(),
            _ => format!("`{}` is not a number", &text[start..whole]),
        };
        fault(message, None, start, whole)
    })
}

fn unit_words() -> String {
    Unit::ALL.map(Unit::word).join(", ")
}

/// The end of a name: words of letters, digits and `_`, a single space between them.
fn name_end(text: &str, start: usize) -> usize {
    let in_word = |c: char| c.is_alphanumeric() || c == '_';
    let mut end = start;
    loop {
        end += text[end..].find(|c| !in_word(c)).unwrap_or(text.len() - end);
        let mut rest = text[end..].chars();
        match (rest.next(), rest.next()) {
            (Some(' '), Some(next)) if in_word(next) => end += 1,
            _ => return end,
        }
    }
}

pub(super) fn fault(message: String, help: Option<String>, start: usize, end: usize) -> ExpressionFault {
    ExpressionFault { message, help, start, end, not_linear: false }
}
