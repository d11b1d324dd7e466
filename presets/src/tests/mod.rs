//! Tests of the crate as a whole: what is shipped, what a preset may not be, what a command line may say to one.

mod arguments;
mod faults;
mod shipped;
mod stations;

use shimwright_engine::document::diagnostic::{Code, Diagnostics};
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::{Node, Value};

use crate::{Preset, find};

/// A tree as one line without quotes, for comparing.
fn shown(node: &Node) -> String {
    match &node.value {
        Value::Null => "~".to_owned(),
        Value::Scalar(scalar) => scalar.text.clone(),
        Value::List(items) => format!("[{}]", items.iter().map(shown).collect::<Vec<_>>().join(", ")),
        Value::Map(entries) => {
            let all = entries.iter().map(|entry| format!("{}: {}", entry.key.text, shown(&entry.value)));
            format!("{{{}}}", all.collect::<Vec<_>>().join(", "))
        }
    }
}

fn preset(name: &str) -> (Preset, Sources) {
    let mut sources = Sources::new();
    let preset = Preset::read(&mut sources, find(name).unwrap()).unwrap();
    (preset, sources)
}

/// Each fault as code, message and help on one line.
fn lines(faults: &Diagnostics) -> Vec<(Code, String)> {
    let line = |help: Option<&str>, message: &str| format!("{message}; {}", help.unwrap_or(""));
    faults.iter().map(|one| (one.code, line(one.help.as_deref(), &one.message))).collect()
}

/// That exactly one fault has this code and these words.
fn has(faults: &Diagnostics, code: Code, words: &str) {
    let all = lines(faults);
    let count = all.iter().filter(|(found, line)| *found == code && line.contains(words)).count();
    assert_eq!(count, 1, "{code:?} {words}: {all:#?}");
}
