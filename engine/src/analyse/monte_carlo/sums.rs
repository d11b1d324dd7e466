//! Sums of samples, and the figures that they give.

use super::plan::Row;
use super::{MonteCarlo, Share, Shares};

/// Sums of one block, or of several.
pub(super) struct Sums {
    pub(super) gaps: Vec<GapSums>,
    pub(super) inside: u64,
}

#[derive(Clone, Default)]
pub(super) struct GapSums {
    /// Sums of d, d², d³ and d⁴, d being (gap − expected)/scale.
    powers: [f64; 4],
    pub(super) below: u64,
    pub(super) above: u64,
}

impl Sums {
    pub(super) fn new(gaps: usize) -> Sums {
        Sums { gaps: vec![GapSums::default(); gaps], inside: 0 }
    }

    pub(super) fn add(&mut self, other: &Sums) {
        self.inside += other.inside;
        for (mine, theirs) in self.gaps.iter_mut().zip(&other.gaps) {
            mine.powers.iter_mut().zip(theirs.powers).for_each(|(sum, more)| *sum += more);
            mine.below += theirs.below;
            mine.above += theirs.above;
        }
    }
}

impl GapSums {
    pub(super) fn moments(&mut self, values: &[f64], centre: f64, scale: f64) {
        let mut powers = [0.0; 4];
        for value in values {
            let d = (value - centre) / scale;
            let d2 = d * d;
            powers[0] += d;
            powers[1] += d2;
            powers[2] += d2 * d;
            powers[3] += d2 * d2;
        }
        self.powers = powers;
    }

    pub(super) fn figures(&self, row: &Row, samples: u64, banded: bool) -> MonteCarlo {
        let n = samples as f64;
        let [a, b, c, d] = self.powers.map(|sum| sum / n);
        let second = (b - a * a).max(0.0);
        let fourth = d - 4.0 * a * c + 6.0 * a * a * b - 3.0 * a.powi(4);
        let sd = if samples > 1 { (second * n / (n - 1.0)).sqrt() } else { 0.0 };
        let sd_error = if sd > 0.0 { ((fourth - second * second).max(0.0) / n).sqrt() / (2.0 * sd) } else { 0.0 };
        let shares = banded.then(|| Shares {
            below: Share::new(self.below, samples),
            within: Share::new(samples - self.below - self.above, samples),
            above: Share::new(self.above, samples),
        });
        MonteCarlo {
            samples,
            mean_mm: row.centre + a * row.scale,
            sd_mm: sd * row.scale,
            shares,
            mean_error_mm: sd * row.scale / n.sqrt(),
            sd_error_mm: row.fourth_moment.then_some(sd_error * row.scale),
            stable: None,
        }
    }
}

impl Share {
    pub(crate) fn new(count: u64, samples: u64) -> Share {
        let n = samples as f64;
        let value = count as f64 / n;
        let error = if count == 0 || count == samples { 3.0 / n } else { (value * (1.0 - value) / n).sqrt() };
        Share { value, standard_error: error, count }
    }
}
