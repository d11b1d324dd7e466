//! A gap of the model.

use super::form::Form;
use crate::document::resolved::Lean;

/// A gap, ready to be asked. With `as: preload` every form here has its sign turned, so that its figures are the
/// preload's.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Its name.
    pub name: String,
    /// The chain as typed.
    pub chain_text: String,
    /// Whether its figures are a preload's.
    pub preload: bool,
    /// The gap from its parts, with no shims in.
    pub paper: Form,
    /// The gap to start from, with no shims in: from the parts, or from the reading less the shims that were in.
    pub start: Form,
    /// What `start` rests on.
    pub basis: Basis,
    /// The coefficient of each pack of the model.
    pub pack_coefficients: Vec<f64>,
    /// The lower end of the band.
    pub low: Option<Form>,
    /// The upper end of the band.
    pub high: Option<Form>,
    /// What to aim at.
    pub target: Option<Form>,
    /// Whether a target was written; a one-sided band has none of itself.
    pub target_written: bool,
    /// Which side to prefer.
    pub lean: Lean,
    /// The limit of wear, in millimetres.
    pub wear_limit_mm: Option<f64>,
    /// The temperature that it is worked at, where that is not 20 °C.
    pub heat: Option<Heat>,
    /// The assembled gap as read, whether or not `start` rests on it.
    pub found: Option<Found>,
    /// Whether any dimension is in the chain, so that the sum on paper says something.
    pub has_dimensions: bool,
    /// Faces in the chain that are not flat.
    pub not_flat: Vec<Face>,
    /// Where the band comes from.
    pub source: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// What a gap's figures rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The sum of the parts.
    Parts,
    /// A reading of the assembled gap.
    Found,
}

/// What a gap at another temperature than 20 °C is.
#[derive(Debug, Clone, PartialEq)]
pub struct Heat {
    /// The temperature, in °C.
    pub celsius: f64,
    /// What the chain grows by from 20 °C to there, the packs apart.
    pub growth: Form,
    /// The gap of the same chain at 20 °C, among the model's.
    pub cold: Option<usize>,
}

/// An assembled gap as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The reading, in the gap's own sense (a preload's figures have their sign turned).
    pub form: Form,
    /// The standard uncertainty, in millimetres.
    pub u_mm: f64,
}

/// A face that is not flat, and what its spots do to the gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The dimension that was read on it.
    pub dimension: String,
    /// The place that read least, and by how much the gap changes if it counts.
    pub least: (String, f64),
    /// The place that read most, and by how much the gap changes if it counts.
    pub most: (String, f64),
}

impl Gap {
    /// Whether the gap has a band or a target, so that it takes part in a choice.
    #[must_use]
    pub fn is_judged(&self) -> bool {
        self.low.is_some() || self.high.is_some() || self.target_written
    }

    /// Whether the gap has a band, so that it can have a verdict.
    #[must_use]
    pub fn has_band(&self) -> bool {
        self.low.is_some() || self.high.is_some()
    }

    /// +1 where a larger figure is the looser fit, −1 for a preload.
    #[must_use]
    pub fn looser_sign(&self) -> f64 {
        if self.preload { -1.0 } else { 1.0 }
    }
}
