//! A falling bound of the characteristic function of a density with one hill.

use super::fall_of_power;

/// The total variation of a density, and that of its slope; infinite where it has none. Jumps at the limits count.
///
/// Integration by parts, once and twice, gives |E exp(itX)| ≤ min(1, V/|t|, V′/t²).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Variation {
    /// V, 1/mm: twice the peak of a density with one hill.
    pub(super) density: f64,
    /// V′, 1/mm².
    pub(super) slope: f64,
}

impl Variation {
    pub(super) fn envelope(self, t: f64) -> f64 {
        let size = t.abs();
        (self.density / size).min(self.slope / size / size).min(1.0)
    }

    /// As [`super::Distribution::fall`]: along either bound, or from one to the other, a doubling halves it at least.
    pub(super) fn fall(self, t: f64) -> f64 {
        let halved = fall_of_power(self.density.min(self.slope.sqrt()), 1.0, t);
        halved.min(fall_of_power(self.slope.sqrt().max(self.slope / self.density), 2.0, t))
    }
}
