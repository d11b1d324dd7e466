//! The distribution of a sum as its users ask it: in millimetres.

use super::piece::Piece;
use super::{ExactError, ExactOptions, Method, Probability, Term, cases};
use crate::number::double_double::DoubleDouble;
use crate::number::root::solve_increasing;

/// What the sums of probabilities round, with room to spare: a value that holds p but for this holds p.
const HAIR: f64 = 1e-14;

/// The rounding met in practice where several sums are added up: no search goes below it.
const NOISE: f64 = 2e-15;

/// The distribution of Y = constant + Σ coefficient × X, all X independent.
///
/// Where single values have a probability of their own, two lengths are the same within
/// [`ExactOptions::same_within_mm`], and neither below nor above each other.
///
/// # Precision
/// Every probability carries its bound. With the default options it is about 5e-13 for sums with Student t terms or
/// with rectangles beside normal terms, and relative (about 1e-15 of the value) for normal laws, a single t, a few
/// rectangles and single values. Where the terms allowed do not suffice, or single values had to be taken together,
/// the bound says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Exact {
    pieces: Vec<Piece>,
    mean_mm: f64,
    sd_mm: f64,
    /// The single values that have a probability of their own, rising, mm.
    jumps: Vec<f64>,
}

impl Exact {
    /// Prepares the distribution.
    ///
    /// # Errors
    /// [`ExactError::NoVariance`] for a Student t term of two degrees or fewer; [`ExactError::NotFinite`];
    /// [`ExactError::TooManyCases`]; [`ExactError::Options`].
    pub fn new(constant_mm: f64, terms: &[Term], options: ExactOptions) -> Result<Self, ExactError> {
        if !(options.tolerance > 0.0 && options.tolerance < 1.0) || options.most_terms == 0 {
            return Err(ExactError::Options);
        }
        let pieces = cases::pieces(constant_mm, terms, &options)?;
        let (mut location, mut off_centre, mut variance) = (DoubleDouble::from(constant_mm), 0.0, 0.0);
        for term in terms.iter().filter(|term| term.coefficient != 0.0) {
            location = location + DoubleDouble::from(term.coefficient) * term.law.centre_in_full();
            off_centre += term.coefficient * term.law.mean().map_or(0.0, |mean| mean - term.law.centre());
            variance += term.coefficient.powi(2) * term.law.variance().ok_or(ExactError::NoVariance)?;
        }
        let sd_mm = match &pieces[..] {
            [only] if only.is_plain() => only.plain.sd_mm(),
            _ => variance.sqrt(),
        };
        let mut jumps: Vec<f64> = pieces.iter().flat_map(Piece::jumps).collect();
        jumps.sort_by(f64::total_cmp);
        jumps.dedup();
        Ok(Self { pieces, mean_mm: (location + off_centre.into()).to_f64(), sd_mm, jumps })
    }

    /// How it is computed.
    #[must_use]
    pub fn method(&self) -> Method {
        match &self.pieces[..] {
            [only] if only.is_plain() => only.plain.method(),
            [only] if only.is_sharp() => Method::Atoms,
            _ => Method::Cases,
        }
    }

    /// The expectation, mm.
    #[must_use]
    pub fn mean_mm(&self) -> f64 {
        self.mean_mm
    }

    /// The standard deviation, mm.
    #[must_use]
    pub fn sd_mm(&self) -> f64 {
        self.sd_mm
    }

    /// P(Y < x). x in mm, not NaN.
    #[must_use]
    pub fn below(&self, x_mm: f64) -> Probability {
        self.tail(x_mm, -1.0)
    }

    /// P(Y ≤ x): differs from [`Self::below`] only where x has a probability of its own. x in mm, not NaN.
    #[must_use]
    pub fn at_or_below(&self, x_mm: f64) -> Probability {
        if self.jumps.is_empty() { self.below(x_mm) } else { self.above(x_mm).complement() }
    }

    /// P(Y > x). x in mm, not NaN.
    #[must_use]
    pub fn above(&self, x_mm: f64) -> Probability {
        self.tail(x_mm, 1.0)
    }

