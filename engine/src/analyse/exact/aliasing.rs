//! The aliasing that the t terms put into an inversion, as a polynomial to take off.
//!
//! The midpoint rule of period L gives F(x) + Σ_{j≥1} (−1)^{j+1} [P(Y > jL + x) − P(Y < −(jL − x))]. For one t term with
//! tail G(w) = Σ_k A_k w^{−p_k}, p_k = ν + 2k, and ξ = x/L the sum is
//! −2 Σ_k A_k L^{−p_k} Σ_{n odd} C(p_k + n − 1, n) η(p_k + n) ξⁿ, with η the alternating zeta function.

use super::parts::Student;
use crate::number::student_t;

/// Terms of the aliasing below this are left out; the rounding bound of every answer is larger.
const SMALLEST: f64 = 1e-18;

/// Terms of an alternating series taken by [`Eta`]: relative error 5.83^−20 = 5e-16.
const ETA_TERMS: usize = 20;

/// The aliasing as an odd polynomial in ξ = x / period.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Aliasing {
    period: f64,
    /// Coefficients of ξ, ξ³, …
    coefficients: Vec<f64>,
}

impl Aliasing {
    /// Nothing to take off.
    pub(super) fn none() -> Self {
        Self { period: 1.0, coefficients: Vec::new() }
    }

    /// The aliasing of these terms for |x| ≤ `reach`, which is at most half the period.
    pub(super) fn new(students: &[Student], period: f64, reach: f64) -> Self {
        let furthest = reach / period;
        assert!(furthest < 0.501, "the period of a corrected inversion is twice the reach at least");
        let mut aliasing = Self { period, coefficients: Vec::new() };
        for student in students {
            aliasing.add(*student, furthest);
        }
        aliasing
    }

    fn add(&mut self, student: Student, furthest: f64) {
        let freedom = student.freedom;
        let v = period_in_widths(student, self.period);
        // A_k L^{−p_k} = C √ν binom(−(ν+1)/2, k) v^{−ν−2k} / (ν + 2k), with v = L / (s √ν).
        let mut binomial = student_t::power_law_factor(freedom) * freedom * v.powf(-freedom);
        for k in 0..40u32 {
            let power = freedom + 2.0 * f64::from(k);
            let size = self.add_power(power, binomial / power, furthest);
            if size < SMALLEST {
                return;
            }
            binomial *= -(0.5 * (freedom + 1.0) + f64::from(k)) / f64::from(k + 1) / (v * v);
        }
    }

    /// Adds one power of the tail, and returns the size of its first coefficient at the furthest x.
    fn add_power(&mut self, power: f64, factor: f64, furthest: f64) -> f64 {
        let mut eta = Eta::new(power + 1.0);
        // C(p + n − 1, n) at n = 1.
        let mut choose = power;
        let mut reach_power = furthest;
        let first = (2.0 * factor * choose * reach_power).abs();
        for index in 0..300usize {
            let n = 2.0 * index as f64 + 1.0;
            let coefficient = -2.0 * factor * choose * eta.next_odd();
            if index == self.coefficients.len() {
                self.coefficients.push(0.0);
            }
            self.coefficients[index] += coefficient;
            choose *= (power + n) * (power + n + 1.0) / ((n + 1.0) * (n + 2.0));
            reach_power *= furthest * furthest;
            if (2.0 * factor * choose * reach_power).abs() < 0.1 * SMALLEST {
                break;
            }
        }
        first
    }

    /// The aliasing of the distribution function at x, and of the density.
    pub(super) fn at(&self, x: f64) -> (f64, f64) {
        let part = x / self.period;
        let squared = part * part;
        let (mut value, mut slope) = (0.0, 0.0);
        for (index, coefficient) in self.coefficients.iter().enumerate().rev() {
            value = value * squared + coefficient;
            slope = slope * squared + coefficient * (2.0 * index as f64 + 1.0);
        }
        (value * part, slope / self.period)
    }
}

/// A distance in the width s√ν from which the tail's series runs.
fn period_in_widths(student: Student, distance: f64) -> f64 {
    distance / (student.scale * student.freedom.sqrt())
}

/// η(s) = Σ (−1)^{j+1} j^{−s} at s, s + 2, s + 4, …
///
/// Source: H. Cohen, F. Rodriguez Villegas and D. Zagier, "Convergence acceleration of alternating series",
/// Experimental Mathematics 9 (2000) 3–12, algorithm 1.
struct Eta {
    weights: [f64; ETA_TERMS],
    powers: [f64; ETA_TERMS],
}

impl Eta {
    fn new(first: f64) -> Self {
        let count = ETA_TERMS as f64;
        let grown = (3.0 + 8.0f64.sqrt()).powi(ETA_TERMS as i32);
        let scale = 0.5 * (grown + 1.0 / grown);
        let (mut b, mut c) = (-1.0, -scale);
        let weights = std::array::from_fn(|index| {
            let k = index as f64;
            c = b - c;
            b *= (k + count) * (k - count) / ((k + 0.5) * (k + 1.0));
            c / scale
        });
        Self { weights, powers: std::array::from_fn(|index| (index as f64 + 1.0).powf(-first)) }
    }

    /// The value at the present s, and a step of two.
    fn next_odd(&mut self) -> f64 {
        let mut sum = 0.0;
        for (index, (weight, power)) in self.weights.iter().zip(&mut self.powers).enumerate() {
            sum += weight * *power;
            let base = index as f64 + 1.0;
            *power /= base * base;
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_alternating_zeta_function_has_its_known_values() {
        // η(2) = π²/12 and η(4) = 7π⁴/720 (DLMF 25.2.3 with 25.6.1).
        let pi = std::f64::consts::PI;
        let mut eta = Eta::new(2.0);
        assert!((eta.next_odd() - pi.powi(2) / 12.0).abs() < 1e-15);
        assert!((eta.next_odd() - 7.0 * pi.powi(4) / 720.0).abs() < 1e-15);
    }

    #[test]
    fn the_polynomial_is_the_alternating_sum_of_tails() {
        for (scale, freedom) in [(1.0, 3.0), (0.2, 2.2), (1.0, 8.0)] {
            let student = Student { scale, freedom };
            let period = 50.0;
            let aliasing = Aliasing::new(&[student], period, 25.0);
            for x in [-20.0, -3.0, 0.0, 1.0, 24.0] {
                let tail = |w: f64| student_t::above(freedom, w / scale);
                let term = |j: u32| {
                    let distance = f64::from(j) * period;
                    tail(distance + x) - tail(distance - x)
                };
                // Pairs, so that what is left after 4000 of them is below 4000^−4.
                let sum: f64 = (1..4000u32).map(|pair| term(2 * pair - 1) - term(2 * pair)).sum();
                let (value, slope) = aliasing.at(x);
                assert!((value - sum).abs() < 1e-13 + 1e-13 * sum.abs(), "{freedom} {x}: {value} {sum}");
                let near = (aliasing.at(x + 1e-3).0 - aliasing.at(x - 1e-3).0) / 2e-3;
                assert!((near - slope).abs() < 1e-5 * slope.abs() + 1e-15);
            }
        }
    }

    #[test]
    fn without_terms_there_is_none() {
        assert_eq!(Aliasing::none().at(0.3), (0.0, 0.0));
    }
}
