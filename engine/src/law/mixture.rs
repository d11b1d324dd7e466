//! A mixture: one of several laws, each with its weight (a case never cut, cut once, cut twice).

use super::{Discrete, Distribution, ExactRole, Law, LawError, each_tail};
use nalgebra::Complex;
use rand::{Rng, RngExt};
use std::sync::Arc;

/// A mixture by its laws and their weights. Clones share them.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    cases: Arc<[Case]>,
    centre: f64,
}

/// One of the laws, and the probability that it is the one.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The probability.
    pub share: f64,
    /// The law.
    pub law: Law,
}

impl Mixture {
    /// Each law with its weight. Weights count in proportion to their sum; the laws of a mixture among them count as
    /// laws of this one, and all that are exact or discrete as one discrete law.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::NoValues`]; [`LawError::WeightNotPositive`] unless every weight is above
    /// zero.
    pub fn new(weighted: impl IntoIterator<Item = (f64, Law)>) -> Result<Self, LawError> {
        let weighted: Vec<(f64, Law)> = weighted.into_iter().collect();
        let total: f64 = weighted.iter().map(|(weight, _)| weight).sum();
        if weighted.is_empty() {
            return Err(LawError::NoValues);
        }
        if !total.is_finite() {
            return Err(LawError::NotFinite);
        }
        if weighted.iter().any(|&(weight, _)| weight <= 0.0) {
            return Err(LawError::WeightNotPositive);
        }
        let mut cases = Vec::with_capacity(weighted.len());
        let mut values = Vec::new();
        let mut take = |share: f64, law: &Law| match law.atoms() {
            Some(atoms) => values.extend(atoms.atoms().map(|(value, part)| (value, share * part))),
            None => cases.push(Case { share, law: law.clone() }),
        };
        for (weight, law) in &weighted {
            let share = weight / total;
            match law {
                Law::Mixture(inner) => inner.cases.iter().for_each(|case| take(share * case.share, &case.law)),
                law => take(share, law),
            }
        }
        if !values.is_empty() {
            let share = values.iter().map(|value| value.1).sum();
            cases.push(Case { share, law: Law::Discrete(Discrete::new(values)?) });
        }
        let centre = match support(&cases) {
            Some((low, high)) => 0.5 * (low + high),
            None => cases.iter().map(|case| case.share * case.law.centre()).sum(),
        };
        if !centre.is_finite() {
            return Err(LawError::NotFinite);
        }
        Ok(Self { cases: cases.into(), centre })
    }

    /// The laws, none of them a mixture, each with its probability.
    #[must_use]
    pub fn cases(&self) -> &[Case] {
        &self.cases
    }

    /// Fills `out` with independent values: first which law each comes from, then the values of each law in turn.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        let last = self.cases.len() - 1;
        let from: Vec<usize> = out
            .iter()
            .map(|_| {
                let mut left: f64 = rng.random();
                let chosen = self.cases.iter().position(|case| {
                    left -= case.share;
                    left < 0.0
                });
                chosen.unwrap_or(last)
            })
            .collect();
        let mut drawn = Vec::with_capacity(out.len());
        for (index, case) in self.cases.iter().enumerate() {
            drawn.clear();
            drawn.resize(from.iter().filter(|&&from| from == index).count(), 0.0);
            case.law.fill(rng, &mut drawn);
            let places = out.iter_mut().zip(&from).filter(|&(_, &from)| from == index);
            places.zip(&drawn).for_each(|((value, _), drawn)| *value = *drawn);
        }
    }

    fn sum(&self, f: impl Fn(&Law) -> f64) -> f64 {
        self.cases.iter().map(|case| case.share * f(&case.law)).sum()
    }

    /// The greatest of a length over the laws, each counted from its own centre.
    fn widest(&self, f: impl Fn(&Law) -> f64) -> f64 {
        self.cases.iter().map(|case| self.off_centre(&case.law).abs() + f(&case.law)).fold(0.0, f64::max)
    }

    /// How far the centre of one of the laws is from that of the whole.
    fn off_centre(&self, law: &Law) -> f64 {
        (law.centre_in_full() - self.centre.into()).to_f64()
    }
}

/// The limits of all, where every law has some.
fn support(cases: &[Case]) -> Option<(f64, f64)> {
    let limits = cases.iter().map(|case| case.law.support());
    limits.reduce(|one, other| one.zip(other).map(|(one, other)| (one.0.min(other.0), one.1.max(other.1)))).flatten()
}

