//! Every thickness that one pack can have, with the number of shims and the pattern of errors that go with it: not the
//! packs themselves, of which a large kit gives millions.

use std::collections::{BTreeMap, HashMap};

use super::bits::Bits;
use crate::length::on_grid;
use crate::model::{Item, PackForm};
use crate::select::alike::Alike;
use crate::select::candidates::{Candidate, MOST_OF_SEVERAL, Rules};
use crate::select::order::{among_equals, left};

/// Up to so many packs are looked through one by one, which tells equal ones apart to the last rule of the order.
const MOST_ONE_BY_ONE: usize = 20_000;
/// More patterns of errors than this are not told apart.
const MOST_PATTERNS: usize = 600;
/// More words than this are not gone through for the sums of a kit.
const MOST_WORK: usize = 1_000_000_000;
/// Nor are more words than this held at a time: 128 MiB.
const MOST_HELD: usize = 1 << 24;
/// A set of sums with more bits than this is not made.
const MOST_BITS: usize = 1 << 24;

/// Packs that are judged alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::select) struct Lot {
    /// Their thickness on the grid.
    pub(in crate::select) thickness_nm: i64,
    /// The fewest shims.
    pub(in crate::select) shims: usize,
    /// How many of the scarcest size that is taken are left in the box.
    pub(in crate::select) left: usize,
    /// The pattern of their errors, among [`Lots::patterns`].
    pub(in crate::select) pattern: usize,
}

/// All packs of a kit under the rules, as lots.
#[derive(Debug, Clone)]
pub(in crate::select) struct Lots {
    /// By thickness; of one thickness in the order of choice.
    pub(in crate::select) all: Vec<Lot>,
    /// A pack of each pattern.
    pub(in crate::select) patterns: Vec<PackForm>,
    /// Whether what is left in the box is told.
    pub(in crate::select) tells_left: bool,
}

/// How many shims share each kind of error, in any order.
type Pattern = Vec<(usize, usize)>;

impl Lots {
    /// None where there are too many.
    pub(in crate::select) fn of(rules: &Rules, alike: &Alike) -> Option<Lots> {
        one_by_one(rules, alike, MOST_ONE_BY_ONE)
            .or_else(|| by_sums(rules, alike))
            .or_else(|| one_by_one(rules, alike, MOST_OF_SEVERAL))
    }

    /// The thicknesses, ascending.
    pub(in crate::select) fn thicknesses_nm(&self) -> Vec<i64> {
        let mut all: Vec<i64> = self.all.iter().map(|lot| lot.thickness_nm).collect();
        all.dedup();
        all
    }
}

/// Looks through all packs.
fn one_by_one(rules: &Rules, alike: &Alike, most: usize) -> Option<Lots> {
    let mut patterns: HashMap<Pattern, usize> = HashMap::new();
    let mut forms: Vec<PackForm> = Vec::new();
    let mut first: HashMap<(i64, usize), (Lot, Candidate)> = HashMap::new();
    rules.each_of(rules.span_nm(), most, &mut |one| {
        let pattern = alike.pattern(one);
        let next = forms.len();
        let pattern = *patterns.entry(pattern).or_insert(next);
        if pattern == next {
            forms.push(PackForm::of(one.counts.iter().map(|&(item, count)| (&rules.items[item], count))));
        }
        let lot =
            || Lot { thickness_nm: one.thickness_nm, shims: one.shims, left: left(&rules.items, &one.counts), pattern };
        let there = first.entry((one.thickness_nm, pattern)).or_insert_with(|| (lot(), one.clone()));
        if among_equals(rules, one, &there.1).is_lt() {
            *there = (lot(), one.clone());
        }
    })?;
    let mut all: Vec<_> = first.into_values().collect();
    all.sort_by(|a, b| a.0.thickness_nm.cmp(&b.0.thickness_nm).then_with(|| among_equals(rules, &a.1, &b.1)));
    Some(Lots { all: all.into_iter().map(|(lot, _)| lot).collect(), patterns: forms, tells_left: true })
}

