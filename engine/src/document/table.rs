//! A table in a text of its own: rows of cells between commas or semicolons, as spreadsheets write them.
//!
//! The engine reads no files: whoever does puts the text among the [`Sources`], under the name that the document uses
//! for it ([`Sources::attach`]), and this module makes nodes of a column, so that a bad cell is reported like any other
//! value, with its own line and column.

use super::nearest::nearest;
use super::source::{SourceId, Sources, Span};
use super::tree::{Node, Value};

/// The most rows of a table: ten years of a part made thirty times a day.
const MOST_ROWS: usize = 100_000;

/// The most cells of a row that are looked at.
const MOST_CELLS: usize = 1000;

/// The most headings that a message lists.
const MOST_LISTED: usize = 20;

/// What is wrong with a table as such.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Where; none: the table as a whole.
    pub at: Option<Span>,
    /// One phrase.
    pub message: String,
    /// What to do.
    pub help: String,
}

/// The cells of a table, row by row; rows without anything in them are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    name: String,
    rows: Vec<Row>,
    /// Semicolons stand between the cells, so that a comma is a decimal point.
    semicolons: bool,
    /// Whether there are more rows than are taken.
    too_long: bool,
}

#[derive(Debug, Clone, PartialEq)]
struct Row {
    cells: Vec<Cell>,
    at: Span,
}

#[derive(Debug, Clone, PartialEq)]
struct Cell {
    text: String,
    at: Span,
}

impl Table {
    /// Reads a text of `sources`.
    ///
    /// Columns are between semicolons where the first row has one (outside quotes), else between commas.
    #[must_use]
    pub fn read(sources: &Sources, id: SourceId) -> Table {
        let source = sources.get(id);
        let mut start = 0;
        let mut lines: Vec<(usize, &str)> = Vec::new();
        // The heading is one more.
        let too_long = |lines: &[(usize, &str)]| lines.len() > MOST_ROWS + 1;
        for line in source.text.split_inclusive('\n') {
            let mark = line.len() - line.trim_start_matches('\u{feff}').len();
            let text = line[mark..].trim_end();
            if !text.trim_matches([',', ';', ' ', '\t']).is_empty() {
                lines.push((start + mark, text));
            }
            start += line.len();
            if too_long(&lines) {
                break;
            }
        }
        let too_long = too_long(&lines);
        let semicolons = lines.first().is_some_and(|(_, line)| split(line, ';').len() > 1);
        let separator = if semicolons { ';' } else { ',' };
        let span = |start: usize, end: usize| Span { source: id, start, end };
        let rows = lines
            .into_iter()
            .map(|(start, line)| {
                let cell = |(from, to): (usize, usize)| {
                    let inner = line[from..to].trim();
                    let from = from + (line[from..to].len() - line[from..to].trim_start().len());
                    let text = inner.strip_prefix('"').and_then(|text| text.strip_suffix('"')).unwrap_or(inner).trim();
                    Cell { text: text.to_owned(), at: span(start + from, start + from + inner.len()) }
                };
                let cells = split(line, separator).into_iter().map(cell).collect();
                Row { cells, at: span(start, start + line.len()) }
            })
            .collect();
        Table { name: source.name.clone(), rows, semicolons, too_long }
    }

    /// The values of a column, below its heading.
    ///
    /// # Errors
    /// There is no such column, or a row has no value in it; nothing stands below the heading.
    pub fn column(&self, heading: &str) -> Result<Vec<Node>, Fault> {
        let Some((first, rows)) = self.rows.split_first() else { return Err(self.empty()) };
        let Some(index) = first.cells.iter().position(|cell| cell.text == heading) else {
            let known: Vec<&str> = first.cells.iter().take(MOST_LISTED).map(|cell| cell.text.as_str()).collect();
            let help = match nearest(heading, first.cells.iter().map(|cell| cell.text.as_str())) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("its first line names the columns: {}", known.join(", ")),
            };
            return Err(Fault { at: None, message: format!("`{}` has no column `{heading}`", self.name), help });
        };
        if let Some(again) = first.cells.iter().skip(index + 1).find(|cell| cell.text == heading) {
            let message = format!("`{}` has two columns `{heading}`", self.name);
            return Err(Fault { at: Some(again.at), message, help: "rename one of them".to_owned() });
        }
        self.values(rows, index, heading)
    }

    /// The values of the only column; a first row without a figure in it is a heading.
    ///
    /// # Errors
    /// A row has more than one cell, or there is no value.
    pub fn only_column(&self) -> Result<Vec<Node>, Fault> {
        if let Some(row) = self.rows.iter().find(|row| row.cells.len() > 1) {
            let line = row.cells.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>();
            let message = format!("`{}` is not one value", line.join(if self.semicolons { ";" } else { "," }));
            return Err(Fault {
                at: Some(row.at),
                message,
                help: "write one value on each line, with a decimal point; of several columns, name the one meant"
                    .to_owned(),
            });
        }
        let heading = |row: &Row| !row.cells[0].text.contains(|c: char| c.is_ascii_digit());
        let skipped = usize::from(self.rows.first().is_some_and(heading));
        self.values(&self.rows[skipped..], 0, "")
    }

    fn values(&self, rows: &[Row], index: usize, heading: &str) -> Result<Vec<Node>, Fault> {
        if self.too_long {
            return Err(Fault {
                at: None,
                message: format!("`{}` has more than {MOST_ROWS} rows", self.name),
                help: "take a part of them, chosen at random".to_owned(),
            });
        }
        let value = |row: &Row| match row.cells.get(index).filter(|cell| !cell.text.is_empty()) {
            Some(cell) => Ok(Node::scalar(self.number(&cell.text), cell.at)),
            None => Err(Fault {
                at: Some(row.at),
                message: format!("there is no value in column `{heading}` of this row"),
                help: "write the value, or take the row out".to_owned(),
            }),
        };
        let values: Vec<Node> = rows.iter().map(value).collect::<Result<_, _>>()?;
        if values.is_empty() { Err(self.empty()) } else { Ok(values) }
    }

    /// A number with a decimal point, where a comma can only be one.
    fn number(&self, text: &str) -> String {
        let is_decimal = self.semicolons && !text.contains('.') && text.matches(',').count() == 1;
        if is_decimal { text.replace(',', ".") } else { text.to_owned() }
    }

    fn empty(&self) -> Fault {
        Fault {
            at: None,
            message: format!("there is no value in `{}`", self.name),
            help: "write one value on each line".to_owned(),
        }
    }
}

