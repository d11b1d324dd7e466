//! Packs that are alike: of one thickness and with one pattern of errors, so that they are judged alike. A large kit
//! gives thousands of them, and only the first of each lot in the order of choice can be chosen.
//!
//! Where several packs are chosen together, what one takes may be missing for another, and a size that is in two packs
//! brings one error to both; then the first few of each lot are kept.

use std::collections::{BTreeMap, HashMap};

use super::candidates::{Candidate, MOST_CANDIDATES, MOST_OF_SEVERAL, Rules};
use super::chooser::Chooser;
use super::order::among_equals;
use crate::length::from_grid_mm;
use crate::model::{Form, Item, PackForm};

/// Thicknesses of one lot are equal to this part of a millimetre, which is far below what a probability shows and far
/// above the rounding of a sum.
const SAME_PARTS: f64 = 1e13;

/// What each item brings to a lot.
pub(super) struct Alike {
    items: Vec<Brings>,
}

struct Brings {
    /// The kind of its errors: items of one kind can stand for each other. None where it has no error.
    kind: Option<usize>,
    /// What its thickness is beyond the grid, in `SAME_PARTS` of a millimetre.
    beyond_grid: i64,
}

/// An error of an item.
#[derive(Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Error {
    /// Whether no other item and no gap has it.
    alone: bool,
    /// Its class where it is alone, else its column.
    of: usize,
    coefficient: u64,
    measured: bool,
}

impl Alike {
    /// For the items of one pack.
    pub(super) fn new(chooser: &Chooser<'_>, items: &[Item]) -> Alike {
        let columns = &chooser.model.columns;
        // An error of one item alone can stand for another of the same law; one that is in the gap or in several items,
        // such as an instrument's zero, stands for itself.
        let mut uses = vec![0_usize; columns.len()];
        let without = chooser.packs(&vec![PackForm::default(); chooser.chosen.len()]);
        let mut count = |form: &Form| form.terms().iter().for_each(|&(column, _)| uses[column] += 1);
        for aim in &chooser.aims {
            count(&chooser.model.with(aim.gap, &without));
            [&aim.gap.low, &aim.gap.high].into_iter().flatten().for_each(&mut count);
        }
        items.iter().for_each(|item| count(&item.form));
        let mut kinds: HashMap<Vec<Error>, usize> = HashMap::new();
        let brings = |item: &Item| {
            let error = |&(column, coefficient): &(usize, f64)| Error {
                alone: uses[column] == 1,
                of: if uses[column] == 1 { chooser.classes[column] } else { column },
                coefficient: coefficient.to_bits(),
                measured: columns[column].measured,
            };
            let mut errors: Vec<Error> = item.form.terms().iter().map(error).collect();
            errors.sort_unstable();
            let next = kinds.len();
            let kind = (!errors.is_empty()).then(|| *kinds.entry(errors).or_insert(next));
            let beyond_mm = item.form.mean_mm(columns) - from_grid_mm(item.thickness_nm());
            Brings { kind, beyond_grid: (beyond_mm * SAME_PARTS).round() as i64 }
        };
        Alike { items: items.iter().map(brings).collect() }
    }

    /// The kind of an item's errors; none where it has no error.
    pub(super) fn kind(&self, item: usize) -> Option<usize> {
        self.items[item].kind
    }

    /// How many shims share each kind of error, in any order.
    pub(super) fn pattern(&self, one: &Candidate) -> Vec<(usize, usize)> {
        let mut pattern: Vec<(usize, usize)> =
            one.counts.iter().filter_map(|&(item, count)| Some((self.items[item].kind?, count))).collect();
        pattern.sort_unstable();
        pattern
    }

    /// The first packs of each lot in a window, at most so many of each; None where there are too many packs.
    pub(super) fn shelf(&self, rules: &Rules, window_nm: (i64, i64), of_each: usize) -> Option<Shelf> {
        let mut patterns = Patterns::default();
        let mut lots: HashMap<Lot, usize> = HashMap::new();
        let mut found: Vec<Vec<Candidate>> = Vec::new();
        let most = if of_each == 1 { MOST_CANDIDATES } else { MOST_OF_SEVERAL };
        rules.each_of(window_nm, most, &mut |one| {
            let pattern =
                patterns.of(one.counts.iter().filter_map(|&(item, count)| Some((self.items[item].kind?, count))));
            let beyond = |&(item, count): &(usize, usize)| {
                self.items[item].beyond_grid.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX))
            };
            let beyond_grid = one.counts.iter().map(beyond).sum();
            // Of several packs the others' numbers decide too, so that none can be passed over for its own.
            let shims = if of_each == 1 { 0 } else { one.shims };
            let lot = Lot { thickness_nm: one.thickness_nm, beyond_grid, pattern, shims };
            let lot = *lots.entry(lot).or_insert(found.len());
            match found.get_mut(lot) {
                None => found.push(vec![one.clone()]),
                Some(first) => keep(rules, first, one, of_each),
            }
        })?;
        let mut shelf = Shelf::new();
        for lot in found {
            shelf.entry(lot[0].thickness_nm).or_default().push(lot);
        }
        Some(shelf)
    }
}

