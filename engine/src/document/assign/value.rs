//! The forms of a VALUE, each turned into nodes of the tree.

use super::numbers::{Line, Number, close};
use super::token::Kind;
use super::{Assignment, Fault, fault};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::tree::{Entry, Node};

/// What a value says of a dimension.
#[derive(Debug, Clone, PartialEq)]
pub enum DimensionValue {
    /// What was read.
    Readings(Vec<Node>),
    /// The entries of a drawing: `size` and `tolerance`, or `limits`.
    Drawing(Vec<Entry>),
}

const READINGS: &str = "readings are written 53.97/53.96/53.99, one unit at the end for all";
const LENGTH: &str = "a length is one number, with a unit if need be: 0.30, 0.012 in";
const DRAWING: &str = "a drawing is written 30±0.02, 30+-0.02 or 30+0.02-0.01, with both deviations; limits 29.9..30.1";
const LIMITS: &str = "limits are written 0.05..0.20, `at least 0.05` or `at most 0.20`";
const COUNT: &str = "a count is a whole number, 3, or the fewest and the most, 1..3";
const SIZES: &str = "a kit's sizes are written 0.22/0.26/0.28, or from, to and step: 2.00:3.50:0.05";
const SHIMS: &str = "shims are joined by `+`: 0.30+0.50; `none` if there are none";

impl Assignment {
    /// Readings: one scalar each, or a map of what goes and what stops.
    ///
    /// # Errors
    /// The value is no list of numbers.
    pub fn readings(&self) -> Result<Vec<Node>, Fault> {
        if self.is_felt() { self.felt() } else { Line::of(&self.value).list(READINGS).map(nodes) }
    }

    /// One exact length.
    ///
    /// # Errors
    /// The value is not one number, or an instrument is named.
    pub fn length(&self) -> Result<Node, Fault> {
        self.no_instrument("a length that is taken as exact")?;
        let mut line = Line::of(&self.value);
        line.commas()?;
        let number = line.number(LENGTH)?;
        line.end(LENGTH)?;
        Ok(number.node())
    }

    /// Two ends, or a text `at least X` or `at most X`.
    ///
    /// # Errors
    /// The value is neither, or an instrument is named.
    pub fn limits(&self) -> Result<Node, Fault> {
        self.no_instrument("a pair of limits")?;
        let mut line = Line::of(&self.value);
        line.commas()?;
        if line.peek().is_some_and(|token| token.kind == Kind::Word && line.text(token) == "at") {
            line.take(Kind::Word);
            let side = line.peek().map_or("", |token| line.text(token));
            if !matches!(side, "least" | "most") {
                return Err(line.unreadable(LIMITS));
            }
            line.take(Kind::Word);
            let number = line.number(LIMITS)?;
            line.end(LIMITS)?;
            return Ok(Node::scalar(format!("at {side} {}", number.text()), self.value.at));
        }
        let low = line.number(LIMITS)?;
        if !line.take(Kind::Dots) {
            return Err(line.unreadable(LIMITS));
        }
        let high = line.number(LIMITS)?;
        line.end(LIMITS)?;
        Ok(Node::list(nodes(close(&self.value, vec![low, high])?), self.value.at))
    }

    /// Names, such as those of stations.
    ///
    /// # Errors
    /// A name is missing between two slashes, or an instrument is named.
    pub fn names(&self) -> Result<Node, Fault> {
        const NAMES: &str = "names are joined by slashes: I1/I2/E1/E2";
        self.no_instrument("names")?;
        let mut found = Vec::new();
        let mut start = self.value.at.start;
        for piece in self.value.text.split('/') {
            let name = piece.trim();
            let at = start + (piece.len() - piece.trim_start().len());
            if name.is_empty() {
                return Err(self.fault(format!("a name is missing in `{}`", self.value.text), NAMES));
            }
            let span = Span { start: at, end: at + name.len(), ..self.value.at };
            found.push(Node::scalar(name, span));
            start += piece.len() + 1;
        }
        Ok(Node::list(found, self.value.at))
    }

    /// A number of shims, or the fewest and the most.
    ///
    /// # Errors
    /// The value is no count, or an instrument is named.
    pub fn count(&self) -> Result<Node, Fault> {
        self.no_instrument("a count")?;
        let whole = |number: &str| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
        let ends: Vec<&str> = self.value.text.split("..").map(str::trim).collect();
        if ends.len() > 2 || !ends.iter().all(|end| whole(end)) {
            return Err(fault(Code::Count, self.value.at, format!("`{}` is not a count", self.value.text), COUNT));
        }
        let mut line = Line::of(&self.value);
        let first = line.number(COUNT)?.node();
        if !line.take(Kind::Dots) {
            return Ok(first);
        }
        let second = line.number(COUNT)?.node();
        Ok(Node::list(vec![first, second], self.value.at))
    }

