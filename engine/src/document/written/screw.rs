//! An adjusting screw in place of a pack of shims, as written.

use super::reader::{Fields, Length, Reader};
use crate::document::diagnostic::Code;
use crate::document::keys::Section;
use crate::document::tree::{Node, Value};
use crate::length::parse_number;

/// An adjusting screw.
#[derive(Debug, Clone, PartialEq)]
pub struct Screw {
    /// How far one turn moves it.
    pub pitch: Pitch,
    /// The least and the greatest turn, in steps.
    pub range_steps: (i64, i64),
    /// A step as a part of a turn: so many turns for so many steps.
    pub step: (i64, i64),
    /// How far the locknut may shift it.
    pub set_error: Option<Length>,
}

/// How far one turn moves a screw.
#[derive(Debug, Clone, PartialEq)]
pub enum Pitch {
    /// This far.
    Length(Length),
    /// So many turns for an inch.
    PerInch(f64),
}

/// Decimal parts of a turn are taken to this many parts.
const PARTS: f64 = 10_000.0;
/// A range of more steps than this is a slip of the pen.
const MOST_STEPS: i64 = 10_000;

pub(super) fn read(reader: &mut Reader<'_>, node: &Node) -> Option<Screw> {
    let fields = reader.fields(node, Section::Screw)?;
    let pitch = pitch(reader, &fields, node);
    let step = fields.get("step").map_or(Some((1, 12)), |node| reader.within("step", |reader| part(reader, node)));
    let range = match fields.get("range") {
        Some(node) => reader.within("range", |reader| range(reader, node)),
        None => Some([-1.0, 1.0]),
    };
    let set_error = fields
        .read(reader, "set_error", |reader, node| reader.length_not_negative(node, "an error of setting"))
        .flatten();
    let (pitch, step, [least, most]) = (pitch?, step?, range?);
    let steps = |turns: f64| turns * step.1 as f64 / step.0 as f64;
    // A range that ends on a step but for the rounding of doubles ends on it.
    let range_steps = ((steps(least) - 1e-9).ceil() as i64, (steps(most) + 1e-9).floor() as i64);
    if range_steps.1 - range_steps.0 > MOST_STEPS {
        let message = format!("the range has more than {MOST_STEPS} steps");
        reader.error(Code::TooLarge, node.at, message);
        return None;
    }
    Some(Screw { pitch, range_steps, step, set_error })
}

fn pitch(reader: &mut Reader<'_>, fields: &Fields<'_>, node: &Node) -> Option<Pitch> {
    if !fields.at_most_one(reader, &["pitch", "per_inch"]) {
        return None;
    }
    if let Some(node) = fields.get("per_inch") {
        return reader
            .within("per_inch", |reader| reader.positive_number(node, "turns for an inch"))
            .map(Pitch::PerInch);
    }
    let Some(node) = fields.get("pitch") else {
        if !fields.unknown {
            let help = "write `pitch: 0.75 mm`, or `per_inch: 32`";
            reader.error_with_help(Code::MissingKey, node.at, "a screw needs the pitch of its thread", help);
        }
        return None;
    };
    let length = reader.within("pitch", |reader| reader.length_not_negative(node, "a pitch"))?;
    if length.typed.number == 0.0 {
        reader.error(Code::Zero, node.at, "a pitch must be greater than zero");
        return None;
    }
    Some(Pitch::Length(length))
}

/// A part of a turn: 1/12, 0.25 or 1.
fn part(reader: &mut Reader<'_>, node: &Node) -> Option<(i64, i64)> {
    let text = node.text().unwrap_or_default();
    let whole = |text: &str| text.trim().parse::<i64>().ok().filter(|&number| number > 0 && number <= MOST_STEPS);
    let found = match text.split_once('/') {
        Some((turns, steps)) => whole(turns).zip(whole(steps)),
        None => parse_number(text)
            .ok()
            .filter(|typed| typed.unit.is_none())
            .map(|typed| ((typed.number * PARTS).round() as i64, PARTS as i64))
            .filter(|&(parts, _)| parts > 0),
    };
    if found.is_none() {
        let help = "write 1/12, 1/6 or 0.25";
        reader.error_with_help(Code::NotANumber, node.at, format!("`{text}` is no part of a turn"), help);
    }
    found
}

fn range(reader: &mut Reader<'_>, node: &Node) -> Option<[f64; 2]> {
    let help = "write [-1, 1]: from one turn back to one turn on";
    let Value::List(items) = &node.value else {
        reader.error_with_help(Code::WrongForm, node.at, "a range of turns has two ends", help);
        return None;
    };
    let mut turns = Vec::with_capacity(2);
    for item in items {
        let length = reader.length(item)?;
        if length.typed.unit.is_some() {
            reader.error_with_help(Code::WrongForm, item.at, "turns are plain numbers, without a unit", help);
            return None;
        }
        turns.push(length.typed.number);
    }
    let [least, most] = turns.as_slice() else {
        reader.error_with_help(Code::WrongForm, node.at, "a range of turns has two ends", help);
        return None;
    };
    if least > most {
        reader.error(Code::Order, node.at, "the range of turns is the wrong way round");
        return None;
    }
    Some([*least, *most])
}