/// Lots by thickness on the grid; of each lot the first candidates in the order of choice.
pub(super) type Shelf = BTreeMap<i64, Vec<Vec<Candidate>>>;

/// What candidates of one lot have in common.
#[derive(Debug, PartialEq, Eq, Hash)]
struct Lot {
    thickness_nm: i64,
    beyond_grid: i64,
    pattern: usize,
    shims: usize,
}

/// Puts a candidate among the first ones of its lot, if it is one of them.
fn keep(rules: &Rules, first: &mut Vec<Candidate>, one: &Candidate, of_each: usize) {
    let before = |other: &Candidate| among_equals(rules, other, one).is_le();
    if first.len() >= of_each {
        if first.last().is_none_or(before) {
            return;
        }
        first.pop();
    }
    first.insert(first.partition_point(before), one.clone());
}

/// Patterns of errors, numbered as they come.
#[derive(Default)]
struct Patterns {
    numbers: HashMap<Vec<(usize, usize)>, usize>,
    /// The one before: packs that follow each other mostly have the same.
    before: Vec<(usize, usize)>,
    number: usize,
    this: Vec<(usize, usize)>,
}

impl Patterns {
    /// The number of a pattern: kinds of errors with how many shims share each, in any order.
    fn of(&mut self, errors: impl Iterator<Item = (usize, usize)>) -> usize {
        self.this.clear();
        self.this.extend(errors);
        self.this.sort_unstable();
        if self.numbers.is_empty() || self.this != self.before {
            self.number = match self.numbers.get(&self.this) {
                Some(&number) => number,
                None => {
                    let number = self.numbers.len();
                    self.numbers.insert(self.this.clone(), number);
                    number
                }
            };
            self.before.clone_from(&self.this);
        }
        self.number
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyse::Confidence;
    use crate::document::{load, source::Sources};
    use crate::model::build;
    use crate::select::candidates::Stock;
    use crate::select::search::own_rules;

    /// The sizes of the leaders of the packs that are 0.50 mm thick, in micrometres, for a kit.
    fn leaders(kit: &str) -> Vec<Vec<i64>> {
        let text = format!(
            "
dimensions: {{ bore: {{ size: 30.70, tolerance: 0.01 }}, hub: {{ size: 30, tolerance: 0.01 }} }}
gaps: {{ play: {{ chain: bore - hub - shims, accept: [0.10, 0.30] }} }}
packs: {{ shims: {{ kit: drawer, count: [1, 2] }} }}
kits: {{ drawer: {kit} }}
"
        );
        let mut sources = Sources::new();
        let id = sources.add("test", &text);
        let (document, _) = load(&sources, id).expect("the case is a document");
        let (model, _) = build(&document).expect("the case is a model");
        let chooser = Chooser::new(&model, vec![0], Confidence::default()).expect("there is a target");
        let rules = own_rules(&chooser, Stock::Box, 0);
        let alike = Alike::new(&chooser, &rules.items);
        let found = alike.shelf(&rules, (500_000, 500_000), 1).expect("there are few").remove(&500_000);
        let sizes = |one: Candidate| {
            let um = |&(item, count): &(usize, usize)| std::iter::repeat_n(rules.items_nm[item] / 1000, count);
            one.counts.iter().flat_map(um).collect()
        };
        let mut leaders: Vec<Vec<i64>> = found.into_iter().flatten().flatten().map(sizes).collect();
        leaders.sort_by_key(|sizes| (sizes.len(), std::cmp::Reverse(sizes.clone())));
        leaders
    }

    #[test]
    fn the_pattern_of_errors_parts_what_the_thickness_does_not() {
        // Two errors, one error twice, and one error once; of 0.10 + 0.40 and 0.20 + 0.30 the first sizes lead.
        let labels = leaders("{ sizes: [0.10, 0.20, 0.25, 0.30, 0.40, 0.50], tolerance: 0.01 }");
        assert_eq!(labels, [vec![500], vec![250, 250], vec![100, 400]]);
        // Without errors there is nothing to part them, and one shim comes before two.
        let exact = leaders("{ sizes: [0.10, 0.20, 0.25, 0.30, 0.40, 0.50] }");
        assert_eq!(exact, [vec![500]]);
        // What was measured has other errors than a label, and all that was measured shares a zero.
        let measured = leaders(
            "{ tolerance: 0.01, sizes: [0.05, 0.10, 0.20, 0.30, 0.40, 0.45], actual: { 0.05: [0.050], 0.10: [0.100], 0.40: [0.400], 0.45: [0.450] }, instrument: micrometer }",
        );
        assert_eq!(measured, [vec![200, 300], vec![50, 450]]);
    }

    #[test]
    fn the_box_decides_before_the_sizes() {
        let counted = leaders("{ tolerance: 0.01, on_hand: { 0.10: 1, 0.20: 3, 0.30: 3, 0.40: 3 } }");
        assert_eq!(counted, [vec![200, 300]]);
    }
}
