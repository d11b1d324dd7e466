//! Reading nodes of the tree: each function takes a node, says what is wrong with it, and goes on.

use crate::document::diagnostic::{Code, Diagnostic, Diagnostics};
use crate::document::expression::{self, Expression};
use crate::document::keys::{self, Section};
use crate::document::nearest::nearest;
use crate::document::source::{Sources, Span};
use crate::document::tree::{Entry, Node, Value};
use crate::length::{NumberFault, Typed, Unit, parse_number};

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

/// Collects what is wrong while a tree is read.
pub struct Reader<'a> {
    /// The texts, for what a message quotes.
    pub sources: &'a Sources,
    /// What was found so far.
    pub diagnostics: Diagnostics,
    /// Entries that could not be read, by section and name: what refers to them is not a fault of its own.
    dropped: Vec<(String, String)>,
    path: Vec<String>,
}

impl<'a> Reader<'a> {
    /// A reader with nothing found yet.
    #[must_use]
    pub fn new(sources: &'a Sources) -> Self {
        Self { sources, diagnostics: Diagnostics::new(), dropped: Vec::new(), path: Vec::new() }
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
        self.dropped.push((section.to_owned(), name.to_owned()));
    }

    /// Whether an entry of a section could not be read.
    pub(in crate::document) fn was_dropped(&self, section: &str, name: &str) -> bool {
        self.dropped.iter().any(|(there, dropped)| there == section && dropped == name)
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

    /// Complains of a form, unless there is nothing to complain of.
    pub fn wrong_form(&mut self, node: &Node, wanted: &str) {
        self.error(Code::WrongForm, node.at, format!("{wanted} is due here, not {}", node.kind()));
    }

    /// The entries of a map with free keys, double ones reported.
    pub fn entries<'n>(&mut self, node: &'n Node, wanted: &str) -> Vec<&'n Entry> {
        let Some(entries) = node.entries() else {
            self.wrong_form(node, wanted);
            return Vec::new();
        };
        let mut kept: Vec<&Entry> = Vec::with_capacity(entries.len());
        let mut first: std::collections::HashMap<&str, Span> = std::collections::HashMap::with_capacity(entries.len());
        for entry in entries {
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
        let message = format!("`{name}` is given twice (lines {line} and {second})");
        self.push(Diagnostic::error(Code::DoubleKey, message).at(entry.key.at).other(first, "first given here"));
    }

