//! Lines and columns, found without reading a text again for every fault in it.

use std::collections::HashMap;

use shimwright_engine::document::source::{SourceId, Sources, Span};

/// A line and a column, both from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// The line.
    pub line: usize,
    /// The column.
    pub column: usize,
}

/// Bytes between two marks: a look-up reads no more than this.
const BETWEEN_MARKS: usize = 512;

/// Marks in every text that was asked about. A file may have a million faults in one line, and finding each from the
/// start of the text would take hours.
#[derive(Debug, Default)]
pub struct Places {
    marks: HashMap<SourceId, Vec<(usize, Place)>>,
}

impl Places {
    /// No marks yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The line and column of a span's start.
    pub fn of(&mut self, sources: &Sources, span: Span) -> Place {
        let text = sources.get(span.source).text.as_str();
        let marks = self.marks.entry(span.source).or_insert_with(|| marks(text));
        let next = marks.partition_point(|(at, _)| *at <= span.start);
        let (at, mut place) = marks[next - 1];
        for (offset, c) in text[at..].char_indices() {
            // A span that starts inside a character belongs to that character.
            if at + offset + c.len_utf8() > span.start {
                break;
            }
            place.step(c);
        }
        place
    }
}

impl Place {
    fn step(&mut self, c: char) {
        if c == '\n' {
            *self = Place { line: self.line + 1, column: 1 };
        } else {
            self.column += 1;
        }
    }
}

fn marks(text: &str) -> Vec<(usize, Place)> {
    let mut place = Place { line: 1, column: 1 };
    let mut marks = vec![(0, place)];
    let mut due = BETWEEN_MARKS;
    for (at, c) in text.char_indices() {
        if at >= due {
            marks.push((at, place));
            due = at + BETWEEN_MARKS;
        }
        place.step(c);
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_the_engines() {
        let mut text = String::new();
        for line in 0..200 {
            text.push_str(&"é".repeat(line % 37));
            text.push_str(&"x".repeat((line * 7) % 900));
            text.push('\n');
        }
        let mut sources = Sources::new();
        let source = sources.add("long", text.clone());
        let mut places = Places::new();
        // 61 is prime to everything above, so that every kind of position is met.
        for start in (0..=text.len() + 2).step_by(61).chain([0, text.len()]) {
            let span = Span { source, start, end: start };
            let place = places.of(&sources, span);
            assert_eq!((place.line, place.column), sources.line_column(span), "byte {start}");
        }
    }
}
