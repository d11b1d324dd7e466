//! The document as written: forms are known, units and names are not resolved yet.

mod commas;
mod correlation;
mod dimension;
mod distribution;
mod expansion;
mod felt;
mod gap;
mod instrument;
mod kit;
mod pack;
mod reader;
mod readings;
mod screw;
mod weighted;

use super::diagnostic::Code;
use super::keys::{self, Section};
use super::name;
use super::tree::{Entry, Node, Value};
use crate::length::Unit;

pub use correlation::Correlation;
pub use dimension::{Dimension, Drawing, Spread};
pub use distribution::{ALONE, Alone, AloneKind, Between, Shape};
pub use felt::{Felt, Reading};
pub use gap::{Accept, Gap, Lean};
pub use instrument::{Instrument, InstrumentFile};
pub use kit::{Kit, Sizes};
pub use pack::{Count, Fitted, Made, Pack, Stay};
pub use reader::{Fields, Length, Named, Reader};
pub use readings::{Place, Readings, Sets, UseOfPlaces};
pub use screw::{Pitch, Screw};
pub use weighted::{MixtureCase, Observed};

/// A stack document as written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// What the stack is.
    pub title: Option<String>,
    /// The unit of bare numbers.
    pub unit: Unit,
    /// The temperature of parts and instruments when they were read, in °C.
    pub temperature: Option<f64>,
    /// Instruments of this document.
    pub instruments: Vec<Instrument>,
    /// The dimensions.
    pub dimensions: Vec<Dimension>,
    /// The gaps.
    pub gaps: Vec<Gap>,
    /// The packs.
    pub packs: Vec<Pack>,
    /// The kits.
    pub kits: Vec<Kit>,
    /// How dimensions go together.
    pub correlations: Vec<Correlation>,
    /// Cautions to be shown with the answer.
    pub cautions: Vec<String>,
    /// The order of assembly.
    pub fitting: Vec<String>,
}

/// Reads a tree as a stack document. What is wrong is in the reader's diagnostics; what could be read is returned.
#[must_use]
pub fn read(reader: &mut Reader<'_>, tree: &Node) -> Document {
    let Some(fields) = reader.fields(tree, Section::Document) else { return Document::default() };
    // A mistyped section takes its names with it; a mistyped text or word does not.
    let known = |name: &str| keys::of(Section::Document).any(|key| key.name == name);
    let lost_section = |entry: &Entry| !known(&entry.key.text) && !matches!(entry.value.value, Value::Scalar(_));
    if fields.left_out || tree.entries().is_some_and(|entries| entries.iter().any(lost_section)) {
        reader.lose_names();
    }
    fields.read(reader, "note", Reader::text);
    let document = Document {
        title: fields.read(reader, "title", Reader::text).flatten(),
        unit: fields.read(reader, "unit", Reader::unit).flatten().unwrap_or_default(),
        temperature: fields.read(reader, "temperature", Reader::temperature).flatten(),
        instruments: section(reader, &fields, "instruments", Names::Free, instrument::read),
        dimensions: section(reader, &fields, "dimensions", Names::Chain, dimension::read),
        gaps: section(reader, &fields, "gaps", Names::Chain, gap::read),
        packs: section(reader, &fields, "packs", Names::Chain, pack::read),
        kits: section(reader, &fields, "kits", Names::Free, kit::read),
        correlations: fields.read(reader, "correlations", correlation::read).unwrap_or_default(),
        cautions: fields.read(reader, "cautions", Reader::texts).unwrap_or_default(),
        fitting: fields.read(reader, "fitting", Reader::texts).unwrap_or_default(),
    };
    let none = fields.get("gaps").is_none_or(|node| match &node.value {
        Value::Null => true,
        Value::Map(entries) => entries.is_empty(),
        _ => false,
    });
    if none && !fields.unknown {
        let help = "write `gaps:` with a chain of the dimensions";
        reader.error_with_help(Code::NoGap, tree.at, "the document has no gap", help);
    }
    document
}

/// Reads a tree as a file of instruments: nothing but a unit and instruments.
#[must_use]
pub fn read_instruments(reader: &mut Reader<'_>, tree: &Node) -> InstrumentFile {
    let Some(fields) = reader.fields(tree, Section::InstrumentFile) else { return InstrumentFile::default() };
    fields.read(reader, "note", Reader::text);
    if fields.get("instruments").is_none() && !fields.unknown {
        let help = "write `instruments:` and below it `NAME: { limit_of_error: 0.03 }`";
        reader.error_with_help(Code::MissingKey, tree.at, "the file has no instruments", help);
    }
    InstrumentFile {
        unit: fields.read(reader, "unit", Reader::unit).flatten().unwrap_or_default(),
        instruments: section(reader, &fields, "instruments", Names::Free, instrument::read),
    }
}

/// Whether a section's names stand in chains.
#[derive(PartialEq)]
enum Names {
    Chain,
    Free,
}

fn section<T>(
    reader: &mut Reader<'_>,
    fields: &Fields<'_>,
    key: &str,
    names: Names,
    read: impl Fn(&mut Reader<'_>, &Entry) -> Option<T>,
) -> Vec<T> {
    let Some(node) = fields.get(key) else { return Vec::new() };
    if matches!(node.value, Value::Null) {
        return Vec::new();
    }
    if node.entries().is_none() {
        reader.lose_names();
        // A section whose one entry is called `bearing #2` is the text `bearing` to YAML.
        if reader.within(key, |reader| reader.no_number_sign(node)).is_none() {
            return Vec::new();
        }
        let message = "names are due here, each with what it stands for behind it or below it";
        reader.error_with_help(Code::WrongForm, node.at, message, format!("write `{key}:` and below it `NAME: …`"));
        return Vec::new();
    }
    reader.within(key, |reader| {
        let mut found = Vec::new();
        for entry in reader.entries(node, "a map of names") {
            if names == Names::Chain
                && let Err(bad) = name::check(&entry.key.text)
            {
                reader.error_with_help(Code::BadName, entry.key.at, bad.message, bad.help);
                // A chain that uses the name has pieces of it, which are no names that are missing.
                for piece in entry.key.text.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ' ')) {
                    reader.drop_entry(key, piece.trim());
                }
            }
            match reader.within(&entry.key.text, |reader| read(reader, entry)) {
                Some(one) => found.push(one),
                None => reader.drop_entry(key, &entry.key.text),
            }
        }
        found
    })
}
