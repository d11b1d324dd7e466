//! `$input`: a whole value of the stack that an answer stands in for.

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::source::Span;
use shimwright_engine::document::tree::{Node, Value};
use shimwright_engine::document::written::Reader;

use super::{Asked, Takes};

/// What a text of the stack refers to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reference<'a> {
    /// Nothing: it is a text of the document.
    None,
    /// An input.
    Input(&'a str),
    /// A `$` that does not stand for a whole value.
    Pasted,
}

/// Reads a text of the stack.
pub(crate) fn of(text: &str) -> Reference<'_> {
    if let Some(name) = text.strip_prefix('$') {
        let whole = name.starts_with(char::is_alphabetic) && name.chars().all(|c| c.is_alphanumeric() || c == '_');
        return if whole { Reference::Input(name) } else { Reference::Pasted };
    }
    // `$5` in a remark is money.
    let pasted = text.split('$').skip(1).any(|behind| behind.starts_with(char::is_alphabetic));
    if pasted { Reference::Pasted } else { Reference::None }
}

/// The form that readings take where they stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ReadingsForm {
    /// The readings alone, the other keys being beside them.
    Bare,
    /// A map with all that the input says of them.
    Map,
    /// A map with the instrument alone: a shim.
    Shim,
}

/// The form of readings at a way through the stack; none where readings cannot stand.
pub(crate) fn readings_form(way: &[&str]) -> Option<ReadingsForm> {
    match way {
        ["dimensions", _] | ["gaps", _, "found"] => Some(ReadingsForm::Map),
        ["packs", _, "fitted"] => Some(ReadingsForm::Shim),
        // Behind section and name, which may be any word.
        _ if way.iter().skip(2).any(|&key| key == "readings") => Some(ReadingsForm::Bare),
        _ => None,
    }
}

/// Checks every `$` of the stack, and returns for each input whether it is used.
pub(super) fn check(reader: &mut Reader<'_>, stack: &Node, asked: &Asked) -> Vec<bool> {
    let mut used = vec![false; asked.inputs.len()];
    walk(reader, stack, &mut Vec::new(), asked, &mut used);
    used
}

fn walk<'n>(reader: &mut Reader<'_>, node: &'n Node, way: &mut Vec<&'n str>, asked: &Asked, used: &mut [bool]) {
    match &node.value {
        Value::Null => {}
        Value::Scalar(scalar) => scalar_at(reader, &scalar.text, node.at, way, asked, used),
        Value::List(items) => items.iter().for_each(|item| walk(reader, item, way, asked, used)),
        Value::Map(entries) => {
            for entry in entries {
                if of(&entry.key.text) != Reference::None {
                    let message = format!("`{}`: an input cannot be a key", entry.key.text);
                    let help = "an input stands for a whole value; write the name out";
                    reader.error_with_help(Code::BadInput, entry.key.at, message, help);
                }
                way.push(&entry.key.text);
                reader.within(&entry.key.text, |reader| walk(reader, &entry.value, way, asked, used));
                way.pop();
            }
        }
    }
}

fn scalar_at(reader: &mut Reader<'_>, text: &str, at: Span, way: &[&str], asked: &Asked, used: &mut [bool]) {
    match of(text) {
        Reference::None => {}
        Reference::Pasted => {
            let message = format!("`{text}`: an input stands for a whole value, and nothing is pasted into text");
            let help = "to use an answer in a formula, make it a dimension, `band: $band`, and name that";
            reader.error_with_help(Code::BadInput, at, message, help);
        }
        Reference::Input(name) => match asked.inputs.iter().position(|input| input.name.text == name) {
            Some(index) => {
                used[index] = true;
                if asked.inputs[index].takes == Takes::Readings && readings_form(way).is_none() {
                    let message = format!("`${name}` takes readings, and readings cannot stand here");
                    let help =
                        "they are a whole dimension, `found` of a gap, a fitted shim, or the value of `readings`";
                    reader.error_with_help(Code::BadInput, at, message, help);
                }
            }
            None if asked.is_broken(name) => {}
            None => {
                let known = || asked.names();
                let fault = Diagnostic::error(Code::BadInput, format!("no input is called `{name}`")).at(at);
                reader.push(match nearest(name, known()) {
                    Some(near) => fault.help(format!("did you mean `${near}`?")),
                    None => fault.help(format!("the inputs are {}", known().collect::<Vec<_>>().join(", "))),
                });
            }
        },
    }
}
