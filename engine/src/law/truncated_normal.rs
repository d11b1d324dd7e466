//! The normal law cut off at two limits: what is left of production when all beyond them is sorted out.

use super::error::{checked_limits, checked_spread};
use super::{Distribution, ExactRole, LawError, searched_half_width};
use crate::number::double_double::DoubleDouble;
use crate::number::legendre_series::LegendreSeries;
use crate::number::normal;
use crate::number::root::solve_increasing;
use nalgebra::Complex;
use rand::{Rng, RngExt};
use std::sync::Arc;

/// The least probability between the limits; below it the figures are another law's.
const LEAST_MASS: f64 = 1e-100;

/// Where the density has fallen to exp(−½ of this) of its peak, 1e-18, it is taken as zero in the integrals.
const FAR_SQUARED: f64 = 83.0;

/// From this many standard deviations on exp(−s²/2) falls by half at least when s is doubled.
const GAUSS_HALVES: f64 = 0.7;

/// A normal law by its mean and standard deviation before it was cut, and the limits.
#[derive(Debug, Clone, PartialEq)]
pub struct TruncatedNormal {
    mean: f64,
    sd: f64,
    low: f64,
    high: f64,
    /// P(low < X ≤ high) of the whole law.
    mass: f64,
    /// The density between [`Self::seen`], scaled to [−1, 1].
    series: Arc<LegendreSeries>,
}

impl TruncatedNormal {
    /// The normal law of this mean and standard deviation, given that the length is between the limits, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::SpreadNotPositive`] unless the standard deviation is above zero;
    /// [`LawError::LimitsOutOfOrder`] unless low is below high; [`LawError::NothingBetween`] where less than 1e-100 of
    /// the law lies between the limits.
    pub fn new(mean_mm: f64, sd_mm: f64, low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (mean, sd) = checked_spread(mean_mm, sd_mm)?;
        let (low, high) = checked_limits(low_mm, high_mm)?;
        let ends = ((low - mean) / sd, (high - mean) / sd);
        let mass = normal::between(ends.0, ends.1);
        if mass.is_nan() || mass < LEAST_MASS {
            return Err(LawError::NothingBetween);
        }
        let (middle, half) = seen(ends);
        // From the peak, so that nothing underflows on the way.
        let peak = 0.0f64.clamp(ends.0, ends.1);
        let height = normal::density(peak) / mass;
        let series = LegendreSeries::fit(|y| {
            let z = middle + half * y;
            half * height * (-0.5 * (z - peak) * (z + peak)).exp()
        });
        Ok(Self { mean, sd, low, high, mass, series: Arc::new(series) })
    }

    /// Fills `out` with independent values, by the quantile.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let (a, b) = self.ends();
        // On the side of the lower tail, where a probability keeps its digits.
        let sign = if a > 0.0 { -1.0 } else { 1.0 };
        let from = normal::below(if a > 0.0 { -b } else { a });
        for value in out {
            let u: f64 = rng.random();
            let z = normal::quantile(from + self.mass * u).map_or(a, |z| sign * z);
            *value = (self.mean + self.sd * z).clamp(self.low, self.high);
        }
    }

    fn standardised(&self, x: f64) -> f64 {
        (x - self.mean) / self.sd
    }

    fn ends(&self) -> (f64, f64) {
        (self.standardised(self.low), self.standardised(self.high))
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// The distance from the centre inward beyond which p ≤ ½ lies; on the upper side for `sign` 1.
    fn tail_place(&self, p: f64, sign: f64) -> f64 {
        let (a, b) = self.ends();
        // The whole law's tail beyond the limit and p of the cut one, where that is not lost in rounding.
        let beyond = if sign > 0.0 { normal::above(b) } else { normal::below(a) };
        let guess = normal::quantile(beyond + p * self.mass).map_or(0.0, |z| self.mean - sign * self.sd * z);
        sign * -solve_increasing((-self.high.max(-self.low), self.high.max(-self.low)), -sign * guess, p, 0.0, |x| {
            let at = -sign * x;
            (if sign > 0.0 { self.above(at) } else { self.below(at) }, self.density(at))
        })
    }
}

/// The middle and half-width of the part of the limits where there is a density to speak of.
fn seen((a, b): (f64, f64)) -> (f64, f64) {
    let peak = 0.0f64.clamp(a, b);
    let far = (peak * peak + FAR_SQUARED).sqrt();
    let (low, high) = (a.max(-far), b.min(far));
    (0.5 * (low + high), 0.5 * (high - low))
}

