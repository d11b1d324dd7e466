//! Windows on a line, each served by one thickness, and which of them hold most of the population.

/// What one thickness serves of the population: all that is between two ends which both move with the thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    /// P(below the lower end).
    pub(super) before: f64,
    /// P(up to the upper end).
    pub(super) through: f64,
}

/// Shares that differ by less than this are the same: the exact method's own bound is of this size.
const SAME: f64 = 1e-12;

/// The share that windows hold together. They are in order, so that both ends never fall.
pub(super) fn together(windows: impl IntoIterator<Item = Window>) -> f64 {
    let mut covered: f64 = 0.0;
    let mut share = 0.0;
    for Window { before, through } in windows {
        share += (through - before.max(covered)).max(0.0);
        covered = covered.max(through);
    }
    share
}

/// At most so many of these windows that hold most together, beside those that are `free`, and what they hold with those.
///
/// An exact optimum: of windows in order the one that is taken last says all that counts for the next, so that the best
/// of k windows ending with each is built on the best of k − 1. Of equal choices the fewest windows.
pub(super) fn best(windows: &[Window], free: &[Window], most: usize) -> (Vec<usize>, f64) {
    let base = together(free.iter().copied());
    // What is up to a place without what the free windows hold anyway.
    let rest = |upto: f64| upto - together(free.iter().map(|one| Window { through: one.through.min(upto), ..*one }));
    let ends: Vec<(f64, f64)> = windows.iter().map(|one| (rest(one.before), rest(one.through))).collect();
    let count = windows.len();
    let most = most.min(count);
    // By number of windows: the best that ends with each, and the window before.
    let mut best = vec![0.0_f64; count];
    let mut chains: Vec<Vec<Option<usize>>> = Vec::with_capacity(most);
    let mut top: Option<(usize, usize, f64)> = None;
    for number in 0..most {
        let mut next = vec![f64::NEG_INFINITY; count];
        let mut from = vec![None; count];
        for (index, &(before, through)) in ends.iter().enumerate() {
            if number == 0 {
                next[index] = (through - before).max(0.0);
                continue;
            }
            for earlier in 0..index {
                let gained = best[earlier] + (through - before.max(ends[earlier].1)).max(0.0);
                if gained > next[index] {
                    (next[index], from[index]) = (gained, Some(earlier));
                }
            }
        }
        for (index, &value) in next.iter().enumerate() {
            if top.is_none_or(|(_, _, there)| value > there + SAME) {
                top = Some((number, index, value));
            }
        }
        chains.push(from);
        best = next;
    }
    let Some((number, last, value)) = top.filter(|&(_, _, value)| value > SAME) else { return (Vec::new(), base) };
    let mut chosen = vec![last];
    for number in (1..=number).rev() {
        let before = chains[number][chosen[chosen.len() - 1]];
        chosen.push(before.expect("a chain of so many windows has one before its last"));
    }
    chosen.reverse();
    (chosen, base + value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A simple generator of numbers in [0, 1).
    fn numbers(mut seed: u64) -> impl FnMut() -> f64 {
        move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as f64 / f64::from(1_u32 << 31)
        }
    }

    fn some(draw: &mut impl FnMut() -> f64, count: usize) -> Vec<Window> {
        let mut befores: Vec<f64> = (0..count).map(|_| draw()).collect();
        let mut throughs: Vec<f64> = (0..count).map(|_| draw()).collect();
        befores.sort_by(f64::total_cmp);
        throughs.sort_by(f64::total_cmp);
        befores.iter().zip(&throughs).map(|(&a, &b)| Window { before: a.min(b) * 0.9, through: a.max(b) }).collect()
    }

    #[test]
    fn the_optimum_is_that_of_every_choice() {
        let mut draw = numbers(7);
        for case in 0..300 {
            let mut windows = some(&mut draw, 1 + case % 9);
            windows.sort_by(|a, b| a.before.total_cmp(&b.before));
            let mut through = 0.0_f64;
            for window in &mut windows {
                through = through.max(window.through);
                window.through = through;
            }
            let free: Vec<Window> = if case % 3 == 0 { vec![windows[windows.len() / 2]] } else { Vec::new() };
            for most in 0..=4 {
                let (chosen, share) = best(&windows, &free, most);
                let held = |set: u32| {
                    let taken = (0..windows.len()).filter(|index| set & (1 << index) != 0).map(|index| windows[index]);
                    let mut all: Vec<Window> = taken.chain(free.iter().copied()).collect();
                    all.sort_by(|a, b| a.before.total_cmp(&b.before).then(a.through.total_cmp(&b.through)));
                    together(all)
                };
                let sets = (0..1_u32 << windows.len()).filter(|set| set.count_ones() as usize <= most);
                let greatest = sets.map(held).fold(0.0, f64::max);
                assert!((share - greatest).abs() < 1e-12, "{share} {greatest}\n{windows:?} {free:?} {most}");
                let mine = chosen.iter().fold(0, |set, index| set | (1 << index));
                assert!((held(mine) - share).abs() < 1e-12 && chosen.len() <= most);
            }
        }
    }
}