    /// The fields of a map with the keys of a section; unknown and double keys are reported.
    pub fn fields<'n>(&mut self, node: &'n Node, section: Section) -> Option<Fields<'n>> {
        if node.entries().is_none() {
            self.wrong_form(node, &format!("a map with the keys of {}", section.word()));
            return None;
        }
        let entries = self.entries(node, "a map");
        let known = || keys::of(section).map(|key| key.name);
        let mut unknown = false;
        for entry in &entries {
            let name = entry.key.text.as_str();
            if known().any(|key| key == name) {
                continue;
            }
            unknown = true;
            let fault =
                Diagnostic::error(Code::UnknownKey, format!("{} has no key `{name}`", section.word())).at(entry.key.at);
            self.push(match nearest(name, known()) {
                Some(near) => fault.help(format!("did you mean `{near}`?")),
                None => fault.help(format!("its keys are {}", known().collect::<Vec<_>>().join(", "))),
            });
        }
        Some(Fields { node, unknown, entries })
    }

    /// A text.
    pub fn text(&mut self, node: &Node) -> Option<String> {
        let text = node.text().map(str::to_owned);
        if text.is_none() {
            self.wrong_form(node, "a text");
        }
        text
    }

    /// A word with its place.
    pub fn named(&mut self, node: &Node) -> Option<Named> {
        self.text(node).map(|text| Named { text, at: node.at })
    }

    /// One of a few words.
    pub fn word(&mut self, node: &Node, words: &[&'static str]) -> Option<&'static str> {
        let text = self.text(node)?;
        let found = words.iter().copied().find(|&word| word == text);
        if found.is_none() {
            let near = nearest(&text, words.iter().copied());
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("one of: {}", words.join(", ")),
            };
            self.error_with_help(
                Code::UnknownWord,
                node.at,
                format!("`{text}` is not one of the words that stand here"),
                help,
            );
        }
        found
    }

    /// A unit.
    pub fn unit(&mut self, node: &Node) -> Option<Unit> {
        self.word(node, keys::UNITS).and_then(Unit::from_word)
    }

    /// `true` or `false`.
    pub fn flag(&mut self, node: &Node) -> Option<bool> {
        self.word(node, &["true", "false"]).map(|word| word == "true")
    }

    /// A number with or without a unit of length.
    pub fn length(&mut self, node: &Node) -> Option<Length> {
        let Some(text) = node.text() else {
            self.wrong_form(node, "a length");
            return None;
        };
        match parse_number(text) {
            Ok(typed) => Some(Length { typed, at: node.at }),
            Err(fault) => {
                let text = text.to_owned();
                self.number_fault(&text, node.at, fault);
                None
            }
        }
    }

    /// Says why a text is no number.
    pub fn number_fault(&mut self, text: &str, at: Span, fault: NumberFault) {
        match fault {
            NumberFault::Empty => self.error(Code::NotANumber, at, "a number is due here"),
            NumberFault::Comma => {
                let help = format!("write `{}`", text.replacen(',', ".", 1));
                self.error_with_help(
                    Code::DecimalComma,
                    at,
                    format!("`{text}` has a comma where a decimal point is due"),
                    help,
                );
            }
            NumberFault::NotFinite => {
                self.error(Code::NotFinite, at, format!("`{text}` is too large to be a length, or no number"))
            }
            NumberFault::UnknownUnit(word) => {
                let units = Unit::ALL.map(Unit::word).join(", ");
                self.error_with_help(
                    Code::UnknownUnit,
                    at,
                    format!("`{word}` is no unit that is known here"),
                    format!("the units are {units}"),
                );
            }
            NumberFault::NotANumber => self.error(Code::NotANumber, at, format!("`{text}` is not a number")),
        }
    }

    /// A length that may not be negative.
    pub fn length_not_negative(&mut self, node: &Node, what: &str) -> Option<Length> {
        let length = self.length(node)?;
        if length.typed.number < 0.0 {
            self.error(Code::Negative, node.at, format!("{what} may not be negative"));
            return None;
        }
        Some(length)
    }

    /// A number without a unit that is greater than zero.
    pub fn positive_number(&mut self, node: &Node, what: &str) -> Option<f64> {
        let length = self.length(node)?;
        if length.typed.unit.is_some() {
            self.error(Code::WrongForm, node.at, format!("{what} is a plain number, without a unit"));
            return None;
        }
        if length.typed.number <= 0.0 {
            self.error(Code::Zero, node.at, format!("{what} must be greater than zero"));
            return None;
        }
        Some(length.typed.number)
    }

    /// A list of lengths; one length is a list of one.
    pub fn lengths(&mut self, node: &Node) -> Vec<Length> {
        match &node.value {
            Value::List(items) => items.iter().filter_map(|item| self.length(item)).collect(),
            _ => self.length(node).into_iter().collect(),
        }
    }

    /// Two lengths, the lower first.
    pub fn pair(&mut self, node: &Node, what: &str) -> Option<[Length; 2]> {
        let Value::List(items) = &node.value else {
            self.wrong_form(node, &format!("a pair of lengths for {what}"));
            return None;
        };
        let [first, second] = items.as_slice() else {
            self.error(Code::WrongForm, node.at, format!("{what} are two lengths, not {}", items.len()));
            return None;
        };
        let (first, second) = (self.length(first), self.length(second));
        Some([first?, second?])
    }

    /// A linear expression.
    pub fn expression(&mut self, node: &Node) -> Option<Expression> {
        let Some(text) = node.text() else {
            let help = matches!(node.value, Value::List(_))
                .then_some("a value that begins with `- ` is read as a list; put it in quotes");
            let fault = Diagnostic::error(Code::WrongForm, format!("an expression is due here, not {}", node.kind()))
                .at(node.at);
            self.push(match help {
                Some(help) => fault.help(help),
                None => fault,
            });
            return None;
        };
        self.expression_text(text, node.at)
    }

    /// A linear expression from its text.
    pub fn expression_text(&mut self, text: &str, at: Span) -> Option<Expression> {
        match expression::parse(text, at) {
            Ok(expression) => Some(expression),
            Err(fault) => {
                let code = if fault.not_linear { Code::NotLinear } else { Code::Expression };
                let place = if at.end - at.start == text.len() {
                    Span { start: at.start + fault.start, end: at.start + fault.end, ..at }
                } else {
                    at
                };
                let diagnostic = Diagnostic::error(code, fault.message).at(place);
                self.push(match fault.help {
                    Some(help) => diagnostic.help(help),
                    None => diagnostic,
                });
                None
            }
        }
    }

    /// A list of texts; one text is a list of one.
    pub fn texts(&mut self, node: &Node) -> Vec<String> {
        match &node.value {
            Value::List(items) => items.iter().filter_map(|item| self.text(item)).collect(),
            _ => self.text(node).into_iter().collect(),
        }
    }
}

/// The fields of one map.
pub struct Fields<'n> {
    /// The whole map.
    pub node: &'n Node,
    /// Whether a key was not known: it may be a mistyped one that now seems to be missing.
    pub unknown: bool,
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
