//! The terms of a sum, sorted by what can be done with them.

use super::light::Light;
use super::{ExactError, Term};
use crate::law::{Case, ExactRole, Law};
use crate::number::double_double::DoubleDouble;

/// A term whose standard deviation is below this part of the greatest one is folded into the constant.
///
/// With r = 1e-24, Chebyshev's inequality at 1e-16 of the greatest standard deviation leaves a probability of 1e-16
/// beyond it; both are below the rounding bound of every answer.
const NOTHING: f64 = 1e-24;

/// Single values that are added up for one inversion, in all its terms together: about half a second.
const MOST_VALUES: usize = 1 << 25;

/// A Student t of the sum, about zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Student {
    pub(super) scale: f64,
    pub(super) freedom: f64,
}

impl Student {
    pub(super) fn variance(self) -> f64 {
        self.scale * self.scale * (self.freedom / (self.freedom - 2.0))
    }
}

/// A term with nothing but its characteristic function to go by, its tails no heavier than those of a normal law; its
/// law is in mm, the rest in the unit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Other {
    pub(super) coefficient: f64,
    pub(super) law: Law,
    /// About the middle of its limits; `None` when it is unbounded.
    pub(super) half_range: Option<f64>,
    /// What it adds to [`Light::proxy_variance`].
    pub(super) proxy_variance: f64,
    /// How far from the centre lie the points about which its characteristic function turns, of a law that has more
    /// than one; else zero.
    pub(super) turns_about: f64,
}

impl Other {
    /// `None` for a law with a Student t in it.
    pub(super) fn new(coefficient: f64, law: &Law) -> Option<Self> {
        let size = coefficient.abs();
        let turns_about = match law {
            Law::Mixture(mixture) => {
                let off =
                    |case: &Case| (case.law.centre() - law.centre()).abs() + law_half_range(&case.law).unwrap_or(0.0);
                mixture.cases().iter().map(off).fold(0.0, f64::max)
            }
            law => law_half_range(law).filter(|_| law.atoms().is_some()).unwrap_or(0.0),
        };
        Some(Self {
            coefficient,
            law: law.clone(),
            half_range: law_half_range(law).map(|half| size * half),
            proxy_variance: size * size * proxy_variance(law)?,
            turns_about: size * turns_about,
        })
    }
}

/// How many single values a law has.
fn single_values(law: &Law) -> usize {
    match law {
        Law::Mixture(mixture) => mixture.cases().iter().map(|case| single_values(&case.law)).sum(),
        law => law.atoms().map_or(0, |law| law.atoms().len()),
    }
}

fn law_half_range(law: &Law) -> Option<f64> {
    law.support().map(|(low, high)| 0.5 * (high - low))
}

/// A v with E exp(s(X − mean)) ≤ exp(v s²/2) for every s; see [`Light::proxy_variance`].
///
/// For a mixture: every law adds at most the greatest v of them all, and the means, a variable of half-range d, by
/// Hoeffding's lemma d².
fn proxy_variance(law: &Law) -> Option<f64> {
    match law.exact_role() {
        ExactRole::Normal { variance } => Some(variance),
        ExactRole::Boxes { half_widths } => Some(half_widths.iter().map(|half| half * half / 3.0).sum()),
        ExactRole::StudentT { .. } => None,
        ExactRole::Other { proxy_variance, .. } => Some(proxy_variance),
        ExactRole::Atoms { half_range } => Some(half_range * half_range),
        ExactRole::Mixture => {
            let Law::Mixture(mixture) = law else { return None };
            let (mut greatest, mut least, mut most) = (0.0f64, f64::INFINITY, f64::NEG_INFINITY);
            for case in mixture.cases() {
                let mean = case.law.mean()?;
                (least, most) = (least.min(mean), most.max(mean));
                greatest = greatest.max(proxy_variance(&case.law)?);
            }
            Some(greatest + (0.5 * (most - least)).powi(2))
        }
    }
}

