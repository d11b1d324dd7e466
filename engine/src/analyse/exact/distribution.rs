//! The distribution of a sum as its users ask it: in millimetres.

use super::parts::Parts;
use super::way::Prepared;
use super::{ExactError, ExactOptions, Method, Probability, Term};
use crate::number::double_double::DoubleDouble;

/// The distribution of Y = constant + Σ coefficient × X, all X independent.
///
/// # Precision
/// Every probability carries its bound. With the default options it is about 5e-13 for sums with Student t terms or
/// with rectangles beside normal terms, and relative (about 1e-15 of the value) for normal laws, a single t and a few
/// rectangles. Where the terms allowed do not suffice the bound says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Exact {
    prepared: Prepared,
    location: DoubleDouble,
    unit: f64,
    same_within_mm: f64,
}

impl Exact {
    /// Prepares the distribution.
    ///
    /// # Errors
    /// [`ExactError::NoVariance`] for a Student t term of two degrees or fewer; [`ExactError::NotFinite`];
    /// [`ExactError::Options`].
    pub fn new(constant_mm: f64, terms: &[Term], options: ExactOptions) -> Result<Self, ExactError> {
        if !(options.tolerance > 0.0 && options.tolerance < 1.0) || options.most_terms == 0 {
            return Err(ExactError::Options);
        }
        let parts = Parts::sort(constant_mm, terms)?;
        Ok(Self {
            location: parts.location,
            unit: parts.unit,
            same_within_mm: options.same_within_mm,
            prepared: Prepared::new(parts, &options),
        })
    }

    /// How it is computed.
    #[must_use]
    pub fn method(&self) -> Method {
        self.prepared.method()
    }

    /// The expectation, mm.
    #[must_use]
    pub fn mean_mm(&self) -> f64 {
        self.place(0.0)
    }

    /// The standard deviation, mm.
    #[must_use]
    pub fn sd_mm(&self) -> f64 {
        self.prepared.parts().sd * self.unit
    }

    /// P(Y < x). x in mm, not NaN.
    #[must_use]
    pub fn below(&self, x_mm: f64) -> Probability {
        let u = self.off_location(x_mm);
        match self.method() {
            Method::Constant => Probability::certain(u > self.same_within_mm),
            _ => self.prepared.tail(u, -1.0),
        }
    }

    /// P(Y ≤ x): differs from [`Self::below`] only where nothing is random. x in mm, not NaN.
    #[must_use]
    pub fn at_or_below(&self, x_mm: f64) -> Probability {
        match self.method() {
            Method::Constant => self.above(x_mm).complement(),
            _ => self.below(x_mm),
        }
    }

    /// P(Y > x). x in mm, not NaN.
    #[must_use]
    pub fn above(&self, x_mm: f64) -> Probability {
        let u = self.off_location(x_mm);
        match self.method() {
            Method::Constant => Probability::certain(u < -self.same_within_mm),
            _ => self.prepared.tail(u, 1.0),
        }
    }

    /// The probability density at x, 1/mm; zero where nothing is random. x in mm, not NaN.
    #[must_use]
    pub fn density(&self, x_mm: f64) -> f64 {
        self.prepared.density(self.off_location(x_mm)) / self.unit
    }

