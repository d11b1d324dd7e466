//! The single values that the discrete terms of a sum can give together.

use super::Term;
use crate::number::double_double::DoubleDouble;

/// Single values of a sum that are kept one by one; more of them are taken together.
const MOST: usize = 1 << 14;

/// The most pairs of values that are added to each other at a time.
const MOST_PAIRS: usize = 1 << 20;

/// A value, or a few that stand for one, with its probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Atom {
    /// The value, or the middle of those that were taken together, mm.
    pub(super) at: f64,
    /// How far from it the value may be; zero unless several were taken together. mm.
    pub(super) spread: f64,
    /// The probability.
    pub(super) share: f64,
}

/// Values about the centres of their laws, rising, with the sums of their probabilities from either end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Support {
    atoms: Vec<Atom>,
    /// The probability of all atoms before this one; one figure more than atoms.
    before: Vec<f64>,
    /// The probability of this atom and all behind it; one figure more than atoms.
    from: Vec<f64>,
}

/// How many values the product of some discrete terms has at most.
pub(super) fn product(terms: &[Term]) -> usize {
    terms.iter().filter_map(|term| term.law.atoms()).fold(1, |product, law| product.saturating_mul(law.atoms().len()))
}

impl Support {
    /// Nothing to add.
    pub(super) fn origin() -> Self {
        Self::summed(vec![Atom { at: 0.0, spread: 0.0, share: 1.0 }])
    }

    /// The sums of the values of discrete terms, those within `same_mm` of each other taken as one.
    ///
    /// Where there are too many, neighbours are taken together, and their spread says how far they may be off.
    pub(super) fn new(terms: &[Term], same_mm: f64) -> Self {
        let mut each: Vec<Vec<Atom>> = terms.iter().filter_map(scaled).collect();
        each.sort_by_key(Vec::len);
        let sum = each.into_iter().reduce(|sum, next| {
            let (sum, next) = if sum.len().saturating_mul(next.len()) > MOST_PAIRS {
                let root = MOST_PAIRS.isqrt();
                (coarser(sum, root), coarser(next, root))
            } else {
                (sum, next)
            };
            let mut pairs = Vec::with_capacity(sum.len() * next.len());
            for a in &sum {
                let plus = |b: &Atom| Atom { at: a.at + b.at, spread: a.spread + b.spread, share: a.share * b.share };
                pairs.extend(next.iter().map(plus));
            }
            coarser(merged(pairs, same_mm), MOST)
        });
        sum.map_or_else(Self::origin, |sum| Self::summed(merged(sum, same_mm)))
    }

    fn summed(mut atoms: Vec<Atom>) -> Self {
        in_order(&mut atoms);
        let sums = |shares: &mut dyn Iterator<Item = f64>| -> Vec<f64> {
            let mut sum = DoubleDouble::ZERO;
            let rest = shares.map(|share| {
                sum = sum + share.into();
                sum.to_f64().min(1.0)
            });
            std::iter::once(0.0).chain(rest).collect()
        };
        let before = sums(&mut atoms.iter().map(|atom| atom.share));
        let mut from = sums(&mut atoms.iter().rev().map(|atom| atom.share));
        from.reverse();
        Self { atoms, before, from }
    }

    /// The atoms, rising.
    pub(super) fn atoms(&self) -> &[Atom] {
        &self.atoms
    }

    /// The least and the greatest value.
    pub(super) fn limits(&self) -> (f64, f64) {
        let (first, last) = (self.atoms[0], self.atoms[self.atoms.len() - 1]);
        (first.at - first.spread, last.at + last.spread)
    }

    /// Those beyond x on the side of `sign` by more than `half` for sure: their probability; and the atoms nearer to
    /// it.
    pub(super) fn beyond(&self, x: f64, half: f64, sign: f64) -> (f64, &[Atom]) {
        let lower = self.atoms.partition_point(|atom| atom.at + atom.spread + half < x);
        let upper = self.atoms.partition_point(|atom| atom.at - atom.spread - half <= x);
        let surely = if sign > 0.0 { self.from[upper] } else { self.before[lower] };
        (surely, &self.atoms[lower..upper])
    }
}

/// The values of one term about its law's centre, times its coefficient, rising.
fn scaled(term: &Term) -> Option<Vec<Atom>> {
    let law = term.law.atoms()?;
    let centre = term.law.centre();
    let times = |(value, share): (f64, f64)| Atom { at: term.coefficient * (value - centre), spread: 0.0, share };
    let mut atoms: Vec<Atom> = law.atoms().map(times).collect();
    if term.coefficient < 0.0 {
        atoms.reverse();
    }
    Some(atoms)
}