impl Distribution for TruncatedNormal {
    fn centre(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    fn centre_in_full(&self) -> DoubleDouble {
        DoubleDouble::sum(self.low, self.high).times_power_of_two(0.5)
    }

    fn mean(&self) -> Option<f64> {
        let (middle, half) = seen(self.ends());
        let [_, first, _] = self.series.moments();
        Some(self.mean + self.sd * (middle + half * first))
    }

    fn variance(&self) -> Option<f64> {
        let (_, half) = seen(self.ends());
        let [_, first, second] = self.series.moments();
        Some((self.sd * half).powi(2) * (second - first * first))
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    fn density(&self, x: f64) -> f64 {
        if x < self.low || x > self.high {
            return 0.0;
        }
        normal::density(self.standardised(x)) / (self.sd * self.mass)
    }

    fn below(&self, x: f64) -> f64 {
        if x >= self.high {
            return 1.0;
        }
        (normal::between(self.ends().0, self.standardised(x)) / self.mass).min(1.0)
    }

    fn above(&self, x: f64) -> f64 {
        if x <= self.low {
            return 1.0;
        }
        (normal::between(self.standardised(x), self.ends().1) / self.mass).min(1.0)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        Some(if p <= 0.5 { self.tail_place(p, -1.0) } else { self.tail_place(1.0 - p, 1.0) })
    }

    fn half_width(&self, coverage: f64) -> f64 {
        searched_half_width(self, self.half_range(), coverage)
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    /// Of the density as a sum of Legendre polynomials.
    fn characteristic(&self, t: f64) -> Complex<f64> {
        if t == 0.0 {
            return 1.0.into();
        }
        let (middle, half) = seen(self.ends());
        let (sine, cosine) = (t * (self.mean + self.sd * middle - self.centre())).sin_cos();
        self.series.fourier(t * self.sd * half) * Complex::new(cosine, sine)
    }

    /// min(1, 2f/|t|, that of the whole law and of what is cut off): with s = sd·|t| the whole law has exp(−s²/2) over the
    /// mass; each part cut off beyond a limit, on the far side of the mean, has twice its density there over |t|.
    fn envelope(&self, t: f64) -> f64 {
        let size = t.abs();
        let peak = self.density(self.mean.clamp(self.low, self.high));
        let whole = (-0.5 * (self.sd * size).powi(2)).exp() / self.mass;
        let apart = if self.low < self.mean && self.mean < self.high {
            whole + 2.0 * (self.density(self.low) + self.density(self.high)) / size
        } else {
            f64::INFINITY
        };
        (2.0 * peak / size).min(apart).min(1.0)
    }

    fn fall(&self, t: f64) -> f64 {
        let peak = self.density(self.mean.clamp(self.low, self.high));
        if t.abs() >= (2.0 * peak).max(GAUSS_HALVES / self.sd) { 0.5 } else { 1.0 }
    }

    /// The density is at least as curved, on a logarithmic scale, as the whole law's, so that its exponential moments are
    /// below those of the whole law (Herbst's argument; M. Ledoux, "The concentration of measure phenomenon", 2001, from
    /// memory).
    fn exact_role(&self) -> ExactRole {
        let half = self.half_range();
        ExactRole::Other { half_range: half, proxy_variance: (half * half).min(self.sd * self.sd) }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        for (mean, sd, low, high) in [
            (1.5, 0.015, 1.47, 1.54),
            (0.0, 1.0, -1.0, 1.0),
            (0.0, 1.0, -9.5, 12.0),
            (0.0, 1.0, 2.0, 3.0),
            (-3.0, 1.0, 2.0, 40.0),
            (0.0, 100.0, 1.0, 2.0),
        ] {
            checks::law(&Law::TruncatedNormal(TruncatedNormal::new(mean, sd, low, high).expect("a valid law")));
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(TruncatedNormal::new(0.0, f64::NAN, 0.0, 1.0), Err(LawError::NotFinite));
        assert_eq!(TruncatedNormal::new(0.0, 0.0, 0.0, 1.0), Err(LawError::SpreadNotPositive));
        assert_eq!(TruncatedNormal::new(0.0, 1.0, 1.0, 1.0), Err(LawError::LimitsOutOfOrder));
        assert_eq!(TruncatedNormal::new(0.0, 1.0, 30.0, 31.0), Err(LawError::NothingBetween));
    }

    #[test]
    fn far_limits_leave_the_normal_law() {
        let law = TruncatedNormal::new(0.3, 0.2, -9.0, 9.0).expect("a valid law");
        assert!((law.mean().expect("a mean") - 0.3).abs() < 1e-15);
        assert!((law.variance().expect("a variance") - 0.04).abs() < 1e-15);
        assert!((law.below(0.1) - normal::below(-1.0)).abs() < 1e-15);
    }
}
