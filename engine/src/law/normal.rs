//! The normal (Gaussian) law, JCGM 101:2008, 6.4.7.

use super::error::checked_spread;
use super::{Distribution, ExactRole, LawError, each_tail};
use crate::number::normal;
use nalgebra::Complex;
use rand::{Rng, RngExt};
use rand_distr::StandardNormal;

/// A normal law by its mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    mean: f64,
    sd: f64,
}

impl Normal {
    /// A normal law with this mean and standard deviation, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::SpreadNotPositive`] unless the standard deviation is above zero.
    pub fn new(mean_mm: f64, sd_mm: f64) -> Result<Self, LawError> {
        let (mean, sd) = checked_spread(mean_mm, sd_mm)?;
        Ok(Self { mean, sd })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        for value in out {
            let z: f64 = rng.sample(StandardNormal);
            *value = self.mean + self.sd * z;
        }
    }

    fn standardised(&self, x: f64) -> f64 {
        (x - self.mean) / self.sd
    }
}

impl Distribution for Normal {
    fn centre(&self) -> f64 {
        self.mean
    }

    fn mean(&self) -> Option<f64> {
        Some(self.mean)
    }

    fn variance(&self) -> Option<f64> {
        Some(self.sd * self.sd)
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        None
    }

    fn density(&self, x: f64) -> f64 {
        normal::density(self.standardised(x)) / self.sd
    }

    fn below(&self, x: f64) -> f64 {
        normal::below(self.standardised(x))
    }

    fn above(&self, x: f64) -> f64 {
        normal::above(self.standardised(x))
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        normal::quantile(p).map(|z| self.mean + self.sd * z)
    }

    fn half_width(&self, coverage: f64) -> f64 {
        self.tail_half_width(2.0 * each_tail(coverage))
    }

    fn tail_half_width(&self, p: f64) -> f64 {
        if p >= 1.0 {
            return 0.0;
        }
        normal::quantile(0.5 * p).map_or(f64::INFINITY, |z| -z * self.sd)
    }

    fn characteristic(&self, t: f64) -> Complex<f64> {
        self.envelope(t).into()
    }

    /// The characteristic function itself, exp(−s²t²/2).
    fn envelope(&self, t: f64) -> f64 {
        (-0.5 * (self.sd * t).powi(2)).exp()
    }

    fn fall(&self, t: f64) -> f64 {
        (-1.5 * (self.sd * t).powi(2)).exp()
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::Normal { variance: self.sd * self.sd }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        checks::law(&Law::Normal(Normal::new(-3.2, 0.75).expect("a valid law")));
        checks::law(&Law::Normal(Normal::new(52.0, 0.004).expect("a valid law")));
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Normal::new(f64::NAN, 1.0), Err(LawError::NotFinite));
        assert_eq!(Normal::new(0.0, f64::INFINITY), Err(LawError::NotFinite));
        for sd in [0.0, -1.0] {
            assert_eq!(Normal::new(0.0, sd), Err(LawError::SpreadNotPositive));
        }
    }

    #[test]
    fn its_moments_are_its_figures() {
        let law = Normal::new(7.0, 0.5).expect("a valid law");
        assert_eq!((law.mean(), law.variance()), (Some(7.0), Some(0.25)));
        assert_eq!(law.exact_role(), ExactRole::Normal { variance: 0.25 });
    }
}
