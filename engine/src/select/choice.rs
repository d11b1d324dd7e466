//! A pack as an answer shows it, and what a gap will be with it.

use crate::analyse::{ByNumber, Chances, ColdFigures, Contribution, Verdict};
use crate::model::{Basis, Origin};

/// A pack of shims.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The thickness that is reckoned with, in millimetres.
    pub thickness_mm: f64,
    /// Each shim, the thinnest first.
    pub shims: Vec<Shim>,
}

/// One shim of a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Shim {
    /// The label as typed.
    pub label: String,
    /// The size by the label, in millimetres.
    pub size_mm: f64,
    /// The thickness that is reckoned with, in millimetres.
    pub thickness_mm: f64,
    /// Where it comes from.
    pub from: Origin,
    /// The other pack that it is in now, among the model's packs.
    pub moved_from: Option<usize>,
    /// Whether it is in now and is not to come out.
    pub stays: bool,
}

/// What a gap will be with a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Its name.
    pub name: String,
    /// What its figures rest on.
    pub basis: Basis,
    /// The expected gap, in millimetres.
    pub expected_mm: f64,
    /// The standard uncertainty, in millimetres.
    pub u_mm: f64,
    /// The ends of the 95 % interval, in millimetres.
    pub interval_mm: (f64, f64),
    /// The means of the band's ends, in millimetres.
    pub accept_mm: (Option<f64>, Option<f64>),
    /// The mean of the target, in millimetres.
    pub target_mm: Option<f64>,
    /// The probabilities against the band; none where there is no band.
    pub chances: Option<Chances>,
    /// The verdict.
    pub verdict: Option<Verdict>,
    /// Where the expected value stands to the band.
    pub by_number: Option<ByNumber>,
    /// Whether its doubt is that of a measurement.
    pub measured: bool,
    /// What the same chain must be at 20 °C; none where the gap is not at another temperature or has no aim.
    pub cold: Option<ColdFigures>,
    /// Where the doubt comes from.
    pub contributions: Vec<Contribution>,
}

impl Expected {
    /// By how much the expected gap is outside its band, in millimetres; none where it is in or has none.
    #[must_use]
    pub fn misses_by_mm(&self) -> Option<f64> {
        self.by_number?.misses_by_mm(self.expected_mm, self.accept_mm)
    }
}
