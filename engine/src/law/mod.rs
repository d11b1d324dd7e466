//! Laws of one length: its distribution with everything the methods ask of it.
//!
//! One law, one file, the same order of parts in each; [`Law`] is any of them. Lengths are millimetres. The names
//! of the laws are those of JCGM 101:2008, 6.4.

mod error;
mod normal;
mod rectangular;
mod student_t;
mod triangular;

#[cfg(test)]
mod checks;

pub use error::LawError;
pub use normal::Normal;
pub use rectangular::Rectangular;
pub use student_t::StudentT;
pub use triangular::Triangular;

use crate::number::double_double::DoubleDouble;
use crate::number::normal::below;
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
    fn above(&self, x: f64) -> f64;

    /// The x with P(X ≤ x) = p, or `None` when p is not inside (0, 1). mm.
    fn quantile(&self, p: f64) -> Option<f64>;

    /// The w for which [centre − w, centre + w] holds the probability `coverage` in [0, 1]; for a bounded law and
    /// coverage 1 the half-range, for an unbounded one infinity. mm.
    fn half_width(&self, coverage: f64) -> f64;

    /// A w with P(|X − centre| > w) ≤ p; the half-range for a bounded law. mm.
    fn tail_half_width(&self, p: f64) -> f64;

    /// E exp(it(X − centre)), t in 1/mm.
    fn characteristic(&self, t: f64) -> Complex<f64>;

    /// A bound of |characteristic| that falls (never rises) with |t|.
    ///
    /// It also falls at least by half from t to 2t where a rectangle's bound is below one, and at least to its
    /// square elsewhere; the truncation bound of the exact method rests on that.
    fn envelope(&self, t: f64) -> f64;

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
    /// Take it as the sum of so many independent rectangles, all of this half-width.
    Boxes {
        /// How many.
        count: usize,
        /// Half-width of each, mm.
        half_width: f64,
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
    },
}

/// The distribution of one length.
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// Gaussian (JCGM 101:2008, 6.4.7).
    Normal(Normal),
    /// Uniform between limits (6.4.2).
    Rectangular(Rectangular),
    /// Symmetric triangular between limits (6.4.5).
    Triangular(Triangular),
    /// Scaled and shifted Student t (6.4.9).
    StudentT(StudentT),
}

impl Law {
    fn one(&self) -> &dyn Distribution {
        match self {
            Self::Normal(law) => law,
            Self::Rectangular(law) => law,
            Self::Triangular(law) => law,
            Self::StudentT(law) => law,
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
            Self::StudentT(law) => law.fill(rng, out),
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

    /// The x with P(X ≤ x) = p, mm; `None` when p is not inside (0, 1).
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
