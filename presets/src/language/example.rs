//! Worked examples: what is given, and what must come out.

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::keys::{self, Section};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::tree::{Entry, Node, Value};
use shimwright_engine::document::written::{Length, Reader};

use super::{Asked, Input, Takes, kind, stations as of_stations};

/// A worked example of a preset.
#[derive(Debug, Clone, PartialEq)]
pub struct Example {
    /// What it is.
    pub title: String,
    /// Where its figures come from.
    pub source: String,
    /// The inputs; what is left out takes its default.
    pub given: Vec<Entry>,
    /// What must come out.
    pub expect: Vec<Expectation>,
}

impl Example {
    /// What it gives for each station by itself, or for their letters; none where it gives one value for all.
    pub(crate) fn by_station<'e>(&self, input: &Input, entry: &'e Entry) -> Option<&'e [Entry]> {
        by_station(&self.given, input, entry)
    }
}

fn by_station<'e>(given: &[Entry], input: &Input, entry: &'e Entry) -> Option<&'e [Entry]> {
    (!stations(given, input).is_empty()).then(|| entry.value.entries()).flatten()
}

/// The stations that an input is asked for, by what is given.
fn stations<'e>(given: &'e [Entry], input: &Input) -> Vec<&'e str> {
    let list = given.iter().find(|entry| Some(&entry.key.text) == input.each.as_ref());
    match list.map(|entry| &entry.value.value) {
        Some(Value::List(items)) => items.iter().filter_map(Node::text).collect(),
        _ => Vec::new(),
    }
}

