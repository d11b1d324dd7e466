//! Whether a value is of the kind that an input takes. Only the form is judged; what the figures mean is the
//! document's to say.

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::keys::Section;
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::tree::{Node, Value};
use shimwright_engine::document::written::Reader;

use super::{Input, Takes, stations};

/// Complains where a value is of another kind.
pub(crate) fn check(reader: &mut Reader<'_>, input: &Input, node: &Node) {
    match input.takes {
        Takes::Readings => readings(reader, node),
        Takes::Length => {
            reader.length(node);
        }
        Takes::Limits => limits(reader, node),
        Takes::Count => count(reader, node),
        Takes::Kit => kit(reader, node),
        Takes::Shims => shims(reader, node),
        Takes::Choice => choice(reader, input, node),
        Takes::Stations => stations::names(reader, node),
    }
}

fn readings(reader: &mut Reader<'_>, node: &Node) {
    match &node.value {
        Value::Map(_) if !reader.is_felt(node) => {
            for entry in reader.entries(node, "a map of places") {
                reader.within(&entry.key.text, |reader| reader.readings(&entry.value));
            }
        }
        Value::List(items) => {
            if items.is_empty() {
                reader.error(Code::WrongForm, node.at, "there is no reading in it");
            }
            for item in items {
                reader.readings(item);
            }
        }
        _ => {
            reader.reading(node);
        }
    }
}

fn limits(reader: &mut Reader<'_>, node: &Node) {
    let Some(text) = node.text() else {
        reader.pair(node, "limits");
        return;
    };
    match ["at least ", "at most "].iter().find_map(|word| text.strip_prefix(word)) {
        Some(rest) => {
            reader.length(&Node::scalar(rest.trim(), node.at));
        }
        None => {
            let help = "write [0.05, 0.20], `at least 0.05` or `at most 0.20`";
            reader.error_with_help(Code::WrongForm, node.at, format!("`{text}` is no pair of limits"), help);
        }
    }
}

fn count(reader: &mut Reader<'_>, node: &Node) {
    let ends: &[Node] = match &node.value {
        Value::List(items) => items,
        _ => std::slice::from_ref(node),
    };
    let whole =
        |node: &Node| node.text().is_some_and(|text| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit()));
    let pair = matches!(node.value, Value::List(_));
    if ends.len() != if pair { 2 } else { 1 } || !ends.iter().all(whole) {
        let message = "a count is a whole number, or the fewest and the most";
        reader.error_with_help(Code::Count, node.at, message, "write 3, or [1, 3]");
    }
}

fn kit(reader: &mut Reader<'_>, node: &Node) {
    let Some(fields) = reader.fields(node, Section::Kit) else { return };
    if ["sizes", "on_hand", "actual"].iter().all(|key| fields.get(key).is_none()) {
        let help = "write `{ sizes: [0.10, 0.15] }`, or a range with from, to and step";
        reader.error_with_help(Code::EmptyKit, node.at, "the kit has no sizes", help);
    }
}

fn shims(reader: &mut Reader<'_>, node: &Node) {
    match &node.value {
        Value::List(items) => {
            for item in items {
                // A shim that was read is a map, which the document checks.
                if item.entries().is_none() {
                    reader.length(item);
                }
            }
        }
        _ if node.text() == Some("all") => {}
        _ => reader.wrong_form(node, "a list of shims"),
    }
}

fn choice(reader: &mut Reader<'_>, input: &Input, node: &Node) {
    let Some(text) = reader.text(node) else { return };
    if input.choices.is_empty() || input.choices.contains(&text) {
        return;
    }
    let known = || input.choices.iter().map(String::as_str);
    let message = format!("`{text}` is not one of the choices of `{}`", input.name.text);
    let fault = Diagnostic::error(Code::UnknownWord, message).at(node.at);
    reader.push(match nearest(&text, known()) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help(format!("one of: {}", known().collect::<Vec<_>>().join(", "))),
    });
}
