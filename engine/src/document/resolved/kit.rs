//! Kits, in millimetres, their sizes in order.

use super::Context;
use super::instrument::{self, Default as Assumed, InstrumentRef};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::written::{self, Length, Reader, Sizes};
use crate::length::{Unit, from_grid_mm, on_grid};

/// A kit, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// Its name.
    pub name: String,
    /// The sizes, the smallest first.
    pub sizes: Vec<Size>,
    /// How far a shim may be from its size.
    pub tolerance_mm: Option<f64>,
    /// What actual thicknesses were measured with.
    pub instrument: InstrumentRef,
    /// The unit in which the kit's sizes were written.
    pub unit: Unit,
    /// Whether the box was counted at all.
    pub counted: bool,
    /// What its sizes are.
    pub kind: KitKind,
    /// Where the sizes come from.
    pub source: Option<String>,
}

/// What the sizes of a kit are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum KitKind {
    /// Shims, of which several may be taken.
    Shims,
    /// The sizes to which one piece can be made.
    Made,
    /// The places of an adjusting screw, one turn of which moves it this far, in millimetres.
    Screw(f64),
}

/// A size of a kit.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// The size by its label.
    pub label_mm: f64,
    /// The label as typed.
    pub typed: String,
    /// How many there are; none: plenty.
    pub on_hand: Option<usize>,
    /// Measured thicknesses, one a shim; where there are any, they are the shims of this size.
    pub actual_mm: Vec<f64>,
}

/// A kit with more sizes than this is a slip of the pen.
const MOST_SIZES: usize = 10_000;

pub(super) fn resolve(reader: &mut Reader<'_>, context: &Context<'_>, written: &written::Kit) -> Option<Kit> {
    let unit = written.unit.unwrap_or(context.unit);
    let instrument = instrument::find(reader, context.instruments, written.instrument.as_ref(), Assumed::Shim)?;
    let counted = written.on_hand.is_some();
    let listed = match &written.sizes {
        Sizes::List(list) => list.len(),
        Sizes::Range(_) | Sizes::Counted => 0,
    };
    let most = listed.max(written.on_hand.as_ref().map_or(0, Vec::len)).max(written.actual.len());
    if most > MOST_SIZES {
        reader.error(Code::TooLarge, written.name.at, format!("the kit has {most} sizes; the most is {MOST_SIZES}"));
        return None;
    }
    let mut sizes = match &written.sizes {
        Sizes::List(list) => {
            list.iter().map(|one| (one.mm(unit), one.typed.label(unit, context.unit), one.at)).collect()
        }
        Sizes::Range(range) => spread(reader, unit, context.unit, range)?,
        Sizes::Counted => counted_sizes(written, unit, context.unit),
    };
    if sizes.is_empty() {
        reader.error(Code::EmptyKit, written.name.at, "the kit has no sizes");
        return None;
    }
    sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (index, (mm, typed, at)) in sizes.iter().enumerate() {
        if on_grid(*mm) <= 0 {
            let finest = if *mm > 0.0 { "a nanometre at least" } else { "greater than zero" };
            reader.error(Code::KitSize, *at, format!("a shim of {typed} is no shim; sizes are {finest}"));
        } else if index > 0 && on_grid(sizes[index - 1].0) == on_grid(*mm) {
            reader.error(Code::KitSize, *at, format!("the size {typed} is given twice"));
        }
    }
    let mut sizes: Vec<Size> = sizes
        .into_iter()
        .map(|(label_mm, typed, _)| Size { label_mm, typed, on_hand: counted.then_some(0), actual_mm: Vec::new() })
        .collect();
    let find = |sizes: &[Size], length: &Length| {
        sizes.iter().position(|one| on_grid(one.label_mm) == on_grid(length.mm(unit)))
    };
    for (length, count) in written.on_hand.iter().flatten() {
        match find(&sizes, length) {
            Some(index) => sizes[index].on_hand = Some(*count),
            None => stranger(reader, written, length),
        }
    }
    for (length, measured) in &written.actual {
        let Some(index) = find(&sizes, length) else {
            stranger(reader, written, length);
            continue;
        };
        let listed =
            written.on_hand.iter().flatten().any(|(other, _)| on_grid(other.mm(unit)) == on_grid(length.mm(unit)));
        if listed && sizes[index].on_hand != Some(measured.len()) {
            let message = format!(
                "`on_hand` counts another number of {} than the {} that `actual` gives",
                length.typed.text(),
                measured.len()
            );
            reader.error(Code::KeysExclude, length.at, message);
        }
        sizes[index].on_hand = Some(measured.len());
        sizes[index].actual_mm = measured.iter().map(|one| one.mm(unit)).collect();
        slip(reader, &sizes[index], measured, unit);
    }
    Some(Kit {
        name: written.name.text.clone(),
        sizes,
        tolerance_mm: written.tolerance.as_ref().map(|one| one.mm(unit)),
        instrument,
        unit,
        counted: counted || !written.actual.is_empty(),
        kind: KitKind::Shims,
        source: written.source.clone(),
    })
}

/// The sizes to which a piece can be made, as a kit of the pack's own.
pub(super) fn of_made(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    pack: &written::Named,
    made: &written::Made,
) -> Option<Kit> {
    let unit = context.unit;
    let sizes = spread(reader, unit, unit, &made.range)?;
    if let Some((_, typed, at)) = sizes.iter().find(|(mm, ..)| on_grid(*mm) <= 0) {
        reader.error(Code::KitSize, *at, format!("a piece of {typed} is none; sizes are greater than zero"));
        return None;
    }
    let size = |(label_mm, typed, _)| Size { label_mm, typed, on_hand: None, actual_mm: Vec::new() };
    Some(Kit {
        name: pack.text.clone(),
        sizes: sizes.into_iter().map(size).collect(),
        tolerance_mm: made.tolerance.as_ref().map(|one| one.mm(unit)),
        instrument: instrument::find(reader, context.instruments, None, Assumed::Shim)?,
        unit,
        counted: false,
        kind: KitKind::Made,
        source: None,
    })
}

