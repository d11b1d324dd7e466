//! Expressions with their names bound, and the order in which gaps can be worked.

use super::{Bound, Context, Gap};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::expression::Expression;
use crate::document::source::Span;
use crate::document::written::Reader;

/// A linear expression over dimensions, gaps and packs, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Linear {
    /// The constant part.
    pub constant_mm: f64,
    /// The other terms, in the order of the text.
    pub summands: Vec<Summand>,
    /// The text as typed.
    pub text: String,
    /// Where it stands.
    pub at: Span,
}

/// One term of a linear expression.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summand {
    /// What it stands for.
    pub what: What,
    /// Its coefficient.
    pub coefficient: f64,
}

/// What a term stands for: an index into the document's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// A dimension.
    Dimension(usize),
    /// Another gap.
    Gap(usize),
    /// A pack.
    Pack(usize),
}

impl Linear {
    /// Whether it is a number alone.
    #[must_use]
    pub fn is_constant(&self) -> bool {
        self.summands.is_empty()
    }

    /// Halfway between two expressions.
    #[must_use]
    pub fn middle(&self, other: &Linear) -> Linear {
        let mut summands: Vec<Summand> =
            self.summands.iter().map(|one| Summand { coefficient: one.coefficient / 2.0, ..*one }).collect();
        for one in &other.summands {
            match summands.iter_mut().find(|there| there.what == one.what) {
                Some(there) => there.coefficient += one.coefficient / 2.0,
                None => summands.push(Summand { coefficient: one.coefficient / 2.0, ..*one }),
            }
        }
        // A sum first and one division: the middle of typed figures stays the double nearest to it.
        let constant_mm = (self.constant_mm + other.constant_mm) / 2.0;
        Linear { constant_mm, summands, text: format!("middle of {} and {}", self.text, other.text), at: self.at }
    }
}

/// Which names an expression may use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Allowed {
    /// Dimensions, gaps and packs.
    All,
    /// Dimensions alone: the ends of a band and a target.
    Dimensions,
}

/// Binds the names of an expression.
pub(super) fn linear(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    expression: &Expression,
    allowed: Allowed,
) -> Option<Linear> {
    let mut summands = Vec::with_capacity(expression.terms.len());
    let mut whole = true;
    for (name, used) in &expression.terms {
        let what = match context.names.get(name) {
            Some(Bound::Dimension(index)) => What::Dimension(index),
            Some(Bound::Gap(index)) if allowed == Allowed::All => What::Gap(index),
            Some(Bound::Pack(index)) if allowed == Allowed::All => What::Pack(index),
            Some(_) => {
                let message =
                    format!("`{name}` is no dimension; a band and a target are made of dimensions and numbers");
                reader.error(Code::UnknownName, used.at, message);
                whole = false;
                continue;
            }
            None => {
                if !["dimensions", "gaps", "packs"].iter().any(|section| reader.was_dropped(section, name)) {
                    unknown(reader, context, name, used.at);
                }
                whole = false;
                continue;
            }
        };
        summands.push(Summand { what, coefficient: used.coefficient });
    }
    whole.then(|| Linear {
        constant_mm: expression.constant_mm(context.unit),
        summands,
        text: expression.text.clone(),
        at: expression.at,
    })
}

fn unknown(reader: &mut Reader<'_>, context: &Context<'_>, name: &str, at: Span) {
    let fault = Diagnostic::error(Code::UnknownName, format!("nothing is called `{name}`")).at(at);
    reader.push(match context.names.nearest(name) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help("a chain is made of the names of dimensions, gaps and packs"),
    });
}

/// The order in which gaps can be worked; None, with an error, where they go round in a circle.
pub(super) fn order(reader: &mut Reader<'_>, gaps: &[Gap]) -> Option<Vec<usize>> {
    let mut done = vec![false; gaps.len()];
    let mut order = Vec::with_capacity(gaps.len());
    // Repeated passes instead of recursion: a chain of a thousand gaps must not use the stack.
    while order.len() < gaps.len() {
        let before = order.len();
        for (index, gap) in gaps.iter().enumerate() {
            if !done[index] && referred(gap).all(|other| done[other]) {
                done[index] = true;
                order.push(index);
            }
        }
        if order.len() == before {
            let ring: Vec<String> =
                circle(gaps, &done).into_iter().map(|index| format!("`{}`", gaps[index].name)).collect();
            let first = gaps.iter().zip(&done).find(|(_, done)| !**done).map(|(gap, _)| gap.chain.at);
            let fault =
                Diagnostic::error(Code::Cycle, format!("gaps refer to each other in a circle: {}", ring.join(" to ")));
            reader.push(match first {
                Some(at) => fault.at(at),
                None => fault,
            });
            return None;
        }
    }
    Some(order)
}

fn referred(gap: &Gap) -> impl Iterator<Item = usize> + '_ {
    gap.chain.summands.iter().filter_map(|one| match one.what {
        What::Gap(index) => Some(index),
        _ => None,
    })
}

/// One circle among the gaps that are not done: every one of them refers to another such one.
fn circle(gaps: &[Gap], done: &[bool]) -> Vec<usize> {
    let Some(mut at) = done.iter().position(|done| !done) else { return Vec::new() };
    let mut way = Vec::new();
    while !way.contains(&at) {
        way.push(at);
        match referred(&gaps[at]).find(|&other| !done[other]) {
            Some(next) => at = next,
            None => return way,
        }
    }
    way.push(at);
    let start = way.iter().position(|&one| one == at).unwrap_or(0);
    way.split_off(start)
}
