//! The beta law between limits: one hill, leaning as its two figures say.

use super::error::checked_limits;
use super::variation::Variation;
use super::{Distribution, ExactRole, LawError, searched_half_width};
use crate::number::beta_characteristic::BetaCharacteristic;
use crate::number::double_double::DoubleDouble;
use crate::number::incomplete_beta::{below, leading, ln_beta};
use crate::number::root::solve_increasing;
use nalgebra::Complex;
use rand::Rng;
use rand_distr::Distribution as _;
use std::sync::Arc;

/// Least and greatest a and b: below one the density has no bound, and far above a hundred it is a normal law's.
const RANGE: std::ops::RangeInclusive<f64> = 1.0..=100.0;

/// A beta law by its limits and its two figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Beta {
    low: f64,
    high: f64,
    a: f64,
    b: f64,
    variation: Variation,
    transform: Arc<BetaCharacteristic>,
}

impl Beta {
    /// The density is proportional to (x − low)^(a−1) (high − x)^(b−1), lengths in mm.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::LimitsOutOfOrder`] unless low is below high; [`LawError::BetaOutOfRange`]
    /// unless a and b are from 1 to 100.
    pub fn new(a: f64, b: f64, low_mm: f64, high_mm: f64) -> Result<Self, LawError> {
        let (low, high) = checked_limits(low_mm, high_mm)?;
        if !RANGE.contains(&a) || !RANGE.contains(&b) {
            return Err(LawError::BetaOutOfRange);
        }
        let width = high - low;
        let unit = unit_variation(a, b);
        let variation = Variation { density: unit.density / width, slope: unit.slope / width / width };
        Ok(Self { low, high, a, b, variation, transform: Arc::new(BetaCharacteristic::new(a, b)) })
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let unit = rand_distr::Beta::new(self.a, self.b).expect("the figures of a built law are above zero");
        for value in out {
            *value = self.low + self.width() * unit.sample(rng);
        }
    }

    fn width(&self) -> f64 {
        self.high - self.low
    }

    /// The part of the width at x, from the lower limit and from the upper.
    fn parts(&self, x: f64) -> (f64, f64) {
        ((x - self.low) / self.width(), (self.high - x) / self.width())
    }

    /// The part of the width, from a limit, below which p ≤ ½ lies; a is the figure of that limit.
    fn part_below(a: f64, b: f64, p: f64) -> f64 {
        // As if the density were the power law at the limit.
        let start = ((p.ln() + a.ln() + ln_beta(a, b)) / a).exp().min(0.5);
        solve_increasing((0.0, 1.0), start, p, 0.0, |y| {
            (
                below(a, b, y, 1.0 - y),
                if y > 0.0 && y < 1.0 { leading(a, b, y, 1.0 - y) / (y * (1.0 - y)) } else { 0.0 },
            )
        })
    }
}

impl Distribution for Beta {
    fn centre(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    fn centre_in_full(&self) -> DoubleDouble {
        DoubleDouble::sum(self.low, self.high).times_power_of_two(0.5)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.centre() + 0.5 * self.width() * ((self.a - self.b) / (self.a + self.b)))
    }

    fn variance(&self) -> Option<f64> {
        let sum = self.a + self.b;
        Some(self.width().powi(2) * (self.a / sum) * (self.b / sum) / (sum + 1.0))
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some((self.low, self.high))
    }

    fn density(&self, x: f64) -> f64 {
        let (y, complement) = self.parts(x);
        if y < 0.0 || complement < 0.0 {
            return 0.0;
        }
        unit_density(self.a, self.b, y, complement) / self.width()
    }

    fn below(&self, x: f64) -> f64 {
        let (y, complement) = self.parts(x);
        below(self.a, self.b, y, complement)
    }

    fn above(&self, x: f64) -> f64 {
        let (y, complement) = self.parts(x);
        below(self.b, self.a, complement, y)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        Some(if p <= 0.5 {
            self.low + self.width() * Self::part_below(self.a, self.b, p)
        } else {
            self.high - self.width() * Self::part_below(self.b, self.a, 1.0 - p)
        })
    }

    fn half_width(&self, coverage: f64) -> f64 {
        searched_half_width(self, 0.5 * self.width(), coverage)
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        0.5 * self.width()
    }