/// The places of an adjusting screw, as a kit of the pack's own; the lengths count from where it is.
pub(super) fn of_screw(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    pack: &written::Named,
    screw: &written::Screw,
) -> Option<Kit> {
    let unit = context.unit;
    let pitch_mm = match &screw.pitch {
        written::Pitch::Length(length) => length.mm(unit),
        written::Pitch::PerInch(turns) => Unit::Inch.to_mm(1.0) / turns,
    };
    let (turns, steps) = screw.step;
    let place = |step: i64| Size {
        label_mm: pitch_mm * (step * turns) as f64 / steps as f64,
        typed: in_turns(step * turns, steps),
        on_hand: None,
        actual_mm: Vec::new(),
    };
    Some(Kit {
        name: pack.text.clone(),
        sizes: (screw.range_steps.0..=screw.range_steps.1).map(place).collect(),
        tolerance_mm: Some(screw.set_error.as_ref().map_or(0.0, |one| one.mm(unit))),
        instrument: instrument::find(reader, context.instruments, None, Assumed::Shim)?,
        unit,
        counted: false,
        kind: KitKind::Screw(pitch_mm),
        source: None,
    })
}

/// Turns in words: `1/4 turn`, `-1 1/2 turns`, `0.37 turn`.
fn in_turns(parts: i64, of: i64) -> String {
    let sign = if parts < 0 { "-" } else { "" };
    let (whole, rest) = (parts.abs() / of, parts.abs() % of);
    let divisor = divisor(rest, of);
    let (rest, of) = (rest / divisor, of / divisor);
    // Twenty-fourths are still read from a hexagon; finer ones are easier in decimals.
    let number = match (whole, rest) {
        (0, 0) => "no".to_owned(),
        (whole, 0) => whole.to_string(),
        (0, rest) if of <= 24 => format!("{rest}/{of}"),
        (whole, rest) if of <= 24 => format!("{whole} {rest}/{of}"),
        (whole, rest) => {
            let decimal = format!("{:.4}", whole as f64 + rest as f64 / of as f64);
            decimal.trim_end_matches('0').to_owned()
        }
    };
    let word = if whole > 1 || whole == 1 && rest > 0 { "turns" } else { "turn" };
    format!("{sign}{number} {word}")
}

fn divisor(a: i64, b: i64) -> i64 {
    if a == 0 { b } else { divisor(b % a, a) }
}

fn stranger(reader: &mut Reader<'_>, written: &written::Kit, length: &Length) {
    reader.error(
        Code::UnknownName,
        length.at,
        format!("the kit `{}` has no size {}", written.name.text, length.typed.text()),
    );
}

/// A measured shim that is far from its label is a slip, not a shim.
fn slip(reader: &mut Reader<'_>, size: &Size, measured: &[Length], unit: Unit) {
    for length in measured {
        let mm = length.mm(unit);
        if let Some(slip) = super::slips::ratio(mm, size.label_mm) {
            reader.error(
                Code::SlipOfUnit,
                length.at,
                format!("{} for a shim of {}: {slip}", length.typed.text(), size.typed),
            );
        }
    }
}

fn counted_sizes(written: &written::Kit, unit: Unit, document: Unit) -> Vec<(f64, String, Span)> {
    let mut found: Vec<(f64, String, Span)> = Vec::new();
    let named = written
        .on_hand
        .iter()
        .flatten()
        .map(|(length, _)| length)
        .chain(written.actual.iter().map(|(length, _)| length));
    for length in named {
        let mm = length.mm(unit);
        if !found.iter().any(|(there, ..)| on_grid(*there) == on_grid(mm)) {
            found.push((mm, length.typed.label(unit, document), length.at));
        }
    }
    found
}

fn spread(
    reader: &mut Reader<'_>,
    unit: Unit,
    document: Unit,
    range: &[Length; 3],
) -> Option<Vec<(f64, String, Span)>> {
    let [from, to, step] = range.each_ref().map(|one| on_grid(one.mm(unit)));
    if step <= 0 {
        reader.error(Code::KitSize, range[2].at, "the step between sizes is greater than zero");
        return None;
    }
    if from > to {
        reader.error(Code::Order, range[0].at, "the range of sizes is the wrong way round");
        return None;
    }
    let count = usize::try_from((to - from) / step).unwrap_or(usize::MAX).saturating_add(1);
    if count > MOST_SIZES {
        reader.error(Code::TooLarge, range[2].at, format!("the range has {count} sizes; the most is {MOST_SIZES}"));
        return None;
    }
    // Labels have the digits of the start and the step, and their unit: the step from 2.00 by 0.05 gives 2.05.
    let shown = range[0].typed.unit.unwrap_or(unit);
    let decimals = range.iter().map(|one| decimals_of(one.typed.step)).max().unwrap_or(0);
    let suffix = if shown == document { String::new() } else { format!(" {shown}") };
    Some(
        (0..count)
            .map(|index| {
                let mm = from_grid_mm(from + step * i64::try_from(index).unwrap_or(0));
                (mm, format!("{:.decimals$}{suffix}", shown.from_mm(mm)), range[0].at)
            })
            .collect(),
    )
}

fn decimals_of(step: f64) -> usize {
    // A step is a power of ten; its logarithm is whole but for rounding.
    if step >= 1.0 { 0 } else { (-step.log10()).round() as usize }
}
