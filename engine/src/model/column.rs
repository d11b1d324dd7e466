//! A variable of the model.

use super::link::Link;
use crate::document::resolved::Instrument;
use crate::law::{ExactRole, Law, Rectangular};
use crate::measure::{Part, Reading, Role};

/// One variable x: a value and the independent parts of its doubt.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What it stands for.
    pub kind: ColumnKind,
    /// What it is called.
    pub name: String,
    /// The value that the parts vary about, in millimetres.
    pub value_mm: f64,
    /// The nominal value, in millimetres.
    pub nominal_mm: f64,
    /// The parts of its doubt; none: exact.
    pub parts: Vec<Part>,
    /// Whether it was measured, so that its doubt is that of a reading and not of production.
    pub measured: bool,
    /// How it was read, where it was read for itself.
    pub reading: Option<Reading>,
    /// The other variables that it goes together with, by their place, ascending.
    pub links: Vec<Link>,
}

/// What a variable stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ColumnKind {
    /// A dimension, or a gap as found.
    Dimension,
    /// An instrument's zero.
    Instrument,
    /// What oil and air add to each blade of a stack of feelers.
    Stack,
    /// What a material grows by.
    Expansion,
    /// The thickness error of a shim or of a size of shims.
    Shim,
}

impl Column {
    /// The zero of an instrument, which all its readings share.
    pub(crate) fn zero(instrument: &Instrument) -> Column {
        let half = instrument.zero_error_mm.unwrap_or(0.0);
        let parts = Rectangular::new(-half, half)
            .map(|law| vec![Part::new(Role::Zero, Law::Rectangular(law))])
            .unwrap_or_default();
        Column {
            kind: ColumnKind::Instrument,
            name: instrument.name.clone(),
            value_mm: 0.0,
            nominal_mm: 0.0,
            parts,
            measured: true,
            reading: None,
            links: Vec::new(),
        }
    }

    /// How it goes together with another variable; none: they are independent, unless others tie them.
    #[must_use]
    pub fn link(&self, column: usize) -> Option<&Link> {
        self.links.binary_search_by_key(&column, |link| link.column).ok().map(|at| &self.links[at])
    }

    /// The standard deviation, in millimetres; none where a part has no variance.
    #[must_use]
    pub fn sd_mm(&self) -> Option<f64> {
        self.variance_mm2().map(f64::sqrt)
    }

    /// Whether every part of its doubt is normal.
    #[must_use]
    pub fn is_normal(&self) -> bool {
        self.parts.iter().all(|part| matches!(part.law.exact_role(), ExactRole::Normal { .. }))
    }

    /// The mean, in millimetres.
    #[must_use]
    pub fn mean_mm(&self) -> f64 {
        // A law without a mean is symmetric about its centre; its variance is refused elsewhere.
        self.parts.iter().fold(self.value_mm, |sum, part| sum + part.law.mean().unwrap_or_else(|| part.law.centre()))
    }

    /// The variance, in mm²; none where a part has none.
    #[must_use]
    pub fn variance_mm2(&self) -> Option<f64> {
        self.parts.iter().try_fold(0.0, |sum, part| part.law.variance().map(|variance| sum + variance))
    }

    /// The least value for worst case, in millimetres.
    #[must_use]
    pub fn low_mm(&self) -> f64 {
        self.parts.iter().fold(self.value_mm, |sum, part| sum + part.low_mm)
    }

    /// The greatest value for worst case, in millimetres.
    #[must_use]
    pub fn high_mm(&self) -> f64 {
        self.parts.iter().fold(self.value_mm, |sum, part| sum + part.high_mm)
    }
}
