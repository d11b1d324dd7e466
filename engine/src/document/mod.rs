//! From text to a resolved document: tree, as written, resolved. Each step has a type of its own and fails as early
//! as it can; what is wrong is collected, so that one report lists all of it.

pub mod assign;
pub mod diagnostic;
pub mod expression;
pub mod keys;
pub mod name;
pub mod nearest;
pub mod resolved;
pub mod source;
pub mod tree;
pub mod written;
pub mod yaml;

use diagnostic::Diagnostics;
use resolved::Document;
use source::{SourceId, Sources};
use tree::Node;

/// A resolved document, with the notes that were made on the way.
pub type Checked = Result<(Document, Diagnostics), Diagnostics>;

/// Reads a text of `sources` into a resolved document.
///
/// # Errors
/// All that is wrong with it.
pub fn load(sources: &Sources, id: SourceId) -> Checked {
    let tree = yaml::read(sources, id).map_err(|fault| Diagnostics::from(*fault))?;
    load_tree(sources, &tree)
}

/// Makes a tree into a resolved document.
///
/// # Errors
/// All that is wrong with it.
pub fn load_tree(sources: &Sources, tree: &Node) -> Checked {
    let mut reader = written::Reader::new(sources);
    let written = written::read(&mut reader, tree);
    match resolved::resolve(&mut reader, &written) {
        Some(document) if !reader.diagnostics.has_errors() => Ok((document, reader.diagnostics)),
        _ => Err(reader.diagnostics),
    }
}
