//! What would have to be wrong where a reading and the sum of the parts do not agree.

use crate::length::from_grid_mm;
use crate::model::{ColumnKind, Form, Gap, Model, Pack};

/// A term that would explain the difference by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// Its name.
    pub name: String,
    /// By how much its true value would have to be larger than written down, in millimetres: the difference over its
    /// coefficient in the chain; for what a material grows by, the growth of the chain.
    pub by_mm: f64,
    /// That over its own standard uncertainty; none for a term that was taken as exact.
    pub times_its_u: Option<f64>,
}

/// A usual slip that would explain the difference.
#[derive(Debug, Clone, PartialEq)]
pub enum Slip {
    /// One shim of this label more was in than was written down.
    ShimMore(String),
    /// One shim of this label fewer was in.
    ShimFewer(String),
    /// A shim of the second label was in where one of the first was written down.
    ShimOther(String, String),
    /// A part of the chain was not in.
    Part(String),
    /// A part of the chain was in twice.
    PartTwice(String),
    /// One digit of a reading was misread: the difference is this much, in millimetres.
    Digit(f64),
}

/// The suspects for a difference (reading less sum), the least implausible first.
pub(super) fn suspects(model: &Model, difference: &Form) -> Vec<Suspect> {
    let d = difference.mean_mm(&model.columns);
    let mut found: Vec<Suspect> = difference
        .terms()
        .iter()
        .map(|&(index, coefficient)| {
            let column = &model.columns[index];
            // In reading less sum a part has its coefficient in the chain with the sign turned; the reading itself has
            // +1, and would have to be smaller.
            let by_mm = -d / coefficient;
            let u = column.variance_mm2().map_or(0.0, f64::sqrt);
            let times_its_u = (u > 0.0).then(|| by_mm.abs() / u);
            if column.kind == ColumnKind::Expansion {
                // A coefficient says nothing at the bench; what it makes of this chain does.
                let name = column.name.replacen("expansion", "the growth", 1);
                return Suspect { name, by_mm: -d * coefficient.signum(), times_its_u };
            }
            let name = match column.kind {
                ColumnKind::Instrument => format!("the zero of the {}", column.name.trim_end()),
                ColumnKind::Dimension | ColumnKind::Shim | ColumnKind::Stack | ColumnKind::Expansion => {
                    column.name.clone()
                }
            };
            Suspect { name, by_mm, times_its_u }
        })
        .collect();
    let rank = |one: &Suspect| one.times_its_u.unwrap_or(f64::INFINITY);
    found.sort_by(|a, b| rank(a).total_cmp(&rank(b)).then_with(|| a.name.cmp(&b.name)));
    found
}

/// The usual slips that explain a difference within twice its standard uncertainty.
pub(super) fn slips(model: &Model, gap: &Gap, difference: &Form) -> Vec<Slip> {
    let columns = &model.columns;
    let d = difference.mean_mm(columns);
    let near = 2.0 * difference.variance_mm2(columns).map_or(0.0, f64::sqrt);
    let explains = |change: f64| (d - change).abs() <= near;
    let mut found = shim_slips(model, gap, &explains);
    for &(index, coefficient) in gap.paper.terms() {
        let column = &columns[index];
        let thickness = coefficient * column.mean_mm();
        if column.kind == ColumnKind::Dimension && explains(-thickness) {
            found.push(Slip::Part(column.name.clone()));
        }
        if column.kind == ColumnKind::Dimension && explains(thickness) {
            found.push(Slip::PartTwice(column.name.clone()));
        }
    }
    // A digit is told from its neighbours only where the doubt is well below its step.
    for power in [10_000, 100_000, 1_000_000] {
        let step = from_grid_mm(power);
        let times = (d / step).round();
        if (1.0..=9.0).contains(&times.abs()) && near < step / 3.0 && explains(times * step) {
            found.push(Slip::Digit(times * step));
        }
    }
    found
}

/// One shim more, one fewer; where neither explains it, one in place of another.
fn shim_slips(model: &Model, gap: &Gap, explains: &dyn Fn(f64) -> bool) -> Vec<Slip> {
    let mut found = Vec::new();
    let in_chain = || model.packs.iter().zip(&gap.pack_coefficients).filter(|(_, coefficient)| **coefficient != 0.0);
    let fitted = |pack: &Pack| -> Vec<(String, f64)> {
        let items = pack.items.iter().filter(|item| item.fitted > 0);
        items.map(|item| (item.label.clone(), item.thickness_mm)).collect()
    };
    for (pack, &coefficient) in in_chain() {
        let more = pack.bought.iter().filter(|item| explains(coefficient * item.thickness_mm));
        found.extend(more.map(|item| Slip::ShimMore(item.label.clone())));
        let fewer = fitted(pack).into_iter().filter(|(_, thickness)| explains(-coefficient * thickness));
        found.extend(fewer.map(|(label, _)| Slip::ShimFewer(label)));
    }
    if !found.is_empty() {
        return found;
    }
    for (pack, &coefficient) in in_chain() {
        for (written, thickness) in fitted(pack) {
            let other = pack.bought.iter().filter(|item| item.label != written);
            let other = other.filter(|item| explains(coefficient * (item.thickness_mm - thickness)));
            found.extend(other.map(|item| Slip::ShimOther(written.clone(), item.label.clone())));
        }
    }
    found
}
