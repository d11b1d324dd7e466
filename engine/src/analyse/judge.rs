//! The probability of being in the band, its ends being in doubt too.

use super::AnalyseError;
use super::exact::{Exact, ExactError, Probability};
use super::joint::Banded;
use super::monte_carlo::Shares;
use super::terms::exact_of;
use super::verdict::{ByNumber, Confidence, Verdict, by_number};
use crate::model::{Column, Form, Gap};

/// A gap's distribution against its band, asked at any shift of the gap: the distribution does not depend on how
/// thick an exactly known shim is, so it is prepared once for all of them.
#[derive(Debug, Clone)]
pub struct Judge {
    gap: Exact,
    low: Option<End>,
    high: Option<End>,
    low_mm: Option<f64>,
    high_mm: Option<f64>,
}

/// One end of a band.
#[derive(Debug, Clone)]
enum End {
    /// A length without doubt.
    Fixed(f64),
    /// The gap less an end that has a doubt of its own, perhaps shared with the gap.
    Difference(Box<Exact>),
}

/// The probabilities of a gap against its band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chances {
    /// P(gap < lower end); 0 where there is none.
    pub below: f64,
    /// P(in band).
    pub within: f64,
    /// P(gap > upper end); 0 where there is none.
    pub above: f64,
    /// A bound of the error of each; where they were drawn, the standard error of `within`.
    pub error_bound: f64,
}

impl Chances {
    /// The shares of random assemblies.
    pub(super) fn drawn(shares: &Shares) -> Chances {
        Chances {
            below: shares.below.value,
            within: shares.within.value,
            above: shares.above.value,
            error_bound: shares.within.standard_error,
        }
    }
}

impl Judge {
    /// Prepares the distribution of `form` against the band of `gap`.
    ///
    /// # Errors
    /// A term without variance, or a figure that is not finite.
    pub fn new(form: &Form, gap: &Gap, columns: &[Column]) -> Result<Judge, AnalyseError> {
        Self::of_band(&Banded::new(form, gap), columns)
            .map_err(|fault| AnalyseError::Exact { gap: gap.name.clone(), fault })
    }

    /// Prepares the distribution of a form against a band.
    pub(super) fn of_band(gap: &Banded<'_>, columns: &[Column]) -> Result<Judge, ExactError> {
        let end = |end: Option<&Form>| match end {
            None => Ok(None),
            Some(end) if end.is_random(columns) => {
                exact_of(&gap.form.plus(end, -1.0), columns).map(|law| Some(End::Difference(Box::new(law))))
            }
            Some(end) => Ok(Some(End::Fixed(end.mean_mm(columns)))),
        };
        let mean = |end: Option<&Form>| end.map(|end| end.mean_mm(columns));
        Ok(Judge {
            gap: exact_of(gap.form, columns)?,
            low: end(gap.low)?,
            high: end(gap.high)?,
            low_mm: mean(gap.low),
            high_mm: mean(gap.high),
        })
    }

    /// The distribution of the gap.
    #[must_use]
    pub fn distribution(&self) -> &Exact {
        &self.gap
    }

    /// The means of the band's ends, in millimetres.
    #[must_use]
    pub fn band_mm(&self) -> (Option<f64>, Option<f64>) {
        (self.low_mm, self.high_mm)
    }

    /// The probabilities of the gap moved by `shift_mm`.
    ///
    /// Formula: within = 1 − P(y − l < 0) − P(y − h > 0), l and h being the ends; exact where l ≤ h surely. A value on
    /// an end is in. Precision: `error_bound`.
    #[must_use]
    pub fn at(&self, shift_mm: f64) -> Chances {
        let nothing = Probability { value: 0.0, error_bound: 0.0 };
        let below = match &self.low {
            None => nothing,
            Some(End::Fixed(low)) => self.gap.below(low - shift_mm),
            Some(End::Difference(less_low)) => less_low.below(-shift_mm),
        };
        let above = match &self.high {
            None => nothing,
            Some(End::Fixed(high)) => self.gap.above(high - shift_mm),
            Some(End::Difference(less_high)) => less_high.above(-shift_mm),
        };
        let within = (1.0 - below.value - above.value).clamp(0.0, 1.0);
        let error_bound = below.error_bound + above.error_bound;
        // Adding nought turns `-0` into `0`.
        Chances { below: below.value + 0.0, within: within + 0.0, above: above.value + 0.0, error_bound }
    }

    /// The shifts that bring a single value of the gap, which has a probability of its own, to an end of the band:
    /// among them is the best one of a gap that has nothing else. At most a thousand values are looked at.
    pub(crate) fn brought_to_an_edge(&self) -> impl Iterator<Item = f64> {
        let ends: Vec<f64> = [&self.low, &self.high]
            .into_iter()
            .filter_map(|end| match end {
                Some(End::Fixed(end)) => Some(*end),
                _ => None,
            })
            .collect();
        let jumps = self.gap.jumps().iter().take(1000);
        jumps.flat_map(move |&jump| ends.clone().into_iter().map(move |end| end - jump))
    }

    /// Where the expected gap, moved by `shift_mm`, stands to the band.
    #[must_use]
    pub fn by_number(&self, shift_mm: f64) -> ByNumber {
        by_number(self.gap.mean_mm() + shift_mm, self.low_mm, self.high_mm)
    }
}

/// The verdict on a gap whose form is in band with probability `within`. On a face that is not flat no answer is sure.
#[must_use]
pub fn verdict_on(gap: &Gap, form: &Form, columns: &[Column], within: f64, confidence: Confidence) -> Verdict {
    let verdict = confidence.judge(within, form.is_measured(columns));
    if gap.not_flat.is_empty() { verdict } else { verdict.worse(Verdict::CannotTell) }
}
