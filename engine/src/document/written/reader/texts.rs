//! Texts, words and expressions.

use super::{Named, Reader, due};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::expression::{self, Expression};
use crate::document::nearest::nearest;
use crate::document::source::Span;
use crate::document::tree::{Node, Value};

impl Reader<'_> {
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
        self.no_number_sign(node)?;
        self.text(node).map(|text| Named { text, at: node.at })
    }

    /// One of a few words.
    pub fn word<'w>(&mut self, node: &Node, words: &[&'w str]) -> Option<&'w str> {
        let Some(text) = node.text().map(str::to_owned) else {
            let help = format!("one of: {}", words.join(", "));
            self.error_with_help(Code::WrongForm, node.at, due(node, "a word"), help);
            return None;
        };
        let found = words.iter().copied().find(|&word| word == text);
        if found.is_none() {
            let near = nearest(&text, words.iter().copied());
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("one of: {}", words.join(", ")),
            };
            let message = match self.path.last() {
                Some(key) => format!("`{text}` is not one of the words of `{key}`"),
                None => format!("`{text}` is not one of the words that stand here"),
            };
            self.error_with_help(Code::UnknownWord, node.at, message, help);
        }
        found
    }

    /// Complains of `bearing #2`, which is `bearing` and a remark to YAML. Other remarks are left alone: nobody writes
    /// one that begins with a figure.
    pub(in crate::document::written) fn no_number_sign(&mut self, node: &Node) -> Option<()> {
        let Value::Scalar(scalar) = &node.value else { return Some(()) };
        let behind = self.sources.get(node.at.source).text.get(node.at.end..).unwrap_or("");
        let Some(sign) = behind.trim_start_matches(' ').strip_prefix('#') else { return Some(()) };
        let figures = sign.len() - sign.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let blanks = behind.len() - behind.trim_start_matches(' ').len();
        if scalar.quoted || blanks == 0 || figures == 0 {
            return Some(());
        }
        let end = node.at.end + blanks + 1 + figures;
        let word = scalar.text.rsplit(' ').next().unwrap_or_default();
        let at = Span { start: node.at.end.saturating_sub(word.len()), end, ..node.at };
        let number = &sign[..figures];
        let message =
            format!("`{word} #{number}`: a `#` with a blank before it begins a remark, and what follows is not read");
        self.error_with_help(Code::HashInText, at, message, format!("write `{word} {number}`"));
        None
    }

    /// `true` or `false`.
    pub fn flag(&mut self, node: &Node) -> Option<bool> {
        self.word(node, &["true", "false"]).map(|word| word == "true")
    }

    /// A linear expression.
    pub fn expression(&mut self, node: &Node) -> Option<Expression> {
        self.no_number_sign(node)?;
        let Some(text) = node.text() else {
            let help = matches!(node.value, Value::List(_))
                .then_some("a value that begins with `- ` is read as a list; put it in quotes");
            let fault = Diagnostic::error(Code::WrongForm, due(node, "a sum or a length")).at(node.at);
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
