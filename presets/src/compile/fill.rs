//! Answers put in the places of the stack where `$input` stands.

use shimwright_engine::document::tree::{Entry, Node, Value};

use super::answers::{Answer, Answers};
use crate::language::reference::{self, ReadingsForm, Reference};
use crate::language::{Input, Preset, Takes};

pub(super) struct Filler<'a> {
    pub(super) preset: &'a Preset,
    pub(super) answers: &'a Answers<'a>,
    /// The station whose answers count.
    pub(super) station: Option<&'a str>,
}

impl<'a> Filler<'a> {
    /// The same for a station.
    pub(super) fn of_station<'s>(&self, station: &'s str) -> Filler<'s>
    where
        'a: 's,
    {
        Filler { preset: self.preset, answers: self.answers, station: Some(station) }
    }

    /// A section of the stack.
    pub(super) fn at(&self, node: &Node, section: &str) -> Node {
        self.node(node, &mut vec![section])
    }

    fn node<'n>(&self, node: &'n Node, way: &mut Vec<&'n str>) -> Node {
        let value = match &node.value {
            Value::Null => Value::Null,
            Value::Scalar(scalar) => match self.answer(&scalar.text) {
                Some((input, answer)) => return in_place(input, answer, way),
                None => Value::Scalar(scalar.clone()),
            },
            Value::List(items) => Value::List(items.iter().map(|item| self.node(item, way)).collect()),
            Value::Map(entries) => {
                let mut map = Node::map(Vec::with_capacity(entries.len()), node.at);
                let mut filled = Vec::with_capacity(entries.len());
                for entry in entries {
                    way.push(&entry.key.text);
                    filled.push(Entry { key: entry.key.clone(), value: self.node(&entry.value, way) });
                    way.pop();
                }
                map.value = Value::Map(filled);
                if let Some(instrument) = self.instrument_beside(entries) {
                    map.set("instrument", instrument);
                }
                return map;
            }
        };
        Node { value, at: node.at }
    }

    fn answer(&self, text: &str) -> Option<(&Input, &Answer)> {
        let Reference::Input(name) = reference::of(text) else { return None };
        let input = self.preset.input(name)?;
        Some((input, self.answers.get(input, self.station)?))
    }

    /// The instrument that the answer under `readings` names itself: it wins over the one that stands beside.
    fn instrument_beside(&self, entries: &[Entry]) -> Option<Node> {
        let readings = entries.iter().find(|entry| entry.key.text == "readings")?;
        let (_, answer) = self.answer(readings.value.text()?)?;
        answer.instrument.clone()
    }
}

/// An answer in the form that its place wants.
fn in_place(input: &Input, answer: &Answer, way: &[&str]) -> Node {
    let form = match input.takes {
        Takes::Readings => reference::readings_form(way),
        _ => None,
    };
    let instrument = || {
        let usual = input.instrument.as_ref().map(|named| Node::scalar(named.text.clone(), named.at));
        answer.instrument.clone().or(usual).map(|node| Entry::new("instrument", node))
    };
    let at = answer.node.at;
    let mut entries = vec![Entry::new("readings", answer.node.clone())];
    match form {
        None | Some(ReadingsForm::Bare) => return answer.node.clone(),
        Some(ReadingsForm::Shim) => entries.extend(instrument()),
        Some(ReadingsForm::Map) => {
            entries.extend(instrument());
            entries.extend(input.allow_spread.clone().map(|node| Entry::new("allow_spread", node)));
            entries.extend(input.use_of_places.clone().map(|node| Entry::new("use", node)));
        }
    }
    Node::map(entries, at)
}
