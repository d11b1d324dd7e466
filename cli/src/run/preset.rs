//! The presets: which there are, what one asks, and the document that it makes.

use serde_json::{Value, json};
use shimwright_engine::document::diagnostic::Diagnostics;
use shimwright_engine::document::load_tree;
use shimwright_engine::document::source::Sources;
use shimwright_presets::{catalogue, print};

use super::stop;
use crate::args::{Assignment, Preset, PresetAction};
use crate::exit::{Outcome, Stop};
use crate::load::{compile, preset as find};
use crate::report::json::{FORMAT, pretty};
use crate::report::{preset as words, text};
use crate::terminal::Terminal;

/// Runs `preset list`, `preset show` and `preset expand`.
///
/// # Errors
/// That there is no such preset, what is wrong with the values, or that the answer could not be written.
pub fn preset(args: &Preset, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    match &args.action {
        PresetAction::List(list) => {
            let shown = if list.json { pretty(&listed()) } else { list_in_words() };
            terminal.print(&shown)?;
        }
        PresetAction::Show(show) => {
            let mut sources = Sources::new();
            let preset = or_stop(find(&show.name, &mut sources), sources)?.0;
            let shown =
                if show.json { pretty(&words::json(&preset)) } else { words::page(&preset, terminal.text_width()) };
            terminal.print(&shown)?;
        }
        PresetAction::Expand(expand) => {
            let mut sources = Sources::new();
            let values: Vec<String> = expand.values.iter().map(Assignment::text).collect();
            let ((_, tree), sources) = or_stop(compile(&expand.name, &values, &mut sources), sources)?;
            // A document that the other commands would refuse is not worth keeping.
            or_stop(load_tree(&sources, &tree), sources)?;
            terminal.print(&print(&tree))?;
        }
    }
    Ok(Outcome::Good)
}

fn or_stop<T>(result: Result<T, Diagnostics>, sources: Sources) -> Result<(T, Sources), Stop> {
    match result {
        Ok(value) => Ok((value, sources)),
        Err(diagnostics) => Err(stop(diagnostics, sources)),
    }
}

fn listed() -> Value {
    let presets: Vec<Value> = catalogue()
        .iter()
        .map(|entry| json!({ "name": entry.name, "title": entry.title, "family": entry.family }))
        .collect();
    json!({ "format": FORMAT, "command": "preset list", "presets": presets })
}

fn list_in_words() -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for entry in catalogue() {
        rows.push(vec![entry.name.to_owned(), entry.title.clone()]);
    }
    text::table(&rows, &[], 0)
}