/// Sums of sizes by number of shims and pattern, without looking at a pack twice.
fn by_sums(rules: &Rules, alike: &Alike) -> Option<Lots> {
    // Sizes that may not meet are no matter of sums, and the places of a screw may be less than none.
    if !rules.never_nm.is_empty() || rules.items_nm.iter().any(|&nm| nm <= 0) {
        return None;
    }
    let needed = needed(rules)?;
    let unit = rules.items_nm.iter().fold(0, |unit, &nm| gcd(unit, nm)).max(1);
    let thickest = rules.thickest_nm.map_or(rules.span_nm().1, |most| most.min(rules.span_nm().1));
    let below = usize::try_from(thickest.max(0) / unit).ok()?.checked_add(1).filter(|&below| below <= MOST_BITS)?;
    let mut sums: BTreeMap<(usize, Pattern), Bits> = BTreeMap::new();
    let mut none = Bits::new(below);
    none.insert(0);
    sums.insert((0, Pattern::new()), none);
    let mut work = 0;
    for (index, item) in rules.items.iter().enumerate() {
        let step = usize::try_from(rules.items_nm[index] / unit).ok()?;
        let most = rules.available(item).min(rules.most);
        let before: Vec<(usize, Pattern)> = sums.keys().rev().cloned().collect();
        // Most shims first, so that what an item adds is not added to again by the same item.
        for key in before {
            let from = sums[&key].clone();
            for count in needed[index].max(1)..=most.min(rules.most - key.0) {
                work += below.div_ceil(64);
                let Some(moved) = step.checked_mul(count).filter(|&moved| moved < below) else { break };
                let mut pattern = key.1.clone();
                if let Some(kind) = alike.kind(index) {
                    pattern.push((kind, count));
                    pattern.sort_unstable();
                }
                let to = sums.entry((key.0 + count, pattern)).or_insert_with(|| Bits::new(below));
                to.add_moved(&from, moved);
            }
            if needed[index] > 0 {
                sums.remove(&key);
            }
        }
        let held = sums.len().saturating_mul(below.div_ceil(64));
        if work > MOST_WORK || held > MOST_HELD || sums.len() > MOST_PATTERNS * (rules.most + 1) {
            return None;
        }
    }
    let mut patterns: HashMap<Pattern, usize> = HashMap::new();
    let mut forms = Vec::new();
    let mut all = Vec::new();
    for ((shims, pattern), bits) in sums.iter().filter(|((shims, _), _)| *shims >= rules.least) {
        let next = forms.len();
        let number = *patterns.entry(pattern.clone()).or_insert(next);
        if number == next {
            forms.push(a_pack_of(pattern, &rules.items, alike));
        }
        for sum in bits.numbers() {
            let thickness_nm = i64::try_from(sum).ok()?.checked_mul(unit)?;
            all.push(Lot { thickness_nm, shims: *shims, left: usize::MAX, pattern: number });
        }
    }
    // Of equal packs the order of choice takes the one with the thinnest first shim; unlike shims tell of such a one.
    let mut unlike: Vec<Vec<usize>> = vec![Vec::new(); forms.len()];
    for (pattern, &number) in &patterns {
        let mut counts: Vec<usize> = pattern.iter().map(|&(_, count)| count).collect();
        counts.sort_unstable_by(|a, b| b.cmp(a));
        unlike[number] = counts;
    }
    all.sort_by(|a, b| {
        (a.thickness_nm, a.shims, &unlike[a.pattern]).cmp(&(b.thickness_nm, b.shims, &unlike[b.pattern]))
    });
    Some(Lots {
        all,
        patterns: forms,
        tells_left: !rules.limited || rules.items.iter().all(|one| one.in_box.is_none()),
    })
}

