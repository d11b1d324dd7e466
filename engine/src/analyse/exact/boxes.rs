//! The sum of a few rectangles, in closed form.
//!
//! With half-widths a₁ … aₙ the distribution function is the n-fold central difference of a power,
//! F(x) = Π δ(aᵢ)/(2aᵢ) · x₊ⁿ/n!, where δ(a) g(x) = g(x + a) − g(x − a); the density has the power n − 1.
//! Written out it is the sum of 2ⁿ signed powers, which cancel badly. Two things keep the digits: a difference whose
//! whole span lies where the power is a plain polynomial is taken on the polynomial (all terms positive, nothing
//! cancels however narrow the rectangle), and the rest is done in double-double arithmetic. What is left of the
//! cancellation depends on n alone, and is bounded along the way.
//!
//! Source: the signed powers are those of a box spline in one dimension (for equal widths the Irwin–Hall law);
//! derived here.

use super::Probability;
use crate::number::double_double::DoubleDouble;

/// The rounding of one leaf and the differences above it, relative to the leaf: about 4n + 8 operations of 2⁻¹⁰².
const LEAF_ROUNDING: f64 = 1.0 / (1u128 << 96) as f64;

/// Prepared half-widths, the widest first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Boxes {
    halves: Vec<f64>,
    /// Sum of the half-widths from each one on.
    spans: Vec<f64>,
    /// For each number of leading differences left out: the rest of them applied to x^n/n!.
    leaves: Vec<Leaf>,
    /// The same for x^{n−1}/(n−1)!.
    density_leaves: Vec<Leaf>,
}

impl Boxes {
    /// The most rectangles worth 2ⁿ leaves.
    pub(super) const MOST: usize = 12;

    /// Half-widths above zero, the widest first.
    pub(super) fn new(halves: &[f64]) -> Self {
        assert!((1..=Self::MOST).contains(&halves.len()), "the closed form takes from one to twelve rectangles");
        let count = halves.len();
        let from = |index: usize| &halves[index..];
        let leaves = |power: usize| (0..=count).map(|index| Leaf::new(from(index), power)).collect();
        Self {
            halves: halves.to_vec(),
            spans: (0..=count).map(|index| from(index).iter().sum()).collect(),
            leaves: leaves(count),
            density_leaves: leaves(count - 1),
        }
    }

    /// P(sum < x) with a bound of its error.
    pub(super) fn below(&self, x: f64) -> Probability {
        if x > 0.0 {
            return self.below(-x).complement();
        }
        let (value, bound) = self.difference(&self.leaves, x);
        Probability::new(value, bound)
    }

    /// The density at x.
    pub(super) fn density(&self, x: f64) -> f64 {
        self.difference(&self.density_leaves, -x.abs()).0.max(0.0)
    }

    fn difference(&self, leaves: &[Leaf], x: f64) -> (f64, f64) {
        let (value, size) = self.difference_from(0, leaves, x.into());
        let value = value.to_f64();
        (value, size * LEAF_ROUNDING + value.abs() * f64::EPSILON)
    }

    /// The differences from `index` on at x, and the sum of the sizes of its leaves (for the rounding bound).
    fn difference_from(&self, index: usize, leaves: &[Leaf], x: DoubleDouble) -> (DoubleDouble, f64) {
        let span = self.spans[index];
        let place = x.to_f64();
        if place <= -span {
            return (DoubleDouble::ZERO, 0.0);
        }
        if place >= span {
            let value = leaves[index].at(x);
            return (value, value.to_f64().abs());
        }
        let half = self.halves[index];
        let (upper, upper_size) = self.difference_from(index + 1, leaves, x + half.into());
        let (lower, lower_size) = self.difference_from(index + 1, leaves, x - half.into());
        let width = 2.0 * half;
        ((upper - lower).divide(width), (upper_size + lower_size) / width)
    }
}

/// Central differences of a power, each divided by its width, where the whole span lies right of zero.
#[derive(Debug, Clone, PartialEq)]
struct Leaf {
    /// Whether the polynomial is odd.
    odd: bool,
    /// Coefficients of every second power, the highest first. Empty: zero.
    coefficients: Vec<DoubleDouble>,
}

impl Leaf {
    /// Π δ(aᵢ)/(2aᵢ) · x^power/power!, by δ(a)/(2a) = D Σ (aD)^{2k}/(2k+1)! with D the derivative.
    fn new(halves: &[f64], power: usize) -> Self {
        let Some(degree) = power.checked_sub(halves.len()) else {
            return Self { odd: false, coefficients: Vec::new() };
        };
        let count = degree / 2 + 1;
        // Coefficients of D^{2k}.
        let mut series = vec![DoubleDouble::ZERO; count];
        series[0] = 1.0.into();
        for &half in halves {
            let squared = DoubleDouble::product(half, half);
            let one = even_series(count, squared);
            series =
                (0..count).map(|k| (0..=k).fold(DoubleDouble::ZERO, |sum, j| sum + series[j] * one[k - j])).collect();
        }
        let coefficients = series
            .into_iter()
            .enumerate()
            .map(|(k, c)| (1..=degree - 2 * k).fold(c, |c, factor| c.divide(factor as f64)))
            .collect();
        Self { odd: degree % 2 == 1, coefficients }
    }

