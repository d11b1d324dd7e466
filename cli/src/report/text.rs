//! Running text: wrapping, columns, and control characters made visible.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The text with every control character shown by a sign in its place, so that a file cannot move the cursor, clear
/// the screen or turn the direction of writing. The ends of lines are control characters too.
#[must_use]
pub fn harmless(text: &str) -> String {
    text.chars().map(shown).collect()
}

/// The same for one character.
#[must_use]
pub fn shown(c: char) -> char {
    match c {
        // Unicode has a picture for each of the first 32 and for delete.
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        _ if is_unsafe(c) => '\u{fffd}',
        _ => c,
    }
}

/// Whether a character is a control character, or turns the direction of writing, or starts a new line unseen.
pub(crate) fn is_unsafe(c: char) -> bool {
    let turns = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    c.is_control() || turns || matches!(c, '\u{2028}' | '\u{2029}')
}

/// How many columns a text takes on a terminal.
#[must_use]
pub fn columns_of(text: &str) -> usize {
    text.width()
}

/// Breaks text at spaces into lines of at most `width` columns. Ends of lines in the text are kept; a word that is
/// longer than a line is broken, so that no line is too long.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    text.lines().flat_map(|paragraph| wrap_paragraph(paragraph, width)).collect()
}

fn wrap_paragraph(paragraph: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
        let line = lines.last_mut().expect("there is always a line");
        let used = columns_of(line);
        if used == 0 && columns_of(word) <= width {
            line.push_str(word);
        } else if used + 1 + columns_of(word) <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            break_word(word, width, &mut lines);
        }
    }
    lines
}

/// Puts a word that does not fit into the last line on new ones.
fn break_word(word: &str, width: usize, lines: &mut Vec<String>) {
    if lines.last().is_some_and(|line| !line.is_empty()) {
        lines.push(String::new());
    }
    for c in word.chars() {
        let line = lines.last_mut().expect("there is always a line");
        if columns_of(line) + c.width().unwrap_or(0) > width && !line.is_empty() {
            lines.push(c.to_string());
        } else {
            line.push(c);
        }
    }
}

/// Wraps text behind a lead such as `note: `, with the lines that follow set under the first one's text. A lead that
/// takes more than half of the width is wrapped with the text. Ends with a new line.
#[must_use]
pub fn hanging(lead: &str, text: &str, width: usize) -> String {
    if columns_of(lead) > width / 2 {
        let spaces = " ".repeat((lead.len() - lead.trim_start().len()).min(width / 2));
        return hanging(&spaces, &format!("{}{text}", lead.trim_start()), width);
    }
    let indent = columns_of(lead);
    let mut result = String::new();
    for (number, line) in wrap(text, width.saturating_sub(indent)).iter().enumerate() {
        let before = if number == 0 { lead.to_owned() } else { " ".repeat(indent) };
        result.push_str(format!("{before}{line}").trim_end());
        result.push('\n');
    }
    result
}

/// How the cells of a column stand under each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Their beginnings.
    Left,
    /// Their ends.
    Right,
    /// Their decimal points, an end of a whole number counting as one.
    Point,
}

/// Sets rows of cells in columns, two spaces between them, each line behind `indent` spaces and without spaces at
/// its end. A row may be shorter than the others; a column without an alignment is set to the left.
#[must_use]
pub fn table(rows: &[Vec<String>], align: &[Align], indent: usize) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let columns: Vec<Column> = (0..count)
        .map(|at| {
            let align = align.get(at).copied().unwrap_or(Align::Left);
            Column::new(align, rows.iter().filter_map(|row| row.get(at)).map(String::as_str))
        })
        .collect();
    let mut result = String::new();
    for row in rows {
        let cells: Vec<String> = row.iter().zip(&columns).map(|(cell, column)| column.set(cell)).collect();
        let line = format!("{}{}", " ".repeat(indent), cells.join("  "));
        result.push_str(line.trim_end());
        result.push('\n');
    }
    result
}

/// The least that a column is narrowed to.
const NARROWEST_COLUMN: usize = 12;

/// As [`table`], within a width: where a row would be wider, the widest columns on the left are wrapped, cell by cell.
/// Nothing is left out.
#[must_use]
pub fn table_within(width: usize, rows: &[Vec<String>], align: &[Align], indent: usize) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let mut rows: Vec<Vec<String>> = rows.to_vec();
    // Each turn narrows one column.
    for _ in 0..count {
        let widths: Vec<usize> = (0..count)
            .map(|at| {
                let cells = rows.iter().filter_map(|row| row.get(at)).flat_map(|cell| cell.lines());
                Column::new(align.get(at).copied().unwrap_or(Align::Left), cells).width()
            })
            .collect();
        let whole = indent + widths.iter().sum::<usize>() + 2 * count.saturating_sub(1);
        let left = |at: &usize| align.get(*at).is_none_or(|align| *align == Align::Left);
        let widest = (0..count).filter(left).max_by_key(|&at| widths[at]);
        let Some(at) = widest.filter(|&at| whole > width && widths[at] > NARROWEST_COLUMN) else { break };
        let most = widths[at].saturating_sub(whole - width).max(NARROWEST_COLUMN);
        for cell in rows.iter_mut().filter_map(|row| row.get_mut(at)) {
            *cell = wrap(cell, most).join("\n");
        }
    }
    // A cell of several lines makes a row of as many.
    let split = |row: &Vec<String>| {
        let height = row.iter().map(|cell| cell.lines().count()).max().unwrap_or(0).max(1);
        let line = |number: usize| row.iter().map(|cell| cell.lines().nth(number).unwrap_or("").to_owned()).collect();
        (0..height).map(line).collect::<Vec<Vec<String>>>()
    };
    table(&rows.iter().flat_map(split).collect::<Vec<_>>(), align, indent)
}

