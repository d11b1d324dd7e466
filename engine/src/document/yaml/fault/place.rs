//! The place of a fault in a text that is not YAML, and what stands around it.

/// The place that the library names, and the line around it.
pub(super) struct Place<'a> {
    pub(super) text: &'a str,
    pub(super) at: usize,
    pub(super) start: usize,
    pub(super) line: &'a str,
}

/// The longest stretch of a line that is looked at. A longer line was not written by hand.
const LONGEST: usize = 2000;

impl<'a> Place<'a> {
    pub(super) fn new(text: &'a str, at: usize) -> Place<'a> {
        let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
        let line = text[start..].lines().next().unwrap_or("");
        Place { text, at, start, line: if line.len() > LONGEST { "" } else { line } }
    }

    pub(super) fn before(&self) -> &'a str {
        self.line.get(..self.at - self.start).unwrap_or("")
    }

    pub(super) fn behind(&self) -> &'a str {
        self.line.get(self.at - self.start..).unwrap_or("")
    }

    /// The place, one character wide.
    pub(super) fn here(&self) -> (usize, usize) {
        (self.at, self.text[self.at..].chars().next().map_or(self.at, |c| self.at + c.len_utf8()))
    }

    /// The value of the line's first key.
    pub(super) fn value(&self) -> &'a str {
        self.line.split_once(": ").map_or("", |(_, value)| value.trim())
    }

    /// The word at the place or before it on the line that begins with one of some marks.
    pub(super) fn word(&self, marks: &[char]) -> Option<(usize, usize)> {
        let begins = |&(at, c): &(usize, char)| {
            let free = self.line[..at].chars().next_back().is_none_or(|c| matches!(c, ' ' | '[' | '{' | ','));
            marks.contains(&c) && free && self.start + at <= self.at
        };
        let (at, _) = self.line.char_indices().rfind(begins)?;
        let length = self.line[at..].find([' ', ',', ']', '}']).unwrap_or(self.line.len() - at);
        Some((self.start + at, self.start + at + length))
    }

    /// Whether the line begins further to the right than the one above it that is not blank.
    pub(super) fn is_indented_further(&self) -> bool {
        let indent = |line: &str| line.len() - line.trim_start_matches(' ').len();
        let above = self.text[..self.start].trim_end();
        let above = &above[above.rfind('\n').map_or(0, |end| end + 1)..];
        indent(self.line) > indent(above)
    }

    /// A `#` with a blank before it and a figure behind it, on this line or, where nothing stands before the place,
    /// at the end of the one before.
    pub(super) fn number_sign(&self) -> Option<(usize, usize)> {
        let previous = self.text[..self.start].trim_end();
        let previous_start = previous.rfind('\n').map_or(0, |end| end + 1);
        let first = self.before().trim().is_empty() && previous.len() - previous_start <= LONGEST;
        let lines = [Some((self.start, self.line)), first.then(|| (previous_start, &previous[previous_start..]))];
        lines.into_iter().flatten().find_map(|(start, line)| {
            let (from, to) = number_sign(line)?;
            Some((start + from, start + to))
        })
    }
}

/// A `#` with a blank before it and a figure behind it, outside quotation marks: with the word before, and the figure.
fn number_sign(line: &str) -> Option<(usize, usize)> {
    let (at, _) = line.match_indices(" #").find(|&(at, _)| {
        let open = line[..at].matches('"').count() % 2 == 1 || line[..at].matches('\'').count() % 2 == 1;
        !open && line[at + 2..].starts_with(|c: char| c.is_ascii_digit())
    })?;
    let word = line[..at].trim_end();
    let start = word.rfind([' ', ',', ':', '{', '[']).map_or(0, |end| end + 1);
    let end = line[at + 2..].find(|c: char| !c.is_ascii_digit()).map_or(line.len(), |end| at + 2 + end);
    Some((start, end))
}

/// The byte at a line and a column, both from 1, columns in characters.
pub(super) fn byte_at(text: &str, line: u64, column: u64) -> usize {
    let line = usize::try_from(line).unwrap_or(usize::MAX).max(1);
    let column = usize::try_from(column).unwrap_or(usize::MAX).max(1);
    let mut start = 0;
    for (number, content) in text.split_inclusive('\n').enumerate() {
        if number + 1 == line {
            return start + content.chars().take(column - 1).map(char::len_utf8).sum::<usize>();
        }
        start += content.len();
    }
    text.len()
}
