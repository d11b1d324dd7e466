//! A table of readings: `GAP.found=FILE.csv` is the readings of the file's one column, in place of the file's name.

use std::path::Path;

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::source::{Sources, Span};

use crate::args::Assignment;
use crate::input;

/// What is wrong with a table.
type Fault = Box<Diagnostic>;

/// The values of the line as the document's own reader of them takes them, tables of readings read in.
///
/// # Errors
/// A file that cannot be read, or that is not one column of readings.
pub fn filled_in(values: &[Assignment], sources: &mut Sources) -> Result<Vec<String>, Fault> {
    values.iter().map(|one| if is_table(one) { from_table(one, sources) } else { Ok(one.text()) }).collect()
}

/// Only readings of a gap come as a table in this version; other names say so themselves.
fn is_table(one: &Assignment) -> bool {
    let (file, _) = parts(one);
    one.name.ends_with(".found") && file.to_lowercase().ends_with(".csv")
}

/// The file, and the instrument behind the `@` with it.
fn parts(one: &Assignment) -> (&str, &str) {
    let at = one.value.rfind('@').unwrap_or(one.value.len());
    (one.value[..at].trim(), &one.value[at..])
}

fn from_table(one: &Assignment, sources: &mut Sources) -> Result<String, Fault> {
    let (file, instrument) = parts(one);
    let source = input::file(Path::new(file), sources)?;
    let text = &sources.get(source).text;
    let mut readings: Vec<String> = Vec::new();
    let mut start = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let cell = line.trim().trim_start_matches('\u{feff}').trim_matches('"').trim();
        let at = Span { source, start, end: start + line.trim_end().len() };
        start += line.len();
        // The first line may be a heading.
        if cell.is_empty() || (number == 0 && !cell.contains(|c: char| c.is_ascii_digit())) {
            continue;
        }
        if let Some(mark) = cell.chars().find(|&c| matches!(c, ',' | ';' | '/' | '@' | '=') || c.is_control()) {
            return Err(not_one_column(cell, mark, at));
        }
        readings.push(cell.to_owned());
    }
    if readings.is_empty() {
        let fault = Diagnostic::error(Code::BadValue, format!("there is no reading in `{file}`"));
        return Err(Box::new(fault.help("write one reading on each line")));
    }
    Ok(format!("{}={}{instrument}", one.name, readings.join("/")))
}

fn not_one_column(cell: &str, mark: char, at: Span) -> Fault {
    let help = match mark {
        ',' => "write one reading on each line, with a decimal point: 0.13",
        _ => "write one reading on each line, in one column",
    };
    Box::new(Diagnostic::error(Code::BadValue, format!("`{cell}` is not one reading")).at(at).help(help))
}
