//! Numbers, lengths and units.

use super::{Length, Reader};
use crate::document::diagnostic::Code;
use crate::document::keys;
use crate::document::nearest::unit_advice;
use crate::document::source::Span;
use crate::document::tree::{Node, Value};
use crate::document::written::commas;
use crate::length::{NumberFault, Unit, parse_number};

/// In °C.
const ABSOLUTE_ZERO: f64 = -273.15;
/// In °C: above the melting of every shipped material, a slip.
const HOTTEST: f64 = 2000.0;

impl Reader<'_> {
    /// A unit.
    pub fn unit(&mut self, node: &Node) -> Option<Unit> {
        let text = self.text(node)?;
        let found = keys::UNITS.contains(&text.as_str()).then(|| Unit::from_word(&text)).flatten();
        if found.is_none() {
            self.unknown_unit(&text, node.at);
        }
        found
    }

    fn unknown_unit(&mut self, word: &str, at: Span) {
        self.error_with_help(
            Code::UnknownUnit,
            at,
            format!("`{word}` is no unit that is known here"),
            unit_advice(word),
        );
    }

    /// Complains of a comma in a number.
    pub(in crate::document::written) fn decimal_comma(&mut self, at: Span, text: &str) {
        let message = format!("`{text}` has a comma where a decimal point is due");
        self.error_with_help(Code::DecimalComma, at, message, format!("write `{}`", text.replacen(',', ".", 1)));
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
            NumberFault::Comma => self.decimal_comma(at, text),
            NumberFault::NotFinite if text.to_ascii_lowercase().contains("nan") => {
                self.error(Code::NotFinite, at, format!("`{text}` is no number"));
            }
            NumberFault::NotFinite => {
                self.error(Code::NotFinite, at, format!("`{text}` is too large to be a length"));
            }
            NumberFault::UnknownUnit(word) => self.unknown_unit(&word, at),
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

    /// A number without a unit.
    pub fn plain_number(&mut self, node: &Node, what: &str) -> Option<f64> {
        let length = self.length(node)?;
        if length.typed.unit.is_some() {
            self.error(Code::WrongForm, node.at, format!("{what} is a plain number, without a unit"));
            return None;
        }
        Some(length.typed.number)
    }

    /// A number without a unit that is greater than zero.
    pub fn positive_number(&mut self, node: &Node, what: &str) -> Option<f64> {
        let number = self.plain_number(node, what)?;
        if number <= 0.0 {
            self.error(Code::Zero, node.at, format!("{what} must be greater than zero"));
            return None;
        }
        Some(number)
    }

    /// A temperature, in °C.
    pub fn temperature(&mut self, node: &Node) -> Option<f64> {
        let Some(text) = node.text() else {
            self.wrong_form(node, "a temperature in °C");
            return None;
        };
        let (figure, degree) = match text.trim().strip_suffix(['C', 'F', 'K']) {
            Some(figure) => (figure.trim_end().trim_end_matches('°').trim_end(), text.trim().chars().last()),
            None => (text.trim(), None),
        };
        let typed = match parse_number(figure) {
            Ok(typed) if typed.unit.is_none() => typed,
            Err(fault @ (NumberFault::Comma | NumberFault::Empty)) => {
                self.number_fault(figure, node.at, fault);
                return None;
            }
            _ => {
                self.error(Code::Temperature, node.at, format!("`{}` is no temperature in °C", text.trim()));
                return None;
            }
        };
        let celsius = match degree {
            Some('F') => (typed.number - 32.0) / 1.8,
            Some('K') => typed.number - 273.15,
            _ => typed.number,
        };
        if degree.is_some_and(|degree| degree != 'C') {
            let message = format!("temperatures are in °C here, not `{}`", text.trim());
            self.error_with_help(Code::Temperature, node.at, message, format!("write {celsius:.0}"));
            return None;
        }
        if !(ABSOLUTE_ZERO..=HOTTEST).contains(&celsius) {
            self.error(Code::Temperature, node.at, format!("no part is at {celsius} °C"));
            return None;
        }
        Some(celsius)
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
            self.wrong_form(node, "a pair such as [0.05, 0.20]");
            return None;
        };
        let [first, second] = items.as_slice() else {
            if self.commas_in_a_pair(node, items) {
                return None;
            }
            self.error(Code::WrongForm, node.at, format!("{what} are two lengths, not {}", items.len()));
            return None;
        };
        let (first, second) = (self.length(first), self.length(second));
        Some([first?, second?])
    }

    /// The thicknesses of shims: a list of lengths, none of which can be zero.
    pub fn thicknesses(&mut self, node: &Node) -> Vec<Length> {
        if let Value::List(items) = &node.value
            && let Some(meant) = commas::in_thicknesses(items)
        {
            self.commas_in_a_list(node, &meant);
            return Vec::new();
        }
        self.lengths(node)
    }

    /// Whether a list that is no pair would be one with decimal points in place of its commas; complains if so.
    pub(in crate::document::written) fn commas_in_a_pair(&mut self, node: &Node, items: &[Node]) -> bool {
        let meant = commas::in_a_pair(items);
        if let Some(meant) = &meant {
            self.commas_in_a_list(node, meant);
        }
        meant.is_some()
    }

    fn commas_in_a_list(&mut self, node: &Node, meant: &str) {
        let message = "commas stand here where decimal points are due";
        self.error_with_help(Code::DecimalComma, node.at, message, format!("write [{meant}]"));
    }
}