    fn characteristic(&self, t: f64) -> Complex<f64> {
        self.transform.at(0.5 * self.width() * t)
    }

    fn envelope(&self, t: f64) -> f64 {
        self.variation.envelope(t)
    }

    fn fall(&self, t: f64) -> f64 {
        self.variation.fall(t)
    }

    /// The proxy is that of O. Marchal and J. Arbel, "On the sub-Gaussianity of the beta and Dirichlet distributions",
    /// Electronic Communications in Probability 22 (2017) no. 54, theorem 1 (from memory).
    fn exact_role(&self) -> ExactRole {
        let width = self.width();
        ExactRole::Other { half_range: 0.5 * width, proxy_variance: width * width / (4.0 * (self.a + self.b + 1.0)) }
    }
}

/// The density on [0, 1].
fn unit_density(a: f64, b: f64, y: f64, complement: f64) -> f64 {
    (power(y, a - 1.0) * power(complement, b - 1.0)) * (-ln_beta(a, b)).exp()
}

/// x^p with 0⁰ = 1.
fn power(x: f64, p: f64) -> f64 {
    if p == 0.0 { 1.0 } else { x.powf(p) }
}

/// On [0, 1]: twice the peak; and twice the range of the slope, which goes up, down and up again at most once each,
/// where both figures are two at least.
fn unit_variation(a: f64, b: f64) -> Variation {
    let (p, q) = (a - 1.0, b - 1.0);
    let mode = if p + q > 0.0 { p / (p + q) } else { 0.5 };
    let peak = unit_density(a, b, mode, 1.0 - mode);
    if p < 1.0 || q < 1.0 {
        return Variation { density: 2.0 * peak, slope: f64::INFINITY };
    }
    // f′ ∝ y^(p−1) (1−y)^(q−1) (p − (p+q) y); f″ = 0 at the mode ± √(pq/(p+q−1))/(p+q).
    let slope = |y: f64| {
        let leading = power(y, p - 1.0) * power(1.0 - y, q - 1.0) * (-ln_beta(a, b)).exp();
        leading * (p - (p + q) * y)
    };
    let away = (p * q / (p + q - 1.0)).sqrt() / (p + q);
    let places = [0.0, 1.0, (mode - away).clamp(0.0, 1.0), (mode + away).clamp(0.0, 1.0)].map(slope);
    let greatest = places.iter().fold(0.0f64, |greatest, &one| greatest.max(one));
    let least = places.iter().fold(0.0f64, |least, &one| least.min(one));
    // The corners are in closed form to a few units in the last place; a little more covers them.
    Variation { density: 2.0 * peak, slope: 2.0 * (greatest - least) * (1.0 + 1e-12) }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        for (a, b, low, high) in [
            (2.0, 3.5, 3.95, 4.05),
            (1.0, 1.0, -1.0, 2.0),
            (1.0, 4.0, 0.0, 1.0),
            (1.5, 1.25, 0.0, 1.0),
            (6.0, 2.0, -3.0, 5.0),
            (80.0, 30.0, 0.0, 1.0),
        ] {
            checks::law(&Law::Beta(Beta::new(a, b, low, high).expect("a valid law")));
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Beta::new(2.0, 2.0, 0.0, f64::NAN), Err(LawError::NotFinite));
        assert_eq!(Beta::new(2.0, 2.0, 1.0, 1.0), Err(LawError::LimitsOutOfOrder));
        for (a, b) in [(0.9, 2.0), (2.0, 0.0), (101.0, 2.0), (f64::NAN, 2.0)] {
            assert_eq!(Beta::new(a, b, 0.0, 1.0), Err(LawError::BetaOutOfRange));
        }
    }

    #[test]
    fn ones_are_a_rectangle_and_twos_a_parabola() {
        let rectangle = Beta::new(1.0, 1.0, 1.0, 4.0).expect("a valid law");
        assert_eq!((rectangle.mean(), rectangle.variance()), (Some(2.5), Some(0.75)));
        assert!((rectangle.below(1.75) - 0.25).abs() < 1e-15);
        // y²(3 − 2y).
        let parabola = Beta::new(2.0, 2.0, 0.0, 1.0).expect("a valid law");
        assert!((parabola.below(0.25) - 0.156_25).abs() < 1e-15);
    }
}
