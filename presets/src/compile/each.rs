//! What is written once for each station, written out for every one.

use shimwright_engine::document::expression::renamed;
use shimwright_engine::document::tree::{Entry, Node, Value};

use super::fill::Filler;
use crate::language::stations::each;

/// The keys of a gap that hold expressions, and those of a pack that hold the name of another one.
const EXPRESSIONS: [&str; 3] = ["chain", "target", "accept"];
const PACKS: [&str; 2] = ["same_as", "not_thinner_than"];
/// Words before the expression of a band with one end.
const ENDS: [&str; 2] = ["at least ", "at most "];

/// The entries of the whole stack, filled in. Sections of one name become one.
pub(super) fn entries(filler: &Filler<'_>, stack: &Node) -> Vec<Entry> {
    let mut whole: Vec<Entry> = Vec::new();
    for entry in stack.entries().unwrap_or_default() {
        let Some(stations) = each(&entry.key.text) else {
            add(&mut whole, Entry { key: entry.key.clone(), value: filler.at(&entry.value, &entry.key.text) });
            continue;
        };
        let stations = filler.answers.stations(filler.preset, stations);
        if stations.is_empty() {
            entry_of(&mut whole, filler, &entry.value, None);
        }
        for station in &stations {
            entry_of(&mut whole, &filler.of_station(station), &entry.value, Some(station));
        }
    }
    whole
}

/// Adds what is written for each station, for one of them; without stations names stay as they are.
fn entry_of(whole: &mut Vec<Entry>, filler: &Filler<'_>, block: &Node, station: Option<&str>) {
    let sections = block.entries().unwrap_or_default();
    let named =
        |section: &Entry| section.value.entries().unwrap_or_default().iter().map(|one| one.key.text.clone()).collect();
    let own: Vec<String> = sections.iter().flat_map(|section| -> Vec<String> { named(section) }).collect();
    let new_name = |name: &str| {
        let station = station.filter(|_| own.iter().any(|one| one == name))?;
        Some(format!("{name} {station}"))
    };
    for section in sections {
        let mut value = filler.at(&section.value, &section.key.text);
        if let Value::Map(entries) = &mut value.value {
            for one in entries {
                rename_in(&mut one.value, &new_name);
                one.key.text = new_name(&one.key.text).unwrap_or_else(|| one.key.text.clone());
            }
        }
        add(whole, Entry { key: section.key.clone(), value });
    }
}

/// Puts the stations' own names into what a dimension, a gap or a pack says.
fn rename_in(node: &mut Node, new_name: &impl Fn(&str) -> Option<String>) {
    let Value::Map(entries) = &mut node.value else { return };
    for entry in entries {
        if EXPRESSIONS.contains(&entry.key.text.as_str()) {
            expression(&mut entry.value, new_name);
        } else if PACKS.contains(&entry.key.text.as_str())
            && let Value::Scalar(scalar) = &mut entry.value.value
            && let Some(name) = new_name(&scalar.text)
        {
            scalar.text = name;
        }
    }
}

fn expression(node: &mut Node, new_name: &impl Fn(&str) -> Option<String>) {
    match &mut node.value {
        Value::Scalar(scalar) => {
            let words = ENDS.into_iter().find(|words| scalar.text.starts_with(words)).unwrap_or_default();
            scalar.text = format!("{words}{}", renamed(&scalar.text[words.len()..], new_name));
        }
        Value::List(items) => items.iter_mut().for_each(|item| expression(item, new_name)),
        Value::Null | Value::Map(_) => {}
    }
}

/// Adds a section, or its entries to the one that is there.
fn add(whole: &mut Vec<Entry>, section: Entry) {
    let there = whole.iter_mut().find(|one| one.key.text == section.key.text);
    match (there.map(|one| &mut one.value.value), section.value.value) {
        (Some(Value::Map(entries)), Value::Map(more)) => entries.extend(more),
        (_, value) => whole.push(Entry { key: section.key, value: Node { value, at: section.value.at } }),
    }
}
