//! The exact distribution of a constant plus a weighted sum of independent lengths, each answer with a bound of its
//! own error.
//!
//! Zero terms fold into the constant and normal terms merge. What is left decides the method: a normal law, a single
//! Student t, a few rectangles in closed form (`boxes`; a symmetric triangle is two equal ones), and for all else
//! the inversion of the characteristic function (`inversion`).

mod aliasing;
mod boxes;
mod distribution;
mod heavy;
mod inversion;
mod light;
mod parts;
mod probability;
mod spectrum;
mod way;

pub use distribution::Exact;
pub use probability::Probability;

use crate::law::Law;

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
    /// Where nothing is random: a limit within this distance of the value is met exactly. mm.
    pub same_within_mm: f64,
}

impl Default for ExactOptions {
    /// 1e-12; 2¹⁸ terms; half of the 1 nm grid on which equality of sizes is decided.
    fn default() -> Self {
        Self { tolerance: 1e-12, most_terms: 1 << 18, same_within_mm: 0.5e-6 }
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
}
