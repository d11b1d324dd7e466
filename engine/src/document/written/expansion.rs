//! Temperatures, and what parts and tools grow by.

use super::dimension::Drawing;
use super::reader::{Fields, Named, Reader};
use crate::document::diagnostic::Code;
use crate::document::tree::Node;
use crate::standards::material::{Expansion, materials};

/// Below this a figure is the coefficient itself and not its millionths.
const LEAST_PER_MILLION: f64 = 0.001;
/// Above this it is no solid: plastics reach 200.
const MOST_PER_MILLION: f64 = 1000.0;

/// `material` or `expansion` of a part.
pub(super) fn of_part(reader: &mut Reader<'_>, fields: &Fields<'_>) -> Option<Expansion> {
    let one = fields.at_most_one(reader, &["material", "expansion"]);
    let material = fields.read(reader, "material", material).flatten();
    let figure = fields.read(reader, "expansion", figure).flatten();
    material.or(figure).filter(|_| one)
}

/// `expansion` of a tool: a figure, or a material's name.
pub(super) fn of_tool(reader: &mut Reader<'_>, node: &Node) -> Option<Expansion> {
    let is_word = node.text().is_some_and(|text| text.trim().starts_with(char::is_alphabetic));
    if is_word { material(reader, node) } else { figure(reader, node) }
}

fn material(reader: &mut Reader<'_>, node: &Node) -> Option<Expansion> {
    let text = reader.text(node)?;
    let found = Expansion::of(&text);
    if found.is_none() {
        let known = || materials().iter().map(|one| one.name);
        let listed = known().collect::<Vec<_>>().join(", ");
        let message = format!("no material is called `{text}`");
        let named = Named { text, at: node.at };
        let help = format!("known are {listed}; for another one give `expansion`, in 1e-6 per kelvin");
        reader.unknown_name(&named, message, known(), help);
    }
    found
}

fn figure(reader: &mut Reader<'_>, node: &Node) -> Option<Expansion> {
    let figure = reader.positive_number(node, "the expansion")?;
    if figure < LEAST_PER_MILLION {
        let help = format!("write {}", (figure * 1e12).round() / 1e6);
        let message = "the expansion is given in 1e-6 per kelvin, such as 11.7 for steel";
        reader.error_with_help(Code::SlipOfUnit, node.at, message, help);
        return None;
    }
    if figure > MOST_PER_MILLION {
        let message = "no part grows so much: the expansion is given in 1e-6 per kelvin, such as 11.7 for steel";
        reader.error(Code::SlipOfUnit, node.at, message);
        return None;
    }
    Some(Expansion::figure(figure))
}

/// `span`: a length of which the growth alone counts. It has no size of its own, so nothing that says one may stand beside it.
pub(super) fn span(reader: &mut Reader<'_>, fields: &Fields<'_>, node: &Node) -> Option<Drawing> {
    let mut alone = true;
    for key in ["size", "limits", "tolerance", "class", "general", "sd", "readings", "temperature"] {
        if let Some(other) = fields.get(key) {
            let message =
                format!("a span is nothing at 20 °C, its growth alone counts: `{key}` cannot stand beside it");
            reader.error(Code::KeysExclude, other.at, message);
            alone = false;
        }
    }
    if ["material", "expansion"].iter().all(|key| fields.get(key).is_none()) && !fields.unknown {
        let help = "give `material: aluminium`, or `expansion` in 1e-6 per kelvin";
        reader.error_with_help(Code::MissingKey, node.at, "`span` does not say what it is made of", help);
        alone = false;
    }
    let length = reader.within("span", |reader| reader.length_not_negative(node, "a span"))?;
    if length.typed.number == 0.0 {
        reader.error(Code::Zero, node.at, "a span must be longer than zero");
        return None;
    }
    alone.then_some(Drawing::Span(length))
}

/// `temperature` of a part, when it was read.
pub(super) fn temperature(reader: &mut Reader<'_>, fields: &Fields<'_>) -> Option<f64> {
    let node = fields.get("temperature")?;
    if !["readings", "span"].iter().any(|key| fields.get(key).is_some()) && !fields.unknown {
        let message = "`temperature` is that of the part when it was read, and it has no readings";
        reader.error_with_help(Code::KeysExclude, node.at, message, "a drawing is stated at 20 °C");
    }
    reader.within("temperature", |reader| reader.temperature(node))
}
