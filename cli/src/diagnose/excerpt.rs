//! The line of a text that a fault is in, cut out and made harmless.

use std::ops::Range;

use shimwright_engine::document::source::{Sources, Span};
use unicode_width::UnicodeWidthChar;

use crate::report::text::shown;

/// The longest line that is shown, in bytes. A longer one was not written by hand.
const LONGEST_LINE: usize = 2000;
/// What stands for the part of a line that is left out.
const LEFT_OUT: &str = "...";
/// What stands for a tab.
const TAB: &str = "    ";

/// A line of a text as it stands, with the offending part of it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Excerpt {
    /// The characters of the line, control characters shown, tabs as spaces.
    line: Vec<char>,
    /// The marked ones.
    mark: Range<usize>,
}

impl Excerpt {
    /// The line that a span begins in; nothing where it is too long to be shown. Of a span over several lines the first
    /// is marked.
    pub(super) fn cut(sources: &Sources, span: Span) -> Option<Excerpt> {
        let text = sources.get(span.source).text.as_str();
        let marked = on_first_line(text, span);
        // Only a window is searched for the ends of the line: the text may be a single line of megabytes.
        let from = floor(text, marked.start.saturating_sub(LONGEST_LINE));
        let to = floor(text, marked.end.saturating_add(LONGEST_LINE));
        let start = text[from..marked.start].rfind('\n').map(|at| from + at + 1).or((from == 0).then_some(0))?;
        let end = text[marked.end..to].find('\n').map(|at| marked.end + at).or((to == text.len()).then_some(to))?;
        let visible = |bytes: Range<usize>| text[bytes].chars().flat_map(visible).collect::<Vec<char>>();
        let (before, within) = (visible(start..marked.start), visible(marked.clone()));
        let mark = before.len()..before.len() + within.len();
        let mut line = [before, within, visible(marked.end..end)].concat();
        let length = line.iter().rposition(|&c| c != ' ').map_or(0, |last| last + 1).max(mark.end);
        line.truncate(length);
        Some(Excerpt { line, mark })
    }

    /// The line in at most `width` columns, with what is around the mark where all of it is too wide, and the line under
    /// it that marks the offending part.
    pub(super) fn lines(&self, width: usize) -> [String; 2] {
        let shown = self.window(width);
        let (cut_before, cut_behind) = (shown.start > 0, shown.end < self.line.len());
        let mark = self.mark.start.max(shown.start)..self.mark.end.min(shown.end);
        let lead = if cut_before { LEFT_OUT } else { "" };
        let text = |range: Range<usize>| self.line[range].iter().collect::<String>();
        let line = format!("{lead}{}{}", text(shown.clone()), if cut_behind { LEFT_OUT } else { "" });
        let before = lead.len() + columns(&self.line[shown.start..mark.start]);
        // Something is marked even where the offending part is nothing, such as an end that is missing.
        let marked = columns(&self.line[mark]).max(1);
        [line, format!("{}{}", " ".repeat(before), "=".repeat(marked))]
    }

    /// The part of the line that is shown: all of it, or what fits with the beginning of the mark in the middle.
    fn window(&self, width: usize) -> Range<usize> {
        // A mark behind the last character takes a column of its own.
        let behind = usize::from(self.mark.start == self.line.len());
        if columns(&self.line) + behind <= width {
            return 0..self.line.len();
        }
        let room = width.saturating_sub(2 * LEFT_OUT.len()).max(1);
        let (mut start, mut end, mut used) = (self.mark.start, self.mark.start, 0);
        let mut take = |c: char| {
            used += c.width().unwrap_or(0);
            used <= room
        };
        // The mark first, then what is around it by turns.
        while end < self.mark.end && take(self.line[end]) {
            end += 1;
        }
        let (mut left, mut right) = (end == self.mark.end, end == self.mark.end);
        while left || right {
            left = left && start > 0 && take(self.line[start - 1]);
            start -= usize::from(left);
            right = right && end < self.line.len() && take(self.line[end]);
            end += usize::from(right);
        }
        start..end
    }
}

fn columns(text: &[char]) -> usize {
    text.iter().map(|c| c.width().unwrap_or(0)).sum()
}