struct Column {
    align: Align,
    /// Columns before the decimal point; all of them where points are not aligned.
    before: usize,
    /// Columns from the decimal point on.
    after: usize,
}

impl Column {
    fn new<'a>(align: Align, cells: impl Iterator<Item = &'a str>) -> Self {
        let mut column = Column { align, before: 0, after: 0 };
        for cell in cells {
            let (before, after) = column.parts(cell);
            column.before = column.before.max(before);
            column.after = column.after.max(after);
        }
        column
    }

    fn parts(&self, cell: &str) -> (usize, usize) {
        match self.align {
            Align::Left | Align::Right => (columns_of(cell), 0),
            Align::Point => {
                let whole = cell.find(|c: char| c != '-' && c != '+' && !c.is_ascii_digit()).unwrap_or(cell.len());
                (columns_of(&cell[..whole]), columns_of(&cell[whole..]))
            }
        }
    }

    fn width(&self) -> usize {
        self.before + self.after
    }

    fn set(&self, cell: &str) -> String {
        let (before, after) = self.parts(cell);
        let (left, right) = (" ".repeat(self.before - before), " ".repeat(self.after - after));
        match self.align {
            Align::Left => format!("{cell}{left}"),
            Align::Right | Align::Point => format!("{left}{cell}{right}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_shown() {
        for (text, expected) in [
            ("plain, größe, ±", "plain, größe, ±"),
            ("\u{1b}[31mred", "␛[31mred"),
            ("\u{1b}]0;title\u{7}", "␛]0;title␇"),
            ("a\tb\r\n", "a␉b␍␊"),
            ("\u{9b}31m\u{7f}", "�31m␡"),
            ("abc\u{202e}cba", "abc�cba"),
        ] {
            assert_eq!(harmless(text), expected);
        }
    }

    #[test]
    fn lines_are_broken_at_spaces() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("one two three", 13), ["one two three"]);
        assert_eq!(wrap("a\n\nb", 5), ["a", "", "b"]);
        assert_eq!(wrap("in abcdefgh of", 3), ["in", "abc", "def", "gh", "of"]);
        assert_eq!(wrap("tiny", 0), ["t", "i", "n", "y"]);
        assert_eq!(wrap("", 10), [""; 0]);
    }

    #[test]
    fn lines_hang_under_the_first() {
        assert_eq!(hanging("note: ", "put in a thinner pack", 16), "note: put in a\n      thinner\n      pack\n");
    }

    #[test]
    fn a_long_lead_is_wrapped_with_its_text() {
        assert_eq!(hanging("  a long name: ", "and what of it", 16), "  a long name:\n  and what of it\n");
        assert_eq!(hanging("abcdefghij: ", "k", 6), "abcdef\nghij:\nk\n");
    }

    #[test]
    fn a_table_is_wrapped_into_its_width_and_nothing_is_lost() {
        let rows = [["cover plate of the front bearing", "53.97 by hand", "1.5"], ["gear", "30", "12"]]
            .map(|row| row.map(str::to_owned).to_vec());
        let align = [Align::Left, Align::Left, Align::Point];
        assert_eq!(table_within(80, &rows, &align, 2), table(&rows, &align, 2));
        let expected =
            "  cover plate of the  53.97 by hand   1.5\n  front bearing\n  gear                30             12\n";
        assert_eq!(table_within(41, &rows, &align, 2), expected);
        // Columns are not made narrower than can be read.
        assert!(table_within(10, &rows, &align, 2).lines().all(|line| columns_of(line) <= 2 + 12 + 2 + 12 + 2 + 4));
    }

    #[test]
    fn columns_align() {
        let rows = [["pocket", "53.97", "1"], ["gear", "-30", "12"], ["seat", "0.025 mm", ""]]
            .map(|row| row.map(str::to_owned).to_vec());
        let expected = "  pocket   53.97       1\n  gear    -30         12\n  seat      0.025 mm\n";
        assert_eq!(table(&rows, &[Align::Left, Align::Point, Align::Right], 2), expected);
        let ragged = [vec!["a".to_owned()], vec!["größe".to_owned(), "b".to_owned()]];
        assert_eq!(table(&ragged, &[], 0), "a\ngröße  b\n");
        assert_eq!(table(&[], &[], 0), "");
    }
}
