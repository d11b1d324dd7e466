//! A dimension as written.

use super::distribution::{self, Alone, Between};
use super::expansion;
use super::reader::{Length, Named, Reader};
use super::readings::{self, Readings};
use crate::document::diagnostic::Code;
use crate::document::keys::Section;
use crate::document::tree::{Entry, Node, Value};
use crate::standards::GeneralClass;
use crate::standards::material::Expansion;

/// A dimension as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// Its name.
    pub name: Named,
    /// What the drawing says of it.
    pub drawing: Option<Drawing>,
    /// What was read on the part.
    pub readings: Option<Readings>,
    /// How production spreads between the limits.
    pub between: Between,
    /// What it grows by.
    pub expansion: Option<Expansion>,
    /// Its own temperature when it was read, in °C.
    pub temperature: Option<f64>,
    /// Where the figures come from.
    pub source: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// What the drawing says.
#[derive(Debug, Clone, PartialEq)]
pub enum Drawing {
    /// A bare length, taken as exact.
    Exact(Length),
    /// A size and how far parts may be from it.
    Size(Length, Spread),
    /// The least and the greatest size.
    Limits([Length; 2]),
    /// A length of which the growth alone counts.
    Span(Length),
    /// A distribution that needs no limits.
    Alone(Alone),
}

/// How far parts may be from the size.
#[derive(Debug, Clone, PartialEq)]
pub enum Spread {
    /// Plus and minus.
    PlusMinus(Length),
    /// The lower and the upper deviation.
    Deviations([Length; 2]),
    /// A class of ISO 286.
    Class(Named),
    /// A class of ISO 2768-1.
    General(GeneralClass, Named),
    /// A standard deviation, with the degrees of freedom behind it.
    StandardDeviation(Length, Option<f64>),
}

pub(super) fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Dimension> {
    let name = Named { text: entry.key.text.clone(), at: entry.key.at };
    let empty = Dimension {
        name,
        drawing: None,
        readings: None,
        between: Between::default(),
        expansion: None,
        temperature: None,
        source: None,
        note: None,
    };
    if let Value::Scalar(_) = entry.value.value {
        let exact = reader.length(&entry.value)?;
        return Some(Dimension { drawing: Some(Drawing::Exact(exact)), ..empty });
    }
    if entry.value.entries().is_none() {
        reader.wrong_form(&entry.value, "a length, or keys such as `size` and `tolerance`,");
        return None;
    }
    let fields = reader.fields(&entry.value, Section::Dimension)?;
    let spreads = distribution::of_fields(reader, &fields);
    let drawing = if spreads.stands_alone {
        spreads.alone.map(Drawing::Alone)
    } else {
        drawing(reader, &fields, "a bare length in place of the map")
    };
    let readings = readings::of_fields(reader, &fields);
    let expansion = expansion::of_part(reader, &fields);
    let temperature = expansion::temperature(reader, &fields);
    let source = fields.read(reader, "source", Reader::text).flatten();
    let note = fields.read(reader, "note", Reader::text).flatten();
    let says_something =
        ["size", "tolerance", "class", "general", "sd", "limits", "readings", "goes", "stops", "blades", "span"];
    let nothing = says_something.iter().all(|key| fields.get(key).is_none());
    if nothing && !spreads.stands_alone && !fields.unknown {
        let help = "give `size` with `tolerance`, `class`, `general` or `sd`; or `limits`; or `readings`";
        reader.error_with_help(
            Code::MissingKey,
            entry.key.at,
            format!("`{}` has neither a drawing nor readings", entry.key.text),
            help,
        );
        return None;
    }
    if drawing.is_none() && readings.is_none() {
        return None;
    }
    Some(Dimension { drawing, readings, between: spreads.between, expansion, temperature, source, note, ..empty })
}

/// What the drawing says; `exact` is how an exact length is written in its place.
pub(super) fn drawing(reader: &mut Reader<'_>, fields: &super::reader::Fields<'_>, exact: &str) -> Option<Drawing> {
    if let Some(node) = fields.get("span") {
        return expansion::span(reader, fields, node);
    }
    let whole = fields.at_most_one(reader, &["limits", "size"]);
    let one = fields.at_most_one(reader, &["tolerance", "class", "general", "sd", "limits"]);
    if let Some(node) = fields.get("limits") {
        let limits = reader.within("limits", |reader| ordered(reader, node, "limits"))?;
        return (whole && one).then_some(Drawing::Limits(limits));
    }
    if let Some(node) = fields.get("freedom")
        && fields.get("sd").is_none()
        && !fields.unknown
    {
        reader.error(Code::KeysExclude, node.at, "`freedom` belongs beside `sd`");
    }
    let spread = spread(reader, fields);
    let Some(size_node) = fields.get("size") else {
        for key in ["tolerance", "class", "general", "sd"] {
            if let Some(node) = fields.get(key).filter(|_| !fields.unknown) {
                reader.error(Code::MissingKey, node.at, format!("`{key}` needs `size` beside it"));
            }
        }
        return None;
    };
    let size = reader.within("size", |reader| reader.length(size_node))?;
    if spread.is_none()
        && !fields.unknown
        && !["tolerance", "class", "general", "sd"].iter().any(|key| fields.get(key).is_some())
    {
        let help = format!("{exact} is exact; else give `tolerance`, `class`, `general` or `sd`");
        reader.error_with_help(
            Code::MissingKey,
            size_node.at,
            "`size` says nothing of how far parts may be from it",
            help,
        );
    }
    let spread = spread?;
    one.then_some(Drawing::Size(size, spread))
}

fn spread(reader: &mut Reader<'_>, fields: &super::reader::Fields<'_>) -> Option<Spread> {
    if let Some(node) = fields.get("tolerance") {
        return reader.within("tolerance", |reader| match &node.value {
            Value::List(_) => ordered(reader, node, "deviations").map(Spread::Deviations),
            _ => reader.length_not_negative(node, "a tolerance").map(Spread::PlusMinus),
        });
    }
    if let Some(node) = fields.get("class") {
        return reader.within("class", |reader| reader.named(node)).map(Spread::Class);
    }
    if let Some(node) = fields.get("general") {
        let word = reader.within("general", |reader| reader.word(node, &["f", "m", "c", "v"]))?;
        let named = Named { text: word.to_owned(), at: node.at };
        return word.parse().ok().map(|class| Spread::General(class, named));
    }
    let node = fields.get("sd")?;
    let sd = reader.within("sd", |reader| reader.length_not_negative(node, "a standard deviation"));
    let freedom = fields.read(reader, "freedom", |reader, node| reader.positive_number(node, "the freedom")).flatten();
    sd.map(|sd| Spread::StandardDeviation(sd, freedom))
}

/// A pair whose second length is not below its first.
pub(super) fn ordered(reader: &mut Reader<'_>, node: &Node, what: &str) -> Option<[Length; 2]> {
    let pair = reader.pair(node, what)?;
    // Units of the two may differ; any default serves to compare two bare numbers.
    let unit = crate::length::Unit::Mm;
    if pair[0].typed.unit == pair[1].typed.unit && pair[0].mm(unit) > pair[1].mm(unit) {
        let help = reader.write_pair(node.at, pair[1].typed.text(), pair[0].typed.text());
        reader.error_with_help(Code::Order, node.at, format!("the {what} are the wrong way round"), help);
        return None;
    }
    Some(pair)
}
