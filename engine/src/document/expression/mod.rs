//! Chains and the other linear expressions of a document: `pocket - 2 * gear - 15 % of cord`.
//!
//! An expression is read straight into its coefficients, which are the sensitivities of the gap. There is no syntax
//! tree between: a chain of ten thousand terms needs no recursion.

mod parser;
mod token;

use indexmap::IndexMap;

use super::source::Span;
use crate::length::Unit;

pub use parser::parse;

/// An expression with other names in it; a name for which there is none stays. What is no expression stays as it is.
#[must_use]
pub fn renamed(text: &str, other: impl Fn(&str) -> Option<String>) -> String {
    let Ok(tokens) = token::tokens(text) else { return text.to_owned() };
    let mut found = String::with_capacity(text.len());
    let mut end = 0;
    for one in tokens {
        if let token::Kind::Name(name) = &one.kind
            && let Some(name) = other(name)
        {
            found.push_str(&text[end..one.start]);
            found.push_str(&name);
            end = one.end;
        }
    }
    found + &text[end..]
}

/// A linear expression over names, its numbers not yet in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Expression {
    /// The text as typed.
    pub text: String,
    /// Where it stands.
    pub at: Span,
    /// The sum of the numbers that have no unit; it is in the document's unit.
    pub bare: f64,
    /// The sum of the numbers with a unit, in millimetres.
    pub mm: f64,
    /// The coefficient of each name, in the order of first use.
    pub terms: IndexMap<String, Use>,
}

/// How a name is used in an expression.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// The sum of the name's coefficients.
    pub coefficient: f64,
    /// Where the name stands first.
    pub at: Span,
}

impl Expression {
    /// The constant part in millimetres, bare numbers being in `unit`.
    #[must_use]
    pub fn constant_mm(&self, unit: Unit) -> f64 {
        unit.to_mm(self.bare) + self.mm
    }
}

/// What is wrong with an expression, and where in its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExpressionFault {
    /// What is wrong.
    pub message: String,
    /// What to do, where that is not plain.
    pub help: Option<String>,
    /// The first byte of the fault, in the expression's text.
    pub start: usize,
    /// The byte behind it.
    pub end: usize,
    /// Whether the expression can be read but is not linear.
    pub not_linear: bool,
}

#[cfg(test)]
mod tests {
    use super::renamed;

    #[test]
    fn only_whole_names_are_exchanged() {
        let other = |name: &str| (name == "shim" || name == "end play").then(|| format!("{name} I1"));
        assert_eq!(renamed("0 - shim", other), "0 - shim I1");
        assert_eq!(renamed("15 % of shim + shims - 2*end play/3", other), "15 % of shim I1 + shims - 2*end play I1/3");
        assert_eq!(renamed("shim ^ 2", other), "shim ^ 2", "what is no expression stays");
        assert_eq!(renamed("0.10", other), "0.10");
    }
}
