//! `NAME=VALUE` of the command line: a value from the bench for a name of the document.
//!
//! NAME is a dimension, an input of a preset, or `GAP.found`, `GAP.target`, `PACK.fitted`, `KIT.on_hand`. VALUE has one of the
//! forms that [`Assignment`]'s functions read; which one is due depends on what the name stands for, so the text is
//! kept until that is known. Every node that comes out points into a source called `command line`, one for each
//! argument, which holds the argument as typed.

mod apply;
mod felt;
mod numbers;
mod token;
mod value;

use super::diagnostic::{Code, Diagnostic, Diagnostics};
use super::nearest::nearest;
use super::source::{Sources, Span};
use super::tree::Node;
use super::written::Named;

pub use apply::{apply, apply_parsed};
pub use value::DimensionValue;

/// What is wrong with an argument.
pub type Fault = Box<Diagnostic>;

/// What messages call the place that arguments come from.
pub const COMMAND_LINE: &str = "command line";

/// One `NAME=VALUE`, its value not read yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    /// The name, without the part behind the point.
    pub name: Named,
    /// The part behind the point.
    pub part: Option<Part>,
    /// What stands behind the point where it is no part: a station of a preset.
    pub station: Option<Named>,
    /// The value as typed, without the instrument.
    pub value: Named,
    /// The instrument named by `@NAME` at the end.
    pub instrument: Option<Named>,
    /// The whole argument.
    pub at: Span,
}

/// What is set of a gap, a pack or a kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The assembled gap as read.
    Found,
    /// What the gap aims at.
    Target,
    /// The shims that are in a pack now.
    Fitted,
    /// The shims of a kit that are in the box.
    OnHand,
}

impl Part {
    /// Every part.
    pub const ALL: [Part; 4] = [Part::Found, Part::Target, Part::Fitted, Part::OnHand];

    /// The word behind the point, which is the document's key too.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Found => "found",
            Part::Target => "target",
            Part::Fitted => "fitted",
            Part::OnHand => "on_hand",
        }
    }
}

impl Assignment {
    /// The name with its part, as typed before the `=`.
    #[must_use]
    pub fn label(&self) -> String {
        match self.behind() {
            Some(behind) => format!("{}.{behind}", self.name.text),
            None => self.name.text.clone(),
        }
    }

    /// What stands behind the point.
    fn behind(&self) -> Option<&str> {
        self.part.map(Part::word).or(self.station.as_ref().map(|station| station.text.as_str()))
    }

    /// The instrument as a node.
    #[must_use]
    pub fn instrument_node(&self) -> Option<Node> {
        self.instrument.as_ref().map(|named| Node::scalar(named.text.clone(), named.at))
    }

    fn fault(&self, message: impl Into<String>, help: impl Into<String>) -> Fault {
        fault(Code::BadValue, self.value.at, message, help)
    }
}

fn fault(code: Code, at: Span, message: impl Into<String>, help: impl Into<String>) -> Fault {
    Box::new(Diagnostic::error(code, message).at(at).help(help))
}

/// Splits one argument into name, value and instrument, and enters its text among the sources.
///
/// # Errors
/// An argument without `=`, without a name, with nothing behind a point, with an empty `@`, or whose value is a table.
pub fn parse(sources: &mut Sources, argument: &str) -> Result<Assignment, Fault> {
    let at = sources.add_value(COMMAND_LINE, argument);
    let named = |range: std::ops::Range<usize>| trimmed(argument, range, at);
    let Some(equals) = argument.find('=') else {
        let help = "write the name, `=` and the value without a space between: `pocket=53.97/53.96`";
        return Err(fault(Code::BadValue, at, format!("`{argument}` is not NAME=VALUE"), help));
    };
    let label = named(0..equals);
    let (name, behind) = match label.text.find('.') {
        None => (label, None),
        Some(point) => {
            let start = label.at.start;
            (named(start..start + point), Some(named(start + point + 1..equals)))
        }
    };
    let part = behind.as_ref().and_then(|word| Part::ALL.into_iter().find(|part| part.word() == word.text));
    let station = behind.filter(|_| part.is_none());
    if let Some(empty) = station.as_ref().filter(|one| one.text.is_empty()) {
        return Err(no_part(empty));
    }
    if name.text.is_empty() {
        return Err(fault(
            Code::BadValue,
            at,
            format!("there is no name before the `=` of `{argument}`"),
            "write a name",
        ));
    }
    let behind = equals + 1..argument.len();
    let (value, instrument) = match argument[behind.clone()].rfind('@') {
        None => (named(behind), None),
        Some(mark) => {
            let mark = equals + 1 + mark;
            (named(behind.start..mark), Some(named(mark + 1..behind.end)))
        }
    };
    if let Some(empty) = instrument.as_ref().filter(|one| one.text.is_empty()) {
        let help = "name the instrument behind it, such as `@calliper`; or `@none`";
        return Err(fault(Code::BadValue, empty.at, "there is nothing behind the `@`", help));
    }
    if value.text.to_lowercase().ends_with(".csv") {
        let message = format!("`{}` is a table; in this version only the reading of a gap comes as one", value.text);
        let help = "write the values out: 53.97/53.96/53.99";
        return Err(fault(Code::BadValue, value.at, message, help));
    }
    Ok(Assignment { name, part, station, value, instrument, at })
}

