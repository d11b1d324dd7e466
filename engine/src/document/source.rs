//! Where a piece of a document came from: a file, a preset, or a word of the command line.

use super::diagnostic::Diagnostic;
use std::collections::BTreeMap;

/// Names one text among the [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SourceId(u32);

/// A stretch of bytes in one source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Span {
    /// The text that it is in.
    pub source: SourceId,
    /// The first byte.
    pub start: usize,
    /// The byte behind the last one.
    pub end: usize,
}

/// One text with the name that messages use for it.
#[derive(Debug, Clone)]
pub struct Source {
    /// A file's path, `preset drive-shaft`, or the like.
    pub name: String,
    /// The whole text.
    pub text: String,
    /// The first byte of each line but the first, so that a place is found without reading the text again.
    lines: Vec<usize>,
}

/// All texts that went into one document.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    all: Vec<Source>,
    attached: BTreeMap<String, Result<SourceId, Diagnostic>>,
}

impl Sources {
    /// An empty collection.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a text and returns its name tag.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> SourceId {
        let id = u32::try_from(self.all.len()).expect("a document has fewer than 2^32 sources");
        let text = text.into();
        let lines = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n').map(|(at, _)| at + 1).collect();
        self.all.push(Source { name: name.into(), text, lines });
        SourceId(id)
    }

    /// Adds a text that is one value, and returns the span of the whole of it.
    pub fn add_value(&mut self, name: impl Into<String>, text: impl Into<String>) -> Span {
        let text = text.into();
        let end = text.len();
        Span { source: self.add(name, text), start: 0, end }
    }

    /// Says which text stands behind a file that the document names, or why there is none.
    pub fn attach(&mut self, file: impl Into<String>, read: Result<SourceId, Diagnostic>) {
        self.attached.insert(file.into(), read);
    }

    /// The text behind a file that the document names, or why there is none; `None` where nobody looked for it.
    #[must_use]
    pub fn attached(&self, file: &str) -> Option<&Result<SourceId, Diagnostic>> {
        self.attached.get(file)
    }

    /// The text behind a name tag.
    #[must_use]
    pub fn get(&self, id: SourceId) -> &Source {
        &self.all[id.0 as usize]
    }

    /// The bytes that a span covers; empty where the span is not on character boundaries.
    #[must_use]
    pub fn text(&self, span: Span) -> &str {
        self.get(span.source).text.get(span.start..span.end).unwrap_or("")
    }

    /// Line and column of a span's start, both from 1, columns in characters.
    #[must_use]
    pub fn line_column(&self, span: Span) -> (usize, usize) {
        let Source { text, lines, .. } = self.get(span.source);
        let mut start = span.start.min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let before = lines.partition_point(|&first| first <= start);
        let first = if before == 0 { 0 } else { lines[before - 1] };
        let (line, column) = (before + 1, text[first..start].chars().count() + 1);
        (line, column)
    }
}

#[cfg(test)]
mod tests {
    use super::{Sources, Span};

    #[test]
    fn lines_and_columns_count_characters() {
        let mut sources = Sources::new();
        let id = sources.add("a", "één: 1\ntwo: 2\n");
        let at = |start| Span { source: id, start, end: start + 1 };
        assert_eq!(sources.line_column(at(0)), (1, 1));
        assert_eq!(sources.line_column(at(5)), (1, 4));
        assert_eq!(sources.line_column(at(14)), (2, 6));
    }
}
