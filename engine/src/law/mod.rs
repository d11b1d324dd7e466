//! Laws of one length: its distribution with everything the methods ask of it.
//!
//! One law, one file, the same order of parts in each; [`Law`] is any of them. Lengths are millimetres. The names
//! of the laws are those of JCGM 101:2008, 6.4.

mod arcsine;
mod beta;
mod discrete;
mod error;
mod mixture;
mod normal;
mod observed;
mod rectangular;
mod slopes;
mod student_t;
mod trapezoidal;
mod triangular;
mod truncated_normal;
mod variation;

#[cfg(test)]
mod checks;

pub use arcsine::Arcsine;
pub use beta::Beta;
pub use discrete::Discrete;
pub use error::LawError;
pub use mixture::{Case, Mixture};
pub use normal::Normal;
pub use observed::Observed;
pub use rectangular::Rectangular;
pub use student_t::StudentT;
pub use trapezoidal::Trapezoidal;
pub use triangular::Triangular;
pub use truncated_normal::TruncatedNormal;

use crate::number::double_double::DoubleDouble;
use crate::number::normal::below;
use crate::number::root::solve_increasing;
use nalgebra::Complex;
use rand::Rng;

/// What a law tells of itself. Every law has these; X stands for the length.
pub trait Distribution {
    /// The middle of the law: that of its limits where it has them, else its point of symmetry. mm.
    fn centre(&self) -> f64;

    /// The centre with the digits that one double would round away. mm.
    fn centre_in_full(&self) -> DoubleDouble {
        self.centre().into()
    }

    /// The expectation, where there is one. mm.
    fn mean(&self) -> Option<f64>;

    /// The variance, where there is one. mm².
    fn variance(&self) -> Option<f64>;

    /// Whether E X⁴ is finite, so that a sample variance has a standard error.
    fn has_fourth_moment(&self) -> bool;

    /// The limits that X cannot pass, or `None` when it is unbounded. mm.
    fn support(&self) -> Option<(f64, f64)>;

    /// The probability density at x. 1/mm.
    fn density(&self, x: f64) -> f64;

    /// P(X ≤ x).
    fn below(&self, x: f64) -> f64;

    /// P(X > x), without the cancellation of 1 − P(X ≤ x).
    ///
    /// Where single values have a probability of their own, both take x as `below` does: a value at x is below.
    fn above(&self, x: f64) -> f64;

    /// The least x with P(X ≤ x) ≥ p, or `None` when p is not inside (0, 1). mm.
    fn quantile(&self, p: f64) -> Option<f64>;

    /// The (least) w for which [centre − w, centre + w] holds the probability `coverage` in [0, 1]; for a bounded law and
    /// coverage 1 the half-range, for an unbounded one infinity. mm.
    fn half_width(&self, coverage: f64) -> f64;

    /// A w with P(|X − centre| > w) ≤ p; the half-range for a bounded law. mm.
    fn tail_half_width(&self, p: f64) -> f64;

    /// E exp(it(X − centre)), t in 1/mm.
    fn characteristic(&self, t: f64) -> Complex<f64>;

    /// A bound of |characteristic| that falls (never rises) with |t|.
    fn envelope(&self, t: f64) -> f64;

    /// An r ≤ 1 with envelope(2s) ≤ r · envelope(s) for every s ≥ |t|: how surely the envelope falls from t on. The
    /// truncation bound of the exact method rests on it; 1 promises nothing.
    fn fall(&self, t: f64) -> f64;

    /// What the exact method may do with the law.
    fn exact_role(&self) -> ExactRole;
}

/// What the exact method may do with a law (about its centre).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ExactRole {
    /// Merge it with every other normal term.
    Normal {
        /// Its variance, mm².
        variance: f64,
    },
    /// Take it as the sum of two independent rectangles.
    Boxes {
        /// Half-width of each, mm; zero: there is one only.
        half_widths: [f64; 2],
    },
    /// A Student t, whose tail is a power law.
    StudentT {
        /// The scale, mm.
        scale: f64,
        /// The degrees of freedom.
        freedom: f64,
    },
    /// Any other law with limits, skew or not: invert its characteristic function.
    Other {
        /// Half the distance between its limits, mm.
        half_range: f64,
        /// A v with E exp(s(X − mean)) ≤ exp(vs²/2) for every s, mm²; the square of the half-range always is one
        /// (W. Hoeffding, "Probability inequalities for sums of bounded random variables", Journal of the American
        /// Statistical Association 58 (1963) 13–30, lemma in the proof of theorem 2).
        proxy_variance: f64,
    },
    /// Single values with their probabilities: add over them ([`Law::atoms`]).
    Atoms {
        /// Half the distance between its limits, mm.
        half_range: f64,
    },
    /// One of several laws: add over them.
    Mixture,
}

