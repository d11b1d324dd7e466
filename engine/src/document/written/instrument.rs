//! An instrument as written.

use super::expansion;
use super::reader::{Length, Named, Reader};
use crate::document::keys::Section;
use crate::document::tree::Entry;
use crate::length::Unit;
use crate::standards::material::Expansion;

/// An instrument as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Its name.
    pub name: Named,
    /// The unit of its bare numbers and of bare readings made with it.
    pub unit: Option<Unit>,
    /// The largest error of a reading that is not its zero.
    pub limit_of_error: Option<Length>,
    /// The largest error of the zero.
    pub zero_error: Option<Length>,
    /// The standard deviation of one reading.
    pub repeatability: Option<Length>,
    /// The digital step.
    pub resolution: Option<Length>,
    /// What each blade of a stack may be thicker than its mark.
    pub stack_error: Option<Length>,
    /// Whether a reading is a difference already.
    pub difference: bool,
    /// What it grows by; steel where nothing is said.
    pub expansion: Option<Expansion>,
    /// Where the figures come from.
    pub source: Option<String>,
}

/// A file of instruments as written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InstrumentFile {
    /// The unit of bare numbers in it.
    pub unit: Unit,
    /// The instruments.
    pub instruments: Vec<Instrument>,
}

pub(super) fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Instrument> {
    let fields = reader.fields(&entry.value, Section::Instrument)?;
    let mut error = |key: &str| {
        fields.read(reader, key, |reader, node| reader.length_not_negative(node, "an error of an instrument")).flatten()
    };
    let (limit_of_error, zero_error) = (error("limit_of_error"), error("zero_error"));
    let (repeatability, resolution) = (error("repeatability"), error("resolution"));
    let stack_error = error("stack_error");
    fields.read(reader, "note", Reader::text);
    Some(Instrument {
        name: Named { text: entry.key.text.clone(), at: entry.key.at },
        unit: fields.read(reader, "unit", Reader::unit).flatten(),
        limit_of_error,
        zero_error,
        repeatability,
        resolution,
        stack_error,
        difference: fields.read(reader, "difference", Reader::flag).flatten().unwrap_or(false),
        expansion: fields.read(reader, "expansion", expansion::of_tool).flatten(),
        source: fields.read(reader, "source", Reader::text).flatten(),
    })
}
