//! Reading nodes of the tree: each function takes a node, says what is wrong with it, and goes on.

mod fields;
mod numbers;
mod texts;

use std::collections::HashSet;
use std::fmt;

use crate::document::assign::COMMAND_LINE;
use crate::document::diagnostic::{Code, Diagnostic, Diagnostics};
use crate::document::nearest::nearest;
use crate::document::source::{Sources, Span};
use crate::document::tree::{Node, Value};
use crate::length::{Typed, Unit};

pub use fields::Fields;

/// A length as typed, with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Length {
    /// The number, its digits and its unit.
    pub typed: Typed,
    /// Where it stands.
    pub at: Span,
}

impl Length {
    /// The length in millimetres, `unit` being the unit of a bare number.
    #[must_use]
    pub fn mm(&self, unit: Unit) -> f64 {
        self.typed.mm(unit)
    }
}

/// A name or another word, with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// The word.
    pub text: String,
    /// Where it stands.
    pub at: Span,
}

/// The most faults that are listed.
const MOST_FAULTS: usize = 1000;
/// The most faults for which a near name is looked for, and the most names that are looked at each time.
const MOST_NEAREST: usize = 100;
const MOST_KNOWN: usize = 10_000;

/// Collects what is wrong while a tree is read.
pub struct Reader<'a> {
    /// The texts, for what a message quotes.
    pub sources: &'a Sources,
    /// What was found so far.
    pub diagnostics: Diagnostics,
    /// Entries that could not be read, by section and name: what refers to them is not a fault of its own.
    dropped: HashSet<(String, String)>,
    /// Whether names may be missing because a whole section could not be read.
    names_lost: bool,
    path: Vec<String>,
}

impl<'a> Reader<'a> {
    /// A reader with nothing found yet.
    #[must_use]
    pub fn new(sources: &'a Sources) -> Self {
        Self { sources, diagnostics: Diagnostics::new(), dropped: HashSet::new(), names_lost: false, path: Vec::new() }
    }

    /// Reads something below a key, so that its path is part of every message.
    pub fn within<T>(&mut self, key: &str, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(key.to_owned());
        let result = read(self);
        self.path.pop();
        result
    }

    /// Remembers an entry of a section that could not be read.
    pub(in crate::document) fn drop_entry(&mut self, section: &str, name: &str) {
        self.dropped.insert((section.to_owned(), name.to_owned()));
    }

    /// Whether an entry of a section could not be read.
    pub(in crate::document) fn was_dropped(&self, section: &str, name: &str) -> bool {
        self.dropped.contains(&(section.to_owned(), name.to_owned()))
    }

    /// Remembers that a whole section could not be read.
    pub(in crate::document) fn lose_names(&mut self) {
        self.names_lost = true;
    }

    /// Complains of a name that nothing has, with the nearest of the known ones or else `otherwise` as advice. Where a
    /// whole section was lost, a name that is near none is one of that section's and no fault of its own.
    pub(in crate::document) fn unknown_name<'k>(
        &mut self,
        name: &Named,
        message: String,
        known: impl IntoIterator<Item = &'k str>,
        otherwise: impl Into<String>,
    ) {
        // Looking for near names takes time, and a file with so many faults has something else wrong with it.
        let near = if self.diagnostics.len() < MOST_NEAREST {
            nearest(&name.text, known.into_iter().take(MOST_KNOWN))
        } else {
            None
        };
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None if self.names_lost => return,
            None => otherwise.into(),
        };
        self.error_with_help(Code::UnknownName, name.at, message, help);
    }

    /// Whether a place is on the command line, so that advice about it speaks of NAME=VALUE.
    pub(in crate::document) fn is_on_line(&self, at: Span) -> bool {
        self.sources.get(at.source).name == COMMAND_LINE
    }

    /// The advice to write a pair that stands at a place: `write [1, 3]` in a file, `write 1..3` on the command line.
    pub(in crate::document) fn write_pair(&self, at: Span, low: impl fmt::Display, high: impl fmt::Display) -> String {
        if self.is_on_line(at) { format!("write {low}..{high}") } else { format!("write [{low}, {high}]") }
    }

    /// The way to the value that is being read.
    #[must_use]
    pub fn path(&self) -> String {
        self.path.join(".")
    }

    /// Adds an error at a place.
    pub fn error(&mut self, code: Code, at: Span, message: impl Into<String>) {
        self.push(Diagnostic::error(code, message).at(at));
    }

    /// Adds an error with advice.
    pub fn error_with_help(&mut self, code: Code, at: Span, message: impl Into<String>, help: impl Into<String>) {
        self.push(Diagnostic::error(code, message).at(at).help(help));
    }

    /// Adds a diagnostic, with the path of what is being read. A file with more faults than anyone would mend one by
    /// one has something else wrong with it; those beyond a thousand are counted by a last word only.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        if self.diagnostics.len() >= MOST_FAULTS {
            if self.diagnostics.len() == MOST_FAULTS {
                self.diagnostics.push(Diagnostic::error(Code::TooLarge, "there are more faults than are listed here"));
            }
            return;
        }
        let path = if diagnostic.path.is_empty() { self.path() } else { diagnostic.path.clone() };
        self.diagnostics.push(diagnostic.path(path));
    }

    /// Complains of a form.
    pub fn wrong_form(&mut self, node: &Node, wanted: &str) {
        self.push(Diagnostic::error(Code::WrongForm, due(node, wanted)).at(node.at));
    }
}

/// What is due and what is there.
fn due(node: &Node, wanted: &str) -> String {
    match node.value {
        Value::Null => format!("{wanted} is due here, and nothing is written"),
        _ => format!("{wanted} is due here, not {}", node.kind()),
    }
}
