//! Sets of lengths as intervals that do not meet, ascending.

/// Intervals that do not meet, ascending.
pub(super) type Intervals = Vec<(f64, f64)>;

/// Intervals nearer to each other than this are one: ends that are the same sum of typed figures differ by the rounding
/// of doubles only, which is far below, and a picometre is no length at a bench.
pub(super) const SAME_MM: f64 = 1e-9;

/// The union of intervals, both ends in; those that are turned round are none.
pub(super) fn union(mut all: Vec<(f64, f64)>) -> Intervals {
    all.retain(|(low, high)| *low <= high + SAME_MM);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<(f64, f64)> = Vec::new();
    for (low, high) in all {
        match merged.last_mut() {
            Some(last) if low <= last.1 + SAME_MM => last.1 = last.1.max(high),
            _ => merged.push((low, high)),
        }
    }
    merged
}

/// What two unions have in common.
pub(super) fn meet(a: &[(f64, f64)], b: &[(f64, f64)]) -> Intervals {
    let (mut left, mut right) = (0, 0);
    let mut common = Vec::new();
    while let (Some(&x), Some(&y)) = (a.get(left), b.get(right)) {
        let (low, high) = (x.0.max(y.0), x.1.min(y.1));
        if low <= high {
            common.push((low, high));
        }
        if x.1 < y.1 { left += 1 } else { right += 1 }
    }
    common
}

/// What is between the intervals of a union.
pub(super) fn between(all: &[(f64, f64)]) -> Intervals {
    all.windows(2).map(|pair| (pair[0].1, pair[1].0)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn touching_intervals_are_one() {
        let all = union(vec![(0.3, 0.4), (0.1, 0.1 + 0.2), (0.9, 0.8), (0.6, 0.7)]);
        assert_eq!(all, [(0.1, 0.4), (0.6, 0.7)]);
        assert_eq!(between(&all), [(0.4, 0.6)]);
        assert_eq!(meet(&all, &[(0.0, 0.2), (0.35, 0.65)]), [(0.1, 0.2), (0.35, 0.4), (0.6, 0.65)]);
        assert_eq!(meet(&all, &[(f64::NEG_INFINITY, f64::INFINITY)]), all);
    }
}
