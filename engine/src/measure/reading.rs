//! How a value was read: what is needed to work its doubt, and to work it anew for more readings or another instrument.

use super::measured::{Part, Role, limit_mm};
use super::scatter::{ScatterRule, law, rule_of};
use crate::document::resolved::{Instrument, InstrumentRef};
use crate::law::LawError;
use crate::number::summary::Pooled;

/// How a value was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What it was read with.
    pub instrument: InstrumentRef,
    /// For each place, how much it counts in the value, and how often it was read.
    pub places: Vec<(f64, usize)>,
    /// The scatter pooled over all repeats that count for it.
    pub pooled: Option<Pooled>,
    /// The coarsest place value of the digits as typed, in millimetres.
    pub step_mm: f64,
    /// The share of the instrument's limit of error that counts: none of it where blades were stacked.
    pub limit_share: f64,
    /// Half the step between a feeler that goes and one that stops, in millimetres.
    pub half_step_mm: f64,
    /// Half the spread between the places, in millimetres.
    pub form_mm: f64,
}

impl Reading {
    /// How many readings there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.places.iter().map(|&(_, count)| count).sum()
    }

    /// The degrees of freedom that its own repeats give.
    #[must_use]
    pub fn freedom(&self) -> usize {
        self.places.iter().map(|&(_, count)| count.saturating_sub(1)).sum()
    }

    /// What the scatter of one reading counts for in the value.
    ///
    /// Formula: w = √(Σ wᵢ²/nᵢ) over the places; 1/√n for plain repeats.
    #[must_use]
    pub fn weight(&self) -> f64 {
        self.places.iter().map(|&(weight, count)| weight * weight / count as f64).sum::<f64>().sqrt()
    }

    /// The rule that gives the scatter.
    #[must_use]
    pub fn rule(&self, instruments: &[Instrument]) -> ScatterRule {
        rule_of(self.pooled, self.repeatability(instruments))
    }

    /// The standard deviation that one reading is taken to have, in millimetres; none where nothing is known of it.
    #[must_use]
    pub fn scatter_mm(&self, instruments: &[Instrument]) -> Option<f64> {
        match self.rule(instruments) {
            ScatterRule::Repeatability => self.repeatability(instruments),
            ScatterRule::Pooled { .. } | ScatterRule::Few { .. } => self.pooled.map(|pooled| pooled.sd),
            ScatterRule::Unknown => None,
        }
    }

    /// The parts of the value's doubt, each about zero: scatter, instrument, step between feelers, form.
    ///
    /// # Errors
    /// A figure that is too large or too small to be used as a law.
    pub fn parts(&self, instruments: &[Instrument]) -> Result<Vec<Part>, LawError> {
        let mut parts = Vec::new();
        let scattered = law(self.pooled, self.repeatability(instruments), self.weight())?;
        parts.extend(scattered.map(|law| Part::new(Role::Scatter, law)));
        let instrument = self.instrument.index().map(|index| &instruments[index]);
        let limit_mm = self.limit_share * limit_mm(self.instrument, instrument, self.step_mm);
        parts.extend(Part::rectangular(Role::Instrument, limit_mm)?);
        parts.extend(Part::rectangular(Role::Step, self.half_step_mm)?);
        parts.extend(Part::rectangular(Role::Form, self.form_mm)?);
        Ok(parts)
    }

    fn repeatability(&self, instruments: &[Instrument]) -> Option<f64> {
        self.instrument.index().and_then(|index| instruments[index].repeatability_mm)
    }
}
