//! Helpers of the tests: documents from text, and comparisons with a stated tolerance.

pub mod binomial;
pub mod strategies;
pub mod terms;

use shimwright_engine::analyse::{GapFigures, GapOptions, report};
use shimwright_engine::document::resolved::Document;
use shimwright_engine::document::source::Sources;
use shimwright_engine::model::Model;
use shimwright_engine::{document, model};

/// A document given as text, resolved.
///
/// # Panics
/// With all that is wrong, if it cannot be used.
#[must_use]
pub fn document_of(text: &str) -> Document {
    let mut sources = Sources::new();
    let id = sources.add("test", text);
    document::load(&sources, id).unwrap_or_else(|faults| panic!("{}", list(&faults))).0
}

/// The model of a document given as text.
///
/// # Panics
/// With all that is wrong, if the document cannot be used.
#[must_use]
pub fn model_of(text: &str) -> Model {
    model::build(&document_of(text)).unwrap_or_else(|faults| panic!("{}", list(&faults))).0
}

/// The figures of the first gap of a document given as text, by every method but Monte Carlo.
///
/// # Panics
/// If the document cannot be used, or has no gap.
#[must_use]
pub fn gap_of(text: &str) -> GapFigures {
    gap_with(text, &GapOptions::default())
}

/// The figures of the first gap of a document given as text.
///
/// # Panics
/// If the document cannot be used, or has no gap.
#[must_use]
pub fn gap_with(text: &str, options: &GapOptions) -> GapFigures {
    let report = report(&model_of(text), options).expect("every law has a variance");
    report.gaps.into_iter().next().expect("a gap")
}

/// The codes of all that is wrong with a document given as text, in order; empty where it can be used.
#[must_use]
pub fn codes_of(text: &str) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let id = sources.add("test", text);
    let faults = match document::load(&sources, id) {
        Err(faults) => faults,
        Ok((resolved, _)) => match model::build(&resolved) {
            Err(faults) => faults,
            Ok(_) => return Vec::new(),
        },
    };
    faults.iter().filter(|one| one.severity.word() == "error").map(|one| one.code.name()).collect()
}

fn list(faults: &document::diagnostic::Diagnostics) -> String {
    faults.iter().map(|one| format!("{}: {} ({})\n", one.code.name(), one.message, one.path)).collect()
}

/// Asserts that two numbers differ by `within` at most.
///
/// # Panics
/// If they do not, or one is not a number.
#[track_caller]
pub fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

/// A shouldered screw in inches, w = a − b − c − d, with one law for all four sizes; `accept` as a document says it.
///
/// Source: Shigley's Mechanical Engineering Design (example 1-7 in the 10th and 11th edition).
pub fn shouldered_screw(distribution: &str, accept: &str) -> String {
    format!(
        "
unit: in
dimensions:
  a: {{ size: 1.750, tolerance: 0.003, distribution: {distribution} }}
  b: {{ size: 0.750, tolerance: 0.001, distribution: {distribution} }}
  c: {{ size: 0.120, tolerance: 0.005, distribution: {distribution} }}
  d: {{ size: 0.875, tolerance: 0.001, distribution: {distribution} }}
gaps:
  w: {{ chain: a - b - c - d, accept: {accept} }}
"
    )
}
