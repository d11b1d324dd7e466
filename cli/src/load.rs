//! From STACK to a resolved document.

use std::path::Path;

use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::resolved::Document;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::Node;
use shimwright_engine::document::{self, assign, yaml};
use shimwright_presets::Preset;

use crate::args::{Assignment, Stack};
use crate::exit::Stop;
use crate::input;
use crate::table::{self, filled_in};

/// A resolved document with all that a report needs beside it.
#[derive(Debug)]
pub struct Loaded {
    /// The document.
    pub document: Document,
    /// Notes that were made on the way.
    pub notes: Vec<Diagnostic>,
    /// The texts that it came from.
    pub sources: Sources,
}

/// Loads what STACK names, with the values of the line put in, and the file of instruments beside it if there is one.
///
/// # Errors
/// All that is wrong with it, as [`Stop::Wrong`].
pub fn load(stack: &Stack, values: &[Assignment], instruments: Option<&Path>) -> Result<Loaded, Stop> {
    let mut sources = Sources::new();
    let values = match filled_in(values, &mut sources) {
        Ok(values) => values,
        Err(fault) => return Err(Stop::Wrong { diagnostics: Diagnostics::from(*fault), sources }),
    };
    match load_into(stack, &values, instruments, &mut sources) {
        Ok((document, diagnostics)) => Ok(Loaded { document, notes: diagnostics.into_notes(), sources }),
        Err(diagnostics) => Err(Stop::Wrong { diagnostics, sources }),
    }
}

fn load_into(stack: &Stack, values: &[String], instruments: Option<&Path>, sources: &mut Sources) -> document::Checked {
    let shop = instruments.map(|path| shop(path, sources)).transpose()?;
    let shop = shop.as_ref();
    let read = match stack {
        Stack::File(path) => input::file(path, sources),
        Stack::StandardInput => input::standard_input(sources),
        Stack::Preset(name) => {
            let (_, tree) = compile(name, values, sources)?;
            table::attach(&tree, None, sources);
            return document::load_tree_with(sources, &tree, shop);
        }
    };
    let id = read.map_err(|fault| Diagnostics::from(*fault))?;
    let mut tree = yaml::read(sources, id).map_err(|fault| Diagnostics::from(*fault))?;
    let put_in = assign::apply(&mut tree, sources, values);
    let file = match stack {
        Stack::File(path) => Some(path.as_path()),
        _ => None,
    };
    table::attach(&tree, file, sources);
    // What is wrong with the line and what is wrong with the file are one report.
    let checked = document::load_tree_with(sources, &tree, shop);
    match (put_in, checked) {
        (Ok(()), checked) => checked,
        (Err(faults), Ok(_)) => Err(faults),
        (Err(mut faults), Err(more)) => {
            faults.extend(more);
            Err(faults)
        }
    }
}

/// The tree of a file of instruments.
fn shop(path: &Path, sources: &mut Sources) -> Result<Node, Diagnostics> {
    let id = input::file(path, sources).map_err(|fault| Diagnostics::from(*fault))?;
    yaml::read(sources, id).map_err(|fault| Diagnostics::from(*fault))
}

/// A preset by its name.
///
/// # Errors
/// That there is none, or what is wrong with it.
pub fn preset(name: &str, sources: &mut Sources) -> Result<Preset, Diagnostics> {
    let Ok(entry) = shimwright_presets::find(name) else {
        let known: Vec<&str> = shimwright_presets::catalogue().iter().map(|entry| entry.name).collect();
        return Err(unknown_preset(name, &known).into());
    };
    Preset::read(sources, entry)
}

/// The document that a preset makes of the values of the line.
///
/// # Errors
/// All that is wrong with the values, or the preset.
pub fn compile(name: &str, values: &[String], sources: &mut Sources) -> Result<(Preset, Node), Diagnostics> {
    let preset = preset(name, sources)?;
    let tree = preset.compile(sources, values)?;
    Ok((preset, tree))
}

/// The report of a preset that is not among the `known` ones. It mentions a file of that name, if there is one.
#[must_use]
pub fn unknown_preset(name: &str, known: &[&str]) -> Diagnostic {
    let fault = Diagnostic::error(Code::UnknownPreset, format!("no preset is called `{name}`"));
    let files = [name.to_owned(), format!("{name}.yaml"), format!("{name}.yml")];
    if let Some(file) = files.iter().find(|file| Path::new(file).is_file()) {
        let written = if file == name { format!("./{file}") } else { file.clone() };
        return fault.help(format!("there is a file of that name; for the file write `{written}`"));
    }
    match nearest(name, known.iter().copied()) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help("`shimwright preset list` shows all of them; a file ends in .yaml, or has a `/` before it"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_preset_has_its_neighbour_or_the_list_named() {
        let known = ["drive-shaft", "end-play"];
        assert_eq!(unknown_preset("end-pay", &known).help.unwrap(), "did you mean `end-play`?");
        assert!(unknown_preset("zzzzzz", &known).help.unwrap().starts_with("`shimwright preset list`"));
    }

    #[test]
    fn a_file_of_that_name_is_mentioned() {
        // Tests run in the folder of their package.
        let fault = unknown_preset("Cargo.toml", &[]);
        assert_eq!(fault.help.unwrap(), "there is a file of that name; for the file write `./Cargo.toml`");
    }

    #[test]
    fn a_file_is_loaded_with_its_notes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("stack.yaml");
        let text = "dimensions:\n  case: 10.00\n  gear: { size: 9.90, tolerance: 0.02 }\n\
                    gaps:\n  float: { chain: case - gear, accept: [0.05, 0.20] }\n";
        std::fs::write(&path, text).unwrap();
        let loaded = load(&Stack::File(path), &[], None).unwrap();
        assert_eq!(loaded.document.gaps[0].name, "float");
        assert_eq!(loaded.document.dimensions.len(), 2);
    }
}