/// The distribution of one length.
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// Gaussian (JCGM 101:2008, 6.4.7).
    Normal(Normal),
    /// Uniform between limits (6.4.2).
    Rectangular(Rectangular),
    /// Triangular between limits (6.4.5 where it is symmetric).
    Triangular(Triangular),
    /// Trapezoidal between limits (6.4.4 where it is symmetric).
    Trapezoidal(Trapezoidal),
    /// Arcsine between limits (6.4.6).
    Arcsine(Arcsine),
    /// Normal, cut off at limits.
    TruncatedNormal(TruncatedNormal),
    /// Beta between limits.
    Beta(Beta),
    /// Scaled and shifted Student t (6.4.9).
    StudentT(StudentT),
    /// Values with weights.
    Discrete(Discrete),
    /// A list of values, each as likely as the others.
    Observed(Observed),
    /// One of several laws, each with its weight.
    Mixture(Mixture),
}

impl Law {
    fn one(&self) -> &dyn Distribution {
        match self {
            Self::Normal(law) => law,
            Self::Rectangular(law) => law,
            Self::Triangular(law) => law,
            Self::Trapezoidal(law) => law,
            Self::Arcsine(law) => law,
            Self::TruncatedNormal(law) => law,
            Self::Beta(law) => law,
            Self::StudentT(law) => law,
            Self::Discrete(law) => law,
            Self::Observed(law) => law.as_discrete(),
            Self::Mixture(law) => law,
        }
    }

    /// The value of X that is as rarely passed as z is by a standard normal variable: the quantile at Φ(z). mm.
    ///
    /// Precision: that of the quantile; Φ(z) is kept inside (0, 1), which bears on |z| > 8.2 alone.
    #[must_use]
    pub fn at_normal(&self, z: f64) -> f64 {
        if let Self::Normal(law) = self {
            return law.centre() + z * law.variance().unwrap_or(0.0).sqrt();
        }
        let p = below(z).clamp(f64::MIN_POSITIVE, 1.0 - 0.5 * f64::EPSILON);
        self.quantile(p).unwrap_or_else(|| self.centre())
    }

    /// Fills `out` with independent values of X.
    ///
    /// Fill blocks of a few thousand: the choice of law is made once a call.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        match self {
            Self::Normal(law) => law.fill(rng, out),
            Self::Rectangular(law) => law.fill(rng, out),
            Self::Triangular(law) => law.fill(rng, out),
            Self::Trapezoidal(law) => law.fill(rng, out),
            Self::Arcsine(law) => law.fill(rng, out),
            Self::TruncatedNormal(law) => law.fill(rng, out),
            Self::Beta(law) => law.fill(rng, out),
            Self::StudentT(law) => law.fill(rng, out),
            Self::Discrete(law) => law.fill(rng, out),
            Self::Observed(law) => law.fill(rng, out),
            Self::Mixture(law) => law.fill(rng, out),
        }
    }

    /// The values of a law that has nothing but single values.
    #[must_use]
    pub fn atoms(&self) -> Option<&Discrete> {
        match self {
            Self::Discrete(law) => Some(law),
            Self::Observed(law) => Some(law.as_discrete()),
            Self::Mixture(law) => match law.cases() {
                [only] => only.law.atoms(),
                _ => None,
            },
            _ => None,
        }
    }

    /// Whether it is one of values or of cases with weights, which no tolerance spreads.
    #[must_use]
    pub fn is_weighted(&self) -> bool {
        matches!(self, Self::Discrete(_) | Self::Observed(_) | Self::Mixture(_))
    }

    /// Whether any single value has a probability of its own.
    #[must_use]
    pub fn has_atoms(&self) -> bool {
        match self {
            Self::Mixture(law) => law.cases().iter().any(|case| case.law.has_atoms()),
            law => law.atoms().is_some(),
        }
    }
}

