//! Did you mean: the known word nearest to a mistyped one.

use crate::length::Unit;

/// The nearest of `known` to `word`, where one is near enough to be a slip of the hand.
#[must_use]
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = fold(word);
    let allowed = (typed.chars().count() / 3).clamp(1, 3);
    known
        .into_iter()
        .map(|candidate| (distance(&typed, &fold(candidate)), candidate))
        // A word of which no letter stays is no slip of the hand: `x` is not a mistyped `f`.
        .filter(|&(distance, candidate)| {
            distance <= allowed && distance < candidate.chars().count().max(typed.chars().count())
        })
        .min_by_key(|&(distance, candidate)| (distance, candidate.len()))
        .map(|(_, candidate)| candidate)
}

/// What to write in place of a word that is no unit known here.
#[must_use]
pub fn unit_advice(word: &str) -> String {
    // Units of length that are not taken: `cm` is no mistyped `mm`.
    const OTHERS: [&str; 7] = ["nm", "cm", "dm", "m", "km", "ft", "yd"];
    if let Some(unit) = Unit::meant_by(word) {
        return format!("write `{unit}`");
    }
    let known = Unit::ALL.map(Unit::word);
    match nearest(word, known).filter(|_| !OTHERS.contains(&word)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the units are {}", known.join(", ")),
    }
}

/// Case, and what people put between words, do not count.
fn fold(word: &str) -> String {
    word.to_lowercase().replace(['-', '_'], " ")
}

/// Edits between two words: letters added, left out, changed, or two neighbours swapped.
fn distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let changed = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = changed.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::{nearest, unit_advice};

    #[test]
    fn slips_are_found_and_strangers_are_not() {
        let known = ["tolerance", "size", "limits", "depth gauge"];
        assert_eq!(nearest("tolerence", known), Some("tolerance"));
        assert_eq!(nearest("szie", known), Some("size"));
        assert_eq!(nearest("Depth-Gauge", known), Some("depth gauge"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("xy", known), None);
        assert_eq!(nearest("x", ["f", "m"]), None);
    }

    #[test]
    fn another_unit_is_no_slip_of_the_hand() {
        assert_eq!(unit_advice("tou"), "did you mean `thou`?");
        assert_eq!(unit_advice("inches"), "write `in`");
        assert_eq!(unit_advice("cm"), "the units are mm, in, thou, um");
    }
}
