//! The numbers of a VALUE, with signs, units and what stands between them.

use super::token::{Kind, Token, tokens};
use super::{Fault, fault};
use crate::document::diagnostic::Code;
use crate::document::nearest::unit_advice;
use crate::document::source::Span;
use crate::document::tree::Node;
use crate::document::written::Named;
use crate::length::{NumberFault, Unit, parse_number, shortest};

/// The words behind feeler blades; no unit is called so.
pub(super) const BLADES: [&str; 3] = ["goes", "stops", "blades"];

/// A number of a value.
#[derive(Debug, Clone)]
pub(super) struct Number {
    negative: bool,
    digits: String,
    unit: Option<Unit>,
    at: Span,
}

impl Number {
    /// As a node; the digits stay as typed, a plus is left out.
    pub(super) fn node(&self) -> Node {
        Node::scalar(self.text(), self.at)
    }

    /// Gives it the unit that closes a value, unless it has its own.
    pub(super) fn close_with(&mut self, unit: Unit) {
        self.unit = self.unit.or(Some(unit));
    }

    pub(super) fn text(&self) -> String {
        let zero = self.digits.bytes().all(|b| matches!(b, b'0' | b'.'));
        let sign = if self.negative && !zero { "-" } else { "" };
        let unit = self.unit.map_or(String::new(), |unit| format!(" {unit}"));
        format!("{sign}{}{unit}", self.digits)
    }

    /// The number in millimetres if it were bare in millimetres: for putting two of one value in order.
    pub(super) fn order(&self) -> f64 {
        let size = parse_number(&self.digits).map_or(0.0, |typed| self.unit.unwrap_or_default().to_mm(typed.number));
        if self.negative { -size } else { size }
    }
}

/// A value that is read from left to right.
pub(super) struct Line<'a> {
    value: &'a Named,
    tokens: Vec<Token>,
    next: usize,
}

impl<'a> Line<'a> {
    pub(super) fn of(value: &'a Named) -> Self {
        Line { value, tokens: tokens(&value.text), next: 0 }
    }

    pub(super) fn tokens(&self) -> &[Token] {
        &self.tokens
    }

    pub(super) fn has(&self, kind: Kind) -> bool {
        self.tokens.iter().any(|token| token.kind == kind)
    }

    pub(super) fn peek(&self) -> Option<Token> {
        self.tokens.get(self.next).copied()
    }

    /// Goes on behind the next token if it is of this kind.
    pub(super) fn take(&mut self, kind: Kind) -> bool {
        let there = self.peek().is_some_and(|token| token.kind == kind);
        self.next += usize::from(there);
        there
    }