    fn tail(&self, x_mm: f64, sign: f64) -> Probability {
        if let [only] = &self.pieces[..] {
            return only.tail(x_mm, sign);
        }
        let (mut value, mut bound) = (DoubleDouble::ZERO, 0.0);
        for piece in &self.pieces {
            let one = piece.tail(x_mm, sign);
            value = value + DoubleDouble::product(piece.share, one.value);
            bound += piece.share * one.error_bound;
        }
        let value = value.to_f64();
        // A share is a product of a few; each rounds.
        Probability::new(value, bound + 16.0 * f64::EPSILON * value)
    }

    /// The single values that have a probability of their own, rising, mm.
    #[must_use]
    pub fn jumps(&self) -> &[f64] {
        &self.jumps
    }

    /// The probability density at x, 1/mm; what single values hold is not in it. x in mm, not NaN.
    #[must_use]
    pub fn density(&self, x_mm: f64) -> f64 {
        match &self.pieces[..] {
            [only] if only.is_plain() => only.density(x_mm),
            pieces => pieces.iter().map(|piece| piece.share * piece.density(x_mm)).sum(),
        }
    }

    /// The least x with P(Y ≤ x) ≥ p, mm; `None` when p is not inside (0, 1).
    ///
    /// Where no single value has a probability, P at the answer is p within the error bound there (and the rounding
    /// of x).
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        if p <= 0.5 {
            return Some(self.tail_quantile(p, -1.0));
        }
        let at_most = |x: f64| self.above(x).value <= 1.0 - p + HAIR;
        Some(match self.jumps.partition_point(|&jump| !at_most(jump)) {
            // The least value behind which no more than 1 − p is left, unless that is so before it.
            index if index < self.jumps.len() && self.below(self.jumps[index]).value < p - HAIR => self.jumps[index],
            _ => self.tail_quantile(1.0 - p, 1.0),
        })
    }

    /// The interval that leaves at most (1 − coverage)/2 on each side, mm; for coverage 1 the limits of Y.
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
        let limits: Vec<(f64, f64)> = self.pieces.iter().map(Piece::limits).collect::<Option<_>>()?;
        limits.into_iter().reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
    }

    /// For `sign` −1 the least x with P(Y ≤ x) ≥ p, for `sign` 1 the greatest x with P(Y ≥ x) ≥ p; p ≤ ½.
    fn tail_quantile(&self, p: f64, sign: f64) -> f64 {
        if let [only] = &self.pieces[..]
            && only.is_plain()
        {
            return only.plain.place(only.plain.tail_quantile(p, sign));
        }
        let (mut low, mut high) = self.around_quantile(p, sign);
        if !self.jumps.is_empty() {
            // What the values from one on hold on the side of `sign`, itself with it.
            let holds = |x: f64| 1.0 - self.tail(x, -sign).value >= p - HAIR;
            let (first, before) = if sign < 0.0 {
                let first = self.jumps.partition_point(|&jump| !holds(jump));
                (self.jumps.get(first), first.checked_sub(1).map(|before| self.jumps[before]))
            } else {
                let behind = self.jumps.partition_point(|&jump| holds(jump));
                (behind.checked_sub(1).map(|last| &self.jumps[last]), self.jumps.get(behind).copied())
            };
            if let Some(&jump) = first
                && self.tail(jump, sign).value < p - HAIR
            {
                return jump;
            }
            // Between that value and the one before it, where no single value is.
            let (inner, outer) = (first.copied(), before);
            let (left, right) = if sign < 0.0 { (outer, inner) } else { (inner, outer) };
            low = left.map_or(low, |left| left.clamp(low, high));
            high = right.map_or(high, |right| right.clamp(low, high));
        }
        // The tail grows inward.
        let inward = |x: f64| -sign * x;
        let bracket = (inward(low).min(inward(high)), inward(low).max(inward(high)));
        let start = 0.5 * bracket.0 + 0.5 * bracket.1;
        let value_and_slope = |place: f64| {
            let x = -sign * place;
            (self.tail(x, sign).value, self.density(x))
        };
        -sign * solve_increasing(bracket, start, p, NOISE, value_and_slope)
    }

    /// The place asked for lies between the least and the greatest of those of the parts.
    fn around_quantile(&self, p: f64, sign: f64) -> (f64, f64) {
        let around = self.pieces.iter().map(|piece| piece.around_quantile(p, sign));
        let widest = around.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
        widest.expect("a sum has one case at least")
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
        let sum = exact(0.1 + 0.2, &[normal(0.0, 9.0, 1.0)]);
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