    /// The x with P(Y ≤ x) = p, mm; `None` when p is not inside (0, 1).
    ///
    /// P at the answer is p within the error bound there (and the rounding of x).
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        Some(if p <= 0.5 { self.tail_quantile(p, -1.0) } else { self.tail_quantile(1.0 - p, 1.0) })
    }

    /// The interval that leaves (1 − coverage)/2 on each side, mm; for coverage 1 the limits of Y.
    ///
    /// `None` when coverage is not in (0, 1], or is 1 and Y has no limits.
    #[must_use]
    pub fn interval(&self, coverage: f64) -> Option<(f64, f64)> {
        if !(coverage > 0.0 && coverage <= 1.0) {
            return None;
        }
        let tail = 0.5 * (1.0 - coverage);
        if tail > 0.0 {
            return Some((self.tail_quantile(tail, -1.0), self.tail_quantile(tail, 1.0)));
        }
        let extent = |sign| self.prepared.parts().extent(sign);
        Some((self.place(-extent(-1.0)?), self.place(extent(1.0)?)))
    }

    /// (x − location) in the unit (1 mm where nothing is random).
    fn off_location(&self, x_mm: f64) -> f64 {
        assert!(!x_mm.is_nan(), "a probability is asked at a number");
        if x_mm.is_infinite() {
            return x_mm;
        }
        (DoubleDouble::from(x_mm) - self.location).to_f64() / self.unit
    }

    fn place(&self, u: f64) -> f64 {
        (self.location + DoubleDouble::from(u * self.unit)).to_f64()
    }

    /// The x beyond which p ≤ ½ lies, on the side of `sign`.
    fn tail_quantile(&self, p: f64, sign: f64) -> f64 {
        self.place(sign * self.prepared.tail_quantile(p, sign))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::{Law, Normal, Rectangular, StudentT, Triangular};

    fn normal(coefficient: f64, mean: f64, sd: f64) -> Term {
        let law = Law::Normal(Normal::new(mean, sd).expect("a valid law"));
        Term { coefficient, law }
    }

    fn rectangular(coefficient: f64, low: f64, high: f64) -> Term {
        let law = Law::Rectangular(Rectangular::new(low, high).expect("a valid law"));
        Term { coefficient, law }
    }

    fn student(scale: f64, freedom: f64) -> Term {
        let law = Law::StudentT(StudentT::new(0.0, scale, freedom).expect("a valid law"));
        Term { coefficient: 1.0, law }
    }

    fn exact(constant: f64, terms: &[Term]) -> Exact {
        Exact::new(constant, terms, ExactOptions::default()).expect("every term has a variance")
    }

    #[test]
    fn the_method_follows_the_terms() {
        let triangular =
            Term { coefficient: 1.0, law: Law::Triangular(Triangular::symmetric(0.0, 1.0).expect("a valid law")) };
        let cases = [
            (vec![], Method::Constant),
            (vec![normal(0.0, 5.0, 1.0)], Method::Constant),
            (vec![normal(1.0, 5.0, 1.0), normal(2.0, 5.0, 1.0)], Method::Normal),
            (vec![rectangular(1.0, 0.0, 1.0)], Method::Boxes),
            (vec![triangular.clone(); 3], Method::Boxes),
            (vec![triangular.clone(); 4], Method::Inversion),
            (vec![student(1.0, 3.0)], Method::Single),
            (vec![student(1.0, 3.0), normal(1.0, 0.0, 1.0)], Method::Inversion),
            (vec![rectangular(1.0, 0.0, 1.0), normal(1.0, 0.0, 1.0)], Method::Inversion),
        ];
        for (terms, method) in cases {
            assert_eq!(exact(1.0, &terms).method(), method);
        }
        // Seven rectangles, six of them so narrow that an inversion would be long.
        let mut narrow = vec![rectangular(1e-7, 0.0, 1.0); 6];
        narrow.push(rectangular(1.0, 0.0, 1.0));
        assert_eq!(exact(0.0, &narrow).method(), Method::Boxes);
    }

    #[test]
    fn without_anything_random_the_edge_is_in() {
        // 0.1 + 0.2 is not 0.3 in binary, but it is on the grid of 1 nm.
        let sum = exact(0.1, &[normal(0.0, 9.0, 1.0)]);
        let sum = Exact { location: sum.location + 0.2.into(), ..sum };
        assert_eq!((sum.below(0.3).value, sum.above(0.3).value, sum.at_or_below(0.3).value), (0.0, 0.0, 1.0));
        assert_eq!((sum.below(0.300_001).value, sum.above(0.299_999).value), (1.0, 1.0));
        assert_eq!((sum.above(0.300_001).value, sum.below(0.299_999).value), (0.0, 0.0));
        assert_eq!((sum.sd_mm(), sum.density(0.3)), (0.0, 0.0));
        assert!((sum.mean_mm() - 0.3).abs() < 1e-16);
        let place = Some(sum.mean_mm());
        assert_eq!((sum.quantile(0.01), sum.quantile(0.99)), (place, place));
        assert_eq!(sum.interval(1.0), Some((sum.mean_mm(), sum.mean_mm())));
    }

    #[test]
    fn what_cannot_be_asked_is_none_or_an_error() {
        let sum = exact(0.0, &[normal(1.0, 0.0, 1.0)]);
        for p in [0.0, 1.0, -0.5, f64::NAN] {
            assert_eq!(sum.quantile(p), None);
        }
        for coverage in [0.0, 1.0, 1.5, f64::NAN] {
            assert_eq!(sum.interval(coverage), None);
        }
        for tolerance in [0.0, 1.0, f64::NAN] {
            let options = ExactOptions { tolerance, ..ExactOptions::default() };
            assert_eq!(Exact::new(0.0, &[], options), Err(ExactError::Options));
        }
        assert_eq!(Exact::new(0.0, &[student(1.0, 1.0)], ExactOptions::default()), Err(ExactError::NoVariance));
    }

    #[test]
    fn a_bounded_sum_ends_exactly() {
        let terms: Vec<Term> = (1..=8).map(|width| rectangular(0.1, 0.0, f64::from(width))).collect();
        let sum = exact(0.0, &terms);
        let (low, high) = sum.interval(1.0).expect("the sum has limits");
        assert!(low.abs() < 1e-15 && (high - 3.6).abs() < 1e-14);
        for (x, below) in [(-0.001, 0.0), (3.601, 1.0), (f64::NEG_INFINITY, 0.0), (f64::INFINITY, 1.0)] {
            assert_eq!((sum.below(x).value, sum.below(x).error_bound), (below, 0.0));
            assert_eq!(sum.above(x).value, 1.0 - below);
            assert_eq!(sum.density(x), 0.0);
        }
    }

    #[test]
    fn a_cap_on_the_terms_gives_an_honest_bound() {
        let terms = [rectangular(1.0, -1.0, 1.0), normal(1.0, 0.0, 0.01)];
        let fine = exact(0.0, &terms);
        for most_terms in [1, 3, 10, 30, 100, 300] {
            let options = ExactOptions { most_terms, ..ExactOptions::default() };
            let capped = Exact::new(0.0, &terms, options).expect("the options are valid");
            for x in [-1.02, -0.99, -0.3, 0.0, 0.5, 1.01, 2.0] {
                let (found, reference) = (capped.below(x), fine.below(x));
                let allowed = found.error_bound + reference.error_bound;
                assert!((found.value - reference.value).abs() <= allowed, "{most_terms} {x}: {found:?}");
            }
            assert!(most_terms < 300 || capped.below(0.5).error_bound < 1e-2);
        }
    }

    #[test]
    fn quantiles_come_back_everywhere() {
        let sums = [
            exact(3.0, &[rectangular(1.0, 0.0, 1.0), normal(-2.0, 0.0, 0.3)]),
            exact(-1.0, &[student(0.5, 3.0), rectangular(2.0, 0.0, 1.0)]),
            exact(0.0, &[student(0.5, 3.0), student(0.25, 4.0), normal(1.0, 0.0, 0.2)]),
            exact(0.0, &[rectangular(1.0, 0.0, 1.0), rectangular(0.01, 0.0, 1.0)]),
        ];
        for sum in sums {
            for p in [1e-9, 1e-6, 1e-3, 0.1, 0.5, 0.77, 0.999, 0.999_999] {
                let x = sum.quantile(p).expect("p is inside (0, 1)");
                let back = sum.below(x);
                // The bound, and the rounding of x and of its distance from the location.
                let allowed = 2.0 * back.error_bound + 4.0 * f64::EPSILON * sum.density(x) * x.abs().max(1.0);
                assert!((back.value - p).abs() <= allowed, "{p}: {back:?}");
            }
        }
    }
}
