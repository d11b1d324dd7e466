//! A discrete law: a few values, each with its weight.

use super::{Distribution, ExactRole, LawError, each_tail};
use crate::number::double_double::DoubleDouble;
use nalgebra::Complex;
use rand::{Rng, RngExt};
use std::sync::Arc;

/// A discrete law by its values and their weights. Clones share the values.
#[derive(Debug, Clone, PartialEq)]
pub struct Discrete {
    atoms: Arc<Atoms>,
}

/// Values in rising order, each with its share and the sums of the shares from either end.
#[derive(Debug, PartialEq)]
struct Atoms {
    values: Vec<f64>,
    shares: Vec<f64>,
    /// P(X ≤ value).
    below: Vec<f64>,
    /// P(X > value).
    above: Vec<f64>,
    mean: f64,
    variance: f64,
}

impl Discrete {
    /// Each value, mm, with its weight. Weights count in proportion to their sum, so that shares, percentages and
    /// counts all do; equal values count together.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::NoValues`]; [`LawError::WeightNotPositive`] unless every weight is above
    /// zero.
    pub fn new(weighted_mm: impl IntoIterator<Item = (f64, f64)>) -> Result<Self, LawError> {
        let mut weighted: Vec<(f64, f64)> = weighted_mm.into_iter().collect();
        weighted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (Some(first), Some(last)) = (weighted.first(), weighted.last()) else {
            return Err(LawError::NoValues);
        };
        let sum: DoubleDouble = weighted.iter().fold(DoubleDouble::ZERO, |sum, &(_, weight)| sum + weight.into());
        let total = sum.to_f64();
        if !(last.0 - first.0).is_finite() || !(last.0 + first.0).is_finite() || !total.is_finite() {
            return Err(LawError::NotFinite);
        }
        if weighted.iter().any(|&(_, weight)| weight <= 0.0) {
            return Err(LawError::WeightNotPositive);
        }
        weighted.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        Ok(Self { atoms: Arc::new(Atoms::new(&weighted, total)) })
    }

    /// The values, mm, rising, each with its probability.
    pub fn atoms(&self) -> impl ExactSizeIterator<Item = (f64, f64)> {
        self.atoms.values.iter().copied().zip(self.atoms.shares.iter().copied())
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let Atoms { values, below, .. } = &*self.atoms;
        for value in out {
            let u: f64 = rng.random();
            let index = below.partition_point(|&below| below <= u);
            *value = values[index.min(values.len() - 1)];
        }
    }

    fn limits(&self) -> (f64, f64) {
        let values = &self.atoms.values;
        (values[0], values[values.len() - 1])
    }

    fn half_range(&self) -> f64 {
        let (low, high) = self.limits();
        0.5 * (high - low)
    }
}

impl Atoms {
    /// Values rising and different, weights above zero, and the sum of the weights.
    fn new(weighted: &[(f64, f64)], total: f64) -> Self {
        let share = |weight: f64| weight / total;
        let sums = |weights: &mut dyn Iterator<Item = f64>| -> Vec<f64> {
            let mut sum = DoubleDouble::ZERO;
            let mut add = |weight: f64| {
                sum = sum + weight.into();
                share(sum.to_f64()).min(1.0)
            };
            weights.map(&mut add).collect()
        };
        let below = sums(&mut weighted.iter().map(|one| one.1));
        let mut above = sums(&mut weighted.iter().skip(1).rev().map(|one| one.1));
        above.reverse();
        above.push(0.0);
        let values: Vec<f64> = weighted.iter().map(|one| one.0).collect();
        let shares: Vec<f64> = weighted.iter().map(|one| share(one.1)).collect();
        let centre = 0.5 * (values[0] + values[values.len() - 1]);
        let average = |f: &dyn Fn(f64) -> f64| {
            let weighted = values.iter().zip(&shares).map(|(&value, &share)| DoubleDouble::product(share, f(value)));
            weighted.fold(DoubleDouble::ZERO, |sum, one| sum + one).to_f64()
        };
        let mean = centre + average(&|value| value - centre);
        let variance = average(&|value| (value - mean).powi(2));
        Self { values, shares, below, above, mean, variance }
    }

    /// How many values are at most x.
    fn up_to(&self, x: f64) -> usize {
        self.values.partition_point(|&value| value <= x)
    }
}

