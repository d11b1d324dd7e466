//! Slips that only the whole document shows: a unit or a decimal point gone wrong, a reading that lacks its pack,
//! a part that nothing uses.

use std::collections::{BTreeSet, HashSet};

use super::chain::What;
use super::{Bound, Document, Drawing, Linear, Names, Readings};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::written::{self, Reader};
use crate::length::on_grid;

/// More readings than this are not listed in a message.
const MOST_SHOWN: usize = 6;

/// A slip's ratio may be off by this much and is still seen as one.
const NEAR: f64 = 0.02;

/// What a value that is 25.4 or 10 times off another one probably is; none where it is not.
#[must_use]
pub fn ratio(value_mm: f64, expected_mm: f64) -> Option<&'static str> {
    if expected_mm == 0.0 || value_mm == 0.0 {
        return None;
    }
    let ratio = value_mm / expected_mm;
    let near = |wanted: f64| (ratio / wanted - 1.0).abs() <= NEAR;
    if near(25.4) || near(1.0 / 25.4) {
        Some("25.4 times off, inches and millimetres mixed up perhaps")
    } else if near(10.0) || near(0.1) {
        Some("10 times off, a decimal point in the wrong place perhaps")
    } else {
        None
    }
}

pub(super) fn check(reader: &mut Reader<'_>, document: &Document) {
    bands(reader, document);
    unused(reader, document);
}

/// Complains of readings that are 25.4 or 10 times off their drawing, those that are off in one way together.
pub(super) fn readings_off(reader: &mut Reader<'_>, name: &str, drawing: &Drawing, readings: &Readings) {
    let all = readings.places.iter().flat_map(|place| place.values_mm.iter().zip(&place.typed));
    let mut found: Vec<(&'static str, Vec<&str>)> = Vec::new();
    for (&value, typed) in all {
        let Some(slip) = ratio(value, drawing.nominal_mm) else { continue };
        match found.iter_mut().find(|(there, _)| *there == slip) {
            Some((_, list)) => list.push(typed),
            None => found.push((slip, vec![typed])),
        }
    }
    for (slip, typed) in found {
        let shown = typed.iter().take(MOST_SHOWN).copied().collect::<Vec<_>>().join(", ");
        let more = if typed.len() > MOST_SHOWN { ", …" } else { "" };
        let message = format!("`{name}` reads {shown}{more} where the drawing says {}: {slip}", drawing.typed);
        let path = format!("dimensions.{name}.readings");
        let help = "mend the figure; or write its unit behind it, such as `1.25 in`";
        reader.push(Diagnostic::error(Code::SlipOfUnit, message).at(readings.at).path(path).help(help));
    }
}

fn bands(reader: &mut Reader<'_>, document: &Document) {
    for gap in &document.gaps {
        let (Some(low), Some(high)) = (&gap.low, &gap.high) else { continue };
        let value = |linear: &Linear| {
            linear.summands.iter().fold(linear.constant_mm, |sum, one| match one.what {
                What::Dimension(index) => sum + one.coefficient * typical_mm(document, index),
                _ => sum,
            })
        };
        // Plain numbers were compared when the gap was resolved.
        if !(low.is_constant() && high.is_constant()) {
            band_order(reader, &gap.name, low, high, value(low), value(high));
        }
    }
}

/// Complains of a band whose lower end is above its upper one.
pub(super) fn band_order(reader: &mut Reader<'_>, gap: &str, low: &Linear, high: &Linear, low_mm: f64, high_mm: f64) {
    if on_grid(low_mm) > on_grid(high_mm) {
        let message = format!("the band of `{gap}` is the wrong way round");
        let fault = Diagnostic::error(Code::Order, message).at(low.at).path(format!("gaps.{gap}.accept"));
        let help = reader.write_pair(low.at, &high.text, &low.text);
        reader.push(fault.help(help));
    }
}

fn typical_mm(document: &Document, index: usize) -> f64 {
    let dimension = &document.dimensions[index];
    match (&dimension.readings, &dimension.drawing) {
        (Some(readings), _) => readings.value_mm(),
        (None, Some(drawing)) => drawing.nominal_mm,
        (None, None) => 0.0,
    }
}

/// Complains of a gap that was read assembled while a pack of its chain does not say which shims were in.
///
/// It looks at the document as written: the packs and chains that are known are looked at whatever else is wrong.
pub(super) fn found_without_fitted(reader: &mut Reader<'_>, written: &written::Document, names: &Names) {
    for gap in &written.gaps {
        let Some(found) = &gap.found else { continue };
        for index in packs_of(written, names, gap) {
            let name = &written.packs[index].name.text;
            let pack = &written.packs[index];
            if pack.fitted.is_none() && pack.screw.is_none() && !reader.was_dropped("fitted", name) {
                let message =
                    format!("`{}` was read assembled, but `{name}` does not say which shims were in", gap.name.text);
                let path = format!("packs.{name}.fitted");
                let help = if reader.is_on_line(found.at) {
                    format!(
                        "give {name}.fitted=0.30+0.50, in quotes where a name has a space; `none` where none was in"
                    )
                } else {
                    format!("give `fitted` under `{name}`; `[]` where none was in")
                };
                reader.push(Diagnostic::error(Code::NeedsFitted, message).at(found.at).path(path).help(help));
            }
        }
    }
}

/// The packs in a gap's chain, those of the gaps that it refers to among them.
fn packs_of(written: &written::Document, names: &Names, gap: &written::Gap) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut seen = HashSet::new();
    let mut open = vec![gap];
    while let Some(gap) = open.pop() {
        for name in gap.chain.terms.keys() {
            match names.get(name) {
                Some(Bound::Pack(index)) => {
                    found.insert(index);
                }
                Some(Bound::Gap(index)) if seen.insert(index) => open.push(&written.gaps[index]),
                _ => {}
            }
        }
    }
    found
}

fn unused(reader: &mut Reader<'_>, document: &Document) {
    let mut used = vec![false; document.dimensions.len()];
    let mut used_packs = vec![false; document.packs.len()];
    for gap in &document.gaps {
        let ends = [&gap.low, &gap.high, &gap.target];
        for one in gap.chain.summands.iter().chain(ends.into_iter().flatten().flat_map(|linear| &linear.summands)) {
            match one.what {
                What::Dimension(index) => used[index] = true,
                What::Pack(index) => used_packs[index] = true,
                What::Gap(_) => {}
            }
        }
    }
    let dimensions = document.dimensions.iter().zip(used).map(|(one, used)| ("dimensions", &one.name, one.at, used));
    let packs = document.packs.iter().zip(used_packs).map(|(one, used)| ("packs", &one.name, one.at, used));
    for (section, name, at, used) in dimensions.chain(packs) {
        if !used {
            let message = format!("no gap uses `{name}`");
            reader.push(Diagnostic::note(Code::Unused, message).at(at).path(format!("{section}.{name}")));
        }
    }
}
