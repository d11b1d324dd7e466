//! The tree: a document before anything is known of what it means.
//!
//! Every key and scalar keeps its text and the span that it came from, so that later steps can point at it.

use super::source::Span;

/// One value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// What it is.
    pub value: Value,
    /// Where it came from.
    pub at: Span,
}

/// The three forms of YAML, and nothing.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// An empty value, or `~`.
    Null,
    /// A word, a number or a text.
    Scalar(Scalar),
    /// A list.
    List(Vec<Node>),
    /// A map, in the order of the file, double keys kept.
    Map(Vec<Entry>),
}

/// A scalar as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Scalar {
    /// The text; of a plain scalar the very digits that were typed.
    pub text: String,
    /// Whether it stood in quotes or was a block of text, so that it can only be a text.
    pub quoted: bool,
}

/// A key and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The key.
    pub key: Key,
    /// The value.
    pub value: Node,
}

/// A key as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    /// The text.
    pub text: String,
    /// Where it stands.
    pub at: Span,
}

impl Node {
    /// A plain scalar.
    #[must_use]
    pub fn scalar(text: impl Into<String>, at: Span) -> Node {
        Node { value: Value::Scalar(Scalar { text: text.into(), quoted: false }), at }
    }

    /// A list.
    #[must_use]
    pub fn list(items: Vec<Node>, at: Span) -> Node {
        Node { value: Value::List(items), at }
    }

    /// A map.
    #[must_use]
    pub fn map(entries: Vec<Entry>, at: Span) -> Node {
        Node { value: Value::Map(entries), at }
    }

    /// The text of a scalar.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Scalar(scalar) => Some(&scalar.text),
            _ => None,
        }
    }

    /// The entries of a map.
    #[must_use]
    pub fn entries(&self) -> Option<&[Entry]> {
        match &self.value {
            Value::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The value of a key of a map; the first one where it is doubled.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.entries()?.iter().find(|entry| entry.key.text == key).map(|entry| &entry.value)
    }

    /// Replaces the value of a key, or adds it behind the others. A node that is no map becomes one.
    pub fn set(&mut self, key: &str, value: Node) {
        let at = value.at;
        if let Some(place) = self.entry_mut(key) {
            *place = value;
            return;
        }
        let entry = Entry { key: Key { text: key.to_owned(), at }, value };
        match &mut self.value {
            Value::Map(entries) => entries.push(entry),
            other => *other = Value::Map(vec![entry]),
        }
    }

    /// Takes a key out of a map.
    pub fn remove(&mut self, key: &str) {
        if let Value::Map(entries) = &mut self.value {
            entries.retain(|entry| entry.key.text != key);
        }
    }

    /// The value of a key, to be changed.
    pub fn entry_mut(&mut self, key: &str) -> Option<&mut Node> {
        match &mut self.value {
            Value::Map(entries) => entries.iter_mut().find(|entry| entry.key.text == key).map(|entry| &mut entry.value),
            _ => None,
        }
    }

    /// What it is, in a word for a message.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match &self.value {
            Value::Null => "nothing",
            Value::Scalar(scalar) if scalar.quoted => "a text in quotes",
            Value::Scalar(_) => "a single value",
            Value::List(_) => "a list",
            Value::Map(_) => "keys with values",
        }
    }
}

impl Entry {
    /// An entry whose key stands where its value does.
    #[must_use]
    pub fn new(key: impl Into<String>, value: Node) -> Entry {
        Entry { key: Key { text: key.into(), at: value.at }, value }
    }
}