/// One thing that must come out.
#[derive(Debug, Clone, PartialEq)]
pub enum Expectation {
    /// The sizes that a pack is made of, in the unit of its kit.
    Pack {
        /// The pack's name.
        name: String,
        /// The sizes, the thinnest first.
        sizes: Vec<Length>,
    },
    /// The value that a gap is expected to have, in the unit of the document; of a preload, the preload.
    Gap {
        /// The gap's name.
        name: String,
        /// The expected value.
        is: Length,
        /// How far it may be off.
        within: Length,
    },
    /// The verdict on the whole.
    Verdict(&'static str),
}

pub(super) fn read_all(reader: &mut Reader<'_>, node: &Node, asked: &Asked, stack: Option<&Node>) -> Vec<Example> {
    let Value::List(items) = &node.value else {
        reader.wrong_form(node, "a list of examples");
        return Vec::new();
    };
    if items.is_empty() {
        reader.error(Code::BadInput, node.at, "there is no example; each is a test of the preset");
    }
    let mut examples = Vec::new();
    for (index, item) in items.iter().enumerate() {
        let number = (index + 1).to_string();
        examples.extend(reader.within(&number, |reader| read(reader, item, asked, stack)));
    }
    examples
}

fn read(reader: &mut Reader<'_>, node: &Node, asked: &Asked, stack: Option<&Node>) -> Option<Example> {
    let fields = reader.fields(node, Section::Example)?;
    for key in keys::of(Section::Example).map(|key| key.name) {
        if fields.get(key).is_none() {
            reader.error(Code::MissingKey, node.at, format!("an example needs `{key}`"));
        }
    }
    let title = fields.read(reader, "title", Reader::text).flatten().unwrap_or_default();
    let source = fields.read(reader, "source", Reader::text).flatten().unwrap_or_default();
    let given = fields.read(reader, "given", |reader, node| given(reader, node, asked)).unwrap_or_default();
    let list = asked.inputs.iter().find(|input| input.takes == Takes::Stations);
    let stations = list.and_then(|list| given.iter().find(|entry| entry.key.text == list.name.text));
    let stations: Vec<&str> = match stations.map(|entry| &entry.value.value) {
        Some(Value::List(items)) => items.iter().filter_map(Node::text).collect(),
        _ => Vec::new(),
    };
    let expect =
        fields.read(reader, "expect", |reader, node| expect(reader, node, stack, &stations)).unwrap_or_default();
    Some(Example { title, source, given, expect })
}

fn given(reader: &mut Reader<'_>, node: &Node, asked: &Asked) -> Vec<Entry> {
    let entries = reader.entries(node, "a map of inputs");
    let whole: Vec<Entry> = entries.iter().copied().cloned().collect();
    for entry in &entries {
        match asked.get(&entry.key.text) {
            Some(input) => reader.within(&entry.key.text, |reader| match by_station(&whole, input, entry) {
                Some(stations) => stations.iter().for_each(|one| kind::check(reader, input, &one.value)),
                None => kind::check(reader, input, &entry.value),
            }),
            None if asked.is_broken(&entry.key.text) => {}
            None => unknown(reader, entry, "no input", asked.names()),
        }
    }
    for input in asked.inputs.iter().filter(|input| input.default.is_none()) {
        if !entries.iter().any(|entry| entry.key.text == input.name.text) {
            let message = format!("`{}` is not given, and it has no default", input.name.text);
            reader.error(Code::MissingInput, node.at, message);
        }
    }
    whole
}

fn expect(reader: &mut Reader<'_>, node: &Node, stack: Option<&Node>, stations: &[&str]) -> Vec<Expectation> {
    let names = |section: &str| names(stack, section, stations);
    let (packs, gaps) = (names("packs"), names("gaps"));
    let is_in = |names: &[String], name: &str| names.iter().any(|one| one == name);
    let mut found = Vec::new();
    for entry in reader.entries(node, "a map of packs, gaps and the verdict") {
        let name = entry.key.text.as_str();
        found.extend(reader.within(name, |reader| match name {
            "verdict" => reader.word(&entry.value, keys::VERDICTS).map(Expectation::Verdict),
            _ if is_in(&packs, name) => {
                Some(Expectation::Pack { name: name.to_owned(), sizes: reader.lengths(&entry.value) })
            }
            _ if is_in(&gaps, name) => gap(reader, entry),
            _ => {
                unknown(
                    reader,
                    entry,
                    "no pack and no gap",
                    packs.iter().chain(&gaps).map(String::as_str).chain(["verdict"]),
                );
                None
            }
        }));
    }
    if found.is_empty() {
        reader.error(Code::BadInput, node.at, "nothing is expected of it; name a pack, a gap or the verdict");
    }
    found
}

/// The names of a section; of what is written for each station, once for each.
fn names(stack: Option<&Node>, section: &str, stations: &[&str]) -> Vec<String> {
    let Some(stack) = stack else { return Vec::new() };
    let of = |node: &Node| -> Vec<String> {
        let entries = node.get(section).and_then(Node::entries).unwrap_or_default();
        entries.iter().map(|entry| entry.key.text.clone()).collect()
    };
    let mut found = of(stack);
    for entry in stack.entries().unwrap_or_default() {
        if of_stations::each(&entry.key.text).is_some() {
            for name in of(&entry.value) {
                found.extend(stations.iter().map(|station| format!("{name} {station}")));
                if stations.is_empty() {
                    found.push(name);
                }
            }
        }
    }
    found
}

fn gap(reader: &mut Reader<'_>, entry: &Entry) -> Option<Expectation> {
    let fields = reader.fields(&entry.value, Section::Expected)?;
    for key in ["is", "within"] {
        if fields.get(key).is_none() {
            reader.error(Code::MissingKey, entry.key.at, format!("an expected gap needs `{key}`"));
        }
    }
    let is = fields.read(reader, "is", Reader::length).flatten();
    let within = fields.read(reader, "within", |reader, node| reader.length_not_negative(node, "`within`")).flatten();
    Some(Expectation::Gap { name: entry.key.text.clone(), is: is?, within: within? })
}

fn unknown<'a>(reader: &mut Reader<'_>, entry: &Entry, what: &str, known: impl Iterator<Item = &'a str>) {
    let known: Vec<&str> = known.collect();
    let name = &entry.key.text;
    let fault = Diagnostic::error(Code::BadInput, format!("{what} is called `{name}`")).at(entry.key.at);
    reader.push(match nearest(name, known.iter().copied()) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help(format!("known here are {}", known.join(", "))),
    });
}
