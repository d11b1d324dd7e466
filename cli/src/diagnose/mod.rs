//! What is wrong with a document, for people and for programs.

mod excerpt;
mod human;

use std::collections::HashMap;

use serde::Serialize;
use shimwright_engine::document::diagnostic::{Diagnostic, Diagnostics};
use shimwright_engine::document::source::{SourceId, Sources};

use crate::report::json::{FORMAT, Note, pretty};

pub use human::{human, notes};

/// The report of everything that is wrong, as JSON.
#[must_use]
pub fn json(diagnostics: &Diagnostics, sources: &Sources, command: Option<&str>) -> String {
    #[derive(Serialize)]
    struct Report<'a> {
        format: u32,
        command: Option<&'a str>,
        errors: Vec<Note>,
    }
    pretty(&Report { format: FORMAT, command, errors: Note::all(in_order(diagnostics), sources) })
}

/// In the order in which someone mends a file, from the top: first what has no place, then source by source as they
/// were first met, by place. Those of one place stay in the order in which they were found.
fn in_order(diagnostics: &Diagnostics) -> Vec<&Diagnostic> {
    let mut met: HashMap<SourceId, usize> = HashMap::new();
    let mut all: Vec<_> = diagnostics
        .iter()
        .map(|one| {
            let place = one.at.map(|span| {
                let next = met.len();
                (*met.entry(span.source).or_insert(next), span.start)
            });
            (place, one)
        })
        .collect();
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, one)| one).collect()
}

#[cfg(test)]
mod tests;
