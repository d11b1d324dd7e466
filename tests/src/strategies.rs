//! Strategies for proptest: choices of a pack, and stacks.
//!
//! All lengths are whole nanometres, so that what is generated can be written in millimetres without loss and summed
//! without rounding.

mod choice;
mod make_choice;
mod mixed;
mod pair;
mod stack;
mod terms;

pub use choice::{Aim, Choice, Fitted, Lean, Size, Start};
pub use make_choice::choice;
pub use mixed::{Case, MixedSum, Rest, mixed_sum};
pub use pair::{Link, OfPair, Pair, PairGap, pair};
pub use stack::{Dimension, Law, Stack, stack};
pub use terms::{a_deviate, some_terms};

/// A length as the text of a document in millimetres.
#[must_use]
pub fn mm(nm: i64) -> String {
    let sign = if nm < 0 { "-" } else { "" };
    format!("{sign}{}.{:06}", nm.abs() / 1_000_000, nm.abs() % 1_000_000)
}
