//! Several gaps at once: the probability that all of them are in their bands together.
//!
//! Every end of a band is a half-space over the model's variables. Ends whose doubt has the same direction (up to its
//! sign and size) are one interval of one sum, so that an engagement and the clearance that leaves it count as one.
//! Directions that share no variable are independent. What is left is a group: one direction is asked of the exact
//! distribution, two normal ones of the bivariate normal law, and anything else is drawn.

mod group;

use super::exact::{ExactError, Probability};
use super::judge::Chances;
use super::monte_carlo::{MonteCarloOptions, Share, draw};
use crate::model::{Column, Form, Gap};
use group::{Group, groups};

/// A gap with its band, as forms of the model's variables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Banded<'a> {
    /// The gap, its packs in.
    pub form: &'a Form,
    /// The lower end of its band.
    pub low: Option<&'a Form>,
    /// The upper end of its band.
    pub high: Option<&'a Form>,
    /// Its own probabilities where they are known, so that they are not worked out again.
    pub alone: Option<Chances>,
}

impl<'a> Banded<'a> {
    /// A form against the band of a gap.
    #[must_use]
    pub fn new(form: &'a Form, gap: &'a Gap) -> Self {
        Banded { form, low: gap.low.as_ref(), high: gap.high.as_ref(), alone: None }
    }

    /// Whether there is a band.
    #[must_use]
    pub fn has_band(&self) -> bool {
        self.low.is_some() || self.high.is_some()
    }
}

/// The probability that several gaps are in their bands together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// The probability.
    pub within: f64,
    /// How far to believe it.
    pub error: JointError,
    /// How it was worked.
    pub source: JointSource,
}

/// How far a joint probability is to be believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum JointError {
    /// The true one differs by this at most.
    Bound(f64),
    /// It was drawn, at least in part: its standard error.
    Standard(f64),
}

/// How a joint probability was worked; of several ways the one that stands last here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointSource {
    /// One gap, by its exact distribution.
    Alone,
    /// The product of gaps that share no variable.
    Independent,
    /// Gaps that are the same sum up to sign and size, as one interval.
    OneSum,
    /// Two gaps of normal parts.
    BivariateNormal,
    /// Random assemblies.
    MonteCarlo,
}

impl JointSource {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            JointSource::Alone => "one gap",
            JointSource::Independent => "independent gaps",
            JointSource::OneSum => "one sum",
            JointSource::BivariateNormal => "two normal sums",
            JointSource::MonteCarlo => "monte carlo",
        }
    }
}

/// The least and the greatest probability that all of several events happen, each with its own probability: whatever
/// they have in common, the true one is between.
///
/// Formula: max(0, Σ p − (m − 1)) and min p. Source: the bounds of Boole and Fréchet. 1 and 1 where there is none.
#[must_use]
pub fn frechet(alone: impl IntoIterator<Item = f64>) -> (f64, f64) {
    alone.into_iter().fold((1.0, 1.0), |(low, high): (f64, f64), p| ((low + p - 1.0).max(0.0), high.min(p)))
}

/// The probability that every gap is in its band, ends included; gaps without a band take no part. None where no gap
/// has one, or where it had to be drawn and the pool of threads could not be made.
///
/// Precision: [`Joint::error`]. `options` are for what has to be drawn; nothing is where [`Joint::error`] is a bound.
///
/// # Errors
/// A law without variance, or a figure that is not finite.
pub fn joint_within(
    gaps: &[Banded<'_>],
    columns: &[Column],
    options: MonteCarloOptions,
) -> Result<Option<Joint>, ExactError> {
    if !gaps.iter().any(Banded::has_band) {
        return Ok(None);
    }
    let split = Split::new(gaps, columns)?;
    if split.drawn.is_empty() {
        return Ok(Some(split.joint(None)));
    }
    let drawn: Vec<Banded<'_>> = split.drawn.iter().map(|&index| gaps[index]).collect();
    let all: Vec<usize> = (0..drawn.len()).collect();
    Ok(draw(&drawn, &all, columns, options).and_then(|drawn| drawn.joint_within).map(|share| split.joint(Some(share))))
}

/// The least and the greatest that the joint probability can be, without drawing: one figure where it is known exactly.
/// None where no gap has a band.
///
/// Formula: the product of what is known, and for the rest the bounds of [`frechet`].
///
/// # Errors
/// A law without variance, or a figure that is not finite.
pub fn joint_bounds(gaps: &[Banded<'_>], columns: &[Column]) -> Result<Option<(f64, f64)>, ExactError> {
    if !gaps.iter().any(Banded::has_band) {
        return Ok(None);
    }
    let split = Split::new(gaps, columns)?;
    let alone = |&index: &usize| Ok(Split::new(&gaps[index..=index], columns)?.known.value);
    let drawn = split.drawn.iter().map(alone).collect::<Result<Vec<f64>, ExactError>>()?;
    let (low, high) = frechet(drawn);
    Ok(Some((split.known.value * low, split.known.value * high)))
}

/// What of a joint probability is known exactly, and what is left to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Split {
    /// The probability of all that is known.
    known: Probability,
    source: JointSource,
    /// The gaps, by their place, whose joint share has to be drawn.
    pub(super) drawn: Vec<usize>,
}

impl Split {
    /// Works all that need not be drawn.
    pub(super) fn new(gaps: &[Banded<'_>], columns: &[Column]) -> Result<Split, ExactError> {
        let mut split = Split {
            known: Probability { value: 1.0, error_bound: 0.0 },
            source: JointSource::Alone,
            drawn: Vec::new(),
        };
        for (index, group) in groups(gaps, columns).iter().enumerate() {
            if index > 0 {
                split.source = split.source.max(JointSource::Independent);
            }
            match group.within(gaps, columns)? {
                Some((within, source)) => {
                    split.source = split.source.max(source);
                    split.known.value *= within.value;
                    split.known.error_bound += within.error_bound;
                }
                None => split.draw(group),
            }
        }
        split.drawn.sort_unstable();
        Ok(split)
    }

    fn draw(&mut self, group: &Group) {
        self.source = JointSource::MonteCarlo;
        self.drawn.extend(&group.gaps);
    }

    /// The whole, with the share in which all the drawn gaps were in band.
    pub(super) fn joint(&self, drawn: Option<Share>) -> Joint {
        let Probability { value, error_bound } = self.known;
        let (within, error) = match drawn {
            None => (value, JointError::Bound(error_bound)),
            Some(share) => (value * share.value, JointError::Standard(value * share.standard_error + error_bound)),
        };
        Joint { within, error, source: self.source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_of_frechet() {
        assert_eq!(frechet([]), (1.0, 1.0));
        assert_eq!(frechet([0.75]), (0.75, 0.75));
        assert_eq!(frechet([0.75, 0.5]), (0.25, 0.5));
        assert_eq!(frechet([0.5, 0.25, 0.75]), (0.0, 0.25));
    }
}
