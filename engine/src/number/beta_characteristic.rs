//! The characteristic function of a beta law.
//!
//! It is E exp(iτY) of Y on [−1, 1] with a density proportional to (1 + y)^(a−1) (1 − y)^(b−1).
//!
//! Near zero by Gauss's rule for that weight; further out by the expansions at the two ends (Laplace's method on the
//! rays that rise from them), e^{−iτ} (i/2τ)^a Γ(a+b)/Γ(b) Σ_k (a)_k (1−b)_k/k! (i/2τ)^k and the mirror image of it,
//! from where they reach double precision; for large a and b the function has long vanished there. (DLMF 13.7.2 has the
//! same for Kummer's function.)

use super::gauss;
use nalgebra::Complex;
use std::f64::consts::FRAC_PI_2;

/// E exp(iτY), prepared for one a and b.
#[derive(Debug, Clone, PartialEq)]
pub struct BetaCharacteristic {
    a: f64,
    b: f64,
    nodes: Vec<gauss::Node>,
    /// Up to this τ the rule is used.
    near: f64,
    /// Whether the function counts as zero beyond.
    vanishes: bool,
    /// Γ(a+b)/Γ(b) and Γ(a+b)/Γ(a), as logarithms.
    ln_factors: (f64, f64),
}

impl BetaCharacteristic {
    /// What is below this counts as nothing, against a value of one at zero.
    const NOTHING: f64 = 1e-18;

    /// For a and b from 1 to 100.
    #[must_use]
    pub fn new(a: f64, b: f64) -> Self {
        let ln_factors = (libm::lgamma(a + b) - libm::lgamma(b), libm::lgamma(a + b) - libm::lgamma(a));
        let mut reached = 20.0;
        while !(series_ends(a, b, 2.0 * reached) && series_ends(b, a, 2.0 * reached)) {
            reached *= 1.1;
        }
        // A normal law of the same variance, and the leading power at either end.
        let sum = a + b;
        let variance = 4.0 * a * b / (sum * sum * (sum + 1.0));
        let as_normal = (-2.0 * Self::NOTHING.ln() / variance).sqrt();
        let as_power = |order: f64, ln_factor: f64| 0.5 * ((ln_factor - Self::NOTHING.ln()) / order).exp();
        let vanished = 1.5 * as_normal.max(as_power(a, ln_factors.0)).max(as_power(b, ln_factors.1));
        let near = reached.min(vanished);
        let nodes = gauss::jacobi((0.75 * near) as usize + 60, b - 1.0, a - 1.0);
        Self { a, b, nodes, near, vanishes: vanished < reached, ln_factors }
    }

    /// The function at τ, to about 2e-15 of its value of one at zero.
    #[must_use]
    pub fn at(&self, tau: f64) -> Complex<f64> {
        let size = tau.abs();
        let value = if size == 0.0 {
            return 1.0.into();
        } else if size <= self.near {
            self.nodes.iter().map(|&(y, weight)| Complex::from_polar(weight, size * y)).sum()
        } else if self.vanishes {
            Complex::ZERO
        } else {
            // The upper end's is the mirror image: conjugate, with a and b changed about.
            end(self.a, self.b, self.ln_factors.0, size) + end(self.b, self.a, self.ln_factors.1, size).conj()
        };
        if tau < 0.0 { value.conj() } else { value }
    }
}

/// The contribution of the lower end, of order a.
fn end(a: f64, b: f64, ln_factor: f64, tau: f64) -> Complex<f64> {
    let size = (ln_factor - a * (2.0 * tau).ln()).exp();
    let (mut sum, mut term) = (Complex::from(1.0), Complex::from(1.0));
    for k in 0..60 {
        let k = f64::from(k);
        term *= Complex::new(0.0, (a + k) * (1.0 - b + k) / ((k + 1.0) * 2.0 * tau));
        sum += term;
        if term.norm_sqr() < 1e-34 {
            break;
        }
    }
    sum * Complex::from_polar(size, FRAC_PI_2 * a - tau)
}

/// Whether the series of [`end`] falls to 1e-17 within its 60 terms, none of them above one.
fn series_ends(a: f64, b: f64, twice: f64) -> bool {
    let mut term = 1.0f64;
    for k in 0..60 {
        let k = f64::from(k);
        term *= ((a + k) * (1.0 - b + k) / ((k + 1.0) * twice)).abs();
        if term > 1.0 {
            return false;
        }
        if term < 1e-17 {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_one_rule_where_the_two_ways_meet() {
        for (a, b) in [(2.0, 3.5), (1.5, 1.25), (1.0, 6.0), (4.0, 9.5)] {
            let function = BetaCharacteristic::new(a, b);
            assert!(!function.vanishes);
            let (near, far) = (function.at(function.near), function.at(function.near * (1.0 + 1e-14)));
            // The rounding of the place turns the value by 1e-14 of τ.
            assert!((near - far).norm() < 2e-15 + 1e-14 * function.near * near.norm(), "{a} {b}: {near} {far}");
        }
    }

    #[test]
    fn ones_give_the_sine_over_its_angle() {
        let function = BetaCharacteristic::new(1.0, 1.0);
        // Sums of some eighty terms, each rounded.
        for tau in [-3.0f64, 0.1, 12.0, 400.0] {
            assert!((function.at(tau) - Complex::from(tau.sin() / tau)).norm() < 3e-15, "{tau}");
        }
        assert_eq!(function.at(0.0), Complex::from(1.0));
    }
}
