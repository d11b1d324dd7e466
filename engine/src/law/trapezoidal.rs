//! The trapezoidal law, JCGM 101:2008, 6.4.4, its top anywhere between the limits.

use super::error::checked_limits;
use super::slopes::Slopes;
use super::{Distribution, ExactRole, LawError, searched_half_width};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::Rng;

/// A trapezoidal law by its limits and the ends of its level top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapezoidal {
    low: f64,
    high: f64,
    top: (f64, f64),
    slopes: Slopes,
}

impl Trapezoidal {
    /// A density that rises from the lower limit to the top, is level there, and falls to the upper limit, mm. An end
    /// of the top may be a limit.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high; [`LawError::TopOutside`]
    /// unless low ≤ top.0 ≤ top.1 ≤ high.
    pub fn new(low_mm: f64, top_mm: (f64, f64), high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        let (first, second) = top_mm;
        if !(low <= first && first <= second && second <= high) {
            return Err(LawError::TopOutside);
        }
        Ok(Self { low, high, top: top_mm, slopes: Slopes::new(first - low, second - first, high - second) })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        self.slopes.fill(self.low, rng, out);
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

impl Distribution for Trapezoidal {
    fn centre(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    fn centre_in_full(&self) -> DoubleDouble {
        DoubleDouble::sum(self.low, self.high).times_power_of_two(0.5)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.centre() + self.slopes.mean_from_middle())
    }

    fn variance(&self) -> Option<f64> {
        Some(self.slopes.variance())
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    fn density(&self, x: f64) -> f64 {
        self.slopes.density(x - self.low)
    }

    fn below(&self, x: f64) -> f64 {
        self.slopes.below(x - self.low)
    }

    fn above(&self, x: f64) -> f64 {
        self.slopes.above(self.high - x)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        (p > 0.0 && p < 1.0).then(|| self.low + self.slopes.quantile(p))
    }

    fn half_width(&self, coverage: f64) -> f64 {
        searched_half_width(self, self.half_range(), coverage)
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    fn characteristic(&self, t: f64) -> Complex<f64> {
        self.slopes.characteristic(t)
    }

    fn envelope(&self, t: f64) -> f64 {
        self.slopes.variation().envelope(t)
    }

    fn fall(&self, t: f64) -> f64 {
        self.slopes.variation().fall(t)
    }

    /// A symmetric one is the sum of two rectangles: their half-widths add to half the base and differ by half the top.
    fn exact_role(&self) -> ExactRole {
        let (first, second) = self.top;
        let half = self.half_range();
        if first - self.low == self.high - second {
            let top = 0.5 * (second - first);
            return ExactRole::Boxes { half_widths: [0.5 * (half + top), 0.5 * (half - top)] };
        }
        ExactRole::Other { half_range: half, proxy_variance: half * half }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    fn law(low: f64, top: (f64, f64), high: f64) -> Trapezoidal {
        Trapezoidal::new(low, top, high).expect("a valid law")
    }

    #[test]
    fn it_passes_the_shared_checks() {
        for (low, first, second, high) in
            [(-1.0, -0.25, 0.5, 1.25), (5.96, 5.97, 6.02, 6.04), (0.0, 0.0, 1.0, 3.0), (0.0, 0.5, 1.0, 1.0)]
        {
            checks::law_with_breaks(&Law::Trapezoidal(law(low, (first, second), high)), &[first, second]);
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Trapezoidal::new(0.0, (0.5, 0.6), f64::INFINITY), Err(LawError::NotFinite));
        assert_eq!(Trapezoidal::new(1.0, (1.0, 1.0), 1.0), Err(LawError::LimitsOutOfOrder));
        for top in [(-0.1, 0.5), (0.5, 1.1), (0.6, 0.5), (f64::NAN, 0.5)] {
            assert_eq!(Trapezoidal::new(0.0, top, 1.0), Err(LawError::TopOutside));
        }
    }

    #[test]
    fn its_moments_are_those_of_the_standard() {
        // JCGM 101:2008, 6.4.4.3 (from memory): (a + b)/2 and (b − a)²(1 + β²)/24, β the top over the base.
        let one = law(1.0, (2.0, 3.0), 4.0);
        assert!((one.mean().expect("a mean") - 2.5).abs() < 1e-15);
        let beta: f64 = 1.0 / 3.0;
        assert!((one.variance().expect("a variance") - 9.0 * (1.0 + beta * beta) / 24.0).abs() < 1e-15);
    }

    #[test]
    fn a_symmetric_one_is_two_rectangles() {
        assert_eq!(law(0.0, (1.0, 3.0), 4.0).exact_role(), ExactRole::Boxes { half_widths: [1.5, 0.5] });
        assert_eq!(law(0.0, (0.0, 4.0), 4.0).exact_role(), ExactRole::Boxes { half_widths: [2.0, 0.0] });
        assert_eq!(law(0.0, (1.0, 2.0), 4.0).exact_role(), ExactRole::Other { half_range: 2.0, proxy_variance: 4.0 });
    }
}
