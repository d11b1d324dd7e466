//! The triangular law: JCGM 101:2008, 6.4.5 where its mode is in the middle.

use super::error::checked_limits;
use super::slopes::Slopes;
use super::{Distribution, ExactRole, LawError, searched_half_width};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::{Rng, RngExt};

/// A triangular law by its limits and its mode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangular {
    low: f64,
    high: f64,
    symmetric: bool,
    slopes: Slopes,
}

impl Triangular {
    /// A density that rises from zero at the lower limit to its peak at the mode, and falls to zero at the upper limit,
    /// mm. The mode may be a limit.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high; [`LawError::ModeOutside`]
    /// unless low ≤ mode ≤ high.
    pub fn new(low_mm: f64, mode_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        if !(low <= mode_mm && mode_mm <= high) {
            return Err(LawError::ModeOutside);
        }
        Ok(Self { low, high, symmetric: false, slopes: Slopes::new(mode_mm - low, 0.0, high - mode_mm) })
    }

    /// The one with its mode in the middle, mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high.
    pub fn symmetric(low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        let half = 0.5 * (high - low);
        Ok(Self { low, high, symmetric: true, slopes: Slopes::new(half, 0.0, half) })
    }

    /// Fills `out` with independent values; of a symmetric law each is the sum of two rectangular ones.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        if !self.symmetric {
            return self.slopes.fill(self.low, rng, out);
        }
        let half = self.half_range();
        for value in out {
            let (one, other): (f64, f64) = (rng.random(), rng.random());
            *value = self.low + half * (one + other);
        }
    }

    fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
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

    /// A symmetric one is two rectangles of half the half-range.
    fn exact_role(&self) -> ExactRole {
        let half = self.half_range();
        if self.symmetric {
            ExactRole::Boxes { half_widths: [0.5 * half; 2] }
        } else {
            ExactRole::Other { half_range: half, proxy_variance: half * half }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        for (low, high) in [(-1.5, 4.0), (2.96, 3.04)] {
            let law = Triangular::symmetric(low, high).expect("a valid law");
            checks::law_with_breaks(&Law::Triangular(law), &[law.centre()]);
        }
        for (low, mode, high) in [(2.96, 3.0, 3.05), (0.0, 0.0, 1.0), (-2.0, 1.0, 1.0), (0.0, 0.001, 1.0)] {
            let law = Triangular::new(low, mode, high).expect("a valid law");
            checks::law_with_breaks(&Law::Triangular(law), &[mode]);
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Triangular::symmetric(0.0, f64::INFINITY), Err(LawError::NotFinite));
        for low in [1.0, 2.0] {
            assert_eq!(Triangular::symmetric(low, 1.0), Err(LawError::LimitsOutOfOrder));
        }
        for mode in [-0.1, 1.1, f64::NAN] {
            assert_eq!(Triangular::new(0.0, mode, 1.0), Err(LawError::ModeOutside));
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
