//! The symmetric triangular law, JCGM 101:2008, 6.4.5.

use super::error::checked_limits;
use super::{Distribution, ExactRole, LawError, each_tail};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::{Rng, RngExt};

/// A triangular law with its mode in the middle, by its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangular {
    low: f64,
    high: f64,
}

impl Triangular {
    /// A density that rises from zero at the limits to its peak in the middle, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high.
    pub fn symmetric(low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        Ok(Self { low, high })
    }

    /// Fills `out` with independent values, each the sum of two rectangular ones.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let half = self.half_range();
        for value in out {
            let (one, other): (f64, f64) = (rng.random(), rng.random());
            *value = self.low + half * (one + other);
        }
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// The lower tail at this distance above the lower limit.
    fn tail(&self, from_limit: f64) -> f64 {
        let part = (from_limit / self.half_range()).clamp(0.0, 2.0);
        if part <= 1.0 { 0.5 * part * part } else { 1.0 - 0.5 * (2.0 - part).powi(2) }
    }
}

impl Distribution for Triangular {
    fn centre(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    fn centre_in_full(&self) -> DoubleDouble {
        DoubleDouble::sum(self.low, self.high).times_power_of_two(0.5)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.centre())
    }

    fn variance(&self) -> Option<f64> {
        Some(self.half_range().powi(2) / 6.0)
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    fn density(&self, x: f64) -> f64 {
        let half = self.half_range();
        let from_limit = (x - self.low).min(self.high - x);
        from_limit.max(0.0) / (half * half)
    }

    fn below(&self, x: f64) -> f64 {
        self.tail(x - self.low)
    }

    fn above(&self, x: f64) -> f64 {
        self.tail(self.high - x)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        let half = self.half_range();
        Some(if p <= 0.5 { self.low + half * (2.0 * p).sqrt() } else { self.high - half * (2.0 * (1.0 - p)).sqrt() })
    }

    fn half_width(&self, coverage: f64) -> f64 {
        self.half_range() * (1.0 - (2.0 * each_tail(coverage)).sqrt())
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    /// That of two rectangles of half the half-range: (sin(at/2) / (at/2))².
    fn characteristic(&self, t: f64) -> Complex<f64> {
        let angle = 0.5 * self.half_range() * t;
        let one = if angle == 0.0 { 1.0 } else { angle.sin() / angle };
        (one * one).into()
    }

    /// min(1, 4/(a²t²)): 4/a² is the total variation of the density's slope.
    fn envelope(&self, t: f64) -> f64 {
        (2.0 / (self.half_range() * t.abs())).min(1.0).powi(2)
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::Boxes { count: 2, half_width: 0.5 * self.half_range() }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        checks::law(&Law::Triangular(Triangular::symmetric(-1.5, 4.0).expect("a valid law")));
        checks::law(&Law::Triangular(Triangular::symmetric(2.96, 3.04).expect("a valid law")));
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Triangular::symmetric(0.0, f64::INFINITY), Err(LawError::NotFinite));
        for low in [1.0, 2.0] {
            assert_eq!(Triangular::symmetric(low, 1.0), Err(LawError::LimitsOutOfOrder));
        }
    }

    #[test]
    fn its_moments_are_those_of_the_standard() {
        // JCGM 101:2008, 6.4.5.3: (a + b)/2 and (b − a)²/24.
        let law = Triangular::symmetric(1.0, 4.0).expect("a valid law");
        assert_eq!((law.mean(), law.variance()), (Some(2.5), Some(0.375)));
        assert_eq!(law.half_width(1.0), 1.5);
    }
}
