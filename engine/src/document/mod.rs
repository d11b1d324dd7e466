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
pub mod table;
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
    load_tree_with(sources, tree, None)
}

/// Makes a tree into a resolved document, with a file of instruments beside it.
///
/// # Errors
/// All that is wrong with both.
pub fn load_tree_with(sources: &Sources, tree: &Node, instruments: Option<&Node>) -> Checked {
    let mut reader = written::Reader::new(sources);
    let shop = instruments.map(|tree| written::read_instruments(&mut reader, tree));
    let written = written::read(&mut reader, tree);
    match resolved::resolve(&mut reader, &written, shop.as_ref()) {
        Some(document) if !reader.diagnostics.has_errors() => Ok((document, reader.diagnostics)),
        _ => Err(reader.diagnostics),
    }
}
