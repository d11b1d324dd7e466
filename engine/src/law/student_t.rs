//! The scaled and shifted Student t, JCGM 101:2008, 6.4.9.

use super::error::checked_spread;
use super::{Distribution, ExactRole, LawError, each_tail};
use crate::number::{student_characteristic, student_t};
use nalgebra::Complex;
use rand::Rng;
use rand_distr::Distribution as _;

/// A Student t by its centre, scale and degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudentT {
    centre: f64,
    scale: f64,
    freedom: f64,
}

impl StudentT {
    /// (X − centre) / scale is the standard t with `freedom` degrees. Centre and scale in mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::SpreadNotPositive`] unless the scale is above zero;
    /// [`LawError::FreedomNotPositive`] unless the degrees are.
    pub fn new(mean_mm: f64, scale_mm: f64, freedom: f64) -> Result<Self, LawError> {
        let (centre, scale) = checked_spread(mean_mm, scale_mm)?;
        if !freedom.is_finite() {
            return Err(LawError::NotFinite);
        }
        if freedom <= 0.0 {
            return Err(LawError::FreedomNotPositive);
        }
        Ok(Self { centre, scale, freedom })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let standard = rand_distr::StudentT::new(self.freedom).expect("the degrees of a built law are above zero");
        for value in out {
            *value = self.centre + self.scale * standard.sample(rng);
        }
    }

    fn standardised(&self, x: f64) -> f64 {
        (x - self.centre) / self.scale
    }
}

impl Distribution for StudentT {
    fn centre(&self) -> f64 {
        self.centre
    }

    fn mean(&self) -> Option<f64> {
        (self.freedom > 1.0).then_some(self.centre)
    }

    /// scale² ν/(ν − 2), for ν above 2.
    fn variance(&self) -> Option<f64> {
        (self.freedom > 2.0).then(|| self.scale.powi(2) * (self.freedom / (self.freedom - 2.0)))
    }

    fn has_fourth_moment(&self) -> bool {
        self.freedom > 4.0
    }

    fn support(&self) -> Option<(f64, f64)> {
        None
    }

    fn density(&self, x: f64) -> f64 {
        student_t::density(self.freedom, self.standardised(x)) / self.scale
    }

    fn below(&self, x: f64) -> f64 {
        student_t::above(self.freedom, -self.standardised(x))
    }

    fn above(&self, x: f64) -> f64 {
        student_t::above(self.freedom, self.standardised(x))
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        let from_centre = self.scale * student_t::upper_quantile(self.freedom, p.min(1.0 - p));
        Some(self.centre + from_centre.copysign(p - 0.5))
    }

    fn half_width(&self, coverage: f64) -> f64 {
        self.tail_half_width(2.0 * each_tail(coverage))
    }

    fn tail_half_width(&self, p: f64) -> f64 {
        if p >= 1.0 {
            0.0
        } else if p <= 0.0 {
            f64::INFINITY
        } else {
            self.scale * student_t::upper_quantile(self.freedom, 0.5 * p)
        }
    }

    fn characteristic(&self, t: f64) -> Complex<f64> {
        self.envelope(t).into()
    }

    /// The characteristic function itself: it is positive and falls.
    fn envelope(&self, t: f64) -> f64 {
        student_characteristic::characteristic(self.freedom, self.scale * t)
    }

    /// From one degree on the function of 2s is at most the square of that of s: with μ = ν/2 its logarithm has the slope
    /// −K_{μ−1}(z)/K_μ(z) in z, which falls for μ ≥ ½ (DLMF 10.37, from memory).
    fn fall(&self, t: f64) -> f64 {
        if self.freedom >= 1.0 { self.envelope(t) } else { 1.0 }
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::StudentT { scale: self.scale, freedom: self.freedom }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        for freedom in [1.0, 1.3, 2.0, 2.5, 3.0, 4.0, 5.0, 18.0, 25.4, 300.0] {
            checks::law(&Law::StudentT(StudentT::new(1.2, 0.3, freedom).expect("a valid law")));
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(StudentT::new(0.0, f64::NAN, 3.0), Err(LawError::NotFinite));
        assert_eq!(StudentT::new(0.0, 1.0, f64::INFINITY), Err(LawError::NotFinite));
        assert_eq!(StudentT::new(0.0, 0.0, 3.0), Err(LawError::SpreadNotPositive));
        assert_eq!(StudentT::new(0.0, 1.0, 0.0), Err(LawError::FreedomNotPositive));
    }

    #[test]
    fn moments_exist_only_where_the_degrees_allow() {
        let law = |freedom| StudentT::new(1.0, 2.0, freedom).expect("a valid law");
        assert_eq!((law(1.0).mean(), law(1.5).mean()), (None, Some(1.0)));
        assert_eq!((law(2.0).variance(), law(4.0).variance()), (None, Some(8.0)));
        assert!(!law(4.0).has_fourth_moment() && law(4.5).has_fourth_moment());
    }
}