/// Sorted, and those within `same_mm` of the first of a group made one, at their mean.
fn merged(mut atoms: Vec<Atom>, same_mm: f64) -> Vec<Atom> {
    atoms.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut groups: Vec<Atom> = Vec::new();
    let mut first = f64::NEG_INFINITY;
    for atom in atoms {
        match groups.last_mut() {
            Some(group) if atom.at - first <= same_mm => {
                let share = group.share + atom.share;
                *group = if group.spread + atom.spread > 0.0 {
                    together(&[*group, atom])
                } else {
                    Atom { at: group.at + (atom.at - group.at) * (atom.share / share), spread: 0.0, share }
                };
            }
            _ => {
                first = atom.at;
                groups.push(atom);
            }
        }
    }
    groups
}

/// At most about `most` atoms: neighbours of one stretch taken together, with the room they need.
fn coarser(atoms: Vec<Atom>, most: usize) -> Vec<Atom> {
    if atoms.len() <= most {
        return atoms;
    }
    let (low, high) = (atoms[0].at, atoms[atoms.len() - 1].at);
    let stretch = |atom: &Atom| ((atom.at - low) / (high - low) * most as f64) as usize;
    atoms.chunk_by(|a, b| stretch(a) == stretch(b)).map(together).collect()
}

/// One atom for several, with the room that they need.
fn together(group: &[Atom]) -> Atom {
    let least = group.iter().map(|atom| atom.at - atom.spread).fold(f64::INFINITY, f64::min);
    let most = group.iter().map(|atom| atom.at + atom.spread).fold(f64::NEG_INFINITY, f64::max);
    let share = group.iter().map(|atom| atom.share).sum();
    Atom { at: 0.5 * (least + most), spread: 0.5 * (most - least), share }
}

/// Widens the room of sorted atoms so far that both ends of it rise from atom to atom.
fn in_order(atoms: &mut [Atom]) {
    if atoms.iter().all(|atom| atom.spread == 0.0) {
        return;
    }
    let mut ends: Vec<(f64, f64)> = atoms.iter().map(|atom| (atom.at - atom.spread, atom.at + atom.spread)).collect();
    for index in 1..ends.len() {
        ends[index].1 = ends[index].1.max(ends[index - 1].1);
    }
    for index in (1..ends.len()).rev() {
        ends[index - 1].0 = ends[index - 1].0.min(ends[index].0);
    }
    for (atom, (low, high)) in atoms.iter_mut().zip(ends) {
        (atom.at, atom.spread) = (0.5 * (low + high), 0.5 * (high - low));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::{Discrete, Law, Observed};

    const SAME: f64 = 0.5e-6;

    fn term(coefficient: f64, weighted: &[(f64, f64)]) -> Term {
        let law = Law::Discrete(Discrete::new(weighted.iter().copied()).expect("a valid law"));
        Term { coefficient, law }
    }

    #[test]
    fn equal_sums_are_one() {
        // Two dice: 36 pairs, eleven sums.
        let die: Vec<(f64, f64)> = (1..=6).map(|pips| (0.1 * f64::from(pips), 1.0)).collect();
        let support = Support::new(&[term(1.0, &die), term(1.0, &die)], SAME);
        let sixths: Vec<f64> = support.atoms().iter().map(|atom| (atom.share * 36.0).round()).collect();
        assert_eq!(sixths, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0]);
        // About the centres of the laws, 0.35 each.
        assert!((support.atoms()[0].at + 0.5).abs() < 1e-15 && (support.limits().1 - 0.5).abs() < 1e-15);
        assert!(support.atoms().iter().all(|atom| atom.spread == 0.0));
    }

    #[test]
    fn sums_from_either_end_meet() {
        let support = Support::new(&[term(-2.0, &[(0.0, 0.3), (1.0, 0.5), (3.0, 0.2)])], SAME);
        // −2·(3 − 1.5), −2·(1 − 1.5), −2·(0 − 1.5).
        let places: Vec<f64> = support.atoms().iter().map(|atom| atom.at).collect();
        assert_eq!(places, [-3.0, 1.0, 3.0]);
        let (surely, near) = support.beyond(1.5, 0.6, -1.0);
        assert_eq!((surely, near.len()), (0.2, 1));
        let (surely, near) = support.beyond(1.5, 0.1, 1.0);
        assert_eq!((surely, near.len()), (0.3, 0));
    }

    #[test]
    fn too_many_are_taken_together_and_say_by_how_much() {
        let values: Vec<f64> = (0..4000u32).map(|index| (f64::from(index) * 0.618_034).fract()).collect();
        let law = Law::Observed(Observed::new(&values).expect("a valid law"));
        let support =
            Support::new(&[Term { coefficient: 1.0, law: law.clone() }, Term { coefficient: 1.0, law }], SAME);
        assert!(support.atoms().len() <= MOST + 1);
        let widest = support.atoms().iter().map(|atom| atom.spread).fold(0.0, f64::max);
        assert!(widest > 0.0 && widest < 1.5 / 1024.0, "{widest}");
        let (low, high) = support.limits();
        assert!((low + 1.0).abs() < 2e-3 && (high - 1.0).abs() < 2e-3);
        let whole: f64 = support.atoms().iter().map(|atom| atom.share).sum();
        assert!((whole - 1.0).abs() < 1e-12);
    }
}
