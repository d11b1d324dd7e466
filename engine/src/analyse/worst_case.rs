//! Worst case: the interval that a gap cannot leave if every part keeps its limits.

use crate::length::on_grid;
use crate::model::{Column, Form, Gap};

/// The exact interval of a gap, with the corners that attain its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstCase {
    /// The least gap, in millimetres.
    pub low_mm: f64,
    /// The greatest gap, in millimetres.
    pub high_mm: f64,
    /// Whether the whole interval is in the band; none where there is no band.
    pub fits: Option<bool>,
    /// The values that give the least gap.
    pub low_at: Vec<Corner>,
    /// The values that give the greatest gap.
    pub high_at: Vec<Corner>,
}

/// A variable's value at a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// The variable's name.
    pub name: String,
    /// Its value, in millimetres.
    pub value_mm: f64,
}

/// The worst case of a form.
///
/// Formula: mean ± Σ |coefficient|·half-range, over the model's variables with their summed coefficients, so that a
/// shared error counts once. Limits are those stated; a law without bounds counts with its 99.73 % half-width; a
/// measured dimension with the sum of the half-ranges of its parts. Precision: rounding alone.
#[must_use]
pub fn worst_case(form: &Form, gap: &Gap, columns: &[Column]) -> WorstCase {
    let (low_mm, low_at) = corner(form, columns, false);
    let (high_mm, high_at) = corner(form, columns, true);
    // Ends that share a dimension with the gap move with it, so the band is judged by the differences.
    let low_fits = gap.low.as_ref().map(|end| on_grid(corner(&form.plus(end, -1.0), columns, false).0) >= 0);
    let high_fits = gap.high.as_ref().map(|end| on_grid(corner(&form.plus(end, -1.0), columns, true).0) <= 0);
    let fits = gap.has_band().then(|| low_fits.unwrap_or(true) && high_fits.unwrap_or(true));
    WorstCase { low_mm, high_mm, fits, low_at, high_at }
}

fn corner(form: &Form, columns: &[Column], greatest: bool) -> (f64, Vec<Corner>) {
    let mut sum = form.constant_mm;
    let mut at = Vec::with_capacity(form.terms().len());
    for &(index, coefficient) in form.terms() {
        let column = &columns[index];
        let value_mm = if (coefficient > 0.0) == greatest { column.high_mm() } else { column.low_mm() };
        sum += coefficient * value_mm;
        at.push(Corner { name: column.name.clone(), value_mm });
    }
    (sum, at)
}
