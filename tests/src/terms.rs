//! Terms of a weighted sum, and its exact distribution against a reference.

use shimwright_engine::analyse::exact::{Exact, ExactOptions, Probability, Term};
use shimwright_engine::law::{Law, Normal, Rectangular, StudentT, Triangular};

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