/// The least double in [low, high] where a rising condition holds; it holds at `high`.
fn least_where(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    if holds(low) {
        return low;
    }
    loop {
        let middle = 0.5 * low + 0.5 * high;
        if middle <= low || middle >= high {
            return high;
        }
        if holds(middle) { high = middle } else { low = middle }
    }
}

impl Distribution for Mixture {
    /// The middle of the limits; where it has none, the mean of the laws' centres.
    fn centre(&self) -> f64 {
        self.centre
    }

    fn mean(&self) -> Option<f64> {
        self.cases
            .iter()
            .try_fold(0.0, |sum, case| Some(sum + case.share * (case.law.mean()? - self.centre)))
            .map(|off| self.centre + off)
    }

    /// Σ pᵢ (σᵢ² + (mᵢ − mean)²).
    fn variance(&self) -> Option<f64> {
        let mean = self.mean()?;
        self.cases.iter().try_fold(0.0, |sum, case| {
            Some(sum + case.share * (case.law.variance()? + (case.law.mean()? - mean).powi(2)))
        })
    }

    fn has_fourth_moment(&self) -> bool {
        self.cases.iter().all(|case| case.law.has_fourth_moment())
    }

    fn support(&self) -> Option<(f64, f64)> {
        support(&self.cases)
    }

    fn density(&self, x: f64) -> f64 {
        self.sum(|law| law.density(x))
    }

    fn below(&self, x: f64) -> f64 {
        self.sum(|law| law.below(x)).min(1.0)
    }

    fn above(&self, x: f64) -> f64 {
        self.sum(|law| law.above(x)).min(1.0)
    }

    fn quantile(&self, p: f64) -> Option<f64> {
        let each: Vec<f64> = self.cases.iter().map(|case| case.law.quantile(p)).collect::<Option<_>>()?;
        // The quantile of a mixture lies between those of its laws.
        let low = each.iter().copied().fold(f64::INFINITY, f64::min);
        let high = each.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some(least_where(low, high, |x| if p <= 0.5 { self.below(x) >= p } else { self.above(x) <= 1.0 - p }))
    }

    fn half_width(&self, coverage: f64) -> f64 {
        let outside = 2.0 * each_tail(coverage);
        if outside == 0.0 {
            return self.tail_half_width(0.0);
        }
        let widest = self.widest(|law| law.half_width(coverage));
        // What is beyond w on either side, a value at w itself not among it.
        let beyond = |w: f64| self.sum(|law| law.below((self.centre - w).next_down()) + law.above(self.centre + w));
        least_where(0.0, widest, |w| beyond(w) <= outside)
    }

    fn tail_half_width(&self, p: f64) -> f64 {
        self.widest(|law| law.tail_half_width(p))
    }

    /// Σ pᵢ φᵢ(t) exp(it(centreᵢ − centre)).
    fn characteristic(&self, t: f64) -> Complex<f64> {
        if t == 0.0 {
            return 1.0.into();
        }
        let turned = |case: &Case| Complex::from_polar(case.share, t * self.off_centre(&case.law));
        self.cases.iter().map(|case| turned(case) * case.law.characteristic(t)).sum()
    }

    /// Σ pᵢ Eᵢ(t).
    fn envelope(&self, t: f64) -> f64 {
        self.sum(|law| law.envelope(t)).min(1.0)
    }

    /// The greatest of the laws': Σ pᵢ Eᵢ(2t) ≤ Σ pᵢ rᵢ Eᵢ(t).
    fn fall(&self, t: f64) -> f64 {
        self.cases.iter().map(|case| case.law.fall(t)).fold(0.0, f64::max)
    }

    fn exact_role(&self) -> ExactRole {
        ExactRole::Mixture
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Normal, Rectangular, StudentT, checks};
    use super::*;

    fn normal(mean: f64, sd: f64) -> Law {
        Law::Normal(Normal::new(mean, sd).expect("a valid law"))
    }

    fn rectangular(low: f64, high: f64) -> Law {
        Law::Rectangular(Rectangular::new(low, high).expect("a valid law"))
    }

    fn exactly(value: f64) -> Law {
        Law::Discrete(Discrete::new([(value, 1.0)]).expect("a valid law"))
    }

    fn mixture(weighted: &[(f64, Law)]) -> Mixture {
        Mixture::new(weighted.iter().cloned()).expect("a valid law")
    }

