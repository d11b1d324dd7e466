//! Root sum square: mean and standard deviation, and the interval that custom makes of them.

use crate::model::{Column, Form};

/// How the interval is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootSumSquareOptions {
    /// How many standard deviations it extends to either side.
    pub coverage: f64,
    /// By what the standard deviation is multiplied, for what is not as normal or as centred as assumed.
    pub inflate: f64,
    /// The share of each half-range by which a mean may be shifted, from 0 to 1.
    pub mean_shift: f64,
}

impl Default for RootSumSquareOptions {
    fn default() -> Self {
        Self { coverage: 3.0, inflate: 1.0, mean_shift: 0.0 }
    }
}

/// The figures of root sum square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootSumSquare {
    /// The mean, in millimetres.
    pub mean_mm: f64,
    /// The standard deviation, in millimetres.
    pub sd_mm: f64,
    /// The lower end of the interval, in millimetres.
    pub low_mm: f64,
    /// The upper end of the interval, in millimetres.
    pub high_mm: f64,
    /// How many standard deviations it extends to either side.
    pub coverage: f64,
}

/// Root sum square of a form.
///
/// Formula: mean Σ a·μ, standard deviation s = √Σ a²σ², interval mean ± (m·Σ|a|t + (1 − m)·f·k·s) with coverage k,
/// inflation f, mean shift m and half-ranges t. With m = 0, f = 1 it is the plain method; with m = 1 worst case.
/// Source: the inflated form is Bender's (1962), the mean shift is Greenwood and Chase's (1987); both from memory.
/// None where a law has no variance.
#[must_use]
pub fn root_sum_square(form: &Form, columns: &[Column], options: RootSumSquareOptions) -> Option<RootSumSquare> {
    let mean_mm = form.mean_mm(columns);
    let sd_mm = form.variance_mm2(columns)?.sqrt();
    let half_ranges: f64 = form
        .terms()
        .iter()
        .map(|&(index, coefficient)| coefficient.abs() * (columns[index].high_mm() - columns[index].low_mm()) / 2.0)
        .sum();
    let shift = options.mean_shift * half_ranges;
    let half = shift + (1.0 - options.mean_shift) * options.inflate * options.coverage * sd_mm;
    Some(RootSumSquare { mean_mm, sd_mm, low_mm: mean_mm - half, high_mm: mean_mm + half, coverage: options.coverage })
}
