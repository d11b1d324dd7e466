//! Decimal commas. To YAML a comma in brackets stands between two values: `[52,41, 52,40]` is four whole numbers and
//! `{ size: 42,50 }` has a key `50`. Whoever wrote it meant something else.

use std::ops::Range;

use crate::document::source::Span;
use crate::document::tree::{Entry, Node, Value};

/// A number that a comma has cut in two among the entries of a map.
pub(super) struct Halves {
    /// As it was typed.
    pub(super) text: String,
    /// Where its second half stands.
    pub(super) at: Span,
    /// The entries that are no entries.
    pub(super) entries: Range<usize>,
}

/// The numbers of a map that a comma has cut: `size: 42,50` is a key `50` without a value behind `size: 42`, and
/// `0,20: 3` is a key `0` without a value before `20: 3`.
pub(super) fn halves(entries: &[Entry]) -> Vec<Halves> {
    let mut found: Vec<Halves> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let taken = found.last().is_some_and(|half| half.entries.contains(&index));
        if taken || !digits(&entry.key.text) || !matches!(entry.value.value, Value::Null) {
            continue;
        }
        let before = index.checked_sub(1).and_then(|before| entries[before].value.text()).filter(|text| whole(text));
        let behind = entries.get(index + 1).filter(|behind| digits(&behind.key.text));
        let key = &entry.key;
        let half = |text: String, entries| Halves { text, at: key.at, entries };
        found.extend(match (before, behind) {
            (_, Some(behind)) if !matches!(behind.value.value, Value::Null) => {
                Some(half(format!("{},{}", key.text, behind.key.text), index..index + 2))
            }
            (Some(before), _) => Some(half(format!("{before},{}", key.text), index..index + 1)),
            (None, _) => None,
        });
    }
    found
}

/// The readings that a list of whole numbers was meant to be, where their whole parts are alike and their decimals as
/// long as each other: that is how decimal commas come out.
pub(super) fn in_readings(items: &[Node]) -> Option<String> {
    let pairs = pairs(items)?;
    let alike = pairs.iter().all(|(whole, decimals)| *whole == pairs[0].0 && decimals.len() == pairs[0].1.len());
    let spread = pairs.iter().any(|(whole, decimals)| whole != decimals || *whole != pairs[0].0);
    (pairs.len() > 1 && alike && spread).then(|| joined(&pairs))
}

/// The same of thicknesses, of which none can be zero: `[0,10, 0,20]`.
pub(super) fn in_thicknesses(items: &[Node]) -> Option<String> {
    let pairs = pairs(items)?;
    let zero = pairs.iter().any(|(whole, _)| *whole == "0");
    if zero { Some(joined(&pairs)) } else { in_readings(items) }
}

/// The pair that three or four whole numbers were meant to be: `[0,10, 0,30]`, `[-0,05, 0]`, `[0, 0,05]`.
pub(super) fn in_a_pair(items: &[Node]) -> Option<String> {
    let texts: Vec<&str> = items.iter().map_while(Node::text).filter(|text| whole(text)).collect();
    if texts.len() != items.len() {
        return None;
    }
    let zero = |text: &str| matches!(text, "0" | "-0" | "+0");
    match texts.as_slice() {
        [a, b, c, d] if digits(b) && digits(d) => Some(format!("{a}.{b}, {c}.{d}")),
        [a, b, c] if zero(a) && digits(b) && !zero(b) => Some(format!("{a}.{b}, {c}")),
        [a, b, c] if zero(b) && digits(c) => Some(format!("{a}, {b}.{c}")),
        _ => None,
    }
}

/// Whole part and decimals of each number, where a list has nothing but whole numbers and an even number of them.
fn pairs(items: &[Node]) -> Option<Vec<(&str, &str)>> {
    let texts: Vec<&str> = items.iter().map_while(Node::text).filter(|text| digits(text)).collect();
    let whole = texts.len() == items.len() && texts.len() >= 2 && texts.len().is_multiple_of(2);
    whole.then(|| texts.chunks(2).map(|pair| (pair[0], pair[1])).collect())
}

fn joined(pairs: &[(&str, &str)]) -> String {
    pairs.iter().map(|(whole, decimals)| format!("{whole}.{decimals}")).collect::<Vec<_>>().join(", ")
}

fn digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

fn whole(text: &str) -> bool {
    digits(text.strip_prefix(['-', '+']).unwrap_or(text))
}