/// A sum of independent terms: location + unit × (all parts below), in the unit and about their means, so that the
/// location is the mean of the sum.
///
/// The unit is a power of two near the standard deviation, so that changing to it rounds nothing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Parts {
    pub(super) location: DoubleDouble,
    pub(super) unit: f64,
    /// How far the location is above the sum of the middles of the laws: skew laws have their mean off the middle.
    pub(super) off_middle: f64,
    /// Standard deviation, in the unit.
    pub(super) sd: f64,
    pub(super) normal_variance: f64,
    /// Half-widths of rectangles, the widest first.
    pub(super) boxes: Vec<f64>,
    pub(super) students: Vec<Student>,
    pub(super) others: Vec<Other>,
}

impl Parts {
    /// Sorts constant + Σ coefficient × X.
    pub(super) fn sort(constant_mm: impl Into<DoubleDouble>, terms: &[Term]) -> Result<Self, ExactError> {
        let mut location: DoubleDouble = constant_mm.into();
        let mut greatest = 0.0f64;
        for term in terms.iter().filter(|term| term.coefficient != 0.0) {
            let variance = term.law.variance().ok_or(ExactError::NoVariance)?;
            location = location + DoubleDouble::from(term.coefficient) * term.law.centre_in_full();
            greatest = greatest.max(term.coefficient.abs() * variance.sqrt());
        }
        if !location.to_f64().is_finite() || !greatest.is_finite() {
            return Err(ExactError::NotFinite);
        }
        let unit =
            if greatest > f64::MIN_POSITIVE { greatest.log2().round().clamp(-1000.0, 1000.0).exp2() } else { 1.0 };
        let mut parts = Self {
            location,
            unit,
            off_middle: 0.0,
            sd: 0.0,
            normal_variance: 0.0,
            boxes: Vec::new(),
            students: Vec::new(),
            others: Vec::new(),
        };
        let mut variance = 0.0;
        for term in terms {
            let sd = term.law.variance().unwrap_or(0.0).sqrt();
            if term.coefficient.abs() * sd > (NOTHING * greatest).max(f64::MIN_POSITIVE) {
                let coefficient = term.coefficient / unit;
                variance += (coefficient * sd).powi(2);
                parts.add(coefficient, &term.law)?;
            }
        }
        parts.sd = variance.sqrt();
        parts.location = parts.location + DoubleDouble::product(parts.off_middle, unit);
        parts.boxes.sort_by(|a, b| b.total_cmp(a));
        Ok(parts)
    }

    fn add(&mut self, coefficient: f64, law: &Law) -> Result<(), ExactError> {
        let size = coefficient.abs();
        match law.exact_role() {
            ExactRole::Normal { variance } => self.normal_variance += size * size * variance,
            ExactRole::Boxes { half_widths } => {
                self.boxes.extend(half_widths.iter().filter(|&&half| half > 0.0).map(|half| size * half));
            }
            ExactRole::StudentT { scale, freedom } => self.students.push(Student { scale: size * scale, freedom }),
            ExactRole::Other { .. } | ExactRole::Atoms { .. } | ExactRole::Mixture => {
                self.others.push(Other::new(coefficient, law).ok_or(ExactError::TooManyCases)?);
            }
        }
        self.off_middle += coefficient * law.mean().map_or(0.0, |mean| mean - law.centre());
        Ok(())
    }

    /// So many terms of an inversion at most, for each adds up the single values of the other terms.
    pub(super) fn most_terms(&self) -> usize {
        let values: usize = self.others.iter().map(|other| single_values(&other.law)).sum();
        MOST_VALUES / values.max(1)
    }

    /// Whether nothing is random.
    pub(super) fn is_constant(&self) -> bool {
        self.sd == 0.0
    }

    /// What is no Student t.
    pub(super) fn light(&self) -> Light {
        let boxes_variance: f64 = self.boxes.iter().map(|half| half * half / 3.0).sum();
        let others_proxy: f64 = self.others.iter().map(|other| other.proxy_variance).sum();
        Light {
            proxy_variance: self.normal_variance + boxes_variance + others_proxy,
            half_range: self.half_range_about_middle().map(|half| half + self.off_middle.abs()),
        }
    }

    /// How far the sum reaches from the location on the side of `sign`, `None` when it is unbounded.
    pub(super) fn extent(&self, sign: f64) -> Option<f64> {
        let half = self.half_range_about_middle().filter(|_| self.students.is_empty());
        half.map(|half| half - sign * self.off_middle)
    }