/// Where the pieces of a line are, the separator not counting inside quotes.
fn split(line: &str, separator: char) -> Vec<(usize, usize)> {
    let mut pieces = Vec::new();
    let (mut from, mut quoted) = (0, false);
    for (at, c) in line.char_indices() {
        if pieces.len() == MOST_CELLS {
            break;
        }
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            pieces.push((from, at));
            from = at + c.len_utf8();
        }
    }
    pieces.push((from, line.len()));
    pieces
}

/// The files that a document names for its figures: the value of each `file` under `observed`.
#[must_use]
pub fn files(tree: &Node) -> Vec<&str> {
    let mut found = Vec::new();
    let mut left = vec![tree];
    while let Some(node) = left.pop() {
        match &node.value {
            Value::Map(entries) => {
                for entry in entries {
                    if entry.key.text == "observed"
                        && let Some(file) = entry.value.get("file").and_then(Node::text)
                        && !found.contains(&file)
                    {
                        found.push(file);
                    }
                    left.push(&entry.value);
                }
            }
            Value::List(items) => left.extend(items),
            Value::Scalar(_) | Value::Null => {}
        }
    }
    found.sort_unstable();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str) -> (Sources, Table) {
        let mut sources = Sources::new();
        let id = sources.add("units.csv", text);
        let table = Table::read(&sources, id);
        (sources, table)
    }

    fn texts(nodes: &[Node]) -> Vec<&str> {
        nodes.iter().filter_map(Node::text).collect()
    }

    #[test]
    fn a_column_is_found_by_its_heading() {
        let (sources, table) = table("\u{feff}unit, pocket ,\"seat, rear\"\r\n1,52.41,2.00\r\n\r\n2, 52.44 ,2.01\r\n");
        let values = table.column("pocket").expect("the column is there");
        assert_eq!(texts(&values), ["52.41", "52.44"]);
        assert_eq!(sources.line_column(values[1].at), (4, 4));
        assert_eq!(texts(&table.column("seat, rear").expect("it is there")), ["2.00", "2.01"]);
    }

    #[test]
    fn between_semicolons_a_comma_is_a_decimal_point() {
        let (sources, table) = table("unit;pocket\n1;52,41\n2;\"52,4\"\n3;1.052,4\n");
        let values = table.column("pocket").expect("the column is there");
        // What is no number stays as it is, to be complained of.
        assert_eq!(texts(&values), ["52.41", "52.4", "1.052,4"]);
        assert_eq!(sources.text(values[0].at), "52,41");
    }

    #[test]
    fn a_heading_stands_once() {
        let (sources, table) = table("unit,pocket,pocket\n1,52.41,52.42\n");
        let fault = table.column("pocket").expect_err("which one is meant?");
        assert_eq!(sources.line_column(fault.at.expect("it has a place")), (1, 13));
        assert!(table.column("unit").is_ok());
    }

    #[test]
    fn what_is_not_there_is_said_with_its_place() {
        let (sources, table) = table("unit,pocket\n1,52.41\n2\n");
        let fault = table.column("pockt").expect_err("it is not there");
        assert_eq!((fault.at, fault.help.as_str()), (None, "did you mean `pocket`?"));
        assert_eq!(
            table.column("bore").expect_err("it is not there").help,
            "its first line names the columns: unit, pocket"
        );
        let fault = table.column("pocket").expect_err("a row has none");
        assert_eq!(sources.line_column(fault.at.expect("it has a place")), (3, 1));
        assert!(table.only_column().expect_err("there are two").message.starts_with("`unit,pocket` is not one value"));
    }

    #[test]
    fn one_column_needs_no_heading() {
        assert_eq!(texts(&table("0.13\n0.14\n").1.only_column().expect("a column")), ["0.13", "0.14"]);
        assert_eq!(texts(&table("play (mm)\n\"0.13\"\n").1.only_column().expect("a column")), ["0.13"]);
        for nothing in ["", "play\n", "\n\n"] {
            let fault = table(nothing).1.only_column().expect_err("nothing is there");
            assert_eq!(fault.message, "there is no value in `units.csv`");
        }
    }

    #[test]
    fn the_files_of_a_document_are_those_under_observed() {
        let mut sources = Sources::new();
        let text = "dimensions:\n  a: { distribution: { observed: { file: b.csv, column: a } } }\n  \
                    c: { distribution: { mixture: [ { weight: 1, distribution: { observed: { file: a.csv } } } ] } }\n  \
                    d: { distribution: { observed: [1, 2] } }\n  file: { size: 3, note: x.csv }\n";
        let id = sources.add("test", text);
        let tree = crate::document::yaml::read(&sources, id).expect("it is YAML");
        assert_eq!(files(&tree), ["a.csv", "b.csv"]);
    }
}