/// Splits all arguments; what is wrong with any of them is in the second part.
pub fn parse_all(sources: &mut Sources, arguments: &[String]) -> (Vec<Assignment>, Diagnostics) {
    let mut faults = Diagnostics::new();
    let mut found = Vec::with_capacity(arguments.len());
    for argument in arguments {
        match parse(sources, argument) {
            Ok(one) => found.push(one),
            Err(fault) => faults.push(*fault),
        }
    }
    (found, faults)
}

/// The text of a range without the blanks around it.
fn trimmed(text: &str, range: std::ops::Range<usize>, whole: Span) -> Named {
    let piece = &text[range.clone()];
    let start = range.start + (piece.len() - piece.trim_start().len());
    let piece = piece.trim();
    Named { text: piece.to_owned(), at: Span { start, end: start + piece.len(), ..whole } }
}

/// A word behind the point that is no part of a gap, a pack or a kit.
fn no_part(word: &Named) -> Fault {
    let help = match nearest(&word.text, Part::ALL.map(Part::word)) {
        Some(near) => format!("did you mean `.{near}`?"),
        None => "behind the point stands `found` or `target` (of a gap), `fitted` (of a pack) or `on_hand` (of a kit)"
            .to_owned(),
    };
    let message = format!("`.{}` is not a part of a gap, a pack or a kit that can be set", word.text);
    fault(Code::UnknownName, word.at, message, help)
}

/// The assignments to one name, in the order of the line: more readings of the same thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Group<'a> {
    /// At least one.
    all: Vec<&'a Assignment>,
}

impl<'a> Group<'a> {
    /// The assignments.
    #[must_use]
    pub fn all(&self) -> &[&'a Assignment] {
        &self.all
    }

    /// The first one.
    #[must_use]
    pub fn first(&self) -> &'a Assignment {
        self.all[0]
    }

    /// The only one, for a value that cannot be repeated.
    ///
    /// # Errors
    /// The name is given twice.
    pub fn only(&self) -> Result<&'a Assignment, Fault> {
        match self.all.get(1) {
            None => Ok(self.first()),
            Some(second) => {
                let message = format!("`{}` is given twice, and only readings can be repeated", self.first().label());
                let fault = Diagnostic::error(Code::DoubleKey, message).at(second.at);
                Err(Box::new(fault.other(self.first().at, "first given here").help("keep one of them")))
            }
        }
    }

    /// The readings of all, one behind the other.
    ///
    /// # Errors
    /// A value that is no reading.
    pub fn readings(&self) -> Result<Node, Fault> {
        let mut items = Vec::new();
        for one in &self.all {
            items.extend(one.readings()?);
        }
        Ok(Node::list(items, self.first().value.at))
    }

    /// The instrument that any of them names.
    ///
    /// # Errors
    /// Two of them name different ones.
    pub fn instrument(&self) -> Result<Option<Node>, Fault> {
        let mut named = self.all.iter().filter_map(|one| one.instrument.as_ref());
        let Some(first) = named.next() else { return Ok(None) };
        if let Some(other) = named.find(|other| other.text != first.text) {
            let message = format!("`{}` is read with `{}` and with `{}`", self.first().label(), first.text, other.text);
            let help = "readings of one thing are made with one instrument";
            return Err(fault(Code::KeysExclude, other.at, message, help));
        }
        Ok(Some(Node::scalar(first.text.clone(), first.at)))
    }
}

/// Brings together what is said of one name, in the order of first use.
#[must_use]
pub fn grouped(assignments: &[Assignment]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for one in assignments {
        let same = |group: &&mut Group<'_>| {
            let first = group.first();
            first.name.text == one.name.text && first.behind() == one.behind()
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.all.push(one),
            None => groups.push(Group { all: vec![one] }),
        }
    }
    groups
}

#[cfg(test)]
mod tests;
