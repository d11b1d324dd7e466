//! The arcsine (U-shaped) law, JCGM 101:2008, 6.4.6: that of a sine wave at a random moment.

use super::error::checked_limits;
use super::{Distribution, ExactRole, LawError, each_tail, fall_of_power};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::{Rng, RngExt};
use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, PI};

/// An arcsine law by its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arcsine {
    low: f64,
    high: f64,
}

impl Arcsine {
    /// A density that grows without bound towards both limits, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high.
    pub fn new(low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        Ok(Self { low, high })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let (centre, half) = (self.centre(), self.half_range());
        for value in out {
            let u: f64 = rng.random();
            *value = centre - half * (PI * u).cos();
        }
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// The tail next to one limit: (2/π) arcsin √(distance / range), from whichever limit is nearer.
    fn tail(&self, from_limit: f64, to_other: f64) -> f64 {
        let part = |distance: f64| FRAC_2_PI * (distance.max(0.0) / (self.high - self.low)).sqrt().asin();
        if from_limit <= to_other { part(from_limit) } else { 1.0 - part(to_other) }
    }
}

impl Distribution for Arcsine {
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
        Some(self.half_range().powi(2) / 2.0)
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    /// Infinite at the limits.
    fn density(&self, x: f64) -> f64 {
        let product = (x - self.low) * (self.high - x);
        if product < 0.0 { 0.0 } else { 1.0 / (PI * product.sqrt()) }
    }

    fn below(&self, x: f64) -> f64 {
        self.tail(x - self.low, self.high - x)
    }

    fn above(&self, x: f64) -> f64 {
        self.tail(self.high - x, x - self.low)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        let from_limit = (self.high - self.low) * (FRAC_PI_2 * p.min(1.0 - p)).sin().powi(2);
        Some(if p <= 0.5 { self.low + from_limit } else { self.high - from_limit })
    }

    fn half_width(&self, coverage: f64) -> f64 {
        self.half_range() * (FRAC_PI_2 * (1.0 - 2.0 * each_tail(coverage))).sin()
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    /// J₀(at), a the half-range.
    fn characteristic(&self, t: f64) -> Complex<f64> {
        libm::j0(self.half_range() * t).into()
    }

    /// min(1, √(2/(πa|t|))): x(J₀² + Y₀²) grows towards 2/π (DLMF 10.18(iii), from memory).
    fn envelope(&self, t: f64) -> f64 {
        (FRAC_2_PI / (self.half_range() * t.abs())).sqrt().min(1.0)
    }

    fn fall(&self, t: f64) -> f64 {
        fall_of_power(FRAC_2_PI / self.half_range(), 0.5, t)
    }

    /// Its moments are below those of a normal law of its variance, term by term, as a rectangle's are.
    fn exact_role(&self) -> ExactRole {
        let half = self.half_range();
        ExactRole::Other { half_range: half, proxy_variance: 0.5 * half * half }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        checks::law(&Law::Arcsine(Arcsine::new(-1.5, 4.0).expect("a valid law")));
        checks::law(&Law::Arcsine(Arcsine::new(-0.02, 0.02).expect("a valid law")));
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Arcsine::new(0.0, f64::NAN), Err(LawError::NotFinite));
        assert_eq!(Arcsine::new(1.0, 1.0), Err(LawError::LimitsOutOfOrder));
    }

    #[test]
    fn its_moments_are_those_of_the_standard() {
        // JCGM 101:2008, 6.4.6.4 (from memory): (a + b)/2 and (b − a)²/8.
        let law = Arcsine::new(1.0, 4.0).expect("a valid law");
        assert_eq!((law.mean(), law.variance()), (Some(2.5), Some(1.125)));
    }
}