    /// A kit's sizes: a list, or a map with from, to and step.
    ///
    /// # Errors
    /// The value is neither, or an instrument is named.
    pub fn sizes(&self) -> Result<Node, Fault> {
        self.no_instrument("a kit's sizes")?;
        let mut line = Line::of(&self.value);
        if !line.has(Kind::Colon) {
            return line.list(SIZES).map(|numbers| Node::list(nodes(numbers), self.value.at));
        }
        line.commas()?;
        let mut numbers = vec![line.number(SIZES)?];
        for _ in 0..2 {
            if !line.take(Kind::Colon) {
                return Err(line.unreadable(SIZES));
            }
            numbers.push(line.number(SIZES)?);
        }
        line.end(SIZES)?;
        let parts = nodes(close(&self.value, numbers)?);
        let entries = ["from", "to", "step"].into_iter().zip(parts).map(|(key, node)| Entry::new(key, node)).collect();
        Ok(Node::map(entries, self.value.at))
    }

    /// Shims: a list of thicknesses, each read with the instrument where one is named; or the word `all`.
    ///
    /// # Errors
    /// The value is neither.
    pub fn shims(&self) -> Result<Node, Fault> {
        let text = self.value.text.as_str();
        if text == "all" {
            self.no_instrument("the word `all`")?;
            return self.word();
        }
        // An empty value is a shell variable that was not set sooner than a pack without shims.
        if text == "none" {
            self.no_instrument("no shim")?;
            return Ok(Node::list(Vec::new(), self.value.at));
        }
        let mut line = Line::of(&self.value);
        line.commas()?;
        let mut numbers = vec![line.number(SHIMS)?];
        while line.take(Kind::Plus) {
            numbers.push(line.number(SHIMS)?);
        }
        line.end(SHIMS)?;
        let read = |node: Node| match self.instrument_node() {
            Some(instrument) => {
                let at = node.at;
                Node::map(vec![Entry::new("readings", node), Entry::new("instrument", instrument)], at)
            }
            None => node,
        };
        let items = nodes(close(&self.value, numbers)?).into_iter().map(read).collect();
        Ok(Node::list(items, self.value.at))
    }

    /// A word.
    ///
    /// # Errors
    /// There is none, or an instrument is named.
    pub fn word(&self) -> Result<Node, Fault> {
        self.no_instrument("a word")?;
        if self.value.text.is_empty() {
            return Err(self.fault("there is no value", "write a word behind the `=`"));
        }
        Ok(Node::scalar(self.value.text.clone(), self.value.at))
    }

    /// What is said of a dimension: readings, or a drawing.
    ///
    /// # Errors
    /// The value is neither, or an instrument is named beside a drawing.
    pub fn of_dimension(&self) -> Result<DimensionValue, Fault> {
        if self.is_felt() {
            return self.felt().map(DimensionValue::Readings);
        }
        let line = Line::of(&self.value);
        if line.has(Kind::Dots) || line.tokens().first().is_some_and(|first| line.text(*first) == "at") {
            let limits = self.limits()?;
            if limits.text().is_some() {
                let help = "limits of a dimension have two ends: 29.9..30.1";
                return Err(self.fault(format!("`{}` leaves one side open", self.value.text), help));
            }
            return Ok(DimensionValue::Drawing(vec![Entry::new("limits", limits)]));
        }
        if is_drawing(&line) {
            return self.drawing(line).map(DimensionValue::Drawing);
        }
        line.list(READINGS).map(nodes).map(DimensionValue::Readings)
    }

    fn drawing(&self, mut line: Line<'_>) -> Result<Vec<Entry>, Fault> {
        self.no_instrument("a drawing")?;
        line.commas()?;
        let mut numbers = vec![line.number(DRAWING)?];
        let symmetric = line.take(Kind::PlusMinus);
        if symmetric {
            if line.peek().is_none_or(|token| token.kind != Kind::Number) {
                return Err(line.unreadable(DRAWING));
            }
            numbers.push(line.number(DRAWING)?);
        } else {
            for _ in 0..2 {
                if line.peek().is_none_or(|token| !matches!(token.kind, Kind::Plus | Kind::Minus)) {
                    return Err(line.unreadable(DRAWING));
                }
                numbers.push(line.number(DRAWING)?);
            }
        }
        line.end(DRAWING)?;
        let numbers = close(&self.value, numbers)?;
        let tolerance = if symmetric {
            numbers[1].node()
        } else {
            let mut deviations = [&numbers[1], &numbers[2]];
            deviations.sort_by(|a, b| a.order().total_cmp(&b.order()));
            Node::list(deviations.map(Number::node).to_vec(), self.value.at)
        };
        Ok(vec![Entry::new("size", numbers[0].node()), Entry::new("tolerance", tolerance)])
    }

    fn no_instrument(&self, what: &str) -> Result<(), Fault> {
        match &self.instrument {
            None => Ok(()),
            Some(named) => {
                let message = format!("`@{}` names an instrument, and {what} is not read with one", named.text);
                Err(fault(Code::BadValue, named.at, message, "leave it out; it belongs to readings"))
            }
        }
    }
}

/// A `±`, a plus between numbers, or a minus right behind a number; a blank before a minus may be a slip.
fn is_drawing(line: &Line<'_>) -> bool {
    line.tokens().windows(2).any(|pair| {
        let behind = matches!(pair[0].kind, Kind::Number | Kind::Word);
        match pair[1].kind {
            Kind::PlusMinus => true,
            Kind::Plus => behind,
            Kind::Minus => behind && !pair[1].spaced,
            _ => false,
        }
    })
}

pub(super) fn nodes(numbers: Vec<Number>) -> Vec<Node> {
    numbers.iter().map(Number::node).collect()
}
