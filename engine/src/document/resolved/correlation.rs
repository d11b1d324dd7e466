//! How dimensions go together, their names bound.

use std::collections::HashMap;

use super::{Bound, Names};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::source::Span;
use crate::document::written::{self, Named, Reader};

/// A correlation of two dimensions, resolved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correlation {
    /// The two dimensions, as indices into the document's, the lower first.
    pub dimensions: (usize, usize),
    /// The product-moment correlation, from −1 to 1.
    pub factor: f64,
    /// Where the factor stands.
    pub at: Span,
}

pub(super) fn resolve(reader: &mut Reader<'_>, names: &Names, written: &[written::Correlation]) -> Vec<Correlation> {
    let mut first: HashMap<(usize, usize), Span> = HashMap::with_capacity(written.len());
    let mut resolved = Vec::with_capacity(written.len());
    for one in written {
        let (Some(a), Some(b)) = (bind(reader, names, &one.first), bind(reader, names, &one.second)) else { continue };
        if a == b {
            let message = format!("`{}` is correlated with itself", one.first.text);
            let help = "a dimension goes with itself by 1, always; name two dimensions";
            reader.error_with_help(Code::CorrelationSelf, one.second.at, message, help);
            continue;
        }
        let dimensions = (a.min(b), a.max(b));
        if let Some(&at) = first.get(&dimensions) {
            let message = format!("`{}` and `{}` have two correlations", one.first.text, one.second.text);
            let fault = Diagnostic::error(Code::CorrelationTwice, message).at(one.at);
            reader.push(fault.other(at, "the first one").help("keep one of them"));
            continue;
        }
        first.insert(dimensions, one.at);
        resolved.push(Correlation { dimensions, factor: one.factor, at: one.at });
    }
    resolved
}

fn bind(reader: &mut Reader<'_>, names: &Names, name: &Named) -> Option<usize> {
    match names.get(&name.text) {
        Some(Bound::Dimension(index)) => return Some(index),
        Some(_) => {
            let message = format!("`{}` is no dimension; dimensions alone have correlations", name.text);
            reader.error(Code::UnknownName, name.at, message);
        }
        None if reader.was_dropped("dimensions", &name.text) => {}
        None => {
            let message = format!("nothing is called `{}`", name.text);
            let known = names.known();
            reader.unknown_name(name, message, known, "a correlation names two of the `dimensions`");
        }
    }
    None
}
