//! Functions of a standard normal variable as series of Hermite polynomials, and the covariance of two of them.

use super::gauss_legendre::points;
use super::normal::density;

/// Terms of a series.
const TERMS: usize = 256;
/// Beyond this a standard normal variable is with a probability of 6e-16, and a probability of one cannot be told from
/// it in a double.
const FAR: f64 = 8.1;
/// Panels before any is halved: the polynomials of the greatest degree have waves of about 0.4 near zero.
const WIDTH: f64 = 0.3;
/// What halving a panel may still change; functions have a variance of one here.
const CHANGE: f64 = 1e-15;
/// A panel with a jump in it is not halved below this width; what it is off by is of this size.
const NARROW: f64 = 1e-9;

/// Points z, weights (the normal density in them), and the values of `f` there, closer where `f` is not smooth.
fn nodes(f: &impl Fn(f64) -> f64) -> Vec<(f64, f64, f64)> {
    let panel = |a: f64, b: f64| -> Vec<(f64, f64, f64)> {
        points(a, b).map(|(z, weight)| (z, weight * density(z), f(z))).collect()
    };
    let sum = |nodes: &[(f64, f64, f64)]| nodes.iter().map(|(_, weight, value)| weight * value).sum::<f64>();
    let count = (2.0 * FAR / WIDTH).ceil() as usize;
    let at = |index: usize| -FAR + 2.0 * FAR * index as f64 / count as f64;
    let mut open: Vec<_> = (0..count).rev().map(|i| (at(i), at(i + 1), panel(at(i), at(i + 1)))).collect();
    let mut done = Vec::new();
    while let Some((a, b, whole)) = open.pop() {
        let middle = f64::midpoint(a, b);
        let (left, right) = (panel(a, middle), panel(middle, b));
        if (sum(&left) + sum(&right) - sum(&whole)).abs() <= CHANGE || b - a <= NARROW {
            done.extend(left);
            done.extend(right);
        } else {
            open.push((middle, b, right));
            open.push((a, middle, left));
        }
    }
    done
}

/// E f(Z) for a standard normal Z and a function of moderate growth, jumps and kinks allowed.
#[must_use]
pub fn expectation(f: impl Fn(f64) -> f64) -> f64 {
    nodes(&f).iter().map(|(_, weight, value)| weight * value).sum()
}

/// The coefficients a₁, a₂, … of f(Z) in the normalised Hermite polynomials He_k/√k!.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    coefficients: Vec<f64>,
}

impl Series {
    /// The series of a function with mean zero and variance one.
    ///
    /// Formula: a_k = E f(Z) He_k(Z)/√k!.
    #[must_use]
    pub fn new(f: impl Fn(f64) -> f64) -> Series {
        let mut coefficients = vec![0.0; TERMS];
        for (z, weight, value) in nodes(&f) {
            let (mut before, mut now) = (1.0, z);
            for (k, coefficient) in coefficients.iter_mut().enumerate() {
                *coefficient += weight * value * now;
                let order = (k + 1) as f64;
                (before, now) = (now, (z * now - order.sqrt() * before) / (order + 1.0).sqrt());
            }
        }
        Series { coefficients }
    }

    /// The variance that the terms left out have together.
    fn left_out(&self) -> f64 {
        (1.0 - self.coefficients.iter().map(|a| a * a).sum::<f64>()).max(0.0)
    }
}

/// The covariance of f(X) and g(Y), X and Y standard normal with a correlation, as a function of that.
#[derive(Debug, Clone, PartialEq)]
pub struct Covariance {
    /// The coefficients of ρ, ρ², …
    powers: Vec<f64>,
    /// What the terms left out come to at ρ = 1 and at ρ = −1.
    rest: (f64, f64),
    /// A bound of what they come to is this times |ρ| to the power of the first of them.
    bound: f64,
    /// At ρ = −1 and at ρ = 1.
    reach: (f64, f64),
}

impl Covariance {
    /// Prepares the function. `reach` are the covariances at ρ = −1 and at ρ = 1.
    ///
    /// Formula: Cov = Σ a_k b_k ρᵏ (F. G. Mehler, 1866).
    #[must_use]
    pub fn new(f: &Series, g: &Series, reach: (f64, f64)) -> Covariance {
        let powers: Vec<f64> = f.coefficients.iter().zip(&g.coefficients).map(|(a, b)| a * b).collect();
        let bound = (f.left_out() * g.left_out()).sqrt();
        let mut covariance = Covariance { powers, rest: (0.0, 0.0), bound, reach };
        covariance.rest = (reach.1 - covariance.at(1.0), reach.0 - covariance.at(-1.0));
        covariance
    }

