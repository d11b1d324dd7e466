//! Numbers of about 31 digits, each the unevaluated sum of two doubles.
//!
//! They serve where a difference of large terms is wanted to full double precision: the place of a stack
//! (metres of parts, micrometres of doubt) and the signed powers of a sum of rectangles.
//!
//! Source of the error-free sums and products: T. J. Dekker, "A floating-point technique for extending the
//! available precision", Numerische Mathematik 18 (1971) 224–242; D. E. Knuth, The Art of Computer
//! Programming 2, 4.2.2 (the sum).

use std::ops::{Add, Mul, Neg, Sub};

/// A number held as high + low, where |low| is at most half a unit in the last place of high.
///
/// One sum, product or quotient has a relative error of at most about 2⁻¹⁰² (sums of unlike sign: relative to
/// the larger operand).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DoubleDouble {
    high: f64,
    low: f64,
}

impl DoubleDouble {
    /// Zero.
    pub const ZERO: Self = Self { high: 0.0, low: 0.0 };

    /// The exact sum of two doubles.
    #[must_use]
    pub fn sum(a: f64, b: f64) -> Self {
        let high = a + b;
        let b_part = high - a;
        let low = (a - (high - b_part)) + (b - b_part);
        Self { high, low }
    }

    /// The exact product of two doubles (both well inside the range of a double, below about 1e290).
    #[must_use]
    pub fn product(a: f64, b: f64) -> Self {
        let high = a * b;
        let (a_high, a_low) = halves(a);
        let (b_high, b_low) = halves(b);
        let low = ((a_high * b_high - high) + a_high * b_low + a_low * b_high) + a_low * b_low;
        Self { high, low }
    }

    /// The nearest double.
    #[must_use]
    pub fn to_f64(self) -> f64 {
        self.high + self.low
    }

    /// The size of the number.
    #[must_use]
    pub fn abs(self) -> Self {
        if self.high < 0.0 { -self } else { self }
    }

    /// This number divided by a double that is not zero.
    #[must_use]
    pub fn divide(self, divisor: f64) -> Self {
        let first = self.high / divisor;
        let rest = self - Self::product(first, divisor);
        renormalised(first, rest.high / divisor)
    }

    /// This number times a power of two, which is exact.
    #[must_use]
    pub fn times_power_of_two(self, power: f64) -> Self {
        Self { high: self.high * power, low: self.low * power }
    }
}

/// A double cut into two parts of at most 26 bits (Veltkamp's split).
fn halves(a: f64) -> (f64, f64) {
    const SPLITTER: f64 = 134_217_729.0;
    let carried = SPLITTER * a;
    let high = carried - (carried - a);
    (high, a - high)
}

/// high + low, where |high| ≥ |low|, with the parts moved so that they no longer overlap.
fn renormalised(high: f64, low: f64) -> DoubleDouble {
    let sum = high + low;
    DoubleDouble { high: sum, low: low - (sum - high) }
}

impl From<f64> for DoubleDouble {
    fn from(value: f64) -> Self {
        Self { high: value, low: 0.0 }
    }
}

impl Add for DoubleDouble {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        let high = Self::sum(self.high, other.high);
        let low = Self::sum(self.low, other.low);
        let first = renormalised(high.high, high.low + low.high);
        renormalised(first.high, first.low + low.low)
    }
}

impl Sub for DoubleDouble {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for DoubleDouble {
    type Output = Self;

    fn neg(self) -> Self {
        Self { high: -self.high, low: -self.low }
    }
}

impl Mul for DoubleDouble {
    type Output = Self;

    fn mul(self, other: Self) -> Self {
        let product = Self::product(self.high, other.high);
        let cross = self.high * other.low + self.low * other.high;
        renormalised(product.high, product.low + cross)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sum_keeps_what_a_double_loses() {
        let sum = DoubleDouble::sum(1.0, 1e-20) + DoubleDouble::from(-1.0);
        assert_eq!(sum.to_f64(), 1e-20);
    }

    #[test]
    fn a_product_is_exact() {
        // (1 + 2⁻³⁰)² = 1 + 2⁻²⁹ + 2⁻⁶⁰, whose last part does not fit into one double.
        let a = 1.0 + 2f64.powi(-30);
        let rest = DoubleDouble::product(a, a) - DoubleDouble::from(1.0 + 2f64.powi(-29));
        assert_eq!(rest.to_f64(), 2f64.powi(-60));
    }

    #[test]
    fn a_quotient_times_its_divisor_comes_back() {
        let third = DoubleDouble::from(1.0).divide(3.0);
        let back = third * DoubleDouble::from(3.0) - DoubleDouble::from(1.0);
        // One quotient and one product, each within 2⁻¹⁰².
        assert!(back.to_f64().abs() <= 2f64.powi(-100));
        assert!((third.abs() - third).to_f64() == 0.0 && (-third).abs() == third);
    }

    #[test]
    fn a_cancelling_power_keeps_thirty_digits() {
        // (1 + x)³ − 1 − 3x − 3x² = x³ with x = 2⁻²⁰: in doubles nothing of x³ = 2⁻⁶⁰ is left.
        let x = 2f64.powi(-20);
        let one_x = DoubleDouble::sum(1.0, x);
        let cube = one_x * one_x * one_x;
        let rest = cube - DoubleDouble::from(1.0) - DoubleDouble::from(3.0 * x) - DoubleDouble::from(3.0 * x * x);
        // Two products near 1, each within 2⁻¹⁰².
        assert!((rest.to_f64() - 2f64.powi(-60)).abs() <= 2f64.powi(-100));
        assert_eq!(cube.times_power_of_two(0.5).to_f64(), 0.5 * cube.to_f64());
    }
}
