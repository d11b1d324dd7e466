//! Terms of a weighted sum, and its exact distribution against a reference.

use shimwright_engine::analyse::exact::{Exact, ExactOptions, Probability, Term};
use shimwright_engine::law::{Discrete, Law, Mixture, Normal, Observed, Rectangular, StudentT, Triangular};

/// A normal term.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn normal(coefficient: f64, mean: f64, sd: f64) -> Term {
    let law = Law::Normal(Normal::new(mean, sd).expect("a valid law"));
    Term { coefficient, law }
}

/// A rectangular term.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn rectangular(coefficient: f64, centre: f64, half: f64) -> Term {
    let law = Law::Rectangular(Rectangular::new(centre - half, centre + half).expect("a valid law"));
    Term { coefficient, law }
}

/// A symmetric triangular term.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn triangular(coefficient: f64, centre: f64, half: f64) -> Term {
    let law = Law::Triangular(Triangular::symmetric(centre - half, centre + half).expect("a valid law"));
    Term { coefficient, law }
}

/// A Student t term.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn student(coefficient: f64, centre: f64, scale: f64, freedom: f64) -> Term {
    let law = Law::StudentT(StudentT::new(centre, scale, freedom).expect("a valid law"));
    Term { coefficient, law }
}

/// A discrete term: values and weights.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn discrete(coefficient: f64, weighted: &[(f64, f64)]) -> Term {
    Term { coefficient, law: Law::Discrete(Discrete::new(weighted.iter().copied()).expect("a valid law")) }
}

/// A term of observed values.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn observed(coefficient: f64, values: &[f64]) -> Term {
    Term { coefficient, law: Law::Observed(Observed::new(values).expect("a valid law")) }
}

/// A term that is one of the laws of `cases`, each with its weight.
///
/// # Panics
/// If the figures are not those of a law.
#[must_use]
pub fn mixture(coefficient: f64, cases: &[(f64, Law)]) -> Term {
    Term { coefficient, law: Law::Mixture(Mixture::new(cases.iter().cloned()).expect("a valid law")) }
}

/// The exact distribution of a sum.
///
/// # Panics
/// If a term has no variance.
#[must_use]
pub fn exact(terms: &[Term]) -> Exact {
    Exact::new(0.0, terms, ExactOptions::default()).expect("every term has a variance")
}

/// Asserts that the value is the reference within the bound told and `printed`, the doubt of the reference itself.
///
/// # Panics
/// If it is not.
#[track_caller]
pub fn agrees(found: Probability, reference: f64, printed: f64) {
    let allowed = found.error_bound + printed;
    assert!((found.value - reference).abs() <= allowed, "{found:?} is not {reference} within {allowed}");
    assert!(found.error_bound <= 1.1e-12, "{found:?}: the bound is not what was asked for");
}

/// Figures of 16 digits, of inputs that are themselves rounded to doubles.
#[must_use]
pub fn sixteen_digits(reference: f64) -> f64 {
    1e-15 + 4e-15 * reference.abs()
}
