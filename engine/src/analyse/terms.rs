//! From a form of the model to the terms of a weighted sum.

use super::exact::{Exact, ExactError, ExactOptions, Term};
use crate::model::{Column, Form};

/// The exact distribution of a form.
///
/// # Errors
/// A term without variance, or a figure that is not finite.
pub fn exact_of(form: &Form, columns: &[Column]) -> Result<Exact, ExactError> {
    let mut constant = form.constant_mm;
    let mut terms = Vec::new();
    for &(column, coefficient) in form.terms() {
        let column = &columns[column];
        constant += coefficient * column.value_mm;
        terms.extend(column.parts.iter().map(|part| Term { coefficient, law: part.law.clone() }));
    }
    Exact::new(constant, &terms, ExactOptions::default())
}
