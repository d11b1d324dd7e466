//! A gap as written.

use super::reader::{Fields, Length, Named, Reader};
use super::readings::{self, Readings};
use crate::document::diagnostic::Code;
use crate::document::expression::Expression;
use crate::document::keys::{self, Section};
use crate::document::source::Span;
use crate::document::tree::{Entry, Node, Value};

/// A gap as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Its name.
    pub name: Named,
    /// The gap as a sum.
    pub chain: Expression,
    /// The band.
    pub accept: Option<Accept>,
    /// What to aim at.
    pub target: Option<Expression>,
    /// Whether every figure is a preload's: the gap with its sign turned.
    pub preload: bool,
    /// Whether `as` was written.
    pub sense_written: bool,
    /// The temperature that its figures are for, in °C; 20 where none is given.
    pub at: Option<f64>,
    /// The assembled gap as read.
    pub found: Option<Readings>,
    /// Which side to prefer.
    pub lean: Lean,
    /// The limit of wear.
    pub wear_limit: Option<Length>,
    /// Where the band comes from.
    pub source: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// A band, either end of which may be open.
#[derive(Debug, Clone, PartialEq)]
pub struct Accept {
    /// The lower end.
    pub low: Option<Expression>,
    /// The upper end.
    pub high: Option<Expression>,
    /// Where it stands.
    pub at: Span,
}

/// Which side to prefer between packs that are about as near.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lean {
    /// The nearest to the target; a tie goes looser.
    #[default]
    Nearest,
    /// The side of the larger gap.
    Looser,
    /// The side of the smaller gap.
    Tighter,
    /// The thickest pack that leaves any play at all: it is found by trying.
    ThickestThatEnters,
}

pub(super) fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Gap> {
    let fields = reader.fields(&entry.value, Section::Gap)?;
    let accept = fields.read(reader, "accept", accept).flatten();
    let target = fields.read(reader, "target", Reader::expression).flatten();
    let sense = fields.read(reader, "as", |reader, node| reader.word(node, keys::SENSES)).flatten();
    let preload = sense == Some("preload");
    let at = fields.read(reader, "at", Reader::temperature).flatten();
    let found = fields.read(reader, "found", found).flatten();
    let lean = lean(reader, &fields, preload);
    let wear_limit = fields.read(reader, "wear_limit", Reader::length).flatten();
    let source = fields.read(reader, "source", Reader::text).flatten();
    let note = fields.read(reader, "note", Reader::text).flatten();
    let written =
        |node: &&Node| !matches!(node.value, Value::Null) && node.text().is_none_or(|text| !text.trim().is_empty());
    let Some(chain) = fields.get("chain").filter(written) else {
        if fields.unknown && fields.get("chain").is_none() {
            return None;
        }
        let help = "write it as a sum: `chain: pocket - gear - shims`";
        reader.error_with_help(
            Code::EmptyGap,
            entry.key.at,
            format!("the gap `{}` has no chain", entry.key.text),
            help,
        );
        return None;
    };
    let chain = reader.within("chain", |reader| reader.expression(chain))?;
    if chain.terms.is_empty() {
        let message = format!("the chain of `{}` has no part in it", entry.key.text);
        reader.error_with_help(Code::EmptyGap, chain.at, message, "write the parts' names: `pocket - gear - shims`");
        return None;
    }
    let name = Named { text: entry.key.text.clone(), at: entry.key.at };
    Some(Gap {
        name,
        chain,
        accept,
        target,
        preload,
        sense_written: sense.is_some(),
        at,
        found,
        lean,
        wear_limit,
        source,
        note,
    })
}

fn accept(reader: &mut Reader<'_>, node: &Node) -> Option<Accept> {
    match &node.value {
        Value::List(items) => {
            let [low, high] = items.as_slice() else {
                if reader.commas_in_a_pair(node, items) {
                    return None;
                }
                let message = format!("a band has two ends, not {}", items.len());
                let help = "write [0.05, 0.20]; with one end only, `at least 0.05` or `at most 0.20`";
                reader.error_with_help(Code::WrongForm, node.at, message, help);
                return None;
            };
            let (low, high) = (reader.expression(low), reader.expression(high));
            Some(Accept { low: Some(low?), high: Some(high?), at: node.at })
        }
        Value::Scalar(scalar) => {
            let text = scalar.text.trim();
            for (word, is_low) in [("at least ", true), ("at most ", false)] {
                if let Some(rest) = text.strip_prefix(word) {
                    let same = node.at.end - node.at.start == text.len();
                    let at = if same { Span { start: node.at.start + word.len(), ..node.at } } else { node.at };
                    let end = Some(reader.expression_text(rest, at)?);
                    let (low, high) = if is_low { (end, None) } else { (None, end) };
                    return Some(Accept { low, high, at: node.at });
                }
            }
            let help = "write [0.05, 0.20], `at least 0.05` or `at most 0.20`";
            reader.error_with_help(Code::WrongForm, node.at, format!("`{text}` is not a band"), help);
            None
        }
        _ => {
            reader.wrong_form(node, "a band");
            None
        }
    }
}

fn found(reader: &mut Reader<'_>, node: &Node) -> Option<Readings> {
    let known = |entry: &Entry| keys::of(Section::Found).any(|key| key.name == entry.key.text);
    if node.entries().is_some_and(|entries| entries.iter().any(known)) {
        let fields = reader.fields(node, Section::Found)?;
        let read = ["readings", "goes", "stops", "blades"];
        if read.iter().all(|key| fields.get(key).is_none()) && !fields.unknown {
            reader.error(Code::MissingKey, node.at, "`found` as a map needs `readings`");
        }
        return readings::of_fields(reader, &fields);
    }
    readings::bare(reader, node)
}

fn lean(reader: &mut Reader<'_>, fields: &Fields<'_>, preload: bool) -> Lean {
    let Some(node) = fields.get("lean") else { return Lean::Nearest };
    let word = reader.within("lean", |reader| reader.word(node, keys::LEANS));
    // `more` and `less` are said of a preload or a squeeze, where more is the smaller gap.
    match (word, preload) {
        (Some("looser"), _) | (Some("less"), true) | (Some("more"), false) => Lean::Looser,
        (Some("tighter"), _) | (Some("more"), true) | (Some("less"), false) => Lean::Tighter,
        (Some("thickest that enters"), _) => Lean::ThickestThatEnters,
        _ => Lean::Nearest,
    }
}