    pub(super) fn text(&self, token: Token) -> &'a str {
        &self.value.text[token.start..token.end]
    }

    pub(super) fn span(&self, token: Token) -> Span {
        let start = self.value.at.start;
        Span { start: start + token.start, end: start + token.end, ..self.value.at }
    }

    /// What is wrong at the next token, or at the end of the value.
    pub(super) fn unreadable(&self, form: &str) -> Fault {
        match self.peek() {
            Some(token) => {
                let message = format!("`{}` has no meaning here", self.text(token));
                fault(Code::BadValue, self.span(token), message, form)
            }
            None if self.tokens.is_empty() => fault(Code::BadValue, self.value.at, "there is no value", form),
            None => {
                let message = format!("`{}` ends where a number is due", self.value.text);
                fault(Code::BadValue, self.value.at, message, form)
            }
        }
    }

    /// The end of the value.
    pub(super) fn end(&self, form: &str) -> Result<(), Fault> {
        if self.peek().is_none() { Ok(()) } else { Err(self.unreadable(form)) }
    }

    /// A number with its sign and unit.
    pub(super) fn number(&mut self, form: &str) -> Result<Number, Fault> {
        let first = self.peek();
        let negative = self.take(Kind::Minus);
        if !negative {
            self.take(Kind::Plus);
        }
        let Some(token) = self.peek().filter(|token| token.kind == Kind::Number) else {
            return Err(self.unreadable(form));
        };
        self.next += 1;
        let mut at = self.span(token);
        at.start = self.span(first.unwrap_or(token)).start;
        let digits = self.text(token).to_owned();
        match parse_number(&digits) {
            Ok(_) => {}
            Err(NumberFault::NotFinite) => {
                let message = format!("`{digits}` is too large to be a length");
                return Err(fault(Code::NotFinite, at, message, form));
            }
            Err(_) => return Err(fault(Code::NotANumber, at, format!("`{digits}` is not a number"), form)),
        }
        let mut unit = None;
        let is_unit = |token: &Token| token.kind == Kind::Word && !BLADES.contains(&self.text(*token));
        if let Some(word) = self.peek().filter(is_unit) {
            self.next += 1;
            unit = Some(self.unit(word)?);
            at.end = self.span(word).end;
        }
        Ok(Number { negative, digits, unit, at })
    }

    pub(super) fn unit(&self, word: Token) -> Result<Unit, Fault> {
        let text = self.text(word);
        Unit::from_word(text).ok_or_else(|| {
            fault(
                Code::UnknownUnit,
                self.span(word),
                format!("`{text}` is no unit that is known here"),
                unit_advice(text),
            )
        })
    }

    /// Numbers with a slash, a blank or a comma between them.
    pub(super) fn list(mut self, form: &str) -> Result<Vec<Number>, Fault> {
        self.commas()?;
        self.fraction()?;
        let mut numbers = vec![self.number(form)?];
        while let Some(token) = self.peek() {
            match token.kind {
                Kind::Slash | Kind::Comma => self.next += 1,
                Kind::Number if token.spaced => {}
                Kind::Plus | Kind::Minus => {
                    let help = "write `/` between readings; a drawing is written 30+0.02-0.01 or 30±0.02";
                    return Err(fault(Code::BadValue, self.span(token), "a sign stands between two numbers", help));
                }
                _ => return Err(self.unreadable(form)),
            }
            numbers.push(self.number(form)?);
        }
        close(self.value, numbers)
    }

    /// A comma separates where every item has a decimal point; else it may be a decimal comma.
    pub(super) fn commas(&self) -> Result<(), Fault> {
        let pointed = |token: &Token| token.kind != Kind::Number || self.text(*token).contains('.');
        if !self.has(Kind::Comma) || self.tokens.iter().all(pointed) {
            return Ok(());
        }
        let message = format!("`{}`: the comma may be a decimal point, or stand between two values", self.value.text);
        let (decimal, apart) = self.meanings();
        let help = match decimal {
            Some(decimal) => {
                format!("write {decimal} if it is a decimal point, {apart} if it stands between two values")
            }
            None => format!("write {apart} if it stands between two values; a decimal point is a point"),
        };
        Err(fault(Code::DecimalComma, self.value.at, message, help))
    }

    /// Whole numbers with a slash between them and `in` behind are a fraction of an inch to a reader, and readings by the
    /// form: `1/2 in`, `1 1/2 in`.
    fn fraction(&self) -> Result<(), Fault> {
        use Kind::{Number, Slash, Word};
        let kinds: Vec<Kind> = self.tokens.iter().map(|token| token.kind).collect();
        let (whole, parts) = match (kinds.as_slice(), self.tokens.as_slice()) {
            ([Number, Slash, Number, Word], [n, _, d, unit]) => (None, [n, d, unit]),
            ([Number, Number, Slash, Number, Word], [whole, n, _, d, unit]) => (Some(whole), [n, d, unit]),
            _ => return Ok(()),
        };
        let [numerator, denominator, unit] = parts.map(|token| self.text(*token));
        let whole = whole.map(|token| self.text(*token));
        let digits = |text: &&str| text.bytes().all(|b| b.is_ascii_digit());
        let mut numbers: Vec<&str> = whole.into_iter().collect();
        numbers.extend([numerator, denominator]);
        if Unit::from_word(unit) != Some(Unit::Inch) || !numbers.iter().all(digits) {
            return Ok(());
        }
        let value = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
        let inches = whole.map_or(0.0, value) + value(numerator) / value(denominator);
        if !inches.is_finite() {
            return Ok(());
        }
        let apart: Vec<String> = numbers.iter().map(|text| format!("{text}.0")).collect();
        let message = format!("`{}`: the slash may make a fraction, or stand between two values", self.value.text);
        let help = format!(
            "write {} {unit} if it is a fraction, {} {unit} if it stands between two values",
            shortest(inches),
            apart.join("/")
        );
        Err(fault(Code::BadValue, self.value.at, message, help))
    }

    /// A value with commas, once with decimal points and once with slashes.
    fn meanings(&self) -> (Option<String>, String) {
        let mut runs: Vec<Vec<&str>> = Vec::new();
        let mut joined = false;
        for token in &self.tokens {
            if token.kind == Kind::Number {
                match runs.last_mut() {
                    Some(run) if joined => run.push(self.text(*token)),
                    _ => runs.push(vec![self.text(*token)]),
                }
            }
            joined = token.kind == Kind::Comma;
        }
        let closing = self.tokens.last().filter(|token| token.kind == Kind::Word);
        let unit = closing.map_or(String::new(), |token| format!(" {}", self.text(*token)));
        let whole =
            |run: &Vec<&str>| run.len().is_multiple_of(2) && run.iter().all(|text| !text.contains(['.', 'e', 'E']));
        let apart = format!("{}{unit}", runs.concat().join("/"));
        let decimal = runs.iter().all(whole).then(|| {
            let pairs = runs.iter().flat_map(|run| run.chunks(2)).map(|pair| pair.join("."));
            format!("{}{unit}", pairs.collect::<Vec<_>>().join("/"))
        });
        (decimal, apart)
    }
}

/// Gives the unit that closes the value to the numbers that have none of their own.
pub(super) fn close(value: &Named, mut numbers: Vec<Number>) -> Result<Vec<Number>, Fault> {
    let closing = numbers.last().and_then(|number| number.unit);
    match (closing, numbers.iter().find_map(|number| number.unit)) {
        (None, Some(unit)) => {
            let message = format!("`{}` has a unit that does not stand at its end", value.text);
            let help = format!("write `{unit}` at the end, for all of its numbers; or a unit behind each");
            Err(fault(Code::BadValue, value.at, message, help))
        }
        _ => {
            numbers.iter_mut().for_each(|number| number.unit = number.unit.or(closing));
            Ok(numbers)
        }
    }
}