    fn at(&self, x: DoubleDouble) -> DoubleDouble {
        let squared = x * x;
        let mut terms = self.coefficients.iter();
        let Some(&highest) = terms.next() else {
            return DoubleDouble::ZERO;
        };
        let even = terms.fold(highest, |sum, &c| sum * squared + c);
        if self.odd { even * x } else { even }
    }
}

/// squared^k / (2k+1)! for k below `count`.
fn even_series(count: usize, squared: DoubleDouble) -> Vec<DoubleDouble> {
    std::iter::successors(Some((0u32, DoubleDouble::from(1.0))), |&(k, term)| {
        let factors = f64::from(2 * k + 2) * f64::from(2 * k + 3);
        Some((k + 1, (term * squared).divide(factors)))
    })
    .map(|(_, term)| term)
    .take(count)
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_widths_give_the_irwin_hall_law() {
        // F(x) of n uniforms on [0, 1] at 0.4: x^n/n! below 1.
        for (count, factorial) in [(1, 1.0), (2, 2.0), (4, 24.0), (6, 720.0), (12, 479_001_600.0)] {
            let boxes = Boxes::new(&vec![0.5; count]);
            let found = boxes.below(0.4 - 0.5 * count as f64);
            let power: f64 = (0..count).map(|_| 0.4).product();
            // The place is rounded to 2⁻⁵³ of count/2, against 0.4.
            let allowed = 1e-14 * power / factorial;
            assert!((found.value - power / factorial).abs() <= found.error_bound + allowed, "{count}");
        }
    }

    #[test]
    fn width_ratios_of_a_million_lose_nothing() {
        // One wide and many narrow rectangles, at the wide one's shoulder: by symmetry F(−1) is half the
        // mean of (narrow sum)₊ / 1, E|U|/4.
        let narrow = 1e-6;
        for count in 1..8usize {
            let mut halves = vec![1.0];
            halves.extend(vec![narrow; count]);
            let found = Boxes::new(&halves).below(-1.0);
            let expected = 0.25 * mean_size_of_uniforms(count) * narrow;
            assert!((found.value / expected - 1.0).abs() < 1e-14, "{count}: {found:?} {expected}");
            assert!(found.error_bound < 1e-15 * 1e-6);
        }
    }

    #[test]
    fn the_bound_stays_small_for_twelve() {
        for halves in [vec![1.0; 12], (1..=12).rev().map(f64::from).collect::<Vec<_>>()] {
            let boxes = Boxes::new(&halves);
            for step in 0..40 {
                let x = -0.025 * f64::from(step) * boxes.spans[0];
                assert!(boxes.below(x).error_bound < 1e-14);
            }
            assert!((boxes.below(0.0).value - 0.5).abs() < 1e-14);
        }
    }

    #[test]
    fn it_is_the_sum_of_signed_powers_everywhere() {
        let halves = [1.0, 0.7, 0.45, 0.3];
        let boxes = Boxes::new(&halves);
        for step in -250..=250 {
            let x = 0.01 * f64::from(step);
            let plain: f64 = (0..16u32)
                .map(|signs| {
                    let plus = |index: usize| signs >> index & 1 == 1;
                    let place = x + (0..4).map(|i| if plus(i) { halves[i] } else { -halves[i] }).sum::<f64>();
                    let sign = if signs.count_ones() % 2 == 0 { 1.0 } else { -1.0 };
                    sign * place.max(0.0).powi(4)
                })
                .sum();
            let plain = plain / (24.0 * 16.0 * halves.iter().product::<f64>());
            // The plain sum has 16 powers of up to 5⁴ over 36, each rounded.
            assert!((boxes.below(x).value - plain).abs() < 1e-13, "{x}: {plain}");
        }
    }

    #[test]
    fn the_density_is_the_slope() {
        let boxes = Boxes::new(&[2.0, 1.0, 0.75]);
        for x in [-3.6, -2.0, -0.3, 0.0, 1.1, 3.0] {
            let slope = (boxes.below(x + 1e-4).value - boxes.below(x - 1e-4).value) / 2e-4;
            // Central difference: third derivative (below 1) over 6 times 1e-8.
            assert!((slope - boxes.density(x)).abs() < 1e-8, "{x}");
        }
        assert_eq!(Boxes::new(&[2.0]).density(1.0), 0.25);
        assert_eq!(Boxes::new(&[2.0]).density(2.5), 0.0);
    }

    /// E|U₁ + … + U_n| for U uniform on [−1, 1]: with Irwin–Hall moments by direct summation of signed powers,
    /// E|S| = 2 Σ (−1)^k C(n,k) (n − 2k)₊^{n+1} / ((n+1)! 2ⁿ), exact in doubles for these n.
    fn mean_size_of_uniforms(count: usize) -> f64 {
        let n = count as i32;
        let mut choose = 1.0;
        let mut sum = 0.0;
        for k in 0..=n / 2 {
            sum += if k % 2 == 0 { choose } else { -choose } * f64::from((n - 2 * k).max(0)).powi(n + 1);
            choose *= f64::from(n - k) / f64::from(k + 1);
        }
        let factorial: f64 = (1..=count + 1).map(|i| i as f64).product();
        2.0 * sum / (factorial * f64::from(n).exp2())
    }
}