/// The part of a span on its first line, without the spaces at its end. The span of a list or a map in brackets is
/// its opening bracket; all of it is marked.
fn on_first_line(text: &str, span: Span) -> Range<usize> {
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

fn visible(c: char) -> Vec<char> {
    match c {
        '\t' => TAB.chars().collect(),
        // It stands at the end of every line of a file from some systems.
        '\r' => vec![' '],
        _ => vec![shown(c)],
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
    use crate::report::text::columns_of;

    /// The excerpt for the span from the first to before the second byte.
    fn cut(text: &str, (start, end): (usize, usize)) -> Option<Excerpt> {
        let mut sources = Sources::new();
        let source = sources.add("a", text);
        Excerpt::cut(&sources, Span { source, start, end })
    }

    fn lines(text: &str, pair: (usize, usize), width: usize) -> [String; 2] {
        cut(text, pair).expect("the line is short").lines(width)
    }

    #[test]
    fn a_whole_line_is_cut_and_the_mark_follows_what_is_shown() {
        assert_eq!(lines("one\nt\u{9b}o two  \nthree\n", (9, 12), 80), ["t\u{fffd}o two", "    ==="]);
        assert_eq!(lines("a\tb: x\n", (5, 6), 80), ["a    b: x", "        ="]);
        assert_eq!(lines("längé x", (8, 9), 80), ["längé x", "      ="]);
        // A character that takes two columns.
        assert_eq!(lines("軸 x", (4, 5), 80), ["軸 x", "   ="]);
    }

    #[test]
    fn a_span_stays_within_the_text_and_on_one_line() {
        assert_eq!(lines("ab\ncd", (1, 4), 80), ["ab", " ="]);
        assert_eq!(lines("ab\r\ncd", (1, 6), 80), ["ab", " ="]);
        assert_eq!(lines("ab", (7, 9), 80), ["ab", "  ="]);
        assert_eq!(lines("é", (1, 2), 80), ["é", "="]);
        assert_eq!(lines("", (0, 0), 80), ["", "="]);
        // The end of a line that something is missing at.
        assert_eq!(lines("ab  \n", (4, 4), 80), ["ab  ", "    ="]);
    }

    #[test]
    fn all_of_a_list_in_brackets_is_marked() {
        assert_eq!(lines("a: [1, [2, {b: 3}]], c\n", (3, 4), 80)[1], format!("   {}", "=".repeat(16)));
        assert_eq!(lines("a: [1,\n  2]\n", (3, 4), 80)[1], "   =");
        assert_eq!(lines("a: {", (3, 4), 80)[1], "   =");
        // A span of more than the bracket is taken as it is.
        assert_eq!(lines("a: [1, 2]", (3, 6), 80)[1], "   ===");
    }

    #[test]
    fn a_line_that_is_too_wide_is_cut_around_the_mark() {
        let text = format!("{}fault{}", "a".repeat(50), "b".repeat(50));
        assert_eq!(lines(&text, (50, 55), 21), ["...aaaaafaultbbbbb...", "        ====="]);
        assert_eq!(lines(&text, (0, 3), 21), [format!("{}...", "a".repeat(15)), "===".to_owned()]);
        let [line, mark] = lines(&text, (100, 105), 21);
        assert_eq!((line.as_str(), mark.trim_start()), ("...bbbbbbbbbbbbbbb", "====="));
        // A mark that is wider than the line.
        assert_eq!(lines(&text, (0, 105), 21)[1], "=".repeat(15));
    }

    #[test]
    fn whatever_is_marked_the_lines_keep_to_the_width() {
        let text = "  q\u{e9}q: { 軸: 42.50,\ttolerance: [-0.05, 0], note: \u{9b}xx 箱 long enough to be cut } \r\n";
        for width in [10, 17, 40, 80] {
            for start in 0..=text.len() {
                for end in start..=(start + 25).min(text.len()) {
                    let [line, mark] = lines(text, (start, end), width);
                    assert!(columns_of(&line) <= width, "{start}..{end} in {width}: {line}");
                    assert!(columns_of(&mark) <= width, "{start}..{end} in {width}: {mark}");
                    assert!(mark.ends_with('='), "{start}..{end} in {width}");
                }
            }
        }
    }

    #[test]
    fn a_line_of_megabytes_is_not_shown() {
        assert_eq!(cut(&"x".repeat(5 << 20), (1 << 20, (1 << 20) + 5)), None);
    }
}
