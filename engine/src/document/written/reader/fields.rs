//! The entries of a map, and its keys against the table.

use std::collections::HashMap;

use super::{MOST_FAULTS, Reader, due};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::keys::{self, Section};
use crate::document::nearest::nearest;
use crate::document::source::Span;
use crate::document::tree::{Entry, Node};
use crate::document::written::commas;

impl Reader<'_> {
    /// The entries of a map with free keys, double ones reported.
    pub fn entries<'n>(&mut self, node: &'n Node, wanted: &str) -> Vec<&'n Entry> {
        let Some(entries) = node.entries() else {
            self.wrong_form(node, wanted);
            return Vec::new();
        };
        let mut kept: Vec<&Entry> = Vec::with_capacity(entries.len());
        let mut first: HashMap<&str, Span> = HashMap::with_capacity(entries.len());
        let mut no_entry = vec![false; entries.len()];
        for half in commas::halves(entries) {
            self.decimal_comma(half.at, &half.text);
            half.entries.for_each(|index| no_entry[index] = true);
        }
        for (entry, _) in entries.iter().zip(no_entry).filter(|(_, no_entry)| !no_entry) {
            if let Some(&at) = first.get(entry.key.text.as_str()) {
                self.double(entry, at);
            } else {
                first.insert(&entry.key.text, entry.key.at);
                kept.push(entry);
            }
        }
        kept
    }

    fn double(&mut self, entry: &Entry, first: Span) {
        if self.diagnostics.len() > MOST_FAULTS {
            return;
        }
        let name = &entry.key.text;
        let (line, _) = self.sources.line_column(first);
        let (second, _) = self.sources.line_column(entry.key.at);
        let lines = if line == second { format!("line {line}") } else { format!("lines {line} and {second}") };
        let fault = Diagnostic::error(Code::DoubleKey, format!("`{name}` is given twice ({lines})")).at(entry.key.at);
        self.push(fault.other(first, "first given here").help("keep one of them"));
    }

    /// The fields of a map with the keys of a section; unknown and double keys are reported.
    pub fn fields<'n>(&mut self, node: &'n Node, section: Section) -> Option<Fields<'n>> {
        let all = node.entries().map_or(0, <[Entry]>::len);
        if node.entries().is_none() {
            let keys = keys::of(section).map(|key| key.name).collect::<Vec<_>>().join(", ");
            let message = due(node, &format!("{} with its keys", section.word()));
            self.error_with_help(Code::WrongForm, node.at, message, format!("its keys are {keys}"));
            return None;
        }
        let entries = self.entries(node, "keys with values");
        let known = || keys::of(section).map(|key| key.name);
        let mut unknown = false;
        let left_out = entries.len() < all;
        for entry in &entries {
            let name = entry.key.text.as_str();
            if known().any(|key| key == name) {
                continue;
            }
            unknown = true;
            if self.diagnostics.len() > MOST_FAULTS {
                break;
            }
            let fault =
                Diagnostic::error(Code::UnknownKey, format!("{} has no key `{name}`", section.word())).at(entry.key.at);
            let without_colon = || name.split([' ', '=']).next().and_then(|word| known().find(|&key| key == word));
            self.push(match nearest(name, known()) {
                Some(near) => fault.help(format!("did you mean `{near}`?")),
                None if without_colon().is_some() => {
                    fault.help(format!("write a colon and a space behind `{}`", without_colon().unwrap_or_default()))
                }
                None => fault.help(format!("its keys are {}", known().collect::<Vec<_>>().join(", "))),
            });
        }
        Some(Fields { node, unknown, left_out, entries })
    }
}

/// The fields of one map.
pub struct Fields<'n> {
    /// The whole map.
    pub node: &'n Node,
    /// Whether a key was not known: it may be a mistyped one that now seems to be missing.
    pub unknown: bool,
    /// Whether an entry was left out: a key that is given twice, or half of a number.
    pub left_out: bool,
    entries: Vec<&'n Entry>,
}

impl<'n> Fields<'n> {
    /// The value of a key, unless it is not there.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        self.entries.iter().find(|entry| entry.key.text == key).map(|entry| &entry.value)
    }

    /// Reads a key's value where it is there.
    pub fn read<'s, T>(
        &self,
        reader: &mut Reader<'s>,
        key: &str,
        read: impl FnOnce(&mut Reader<'s>, &'n Node) -> T,
    ) -> Option<T> {
        let node = self.get(key)?;
        Some(reader.within(key, |reader| read(reader, node)))
    }

    /// Complains where more than one of some keys is there; true where none or one is.
    pub fn at_most_one(&self, reader: &mut Reader<'_>, keys: &[&str]) -> bool {
        let there: Vec<&str> = keys.iter().copied().filter(|key| self.get(key).is_some()).collect();
        if there.len() > 1 {
            let at = self.get(there[1]).map_or(self.node.at, |node| node.at);
            reader.error(Code::KeysExclude, at, format!("`{}` cannot stand together; keep one", there.join("` and `")));
            return false;
        }
        true
    }
}
