//! How dimensions go together, as written.

use super::reader::{Named, Reader};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::tree::{Node, Value};

/// A correlation of two dimensions as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    /// One of them.
    pub first: Named,
    /// The other.
    pub second: Named,
    /// The product-moment correlation, from −1 to 1.
    pub factor: f64,
    /// Where the factor stands.
    pub at: Span,
}

/// What an entry looks like.
const FORM: &str = "[one dimension, another, 0.6]";
/// More correlations than this are a slip, not knowledge of production.
const MOST: usize = 1000;

pub(super) fn read(reader: &mut Reader<'_>, node: &Node) -> Vec<Correlation> {
    let Value::List(items) = &node.value else {
        reader.wrong_form(node, &format!("a list of {FORM}"));
        return Vec::new();
    };
    if items.len() > MOST {
        let message = format!("{} correlations are more than a stack of parts has; {MOST} are taken", items.len());
        reader.error(Code::TooLarge, node.at, message);
        return Vec::new();
    }
    // One pair without the outer brackets is the usual slip.
    if items.iter().any(|item| item.text().is_some()) {
        let message = "each correlation is a list of its own";
        reader.error_with_help(Code::WrongForm, node.at, message, format!("write [{FORM}]"));
        return Vec::new();
    }
    let mut found = Vec::with_capacity(items.len());
    for (index, item) in items.iter().enumerate() {
        found.extend(reader.within(&(index + 1).to_string(), |reader| one(reader, item)));
    }
    found
}

fn one(reader: &mut Reader<'_>, node: &Node) -> Option<Correlation> {
    let Value::List(items) = &node.value else {
        reader.wrong_form(node, FORM);
        return None;
    };
    let [first, second, factor] = items.as_slice() else {
        let message = format!("a correlation has two dimensions and a factor, not {} values", items.len());
        reader.error_with_help(Code::WrongForm, node.at, message, format!("write {FORM}"));
        return None;
    };
    let (first, second, at) = (reader.named(first), reader.named(second), factor.at);
    let factor = reader.plain_number(factor, "a correlation").and_then(|factor| {
        if factor.abs() <= 1.0 {
            return Some(factor);
        }
        let message = format!("a correlation is from -1 to 1, not {factor}");
        let help = "1 is: wherever one part is over its middle, the other is too, by as many standard deviations";
        reader.error_with_help(Code::CorrelationRange, at, message, help);
        None
    });
    Some(Correlation { first: first?, second: second?, factor: factor?, at })
}
