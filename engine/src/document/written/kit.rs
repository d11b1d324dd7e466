//! A kit of shims as written.

use super::reader::{Fields, Length, Named, Reader};
use crate::document::diagnostic::Code;
use crate::document::keys::Section;
use crate::document::tree::{Entry, Node};
use crate::length::{NumberFault, Unit, parse_number};

/// A kit as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// Its name.
    pub name: Named,
    /// The unit of its bare numbers.
    pub unit: Option<Unit>,
    /// The sizes.
    pub sizes: Sizes,
    /// How far a shim may be from its size.
    pub tolerance: Option<Length>,
    /// How many of each size there are.
    pub on_hand: Option<Vec<(Length, usize)>>,
    /// Measured thicknesses of shims, by their size.
    pub actual: Vec<(Length, Vec<Length>)>,
    /// What they were measured with.
    pub instrument: Option<Named>,
    /// Where the sizes come from.
    pub source: Option<String>,
}

/// The sizes of a kit.
#[derive(Debug, Clone, PartialEq)]
pub enum Sizes {
    /// One by one.
    List(Vec<Length>),
    /// From, to, step.
    Range([Length; 3]),
    /// Those that `on_hand` and `actual` name.
    Counted,
}

pub(super) fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Kit> {
    let fields = reader.fields(&entry.value, Section::Kit)?;
    let on_hand = fields.read(reader, "on_hand", on_hand);
    let actual = fields.read(reader, "actual", actual).unwrap_or_default();
    let sizes = match fields.get("sizes") {
        Some(node) => reader.within("sizes", |reader| sizes(reader, node)),
        None if on_hand.is_some() || !actual.is_empty() => Some(Sizes::Counted),
        None if fields.unknown => None,
        None => {
            let help = "write `sizes: [0.10, 0.15]`, or a range with from, to and step";
            reader.error_with_help(
                Code::EmptyKit,
                entry.key.at,
                format!("the kit `{}` has no sizes", entry.key.text),
                help,
            );
            None
        }
    };
    fields.read(reader, "note", Reader::text);
    Some(Kit {
        name: Named { text: entry.key.text.clone(), at: entry.key.at },
        unit: fields.read(reader, "unit", Reader::unit).flatten(),
        sizes: sizes?,
        tolerance: fields
            .read(reader, "tolerance", |reader, node| reader.length_not_negative(node, "a tolerance"))
            .flatten(),
        on_hand,
        actual,
        instrument: fields.read(reader, "instrument", Reader::named).flatten(),
        source: fields.read(reader, "source", Reader::text).flatten(),
    })
}

fn sizes(reader: &mut Reader<'_>, node: &Node) -> Option<Sizes> {
    if node.entries().is_some() {
        let fields = reader.fields(node, Section::SizeRange)?;
        return range(reader, &fields, node).map(Sizes::Range);
    }
    let list = reader.thicknesses(node);
    if matches!(&node.value, crate::document::tree::Value::List(items) if items.is_empty()) {
        reader.error(Code::EmptyKit, node.at, "the kit has no sizes");
        return None;
    }
    (!list.is_empty()).then_some(Sizes::List(list))
}

/// From, to and step.
pub(super) fn range(reader: &mut Reader<'_>, fields: &Fields<'_>, node: &Node) -> Option<[Length; 3]> {
    let mut part = |key: &str| {
        if fields.get(key).is_none() && !fields.unknown {
            reader.error(Code::MissingKey, node.at, format!("a range of sizes needs `{key}`"));
        }
        fields.read(reader, key, Reader::length).flatten()
    };
    let (from, to, step) = (part("from"), part("to"), part("step"));
    Some([from?, to?, step?])
}

fn on_hand(reader: &mut Reader<'_>, node: &Node) -> Vec<(Length, usize)> {
    let mut counts = Vec::new();
    for entry in reader.entries(node, "each size with its number, such as { 0.10: 3 },") {
        let size = size_key(reader, entry);
        let number = reader.within(&entry.key.text, |reader| {
            let length = reader.length(&entry.value)?;
            let number = length.typed.number;
            if number < 0.0 || number.fract() != 0.0 || number > 1e9 {
                reader.error(Code::Count, entry.value.at, "how many there are is a whole number from 0");
                return None;
            }
            Some(number as usize)
        });
        counts.extend(size.zip(number));
    }
    counts
}

fn actual(reader: &mut Reader<'_>, node: &Node) -> Vec<(Length, Vec<Length>)> {
    let mut found = Vec::new();
    for entry in reader.entries(node, "each size with its measured thicknesses, such as { 0.10: [0.101] },") {
        let size = size_key(reader, entry);
        let measured = reader.within(&entry.key.text, |reader| reader.thicknesses(&entry.value));
        if let Some(wrong) = measured.iter().find(|length| length.typed.number <= 0.0) {
            reader.error(Code::KitSize, wrong.at, "a shim is thicker than zero");
        }
        found.extend(size.map(|size| (size, measured)));
    }
    found
}

fn size_key(reader: &mut Reader<'_>, entry: &Entry) -> Option<Length> {
    match parse_number(&entry.key.text) {
        Ok(typed) => Some(Length { typed, at: entry.key.at }),
        Err(fault) => {
            let fault = if fault == NumberFault::Empty { NumberFault::NotANumber } else { fault };
            reader.number_fault(&entry.key.text, entry.key.at, fault);
            None
        }
    }
}