/// How many of each item must be in; none where that is not settled by the sizes alone.
fn needed(rules: &Rules) -> Option<Vec<usize>> {
    let mut needed: Vec<usize> = rules.items.iter().map(|item| item.staying).collect();
    for &label in &rules.includes_nm {
        let mut of_size = (0..rules.items.len()).filter(|&index| on_grid(rules.items[index].label_mm) == label);
        let (index, others) = (of_size.next()?, of_size.next());
        if others.is_some() || rules.items[index].staying > 0 {
            return None;
        }
        needed[index] += 1;
    }
    Some(needed)
}

/// A pack of a pattern, its thickness whatever it is.
fn a_pack_of(pattern: &Pattern, items: &[Item], alike: &Alike) -> PackForm {
    let mut taken = vec![false; items.len()];
    let mut pack = PackForm::default();
    for &(kind, count) in pattern {
        let index = (0..items.len()).find(|&index| !taken[index] && alike.kind(index) == Some(kind));
        let index = index.expect("a pattern was made of as many items as it has entries");
        taken[index] = true;
        pack.thickness_mm += count as f64 * items[index].thickness_mm;
        pack.form.add(&items[index].form, count as f64);
    }
    pack
}

fn gcd(a: i64, b: i64) -> i64 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyse::Confidence;
    use crate::document::{load, source::Sources};
    use crate::model::build;
    use crate::select::candidates::Stock;
    use crate::select::chooser::Chooser;
    use crate::select::search::own_rules;

    #[test]
    fn sums_are_those_of_all_packs() {
        for (kit, rules) in [
            ("sizes: [0.10, 0.15, 0.25, 0.40], tolerance: 0.01", "count: [0, 4]"),
            ("sizes: [0.10, 0.15, 0.25, 0.40]", "count: [2, 3], includes: [0.25]"),
            (
                "sizes: [0.10, 0.15, 0.25, 0.40], tolerance: 0.01",
                "count: [1, 4], thickest: 0.60, includes: [0.15, 0.15]",
            ),
            ("sizes: [0.10, 0.15, 0.25], tolerance: 0.01, on_hand: { 0.10: 2, 0.25: 1 }", "count: [1, 4]"),
            ("sizes: [0.10, 0.15, 0.25], tolerance: 0.01, actual: { 0.15: [0.151, 0.149] }", "count: [1, 4]"),
        ] {
            let text = format!(
                "
dimensions: {{ bore: {{ size: 30.70, tolerance: 0.01 }}, hub: {{ size: 30, tolerance: 0.01 }} }}
gaps: {{ play: {{ chain: bore - hub - shims, accept: [0.10, 0.30] }} }}
packs: {{ shims: {{ kit: drawer, {rules} }} }}
kits: {{ drawer: {{ {kit} }} }}
"
            );
            let mut sources = Sources::new();
            let id = sources.add("test", &text);
            let (document, _) = load(&sources, id).expect("the case is a document");
            let (model, _) = build(&document).expect("the case is a model");
            let chooser = Chooser::new(&model, vec![0], Confidence::default()).expect("there is a target");
            let rules = own_rules(&chooser, Stock::Box, 0);
            let alike = Alike::new(&chooser, &rules.items);
            let variance = |lots: &Lots, lot: &Lot| {
                lots.patterns[lot.pattern].form.variance_mm2(&model.columns).expect("rectangular and normal laws")
            };
            let seen = |lots: &Lots| {
                let mut all: Vec<(i64, i64, usize)> = lots
                    .all
                    .iter()
                    .map(|lot| (lot.thickness_nm, (variance(lots, lot) * 1e15).round() as i64, lot.shims))
                    .collect();
                all.sort_unstable();
                // Of one thickness and pattern the fewest shims.
                all.dedup_by_key(|one| (one.0, one.1));
                all
            };
            let walked = one_by_one(&rules, &alike, 100_000).expect("there are few");
            let summed = by_sums(&rules, &alike).expect("there are few");
            assert_eq!(seen(&walked), seen(&summed), "{text}");
            assert!(walked.all.len() > 4);
        }
    }
}