    /// Of all but the Student t terms.
    fn half_range_about_middle(&self) -> Option<f64> {
        let others: Option<f64> = self.others.iter().map(|other| other.half_range).sum();
        others.filter(|_| self.normal_variance == 0.0).map(|others| self.boxes.iter().sum::<f64>() + others)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::{Normal, Rectangular, StudentT, Triangular};

    fn term(coefficient: f64, law: Law) -> Term {
        Term { coefficient, law }
    }

    #[test]
    fn every_term_finds_its_place() {
        let terms = [
            term(2.0, Law::Normal(Normal::new(10.0, 0.3).expect("valid"))),
            term(-1.0, Law::Normal(Normal::new(4.0, 0.8).expect("valid"))),
            term(-2.0, Law::Rectangular(Rectangular::new(1.0, 2.0).expect("valid"))),
            term(1.0, Law::Triangular(Triangular::symmetric(0.0, 8.0).expect("valid"))),
            term(0.5, Law::StudentT(StudentT::new(6.0, 1.0, 3.0).expect("valid"))),
            term(0.0, Law::StudentT(StudentT::new(6.0, 1.0, 1.0).expect("valid"))),
        ];
        let parts = Parts::sort(0.25, &terms).expect("all variances exist");
        assert_eq!(parts.location.to_f64(), 0.25 + 20.0 - 4.0 - 3.0 + 4.0 + 3.0);
        assert_eq!(parts.unit, 2.0);
        // 4 × 0.09 + 0.64 = 1 mm², the unit is 2 mm.
        assert!((parts.normal_variance - 0.25).abs() < 1e-15);
        assert_eq!(parts.boxes, [1.0, 1.0, 0.5]);
        assert_eq!(parts.students, [Student { scale: 0.25, freedom: 3.0 }]);
        assert_eq!((parts.extent(1.0), parts.extent(-1.0)), (None, None));
    }

    #[test]
    fn a_skew_term_is_about_its_mean() {
        // Mean (0 + 0 + 6)/3 = 2, one below the middle; twice that, mirrored.
        let skew = Law::Triangular(Triangular::new(0.0, 0.0, 6.0).expect("valid"));
        let parts = Parts::sort(1.0, &[term(-2.0, skew)]).expect("all variances exist");
        assert_eq!(parts.location.to_f64(), 1.0 - 4.0);
        let reach = |sign| parts.extent(sign).expect("it has limits") * parts.unit;
        assert!((reach(1.0) - 4.0).abs() < 1e-15 && (reach(-1.0) - 8.0).abs() < 1e-15);
    }

    #[test]
    fn what_has_no_variance_or_no_end_is_refused() {
        let heavy = term(1.0, Law::StudentT(StudentT::new(0.0, 1.0, 2.0).expect("valid")));
        assert_eq!(Parts::sort(0.0, &[heavy]), Err(ExactError::NoVariance));
        let endless = term(f64::MAX, Law::Normal(Normal::new(10.0, 1.0).expect("valid")));
        assert_eq!(Parts::sort(0.0, &[endless]), Err(ExactError::NotFinite));
        assert_eq!(Parts::sort(f64::NAN, &[]), Err(ExactError::NotFinite));
    }

    #[test]
    fn a_term_without_effect_is_folded() {
        let terms = [
            term(1.0, Law::Normal(Normal::new(1.0, 1.0).expect("valid"))),
            term(1e-30, Law::Normal(Normal::new(1.0, 1.0).expect("valid"))),
        ];
        let parts = Parts::sort(0.0, &terms).expect("all variances exist");
        assert_eq!(parts.normal_variance, 1.0);
        assert!(Parts::sort(3.0, &[]).expect("a constant").is_constant());
    }

    #[test]
    fn the_location_keeps_what_a_double_would_round() {
        // 1e9 mm of parts against each other, and 1e-9 mm left.
        let terms = [
            term(1.0, Law::Normal(Normal::new(1e9, 1.0).expect("valid"))),
            term(1.0, Law::Normal(Normal::new(1e-9, 1.0).expect("valid"))),
            term(-1.0, Law::Normal(Normal::new(1e9, 1.0).expect("valid"))),
        ];
        let parts = Parts::sort(0.0, &terms).expect("all variances exist");
        assert_eq!(parts.location.to_f64(), 1e-9);
    }
}
