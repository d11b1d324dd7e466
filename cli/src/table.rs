//! Tables in files of their own: `GAP.found=FILE.csv` on the line, and `observed: { file: … }` in a document.

use std::path::Path;

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::table::{self, Table};
use shimwright_engine::document::tree::Node;

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
    let readings = Table::read(sources, source).only_column().map_err(|fault| {
        let diagnostic = Diagnostic::error(Code::BadValue, fault.message).help(fault.help);
        Box::new(match fault.at {
            Some(at) => diagnostic.at(at),
            None => diagnostic,
        })
    })?;
    let mut texts = Vec::with_capacity(readings.len());
    for reading in &readings {
        let text = reading.text().unwrap_or_default();
        // These would be read as more than one reading on the line.
        if text.contains(|c: char| matches!(c, ';' | '/' | '@' | '=') || c.is_control()) {
            let fault = Diagnostic::error(Code::BadValue, format!("`{text}` is not one reading")).at(reading.at);
            return Err(Box::new(fault.help("write one reading on each line, in one column")));
        }
        texts.push(text);
    }
    Ok(format!("{}={}{instrument}", one.name, texts.join("/")))
}

/// Reads the files that a document names for its figures; a name is relative to the file of the document, if it is in
/// one. What cannot be read is said where the document is read.
pub fn attach(tree: &Node, stack: Option<&Path>, sources: &mut Sources) {
    let folder = stack.and_then(Path::parent).unwrap_or(Path::new(""));
    for file in table::files(tree) {
        let read = input::file(&folder.join(file), sources).map_err(|fault| *fault);
        sources.attach(file, read);
    }
}