    #[test]
    fn it_passes_the_shared_checks() {
        let bell = |mean, sd| normal(mean, sd);
        checks::law(&Law::Mixture(mixture(&[(1.0, bell(2.0, 0.3)), (3.0, bell(2.0, 0.5))])));
        checks::law(&Law::Mixture(mixture(&[(0.25, bell(-1.0, 0.4)), (0.5, bell(0.0, 0.4)), (0.25, bell(1.0, 0.4))])));
        // All of it exact: a discrete law said in another way.
        let weighted = [(52.40, 0.7), (52.15, 0.2), (51.90, 0.1)];
        checks::atoms(&Law::Mixture(mixture(&weighted.map(|(value, weight)| (weight, exactly(value))))), &weighted);
    }

    /// Sums of normal distribution functions, and where they reach p, at 50 digits (mpmath 1.3.0).
    const BELOW: [(f64, f64); 6] = [
        (51.85, 0.004_779_035_227_281_471),
        (51.90, 0.050_000_000_000_000_01),
        (52.05, 0.100_085_783_401_482_18),
        (52.20, 0.290_441_929_545_437_07),
        (52.36, 0.315_925_092_363_469_5),
        (52.42, 0.888_941_322_247_980_1),
    ];
    const QUANTILES: [(f64, f64); 5] = [
        (0.01, 51.861_553_453_033_665),
        (0.15, 52.129_765_307_494_12),
        (0.25, 52.170_234_692_505_88),
        (0.5, 52.388_681_023_561_34),
        (0.999, 52.459_654_077_509_775),
    ];

    #[test]
    fn a_case_never_cut_once_and_twice() {
        let law = mixture(&[(0.7, normal(52.40, 0.02)), (0.2, normal(52.15, 0.03)), (0.1, normal(51.90, 0.03))]);
        assert!((law.mean().expect("it has one") - 52.30).abs() < 1e-14);
        // 0.7·(0.02² + 0.1²) + 0.2·(0.03² + 0.15²) + 0.1·(0.03² + 0.4²)
        assert!((law.variance().expect("it has one") - 0.028_05).abs() < 1e-15);
        for (x, below) in BELOW {
            // Rounding of x and the means, 4e-15 each, times the density, 14 at most.
            assert!((law.below(x) - below).abs() < 1e-13 && (law.above(x) - (1.0 - below)).abs() < 1e-13, "{x}");
        }
        for (p, x) in QUANTILES {
            assert!((law.quantile(p).expect("p is inside (0, 1)") - x).abs() < 1e-12, "{p}");
        }
    }

    #[test]
    fn a_jump_stands_where_its_law_is_exact() {
        let law = mixture(&[(0.5, exactly(1.0)), (0.5, rectangular(0.0, 2.0))]);
        assert!((law.below(1.0f64.next_down()) - 0.25).abs() < 1e-16);
        assert_eq!((law.below(1.0), law.above(1.0)), (0.75, 0.25));
        for p in [0.26, 0.5, 0.74] {
            assert_eq!(law.quantile(p), Some(1.0));
        }
        assert_eq!(law.quantile(0.2), Some(0.8));
        // Half of it is at the centre, so no width is needed for half.
        assert_eq!((law.half_width(0.5), law.half_width(1.0)), (0.0, 1.0));
        assert!((law.half_width(0.75) - 0.5).abs() < 1e-15);
    }

    #[test]
    fn a_mixture_of_mixtures_is_one_mixture() {
        let inner = Law::Mixture(mixture(&[(1.0, normal(0.0, 1.0)), (1.0, normal(1.0, 1.0))]));
        let law = mixture(&[(1.0, inner), (3.0, rectangular(0.0, 1.0))]);
        let shares: Vec<f64> = law.cases().iter().map(|case| case.share).collect();
        assert_eq!(shares, [0.125, 0.125, 0.75]);
        // One law without limits or moments leaves the whole without.
        assert_eq!((law.support(), law.half_width(1.0)), (None, f64::INFINITY));
        let heavy = Law::StudentT(StudentT::new(0.0, 1.0, 2.0).expect("a valid law"));
        assert_eq!(mixture(&[(1.0, heavy), (1.0, normal(0.0, 1.0))]).variance(), None);
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Mixture::new([]), Err(LawError::NoValues));
        for weight in [0.0, -1.0] {
            let weighted = [(1.0, normal(0.0, 1.0)), (weight, normal(1.0, 1.0))];
            assert_eq!(Mixture::new(weighted), Err(LawError::WeightNotPositive));
        }
        assert_eq!(Mixture::new([(f64::NAN, normal(0.0, 1.0))]), Err(LawError::NotFinite));
    }
}