    /// The covariance at a correlation.
    #[must_use]
    pub fn at(&self, correlation: f64) -> f64 {
        let known = self.powers.iter().rev().fold(0.0, |sum, power| (sum + power) * correlation);
        // The terms left out as if they were the first two of them, one even and one odd, so that the ends are met.
        let first = correlation.abs().powi(TERMS as i32 + 1);
        let (even, odd) = (0.5 * (self.rest.0 + self.rest.1), 0.5 * (self.rest.0 - self.rest.1));
        known + first * (even + odd * correlation.signum())
    }

    /// A bound of the error of [`Self::at`] that the terms left out make.
    #[must_use]
    pub fn error_bound(&self, correlation: f64) -> f64 {
        2.0 * self.bound * correlation.abs().powi(TERMS as i32 + 1)
    }

    /// The covariances at ρ = −1 and at ρ = 1: none is beyond them.
    #[must_use]
    pub fn reach(&self) -> (f64, f64) {
        self.reach
    }

    /// The correlation at which the covariance is `wanted`, for f and g that both rise; none where it is out of reach by
    /// more than 1e-9.
    #[must_use]
    pub fn solve(&self, wanted: f64) -> Option<f64> {
        const HAIR: f64 = 1e-9;
        if wanted < self.reach.0 - HAIR || wanted > self.reach.1 + HAIR {
            return None;
        }
        let (mut low, mut high) = (-1.0, 1.0);
        // Sixty halvings bring the interval below what a double tells apart.
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if self.at(middle) < wanted { low = middle } else { high = middle }
        }
        Some(f64::midpoint(low, high))
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::number::normal::below;

    /// A rectangular variable of variance one.
    fn rectangle(z: f64) -> f64 {
        12.0_f64.sqrt() * (below(z) - 0.5)
    }

    #[test]
    fn expectations_of_powers() {
        for (power, moment) in [(0, 1.0), (1, 0.0), (2, 1.0), (4, 3.0), (6, 15.0)] {
            let found = expectation(|z| z.powi(power));
            // What is beyond 8.1: z⁶ there comes to 2e-10.
            assert!((found - moment).abs() <= 1e-9, "{power}: {found}");
        }
        // A jump: P(Z > 1/3).
        let found = expectation(|z| if z > 1.0 / 3.0 { 1.0 } else { 0.0 });
        assert!((found - below(-1.0 / 3.0)).abs() <= NARROW, "{found}");
    }

    #[test]
    fn two_rectangles_follow_the_arcsine() {
        // Corr = (6/π) asin(ρ/2): K. Pearson (1907), the rank correlation of a bivariate normal law.
        let series = Series::new(rectangle);
        let covariance = Covariance::new(&series, &series, (-1.0, 1.0));
        for step in -20..=20 {
            let correlation = f64::from(step) / 20.0;
            let exact = 6.0 / PI * (correlation / 2.0).asin();
            assert!((covariance.at(correlation) - exact).abs() <= 1e-12, "{correlation}");
            let solved = covariance.solve(exact).expect("it is in reach");
            assert!((solved - correlation).abs() <= 1e-11, "{solved} {correlation}");
        }
    }

    #[test]
    fn two_jumps_follow_sheppard() {
        // Signs: E sign X sign Y = (2/π) asin ρ. Their series ends nowhere, so this is the hardest case.
        let sign = |z: f64| if z > 0.0 { 1.0 } else { -1.0 };
        let series = Series::new(sign);
        let covariance = Covariance::new(&series, &series, (-1.0, 1.0));
        for (correlation, allowed) in [(0.0, 0.0), (0.5, 1e-9), (-0.9, 1e-9), (0.99, 3e-3), (1.0, 1e-9)] {
            let exact: f64 = 2.0 / PI * f64::asin(correlation);
            let off = (covariance.at(correlation) - exact).abs();
            assert!(off <= allowed && off <= covariance.error_bound(correlation) + 2e-9, "{correlation}: {off}");
        }
        assert!(covariance.error_bound(0.99) < 0.01 && covariance.error_bound(0.9) < 1e-9);
    }

    #[test]
    fn what_is_out_of_reach_is_not_solved() {
        let normal = Series::new(|z| z);
        let series = Series::new(rectangle);
        // Cov(Z, U) at ρ = 1 is √(3/π).
        let most = (3.0 / PI).sqrt();
        let covariance = Covariance::new(&normal, &series, (-most, most));
        assert!((covariance.at(0.5) - 0.5 * most).abs() <= 1e-13);
        assert_eq!(covariance.solve(0.98), None);
        assert_eq!(covariance.solve(-0.98), None);
        assert!((covariance.solve(0.9).expect("it is in reach") - 0.9 / most).abs() <= 1e-12);
    }
}
