//! Assemblies that are set with shims, as data; and the way from one of them and a few readings to a stack document.
//!
//! ```text
//! data/NAME.yaml -> Entry -> Preset (typed, checked) + NAME=VALUE -> tree of a stack document -> text
//! ```
//!
//! The tree is what [`shimwright_engine::document::load_tree`] takes, and every node keeps the place that it came
//! from. Nothing here reads a file when it runs: the data is part of the program.

mod catalogue;
mod compile;
mod language;
mod print;

#[cfg(test)]
mod tests;

pub use catalogue::{Entry, catalogue, find};
pub use language::{Example, Expectation, Input, Preset, Takes};
pub use print::{inline, print};
