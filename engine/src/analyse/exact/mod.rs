//! The exact distribution of a constant plus a weighted sum of independent lengths, each answer with a bound of its
//! own error.
//!
//! Zero terms fold into the constant and normal terms merge. What is left decides the method: a normal law, a single
//! Student t, a few rectangles in closed form (`boxes`; a symmetric triangle is two equal ones), and for all else
//! the inversion of the characteristic function (`inversion`).
//!
//! A mixture is cut into its laws, and the answers of all `cases` are added up. In each case the values of discrete
//! terms are enumerated (`atoms`), equal sums as one, and the rest is asked at each of them (`piece`); where there
//! are many and the rest is inverted anyway, they go into its characteristic function as the finite sum that they are.

mod aliasing;
mod atoms;
mod boxes;
mod cases;
mod distribution;
mod heavy;
mod inversion;
mod light;
mod parts;
mod piece;
mod plain;
mod probability;
mod spectrum;
mod way;

pub use distribution::Exact;
pub use probability::Probability;

use crate::law::Law;
use crate::length::SAME_WITHIN_MM;

/// One term of the sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// What X is multiplied by.
    pub coefficient: f64,
    /// The law of X.
    pub law: Law,
}

/// How exact, and at what cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExactOptions {
    /// The error bound aimed at for a probability, in (0, 1). Rounding adds a few 1e-14.
    pub tolerance: f64,
    /// The most terms of one inversion. Where they do not reach the tolerance the bound told is larger.
    pub most_terms: usize,
    /// A limit within this distance of a value that has a probability of its own (all of it, where nothing is random)
    /// is met exactly. mm.
    pub same_within_mm: f64,
}

impl Default for ExactOptions {
    /// 1e-12; 2¹⁸ terms; half of the 1 nm grid on which equality of sizes is decided.
    fn default() -> Self {
        Self { tolerance: 1e-12, most_terms: 1 << 18, same_within_mm: SAME_WITHIN_MM }
    }
}

/// Why there is no exact distribution. The texts are parts of a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ExactError {
    /// A term has no variance: a Student t with two degrees of freedom or fewer.
    #[error("a term has no variance (a Student t needs more than two degrees of freedom)")]
    NoVariance,
    /// The constant, or a coefficient times a length, is not a finite number.
    #[error("the sum is not a finite number")]
    NotFinite,
    /// Mixtures with a Student t among their laws, of more cases together than can be added up.
    #[error("there are too many cases of mixtures with a Student t among their laws")]
    TooManyCases,
    /// Variables that go together are not all normal: nothing exact is known of their sum.
    #[error("parts of it that go together (`correlations`) are not all normal, which only random assemblies answer")]
    Correlated,
    /// The tolerance is not in (0, 1), or no terms are allowed.
    #[error("the tolerance is not between 0 and 1, or no terms are allowed")]
    Options,
}

/// How a distribution is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Nothing is random.
    Constant,
    /// One normal law.
    Normal,
    /// A few rectangles, in closed form.
    Boxes,
    /// One law alone, by its own distribution function.
    Single,
    /// Inversion of the characteristic function.
    Inversion,
    /// Single values alone, enumerated.
    Atoms,
    /// Several of the other methods, added up: over the laws of mixtures, or over single values beside other laws.
    Cases,
}

/// A bound with which a shorter way is good enough.
const ENOUGH: f64 = 1e-9;
