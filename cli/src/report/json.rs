//! JSON: how it is laid out, and the form that errors and notes share.

use std::fmt::Write as _;

use serde::Serialize;
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::document::source::Sources;

use super::place::Places;
use super::text::is_unsafe;

/// The number of the format, in every JSON answer.
pub const FORMAT: u32 = 1;

/// JSON on several lines, with a new line at its end. Characters that could move a terminal's cursor are escaped;
/// read back, the texts are the same.
///
/// # Panics
/// Where a map's key is not a text, which no answer has.
#[must_use]
pub fn pretty(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("every answer has texts for keys");
    let mut result = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        // All but the ends of lines stand inside texts, where JSON takes an escape for any character.
        if is_unsafe(c) && c != '\n' {
            write!(result, "\\u{:04x}", u32::from(c)).expect("a text takes all that is written");
        } else {
            result.push(c);
        }
    }
    result.push('\n');
    result
}

/// An error or a note as JSON.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// The stable name of its kind.
    pub code: &'static str,
    /// `error` or `note`.
    pub severity: &'static str,
    /// One phrase; where a second place has to do with it, that place in brackets behind it.
    pub message: String,
    /// The file, or what else the text is called.
    pub file: Option<String>,
    /// The line, from 1.
    pub line: Option<usize>,
    /// The column in characters, from 1.
    pub column: Option<usize>,
    /// The way to the value through the document.
    pub path: Option<String>,
    /// What to do.
    pub help: Option<String>,
}

impl Note {
    /// The JSON form of one diagnostic. [`Places`] is shared by those of one report.
    #[must_use]
    pub fn new(diagnostic: &Diagnostic, sources: &Sources, places: &mut Places) -> Self {
        let place = diagnostic.at.map(|span| places.of(sources, span));
        let message = match &diagnostic.other {
            None => diagnostic.message.clone(),
            Some((span, phrase)) => {
                let other = places.of(sources, *span);
                let name = &sources.get(span.source).name;
                format!("{} ({phrase}: {name}:{}:{})", diagnostic.message, other.line, other.column)
            }
        };
        Note {
            code: diagnostic.code.name(),
            severity: diagnostic.severity.word(),
            message,
            file: diagnostic.at.map(|span| sources.get(span.source).name.clone()),
            line: place.map(|place| place.line),
            column: place.map(|place| place.column),
            path: (!diagnostic.path.is_empty()).then(|| diagnostic.path.clone()),
            help: diagnostic.help.clone(),
        }
    }

    /// The JSON forms of several, in their order.
    #[must_use]
    pub fn all<'a>(diagnostics: impl IntoIterator<Item = &'a Diagnostic>, sources: &Sources) -> Vec<Self> {
        let mut places = Places::new();
        diagnostics.into_iter().map(|one| Note::new(one, sources, &mut places)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_escaped_reads_back() {
        let texts = ["a\u{1b}[2J", "\u{9b}2J", "größe \u{202e}", "line\nline\u{2028}"];
        let written = pretty(&texts);
        assert!(written.chars().all(|c| c == '\n' || !is_unsafe(c)), "{written}");
        assert!(written.ends_with("]\n"));
        let read: Vec<String> = serde_json::from_str(&written).unwrap();
        assert_eq!(read, texts);
    }
}