/// What every law tells of itself: [`Distribution`], by whichever law it is.
impl Law {
    /// The middle of the law, mm; see [`Distribution::centre`].
    #[must_use]
    pub fn centre(&self) -> f64 {
        self.one().centre()
    }

    /// The centre with the digits that one double would round away, mm.
    #[must_use]
    pub fn centre_in_full(&self) -> DoubleDouble {
        self.one().centre_in_full()
    }

    /// The expectation, mm; `None` where there is none (a t with one degree or fewer).
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        self.one().mean()
    }

    /// The variance, mm²; `None` where there is none (a t with two degrees or fewer).
    #[must_use]
    pub fn variance(&self) -> Option<f64> {
        self.one().variance()
    }

    /// Whether E X⁴ is finite.
    #[must_use]
    pub fn has_fourth_moment(&self) -> bool {
        self.one().has_fourth_moment()
    }

    /// The limits, mm; `None` when unbounded.
    #[must_use]
    pub fn support(&self) -> Option<(f64, f64)> {
        self.one().support()
    }

    /// The probability density at x, 1/mm.
    #[must_use]
    pub fn density(&self, x: f64) -> f64 {
        self.one().density(x)
    }

    /// P(X ≤ x).
    #[must_use]
    pub fn below(&self, x: f64) -> f64 {
        self.one().below(x)
    }

    /// P(X > x), without cancellation.
    #[must_use]
    pub fn above(&self, x: f64) -> f64 {
        self.one().above(x)
    }

    /// The least x with P(X ≤ x) ≥ p, mm; `None` when p is not inside (0, 1).
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        self.one().quantile(p)
    }

    /// Half-width of the interval about the centre that holds `coverage`, mm; see [`Distribution::half_width`].
    #[must_use]
    pub fn half_width(&self, coverage: f64) -> f64 {
        self.one().half_width(coverage)
    }

    /// A w with P(|X − centre| > w) ≤ p, mm.
    #[must_use]
    pub fn tail_half_width(&self, p: f64) -> f64 {
        self.one().tail_half_width(p)
    }

    /// E exp(it(X − centre)), t in 1/mm.
    #[must_use]
    pub fn characteristic(&self, t: f64) -> Complex<f64> {
        self.one().characteristic(t)
    }

    /// A falling bound of |characteristic|; see [`Distribution::envelope`].
    #[must_use]
    pub fn envelope(&self, t: f64) -> f64 {
        self.one().envelope(t)
    }

    /// How surely the envelope falls from t on; see [`Distribution::fall`].
    #[must_use]
    pub fn fall(&self, t: f64) -> f64 {
        self.one().fall(t)
    }

    /// What the exact method may do with the law.
    #[must_use]
    pub fn exact_role(&self) -> ExactRole {
        self.one().exact_role()
    }
}

/// The tail on each side of a symmetric interval of this coverage.
fn each_tail(coverage: f64) -> f64 {
    assert!((0.0..=1.0).contains(&coverage), "a coverage lies between 0 and 1");
    0.5 * (1.0 - coverage)
}

/// [`Distribution::half_width`] of a law with limits and a density, by search: a skew one has no shorter way.
fn searched_half_width(law: &dyn Distribution, half_range: f64, coverage: f64) -> f64 {
    let outside = 2.0 * each_tail(coverage);
    if outside == 0.0 || outside == 1.0 {
        return half_range * (1.0 - outside);
    }
    let centre = law.centre();
    // What is left outside grows inward.
    -solve_increasing((-half_range, 0.0), -half_range * coverage, outside, 0.0, |inward| {
        let (low, high) = (centre + inward, centre - inward);
        (law.below(low) + law.above(high), law.density(low) + law.density(high))
    })
}

/// [`Distribution::fall`] of an envelope min(1, (knee/t)^order).
fn fall_of_power(knee: f64, order: f64, t: f64) -> f64 {
    if t.abs() >= knee { (-order).exp2() } else { 1.0 }
}
