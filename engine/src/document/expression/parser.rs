//! From words to coefficients.

use indexmap::IndexMap;

use super::token::{Kind, Token, fault, tokens};
use super::{Expression, ExpressionFault, Use};
use crate::document::source::Span;
use crate::length::Unit;

/// Parentheses may be nested this deep.
const DEEPEST: usize = 64;

/// Reads an expression.
///
/// `at` is the span of the text in its source; the spans of names are worked from it where the text stands there
/// as it is.
///
/// # Errors
/// The first fault of the text.
pub fn parse(text: &str, at: Span) -> Result<Expression, ExpressionFault> {
    let words = tokens(text)?;
    if words.is_empty() {
        return Err(fault("the expression is empty".into(), None, 0, text.len()));
    }
    let mut parser = Parser { words: &words, next: 0, end: text.len(), depth: 0 };
    let value = parser.sum()?;
    if let Some(extra) = parser.peek() {
        return Err(parser.unexpected(extra));
    }
    let same_length = at.end.saturating_sub(at.start) == text.len();
    let place = |(start, end): (usize, usize)| {
        if same_length { Span { start: at.start + start, end: at.start + end, ..at } } else { at }
    };
    let terms = value
        .terms
        .into_iter()
        .map(|(name, (coefficient, range))| (name, Use { coefficient, at: place(range) }))
        .collect();
    Ok(Expression { text: text.to_owned(), at, bare: value.bare, mm: value.mm, terms })
}

/// A partial result.
#[derive(Default)]
struct Part {
    bare: f64,
    mm: f64,
    /// Whether a number with a unit took part, so that the constant is a length and no factor.
    has_unit: bool,
    terms: IndexMap<String, (f64, (usize, usize))>,
}

impl Part {
    fn is_factor(&self) -> bool {
        self.terms.is_empty() && !self.has_unit
    }

    fn scale(&mut self, factor: f64) {
        self.bare *= factor;
        self.mm *= factor;
        for (coefficient, _) in self.terms.values_mut() {
            *coefficient *= factor;
        }
    }

    fn divide(&mut self, divisor: f64) {
        self.bare /= divisor;
        self.mm /= divisor;
        for (coefficient, _) in self.terms.values_mut() {
            *coefficient /= divisor;
        }
    }

    fn add(&mut self, other: Part, sign: f64) {
        self.bare += sign * other.bare;
        self.mm += sign * other.mm;
        self.has_unit |= other.has_unit;
        for (name, (coefficient, range)) in other.terms {
            let entry = self.terms.entry(name).or_insert((0.0, range));
            entry.0 += sign * coefficient;
        }
    }
}

struct Parser<'a> {
    words: &'a [Token],
    next: usize,
    end: usize,
    depth: usize,
}

