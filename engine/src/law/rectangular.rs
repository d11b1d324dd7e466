//! The rectangular (uniform) law, JCGM 101:2008, 6.4.2.

use super::error::checked_limits;
use super::{Distribution, ExactRole, LawError, each_tail, fall_of_power};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::{Rng, RngExt};

/// A rectangular law by its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangular {
    low: f64,
    high: f64,
}

impl Rectangular {
    /// Every value between the limits equally likely, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high.
    pub fn new(low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        Ok(Self { low, high })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let width = self.high - self.low;
        for value in out {
            let u: f64 = rng.random();
            *value = self.low + width * u;
        }
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

impl Distribution for Rectangular {
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
        Some(self.half_range().powi(2) / 3.0)
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    fn density(&self, x: f64) -> f64 {
        if x < self.low || x > self.high { 0.0 } else { 1.0 / (self.high - self.low) }
    }

    fn below(&self, x: f64) -> f64 {
        ((x - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    fn above(&self, x: f64) -> f64 {
        ((self.high - x) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        (p > 0.0 && p < 1.0).then_some(self.low + (self.high - self.low) * p)
    }

    fn half_width(&self, coverage: f64) -> f64 {
        self.half_range() * (1.0 - 2.0 * each_tail(coverage))
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    /// sin(at) / (at), a the half-range.
    fn characteristic(&self, t: f64) -> Complex<f64> {
        let angle = self.half_range() * t;
        (if angle == 0.0 { 1.0 } else { angle.sin() / angle }).into()
    }

    /// min(1, 1/(a|t|)).
    fn envelope(&self, t: f64) -> f64 {
        (1.0 / (self.half_range() * t.abs())).min(1.0)
    }

    fn fall(&self, t: f64) -> f64 {
        fall_of_power(1.0 / self.half_range(), 1.0, t)
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::Boxes { half_widths: [self.half_range(), 0.0] }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        checks::law(&Law::Rectangular(Rectangular::new(-1.5, 4.0).expect("a valid law")));
        checks::law(&Law::Rectangular(Rectangular::new(4.97, 5.03).expect("a valid law")));
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Rectangular::new(f64::NAN, 1.0), Err(LawError::NotFinite));
        assert_eq!(Rectangular::new(f64::MIN, f64::MAX), Err(LawError::NotFinite));
        for low in [1.0, 2.0] {
            assert_eq!(Rectangular::new(low, 1.0), Err(LawError::LimitsOutOfOrder));
        }
    }

    #[test]
    fn its_moments_are_those_of_the_standard() {
        // JCGM 101:2008, 6.4.2.3: (a + b)/2 and (b − a)²/12.
        let law = Rectangular::new(1.0, 4.0).expect("a valid law");
        assert_eq!((law.mean(), law.variance()), (Some(2.5), Some(0.75)));
        assert_eq!(law.half_width(1.0), 1.5);
        assert_eq!(law.tail_half_width(0.5), 1.5);
    }
}
