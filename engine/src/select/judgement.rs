//! The judgement of a pack, or of several together: the verdict and how likely they are in band.

use std::collections::hash_map::Entry;

use super::PickError;
use super::candidates::Stock;
use super::chooser::{Chooser, scaled};
use super::fill::Fill;
use crate::analyse::{Judge, Verdict};
use crate::length::on_grid;
use crate::model::{Form, Gap, PackForm};

/// Half a hundredth: a probability surely below it is no hundredth, whatever its rounding.
const NO_HUNDREDTH: f64 = 0.005;

/// A gap that is beyond its band by less than this, in millimetres, may be on the edge, which is in.
const EDGE_MM: f64 = 1e-6;

/// More patterns of errors than this are not judged for one gap in one choice: each needs a distribution of its own.
const MOST_PATTERNS: usize = 600;

/// How packs were judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judged {
    pub(super) verdict: Verdict,
    /// The probability of being in band, of the gap where it is lowest.
    pub(super) within: f64,
    /// The distance within which packs stay level with this one.
    pub(super) slack: i64,
}

impl Judged {
    /// The probability rounded down to 0.01; it does not count for a pack that is in.
    pub(super) fn hundredths(&self) -> i64 {
        // A probability a few units in the last place below a hundredth is that hundredth.
        if self.verdict == Verdict::In { 100 } else { (self.within * 100.0 + 1e-9).floor() as i64 }
    }
}

impl Chooser<'_> {
    /// Judges packs that are in together.
    pub(super) fn judge(&mut self, fill: &Fill, stock: Stock) -> Result<Judged, PickError> {
        self.judge_packs(&fill.forms(self, stock), &fill.thickness_nm())
    }

    /// Judges packs by their forms and their thicknesses on the grid.
    pub(super) fn judge_packs(&mut self, forms: &[PackForm], thickness_nm: &[i64]) -> Result<Judged, PickError> {
        let packs = self.packs(forms);
        let wholes: Vec<Form> = self.aims.iter().map(|aim| self.model.with(aim.gap, &packs)).collect();
        // The distribution of a gap that is far out costs most and tells nothing.
        let out = self.aims.iter().zip(&wholes).any(|(aim, whole)| self.is_surely_out(aim.gap, whole));
        let mut judged =
            if out { Judged { verdict: Verdict::Out, within: 0.0, slack: 0 } } else { self.judge_all(&wholes)? };
        let (mut furthest, mut sets) = (-1, 0);
        for (index, aim) in self.aims.iter().enumerate() {
            let distance = aim.distance(thickness_nm);
            if distance > furthest {
                (furthest, sets) = (distance, index);
            }
        }
        let variance = wholes[sets].variance_mm2(&self.model.columns).unwrap_or(0.0);
        // Half the pack's own uncertainty of the gap that sets the distance, or 0.005 mm, the larger.
        judged.slack = scaled(on_grid((variance.sqrt() / 2.0).max(0.005)), self.aims[sets].half_mm);
        Ok(judged)
    }

    fn judge_all(&mut self, wholes: &[Form]) -> Result<Judged, PickError> {
        let mut judged = Judged { verdict: Verdict::In, within: 1.0, slack: 0 };
        for (index, whole) in wholes.iter().enumerate() {
            let gap = self.aims[index].gap;
            if gap.has_band() {
                let within = self.within(index, whole)?;
                judged.within = judged.within.min(within);
                judged.verdict = judged.verdict.worse(self.verdict_on(gap, whole, within));
            }
        }
        Ok(judged)
    }

    /// Whether a gap is out with a probability of no hundredth, by its mean and its variance alone.
    ///
    /// Formula: P(Y beyond its mean by δ or more) ≤ σ²/(σ² + δ²), Cantelli's inequality.
    fn is_surely_out(&self, gap: &Gap, whole: &Form) -> bool {
        let columns = &self.model.columns;
        let no_chance = NO_HUNDREDTH.min(1.0 - self.confidence.probability());
        let beyond = |end: &Option<Form>, sign: f64| {
            let Some(end) = end else { return false };
            let by_mm = sign * (whole.mean_mm(columns) - end.mean_mm(columns));
            if by_mm <= EDGE_MM {
                return false;
            }
            let variance = if end.is_random(columns) {
                whole.plus(end, -1.0).variance_mm2(columns)
            } else {
                whole.variance_mm2(columns)
            };
            variance.is_some_and(|variance| variance <= no_chance * (variance + by_mm * by_mm))
        };
        beyond(&gap.low, -1.0) || beyond(&gap.high, 1.0)
    }

    /// The probability of being in band of an aim's gap.
    fn within(&mut self, aim: usize, whole: &Form) -> Result<f64, PickError> {
        let gap = self.aims[aim].gap;
        let mut errors: Vec<(usize, u64)> =
            whole.terms().iter().map(|&(column, coefficient)| (self.classes[column], coefficient.to_bits())).collect();
        errors.sort_unstable();
        let mean = whole.mean_mm(&self.model.columns);
        let full = self.judges.len() >= MOST_PATTERNS * self.aims.len();
        let (judge, prepared_mean) = match self.judges.entry((aim, errors)) {
            Entry::Occupied(there) => there.into_mut(),
            Entry::Vacant(_) if full => {
                return Err(PickError::TooMany { pack: self.model.packs[self.chosen[0]].name.clone() });
            }
            Entry::Vacant(free) => {
                let judge = Judge::new(whole, gap, &self.model.columns)?;
                free.insert((judge, mean))
            }
        };
        Ok(judge.at(mean - *prepared_mean).within)
    }
}
