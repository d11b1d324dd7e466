//! From a form of the model to the terms of a weighted sum.

use super::exact::{Exact, ExactError, ExactOptions, Term};
use crate::law::{Law, Normal};
use crate::model::{Column, Form, linked};

/// The exact distribution of a form.
///
/// Normal variables that go together are merged into one normal law, with the variance of their weighted sum.
///
/// # Errors
/// A term without variance, a figure that is not finite, or variables that go together and are not all normal.
pub fn exact_of(form: &Form, columns: &[Column]) -> Result<Exact, ExactError> {
    let used: Vec<usize> = form.columns().collect();
    let sets = linked(&used, columns);
    let mut constant = form.constant_mm;
    let mut terms = Vec::new();
    for &(column, coefficient) in form.terms() {
        if sets.iter().any(|set| set.contains(&column)) {
            continue;
        }
        let column = &columns[column];
        constant += coefficient * column.value_mm;
        terms.extend(column.parts.iter().map(|part| Term { coefficient, law: part.law.clone() }));
    }
    for set in &sets {
        if !set.iter().all(|&column| columns[column].is_normal()) {
            return Err(ExactError::Correlated);
        }
        let mut together = Form::default();
        set.iter().for_each(|&column| together.add(&Form::variable(column), form.coefficient(column)));
        let sd = together.variance_mm2(columns).ok_or(ExactError::NoVariance)?.sqrt();
        let mean = together.mean_mm(columns);
        if sd > 0.0 {
            let law = Normal::new(mean, sd).map_err(|_| ExactError::NotFinite)?;
            terms.push(Term { coefficient: 1.0, law: Law::Normal(law) });
        } else {
            constant += mean;
        }
    }
    Exact::new(constant, &terms, ExactOptions::default())
}
