//! The lines of a text that a fault is in, cut out and made harmless.

use std::ops::Range;

use shimwright_engine::document::source::{Sources, Span};

use crate::report::place::Places;
use crate::report::text::shown;

/// The longest line that is shown, in bytes. A longer one was not written by hand.
const LONGEST_LINE: usize = 2000;
/// The most lines from the first to the second place for both to be in one excerpt.
const MOST_LINES: usize = 12;
/// The most bytes from the first to the second place for both to be in one excerpt.
const MOST_BYTES: usize = 2000;

/// Whole lines of a text, with marked ranges.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Excerpt {
    /// The lines, with control characters other than tabs and ends of lines shown. Every character of the source has
    /// one character here, so that columns stay the file's.
    pub(super) text: String,
    /// The number of the first line.
    pub(super) first_line: usize,
    /// The marked bytes of `text`, one range for every span asked for.
    pub(super) marks: Vec<Range<usize>>,
}

/// Whether two spans can stand in one excerpt, and each be seen there.
pub(super) fn near(sources: &Sources, places: &mut Places, first: Span, second: Span) -> bool {
    // Two marks on the same characters would be drawn as one.
    let apart = first.end <= second.start || second.end <= first.start;
    first.source == second.source
        && apart
        && first.start.abs_diff(second.start) <= MOST_BYTES
        && places.of(sources, first).line.abs_diff(places.of(sources, second).line) <= MOST_LINES
}

impl Excerpt {
    /// The lines from the first to the last of some spans of one source; nothing where the first or the last line is
    /// too long to be shown. Of a span over several lines the first is marked.
    pub(super) fn cut(sources: &Sources, places: &mut Places, spans: &[Span]) -> Option<Excerpt> {
        let source = spans[0].source;
        let text = sources.get(source).text.as_str();
        let ranges: Vec<Range<usize>> = spans.iter().map(|span| on_first_line(text, span)).collect();
        let first = ranges.iter().map(|range| range.start).min()?;
        let last = ranges.iter().map(|range| range.end).max()?;
        // Only a window is searched for the ends of the lines: the text may be a single line of megabytes.
        let window = floor(text, first.saturating_sub(LONGEST_LINE))..floor(text, last.saturating_add(LONGEST_LINE));
        let start = text[window.start..first].rfind('\n').map(|at| window.start + at + 1);
        let end = text[last..window.end].find('\n').map(|at| last + at);
        let start = start.or((window.start == 0).then_some(0))?;
        let end = end.or((window.end == text.len()).then_some(text.len()))?;
        let shown_length = |bytes: Range<usize>| text[bytes].chars().map(|c| visible(c).len_utf8()).sum::<usize>();
        let marked = |range: &Range<usize>| shown_length(start..range.start)..shown_length(start..range.end);
        Some(Excerpt {
            text: text[start..end].chars().map(visible).collect(),
            first_line: places.of(sources, Span { source, start, end: start }).line,
            marks: ranges.iter().map(marked).collect(),
        })
    }
}

/// The part of a span on its first line, without the spaces at its end. The span of a list or a map in brackets is
/// its opening bracket; all of it is marked.
fn on_first_line(text: &str, span: &Span) -> Range<usize> {
    let start = floor(text, span.start);
    let end = floor(text, span.end.min(start.saturating_add(LONGEST_LINE))).max(start);
    let line = text[start..end].split('\n').next().unwrap_or("").trim_end();
    let length = if matches!(line, "[" | "{") { bracketed(&text[start..]).unwrap_or(1) } else { line.len() };
    start..start + length
}

/// The length of the bracketed text at the start of `text`; nothing where it does not end on its line. A bracket
/// within quotation marks is taken for one, which at worst marks too much or too little.
fn bracketed(text: &str) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, c) in text.char_indices().take(LONGEST_LINE).take_while(|(_, c)| *c != '\n') {
        match c {
            '[' | '{' => depth += 1,
            ']' | '}' => depth = depth.checked_sub(1)?,
            _ => {}
        }
        if depth == 0 {
            return Some(at + 1);
        }
    }
    None
}

fn visible(c: char) -> char {
    match c {
        '\t' | '\n' => c,
        // It stands at the end of every line of a file from some systems.
        '\r' => ' ',
        _ => shown(c),
    }
}

/// The last character boundary at or before a byte.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The excerpt for spans from the first to before the second byte of each pair.
    fn cut(text: &str, pairs: &[(usize, usize)]) -> Option<Excerpt> {
        let mut sources = Sources::new();
        let source = sources.add("a", text);
        let spans: Vec<Span> = pairs.iter().map(|&(start, end)| Span { source, start, end }).collect();
        Excerpt::cut(&sources, &mut Places::new(), &spans)
    }

    fn marks(text: &str, pairs: &[(usize, usize)]) -> Vec<(usize, usize)> {
        let excerpt = cut(text, pairs).expect("the lines are short");
        excerpt.marks.iter().map(|range| (range.start, range.end)).collect()
    }

    #[test]
    fn whole_lines_are_cut_and_marks_follow_what_is_shown() {
        let excerpt = cut("one\nt\u{9b}o two\nthree\n", &[(9, 12)]).unwrap();
        assert_eq!((excerpt.text.as_str(), excerpt.first_line), ("t\u{fffd}o two", 2));
        assert_eq!(&excerpt.text[excerpt.marks[0].clone()], "two");
        let several = cut("one\ntwo\nthree\n", &[(8, 13), (0, 3)]).unwrap();
        assert_eq!((several.text.as_str(), several.first_line), ("one\ntwo\nthree", 1));
        assert_eq!(several.marks, [8..13, 0..3]);
    }

    #[test]
    fn spans_stay_within_the_text_and_on_one_line() {
        assert_eq!(marks("ab\ncd", &[(1, 4)]), [(1, 2)]);
        assert_eq!(marks("ab\r\ncd", &[(1, 6)]), [(1, 2)]);
        assert_eq!(marks("ab", &[(7, 9)]), [(2, 2)]);
        assert_eq!(marks("é", &[(1, 2)]), [(0, 2)]);
        assert_eq!(marks("", &[(0, 0)]), [(0, 0)]);
    }

    #[test]
    fn all_of_a_list_in_brackets_is_marked() {
        assert_eq!(marks("a: [1, [2, {b: 3}]], c\n", &[(3, 4)]), [(3, 19)]);
        assert_eq!(marks("a: [1,\n  2]\n", &[(3, 4)]), [(3, 4)]);
        assert_eq!(marks("a: {", &[(3, 4)]), [(3, 4)]);
        // A span of more than the bracket is taken as it is.
        assert_eq!(marks("a: [1, 2]", &[(3, 6)]), [(3, 6)]);
    }

    #[test]
    fn a_line_of_megabytes_is_not_shown() {
        assert_eq!(cut(&"x".repeat(5 << 20), &[(1 << 20, (1 << 20) + 5)]), None);
    }
}