impl<'a> Parser<'a> {
    fn peek(&self) -> Option<&'a Token> {
        self.words.get(self.next)
    }

    fn take(&mut self, wanted: &Kind) -> Option<&'a Token> {
        let found = self.peek().filter(|token| &token.kind == wanted)?;
        self.next += 1;
        Some(found)
    }

    fn unexpected(&self, token: &Token) -> ExpressionFault {
        let message = match &token.kind {
            Kind::Close => "a `)` closes nothing".to_owned(),
            Kind::Number(_) | Kind::Name(_) | Kind::Open => "an operator is missing before this".to_owned(),
            _ => "this is not expected here".to_owned(),
        };
        fault(message, Some("join terms by + - * /".into()), token.start, token.end)
    }

    fn sum(&mut self) -> Result<Part, ExpressionFault> {
        let mut total = self.product()?;
        loop {
            let sign = if self.take(&Kind::Plus).is_some() {
                1.0
            } else if self.take(&Kind::Minus).is_some() {
                -1.0
            } else {
                return Ok(total);
            };
            let term = self.product()?;
            total.add(term, sign);
        }
    }

    fn product(&mut self) -> Result<Part, ExpressionFault> {
        let start = self.peek().map_or(self.end, |token| token.start);
        let mut total = self.signed()?;
        loop {
            if self.take(&Kind::Times).is_some() || self.take(&Kind::Of).is_some() {
                let factor = self.signed()?;
                total = self.multiply(total, factor, start)?;
            } else if let Some(token) = self.take(&Kind::Divide) {
                let divisor = self.signed()?;
                if !divisor.is_factor() {
                    return Err(self.not_linear("a chain cannot divide by a length", start));
                }
                if divisor.bare == 0.0 {
                    return Err(fault("a division by zero".into(), None, token.start, self.last_end()));
                }
                total.divide(divisor.bare);
            } else {
                return Ok(total);
            }
        }
    }

    fn multiply(&self, mut left: Part, mut right: Part, start: usize) -> Result<Part, ExpressionFault> {
        if right.is_factor() {
            left.scale(right.bare);
            return Ok(left);
        }
        if left.is_factor() {
            right.scale(left.bare);
            return Ok(right);
        }
        Err(self.not_linear("a chain cannot multiply a length by a length", start))
    }

    fn signed(&mut self) -> Result<Part, ExpressionFault> {
        let mut sign = 1.0;
        loop {
            if self.take(&Kind::Minus).is_some() {
                sign = -sign;
            } else if self.take(&Kind::Plus).is_none() {
                break;
            }
        }
        let mut value = self.value()?;
        if sign < 0.0 {
            value.scale(-1.0);
        }
        Ok(value)
    }

    fn value(&mut self) -> Result<Part, ExpressionFault> {
        let Some(token) = self.peek() else {
            return Err(fault("the expression ends where a term is due".into(), None, self.end, self.end));
        };
        self.next += 1;
        match &token.kind {
            Kind::Number(typed) => {
                let mut part = Part::default();
                match typed.unit {
                    Some(unit) => {
                        part.mm = Unit::to_mm(unit, typed.number);
                        part.has_unit = true;
                    }
                    None if self.take(&Kind::Percent).is_some() => part.bare = typed.number / 100.0,
                    None => part.bare = typed.number,
                }
                Ok(part)
            }
            Kind::Name(name) => {
                let mut part = Part::default();
                part.terms.insert(name.clone(), (1.0, (token.start, token.end)));
                Ok(part)
            }
            Kind::Open => {
                if self.depth == DEEPEST {
                    return Err(fault("parentheses are nested too deeply".into(), None, token.start, token.end));
                }
                self.depth += 1;
                let inner = self.sum()?;
                self.depth -= 1;
                if self.take(&Kind::Close).is_none() {
                    return Err(fault("this `(` is never closed".into(), None, token.start, token.end));
                }
                Ok(inner)
            }
            _ => {
                let message = "a name, a number or `(` is due here";
                Err(fault(message.into(), None, token.start, token.end))
            }
        }
    }

    fn last_end(&self) -> usize {
        self.words[self.next.saturating_sub(1)].end
    }

    fn not_linear(&self, message: &str, start: usize) -> ExpressionFault {
        let help = "a chain is linear: it may only add, subtract and scale by numbers".to_owned();
        ExpressionFault { not_linear: true, ..fault(message.into(), Some(help), start, self.last_end()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::source::Sources;

    fn read(text: &str) -> Result<Expression, ExpressionFault> {
        let mut sources = Sources::new();
        parse(text, sources.add_value("test", text))
    }

    fn coefficients(text: &str) -> (f64, f64, Vec<(String, f64)>) {
        let read = read(text).unwrap();
        let terms = read.terms.iter().map(|(name, used)| (name.clone(), used.coefficient)).collect();
        (read.bare, read.mm, terms)
    }

    fn named(list: &[(&str, f64)]) -> Vec<(String, f64)> {
        list.iter().map(|&(name, value)| (name.to_owned(), value)).collect()
    }

    #[test]
    fn chains_become_coefficients() {
        assert_eq!(
            coefficients("pocket - gear - collar"),
            (0.0, 0.0, named(&[("pocket", 1.0), ("gear", -1.0), ("collar", -1.0)]))
        );
        assert_eq!(coefficients("lug / 2 - band"), (0.0, 0.0, named(&[("lug", 0.5), ("band", -1.0)])));
        assert_eq!(coefficients("15 % of cord"), (0.0, 0.0, named(&[("cord", 0.15)])));
        assert_eq!(coefficients("2 * (a - 3) + a*0.5"), (-6.0, 0.0, named(&[("a", 2.5)])));
        assert_eq!(coefficients("lash 1 − 2 · lash 2"), (0.0, 0.0, named(&[("lash 1", 1.0), ("lash 2", -2.0)])));
        assert_eq!(coefficients("-(-a) - -b"), (0.0, 0.0, named(&[("a", 1.0), ("b", 1.0)])));
        assert_eq!(coefficients("depth of case - 0.5 in"), (0.0, -12.7, named(&[("depth of case", 1.0)])));
        assert_eq!(coefficients("x - x"), (0.0, 0.0, named(&[("x", 0.0)])));
    }

    #[test]
    fn products_of_names_are_not_linear() {
        for text in ["a * b", "a / b", "2 / a", "3 mm * 2 mm", "a * 2 mm"] {
            assert!(read(text).unwrap_err().not_linear, "{text}");
        }
    }

    #[test]
    fn faults_point_at_their_place() {
        for (text, start, end) in [
            ("a - ", 4, 4),
            ("a b - (c", 6, 7),
            ("a + 2 c", 6, 7),
            ("a, b", 1, 2),
            ("a / 0", 2, 5),
            ("a (b)", 2, 3),
            ("a + )", 4, 5),
            ("", 0, 0),
        ] {
            let fault = read(text).unwrap_err();
            assert_eq!((fault.start, fault.end), (start, end), "{text}: {}", fault.message);
        }
        assert!(read(&format!("{}a{}", "(".repeat(65), ")".repeat(65))).is_err());
        assert!(read(&format!("{}a{}", "(".repeat(64), ")".repeat(64))).is_ok());
    }

    #[test]
    fn ten_thousand_terms_are_no_trouble() {
        let text = (0..10_000).map(|i| format!("p{i}")).collect::<Vec<_>>().join(" + ");
        assert_eq!(read(&text).unwrap().terms.len(), 10_000);
    }
}
