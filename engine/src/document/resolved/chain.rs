//! Expressions with their names bound, and the order in which gaps can be worked.

use super::{Bound, Context, Names};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::expression::Expression;
use crate::document::source::Span;
use crate::document::written::{self, Named, Reader};

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
                    let message = format!("nothing is called `{name}`");
                    let named = Named { text: name.clone(), at: used.at };
                    let help = "a chain is made of the names of dimensions, gaps and packs";
                    reader.unknown_name(&named, message, context.names.known(), help);
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

/// The order in which gaps can be worked, those that a gap refers to before it, and the same chain at 20 °C (`cold`) too;
/// None, with an error, where they go round
/// in a circle. It looks at the gaps as written, whatever else is wrong with them.
pub(super) fn order(
    reader: &mut Reader<'_>,
    gaps: &[written::Gap],
    cold: &[Option<usize>],
    names: &Names,
) -> Option<Vec<usize>> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        Open,
        Done,
    }
    let referred: Vec<Vec<usize>> = gaps.iter().zip(cold).map(|(gap, &cold)| referred(gap, cold, names)).collect();
    let mut marks = vec![Mark::New; gaps.len()];
    let mut order = Vec::with_capacity(gaps.len());
    for first in 0..gaps.len() {
        // A way of its own instead of recursion: a chain of a thousand gaps must not use the stack.
        let mut way = vec![(first, 0)];
        while let Some(&mut (at, ref mut next)) = way.last_mut() {
            if marks[at] == Mark::Done {
                way.pop();
                continue;
            }
            marks[at] = Mark::Open;
            let Some(&other) = referred[at].get(*next) else {
                marks[at] = Mark::Done;
                order.push(at);
                way.pop();
                continue;
            };
            *next += 1;
            match marks[other] {
                Mark::New => way.push((other, 0)),
                Mark::Open => {
                    circle(reader, gaps, &way, other);
                    return None;
                }
                Mark::Done => {}
            }
        }
    }
    Some(order)
}

fn referred(gap: &written::Gap, cold: Option<usize>, names: &Names) -> Vec<usize> {
    let gap_of = |name: &String| match names.get(name) {
        Some(Bound::Gap(index)) => Some(index),
        _ => None,
    };
    gap.chain.terms.keys().filter_map(gap_of).chain(cold).collect()
}

/// Complains of the circle that a way closes by coming back to a gap that is on it.
fn circle(reader: &mut Reader<'_>, gaps: &[written::Gap], way: &[(usize, usize)], back: usize) {
    let start = way.iter().position(|&(one, _)| one == back).unwrap_or(0);
    let mut ring: Vec<usize> = way[start..].iter().map(|&(one, _)| one).collect();
    // The first of the document is the one to point at.
    let first = ring.iter().enumerate().min_by_key(|&(_, one)| one).map_or(0, |(index, _)| index);
    ring.rotate_left(first);
    let gap = &gaps[ring[0]];
    let name = &gap.name.text;
    let message = if ring.len() == 1 {
        format!("the chain of `{name}` has the gap itself in it")
    } else {
        let names = ring.iter().chain(&ring[..1]).map(|&index| format!("`{}`", gaps[index].name.text));
        format!("gaps refer to each other in a circle: {}", names.collect::<Vec<_>>().join(" to "))
    };
    let help = "a chain may name another gap, but not one that is made of it";
    let fault = Diagnostic::error(Code::Cycle, message).at(gap.chain.at).path(format!("gaps.{name}.chain"));
    reader.push(fault.help(help));
}