impl Distribution for Discrete {
    fn centre(&self) -> f64 {
        let (low, high) = self.limits();
        0.5 * (low + high)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.atoms.mean)
    }

    /// Σ pᵢ (xᵢ − mean)².
    fn variance(&self) -> Option<f64> {
        Some(self.atoms.variance)
    }

    fn has_fourth_moment(&self) -> bool {
        true
    }

    fn support(&self) -> Option<(f64, f64)> {
        Some(self.limits())
    }

    /// Zero: there is no density, the values have probabilities of their own.
    fn density(&self, _x: f64) -> f64 {
        0.0
    }

    fn below(&self, x: f64) -> f64 {
        self.atoms.up_to(x).checked_sub(1).map_or(0.0, |last| self.atoms.below[last])
    }

    fn above(&self, x: f64) -> f64 {
        self.atoms.up_to(x).checked_sub(1).map_or(1.0, |last| self.atoms.above[last])
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        let Atoms { values, below, .. } = &*self.atoms;
        let index = below.partition_point(|&below| below < p);
        Some(values[index.min(values.len() - 1)])
    }

    fn half_width(&self, coverage: f64) -> f64 {
        let outside = 2.0 * each_tail(coverage);
        let centre = self.centre();
        let mut distances: Vec<(f64, f64)> =
            self.atoms().map(|(value, share)| ((value - centre).abs(), share)).collect();
        distances.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut beyond = 0.0;
        for (distance, share) in distances {
            beyond += share;
            // Rounding of the sum must not ask for one value more.
            if beyond > outside * (1.0 + 1e-14) {
                return distance;
            }
        }
        0.0
    }

    fn tail_half_width(&self, _p: f64) -> f64 {
        self.half_range()
    }

    /// Σ pᵢ exp(it(xᵢ − centre)).
    fn characteristic(&self, t: f64) -> Complex<f64> {
        if t == 0.0 {
            return 1.0.into();
        }
        let centre = self.centre();
        let turned = self.atoms().map(|(value, share)| Complex::from_polar(share, t * (value - centre)));
        // In full: ten thousand roundings would be seen.
        let nothing = (DoubleDouble::ZERO, DoubleDouble::ZERO);
        let (re, im) = turned.fold(nothing, |(re, im), one| (re + one.re.into(), im + one.im.into()));
        Complex::new(re.to_f64(), im.to_f64())
    }

    /// One: the size of the characteristic function comes back to one again and again.
    fn envelope(&self, _t: f64) -> f64 {
        1.0
    }

    /// One: nothing is promised.
    fn fall(&self, _t: f64) -> f64 {
        1.0
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::Atoms { half_range: self.half_range() }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    fn law(weighted: &[(f64, f64)]) -> Discrete {
        Discrete::new(weighted.iter().copied()).expect("a valid law")
    }

    #[test]
    fn it_passes_the_shared_checks() {
        for weighted in [
            &[(0.45, 0.3), (0.50, 0.5), (0.55, 0.2)][..],
            &[(52.40, 7.0), (52.15, 2.0), (51.90, 1.0)],
            &[(3.0, 1.0)],
            &[(-1.0, 1.0), (2.0, 1.0)],
        ] {
            checks::atoms(&Law::Discrete(law(weighted)), weighted);
        }
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Discrete::new([]), Err(LawError::NoValues));
        assert_eq!(Discrete::new([(f64::NAN, 1.0)]), Err(LawError::NotFinite));
        assert_eq!(Discrete::new([(f64::MIN, 1.0), (f64::MAX, 1.0)]), Err(LawError::NotFinite));
        for weight in [0.0, -0.2] {
            assert_eq!(Discrete::new([(1.0, 1.0), (2.0, weight)]), Err(LawError::WeightNotPositive));
        }
        assert_eq!(Discrete::new([(1.0, f64::INFINITY)]), Err(LawError::NotFinite));
    }

    #[test]
    fn its_figures_are_those_worked_by_hand() {
        // Mean 0.135 + 0.25 + 0.11; variance 0.3·0.045² + 0.5·0.005² + 0.2·0.055².
        let law = law(&[(0.45, 0.3), (0.50, 0.5), (0.55, 0.2)]);
        assert!((law.atoms.mean - 0.495).abs() < 1e-16 && (law.atoms.variance - 0.001_225).abs() < 1e-17);
        assert_eq!((law.below(0.449), law.below(0.45), law.below(0.50)), (0.0, 0.3, 0.8));
        assert_eq!((law.above(0.449), law.above(0.45), law.above(0.55)), (1.0, 0.7, 0.0));
        assert_eq!(
            (law.quantile(0.3), law.quantile(0.300_001), law.quantile(0.9)),
            (Some(0.45), Some(0.5), Some(0.55))
        );
        assert!(law.half_width(0.5) == 0.0 && (law.half_width(0.51) - 0.05).abs() < 1e-16);
    }

    #[test]
    fn weights_count_in_proportion_and_equal_values_together() {
        let one = law(&[(1.0, 2.0), (2.0, 5.0), (1.0, 1.0)]);
        let other = law(&[(2.0, 62.5), (1.0, 37.5)]);
        assert_eq!(one.atoms().collect::<Vec<_>>(), other.atoms().collect::<Vec<_>>());
    }
}
