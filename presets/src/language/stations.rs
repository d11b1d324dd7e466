//! Stations: what a preset writes once, and a document has once for each of them.

use shimwright_engine::document::assign::Part;
use shimwright_engine::document::diagnostic::Code;
use shimwright_engine::document::keys::Section;
use shimwright_engine::document::tree::{Entry, Node, Value};
use shimwright_engine::document::written::Reader;

use super::{Asked, Takes, reference};

/// More stations than this are a slip.
const MOST_STATIONS: usize = 200;

/// The input that a key of the stack, `each STATIONS`, names.
pub(crate) fn each(key: &str) -> Option<&str> {
    key.strip_prefix("each ").map(str::trim)
}

/// The letters that a station's name begins with, where digits follow: `E` of `E1`.
pub(crate) fn letters(station: &str) -> Option<&str> {
    let letters = station.trim_end_matches(|c: char| c.is_ascii_digit());
    (letters.len() < station.len() && !letters.is_empty() && letters.chars().all(char::is_alphabetic))
        .then_some(letters)
}

/// The stack without what is written for each station, and that.
pub(crate) fn apart(stack: &Node) -> (Node, Vec<&Entry>) {
    let entries = stack.entries().unwrap_or_default();
    let (of_each, rest): (Vec<&Entry>, Vec<&Entry>) = entries.iter().partition(|entry| each(&entry.key.text).is_some());
    let rest = match stack.value {
        Value::Map(_) => Node::map(rest.into_iter().cloned().collect(), stack.at),
        _ => stack.clone(),
    };
    (rest, of_each)
}

/// Checks what is written for each station, and says of each input which stations it is asked for. `used` are those
/// that the rest of the stack uses: they are one for all.
pub(super) fn check(reader: &mut Reader<'_>, of_each: &[&Entry], asked: &mut Asked, used: &mut [bool]) {
    let outside = used.to_vec();
    for entry in of_each {
        let name = each(&entry.key.text).unwrap_or_default();
        let stations = asked.inputs.iter().position(|input| input.name.text == name && input.takes == Takes::Stations);
        match stations {
            Some(index) => used[index] = true,
            None if asked.is_broken(name) => {}
            None => {
                let message = format!("`{}`: no input that takes stations is called `{name}`", entry.key.text);
                let help = "write `each` and the name of an input with `takes: stations`";
                reader.error_with_help(Code::BadInput, entry.key.at, message, help);
            }
        }
        reader.within(&entry.key.text, |reader| {
            reader.fields(&entry.value, Section::Each);
            let inside = reference::check(reader, &entry.value, asked);
            for (index, _) in inside.iter().enumerate().filter(|&(index, &inside)| inside && !outside[index]) {
                used[index] = true;
                let input = &mut asked.inputs[index];
                match &input.each {
                    Some(other) if other != name => {
                        let message = format!("`${}` stands under `each {other}` and `each {name}`", input.name.text);
                        let help = "ask for it twice, by two names";
                        reader.error_with_help(Code::BadInput, entry.key.at, message, help);
                    }
                    _ => input.each = Some(name.to_owned()),
                }
            }
        });
    }
}

/// Complains where a value is no list of stations.
pub(super) fn names(reader: &mut Reader<'_>, node: &Node) {
    let Value::List(items) = &node.value else {
        reader.wrong_form(node, "a list of the stations' names");
        return;
    };
    if items.len() > MOST_STATIONS {
        let message = format!("there are {} stations; the most is {MOST_STATIONS}", items.len());
        reader.error(Code::TooLarge, node.at, message);
    }
    for (index, item) in items.iter().enumerate() {
        let Some(name) = reader.text(item) else { continue };
        let word = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || c == '_');
        if !word || name.starts_with('_') || Part::ALL.iter().any(|part| part.word() == name) {
            let help = "one word of letters and digits: I1, E3, left";
            reader.error_with_help(Code::BadName, item.at, format!("`{name}` cannot be the name of a station"), help);
        } else if items[..index].iter().any(|other| other.text() == Some(&name)) {
            reader.error(Code::DoubleKey, item.at, format!("the station `{name}` is named twice"));
        }
    }
}
