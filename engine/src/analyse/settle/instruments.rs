//! Which instruments could read a value in place of its own.

use std::cmp::Reverse;

use crate::document::resolved::Instrument;
use crate::length::{Unit, on_grid};
use crate::model::Model;

/// Words in an instrument's name that say what it reaches. A tool for depths does not read an outside, nor the other
/// way round. A calliper does all three; where nothing is said it read an outside, which a finer tool does too.
const REACHES: [&str; 3] = ["depth", "inside", "bore"];

/// The instruments of a model.
pub(super) struct Tools {
    /// Whether some reading was made with it.
    in_use: Vec<bool>,
    /// The standard uncertainty of one reading, in millimetres; none where its scatter is not known.
    u_mm: Vec<Option<f64>>,
}

impl Tools {
    pub(super) fn of(model: &Model) -> Tools {
        let readings = || model.columns.iter().filter_map(|column| column.reading.as_ref());
        let mut in_use = vec![false; model.instruments.len()];
        let mut scatter: Vec<Option<f64>> = model.instruments.iter().map(|one| one.repeatability_mm).collect();
        for reading in readings() {
            if let Some(index) = reading.instrument.index() {
                in_use[index] = true;
                scatter[index] = reading.scatter_mm(&model.instruments);
            }
        }
        let u = |(one, scatter): (&Instrument, &Option<f64>)| Some(uncertainty_mm(one, (*scatter)?));
        Tools { u_mm: model.instruments.iter().zip(&scatter).map(u).collect(), in_use }
    }

    /// The instruments finer than the one that a column was read with, in order of rank.
    ///
    /// A reading of the assembled gap is a difference, and only an instrument that reads differences takes its place;
    /// a dimension is none. One whose scatter is not known cannot be reckoned with.
    pub(super) fn finer(&self, model: &Model, column: usize) -> Vec<usize> {
        let column = &model.columns[column];
        let Some(reading) = &column.reading else { return Vec::new() };
        let own = reading.instrument.index();
        // `instrument: none` takes the scatter alone; nothing is known that would be finer.
        let Some(own) = own else { return Vec::new() };
        let difference = column.name.ends_with(".found");
        let named = &model.instruments[own].name;
        let coarsest = self.u_mm[own].unwrap_or_else(|| uncertainty_mm(&model.instruments[own], 0.0));
        let mut found: Vec<usize> = (0..model.instruments.len())
            .filter(|&index| {
                let one = &model.instruments[index];
                index != own
                    && !one.name.ends_with(' ')
                    && one.difference == difference
                    && reaches_too(named, &one.name)
                    && range_mm(one).is_none_or(|(low, high)| (low..=high).contains(&column.value_mm.abs()))
                    // A tool in other units is not fetched for one part; it may be on the bench already.
                    && (self.in_use[index] || one.unit.is_none_or(|unit| unit == model.unit))
                    && self.u_mm[index].is_some_and(|u| u < coarsest)
            })
            .collect();
        found.sort_by_key(|&index| self.rank(index));
        found
    }

    /// The order in which instruments are thought of: one that is in use first, then the coarsest.
    pub(super) fn rank(&self, instrument: usize) -> Rank {
        Rank(!self.in_use[instrument], Reverse(on_grid(self.u_mm[instrument].unwrap_or(0.0))))
    }
}

/// Whether it has to be fetched; its uncertainty on the 1 nm grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank(bool, Reverse<i64>);

/// The standard uncertainty of one reading, in millimetres: √(limit²/3 + zero²/3 + s²).
fn uncertainty_mm(one: &Instrument, scatter_mm: f64) -> f64 {
    let third = |half: Option<f64>| half.unwrap_or(0.0).powi(2) / 3.0;
    let limit = one.limit_of_error_mm.or(one.resolution_mm.map(|step| step / 2.0));
    (third(limit) + third(one.zero_error_mm) + scatter_mm * scatter_mm).sqrt()
}

/// Whether an instrument reaches where another was used, as far as their names say.
fn reaches_too(own: &str, other: &str) -> bool {
    let (own, other) = (own.to_lowercase(), other.to_lowercase());
    // What an ordinary tool was assumed for may have been read with any.
    own.ends_with(' ') || REACHES.iter().all(|word| own.contains(word) == other.contains(word))
}

/// The range that an instrument's name states, such as `micrometer 25 to 50` or `micrometer 50-75`, in millimetres.
fn range_mm(one: &Instrument) -> Option<(f64, f64)> {
    let unit = one.unit.unwrap_or(Unit::Mm);
    let ends = |low: &str, high: &str| -> Option<(f64, f64)> {
        let (low, high) = (low.parse::<f64>().ok()?, high.parse::<f64>().ok()?);
        (low < high).then(|| (unit.to_mm(low), unit.to_mm(high)))
    };
    let words: Vec<&str> = one.name.split_whitespace().collect();
    let spelled = words.windows(3).find_map(|three| if three[1] == "to" { ends(three[0], three[2]) } else { None });
    spelled
        .or_else(|| words.iter().find_map(|word| word.split_once(['-', '–']).and_then(|(low, high)| ends(low, high))))
}
