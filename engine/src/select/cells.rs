//! Packs by thickness: a cell is one thickness for each pack that is chosen, and all candidates of these thicknesses
//! are as far from the targets as each other.

use std::collections::HashMap;

use super::PickError;
use super::alike::{Alike, Shelf};
use super::candidates::{Candidate, Rules, Stock};
use super::chooser::Chooser;
use super::fill::Fill;
use super::order::{Key, key};
use super::search::too_many;
use crate::model::Item;

/// Where so many packs are chosen together, so many candidates of one thickness, of one pattern of errors and of one
/// number of shims are kept. Only what is left in a box, or a size that is in several packs, can tell them apart.
fn of_each(packs: usize) -> usize {
    match packs {
        0 | 1 => 1,
        2 => 8,
        3 => 3,
        _ => 2,
    }
}

/// More cells than this are not looked through.
const MOST_CELLS: usize = 2_000_000;
/// Nor more ways than this to put candidates of several packs together: some seconds' worth.
const MOST_LOOKED: usize = 20_000_000;
/// The spans of the packs bear on each other; so often they are narrowed by each other.
const ROUNDS: usize = 3;

/// Thicknesses that are looked at together, and how far from the targets they are.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    pub(super) distance: i64,
    pub(super) thickness_nm: Vec<i64>,
}

/// The cells within a distance.
pub(super) struct Cells<'r> {
    rules: &'r [Rules],
    stock: Stock,
    alike: Vec<Alike>,
    /// The kind of each item whose thickness is in doubt, by pack.
    in_doubt: Vec<Vec<Option<usize>>>,
    shelves: Vec<Shelf>,
    cells: Vec<Cell>,
    /// How many ways to put candidates together have been looked at, in all cells and distances.
    looked: std::cell::Cell<usize>,
}

impl<'r> Cells<'r> {
    pub(super) fn new(chooser: &Chooser<'_>, stock: Stock, rules: &'r [Rules]) -> Cells<'r> {
        let alike = rules.iter().map(|rules| Alike::new(chooser, &rules.items)).collect();
        let in_doubt = in_doubt(chooser, stock, rules);
        Cells { rules, stock, alike, in_doubt, shelves: Vec::new(), cells: Vec::new(), looked: std::cell::Cell::new(0) }
    }

    /// Makes the cells within a distance; tells whether they are all there are.
    pub(super) fn fill(&mut self, chooser: &Chooser<'_>, distance: i64) -> Result<bool, PickError> {
        let spans: Vec<(i64, i64)> = self.rules.iter().map(Rules::span_nm).collect();
        let mut windows = spans.clone();
        for _ in 0..ROUNDS {
            for which in 0..spans.len() {
                let window = chooser.window(which, distance, &windows);
                windows[which] = (window.0.max(windows[which].0), window.1.min(windows[which].1));
            }
        }
        self.shelves.clear();
        for (which, (alike, rules)) in self.alike.iter().zip(self.rules).enumerate() {
            let shelf = alike.shelf(rules, windows[which], of_each(self.rules.len()));
            self.shelves.push(shelf.ok_or_else(|| too_many(chooser, which))?);
        }
        self.cells.clear();
        let whole = chooser.greatest_distance(&spans) <= distance;
        let spans = self.shelves.iter().map(|shelf| {
            let end = |one: Option<(&i64, _)>| one.map(|(&nm, _)| nm);
            end(shelf.first_key_value()).zip(end(shelf.last_key_value()))
        });
        // A pack without any candidate leaves nothing to choose.
        if let Some(spans) = spans.collect::<Option<Vec<_>>>() {
            let mut cells = std::mem::take(&mut self.cells);
            let walked = self.walk(chooser, distance, &mut Vec::new(), spans, &mut cells);
            self.cells = cells;
            walked.ok_or_else(|| too_many(chooser, 0))?;
        }
        Ok(whole)
    }

    /// Goes through the thicknesses of the next pack; None where there are too many cells.
    fn walk(
        &self,
        chooser: &Chooser<'_>,
        distance: i64,
        before: &mut Vec<i64>,
        mut spans: Vec<(i64, i64)>,
        cells: &mut Vec<Cell>,
    ) -> Option<()> {
        let which = before.len();
        if which == self.shelves.len() {
            if cells.len() == MOST_CELLS {
                return None;
            }
            cells.push(Cell { distance: chooser.distance(before), thickness_nm: before.clone() });
            return Some(());
        }
        let (low, high) = chooser.window(which, distance, &spans);
        if low > high {
            return Some(());
        }
        for &nm in self.shelves[which].range(low..=high).map(|(nm, _)| nm) {
            spans[which] = (nm, nm);
            before.push(nm);
            let goes = self.rules.iter().enumerate().all(|(one, rules)| rules.goes_with(one, before));
            let went_on = if goes { self.walk(chooser, distance, before, spans.clone(), cells) } else { Some(()) };
            before.pop();
            went_on?;
        }
        Some(())
    }

    /// The cells, the nearest to the targets first.
    pub(super) fn in_order(&mut self) -> Vec<Cell> {
        let mut cells = std::mem::take(&mut self.cells);
        cells.sort_by_key(|cell| cell.distance);
        cells
    }

    /// The packs of a cell that can be judged unlike, and that the box can serve: of those that are judged alike the
    /// first in the order of choice. None where more have been looked through, over all cells, than is reasonable.
    pub(super) fn fills(&self, chooser: &Chooser<'_>, cell: &Cell) -> Option<Vec<(Key, Fill)>> {
        let lots: Vec<&[Vec<Candidate>]> =
            self.shelves.iter().zip(&cell.thickness_nm).map(|(shelf, nm)| shelf[nm].as_slice()).collect();
        let mut found = Vec::new();
        // Of one pack alone each lot has one leader, and no other pack takes what it wants.
        if let [lots] = lots.as_slice() {
            for leader in lots.iter().flatten() {
                let fill = Fill(vec![leader.clone()]);
                found.push((key(chooser, &fill, self.stock), fill));
            }
            return Some(found);
        }
        each_way(&lots, &mut |lots: &[&Vec<Candidate>]| {
            let more = lots.iter().map(|lot| lot.len()).product::<usize>();
            self.looked.set(self.looked.get().saturating_add(more));
            if self.looked.get() > MOST_LOOKED {
                return;
            }
            let members: Vec<&[Candidate]> = lots.iter().map(|lot| lot.as_slice()).collect();
            self.of_lots(chooser, &members, &mut found);
        });
        (self.looked.get() <= MOST_LOOKED).then_some(found)
    }

    fn of_lots(&self, chooser: &Chooser<'_>, lots: &[&[Candidate]], found: &mut Vec<(Key, Fill)>) {
        let limited = self.stock == Stock::Box && chooser.stocks.limited() && self.rules.iter().all(|one| one.limited);
        let mut first: HashMap<Vec<usize>, usize> = HashMap::new();
        each_way(lots, &mut |members: &[&Candidate]| {
            let in_both = self.in_several(members);
            // The members of a lot are in the order of choice, and what else decides is alike, but for the box.
            if !limited && first.contains_key(&in_both) {
                return;
            }
            let fill = Fill(members.iter().map(|&one| one.clone()).collect());
            if limited && !chooser.stocks.serves(&fill) {
                return;
            }
            let key = key(chooser, &fill, self.stock);
            match first.get(&in_both) {
                None => {
                    first.insert(in_both, found.len());
                    found.push((key, fill));
                }
                Some(&there) if key < found[there].0 => found[there] = (key, fill),
                Some(_) => {}
            }
        });
    }

    /// How many shims of one error several packs take, for each error that is in several, in any order: these decide
    /// how far the packs' errors add up.
    fn in_several(&self, members: &[&Candidate]) -> Vec<usize> {
        let mut takes: Vec<(usize, usize, usize)> = Vec::new();
        for (which, candidate) in members.iter().enumerate() {
            takes.extend(
                candidate.counts.iter().filter_map(|&(item, count)| Some((self.in_doubt[which][item]?, which, count))),
            );
        }
        takes.sort_unstable();
        let mut shared: Vec<Vec<usize>> = Vec::new();
        for of_kind in takes.chunk_by(|a, b| a.0 == b.0).filter(|of_kind| of_kind.len() > 1) {
            let mut counts = vec![0; members.len()];
            of_kind.iter().for_each(|&(_, which, count)| counts[which] += count);
            shared.push(counts);
        }
        shared.sort_unstable();
        shared.concat()
    }
}

/// The kind of each item whose thickness is in doubt, by pack.
fn in_doubt(chooser: &Chooser<'_>, stock: Stock, rules: &[Rules]) -> Vec<Vec<Option<usize>>> {
    let of_pack = |(which, rules): (usize, &Rules)| {
        let kind = |item: usize| match stock {
            Stock::Box => chooser.stocks.kind(which, item),
            // One item of a kit is one item in every pack of it, and kits have no more items than this.
            Stock::Bought => {
                let first = (0..=which).find(|&other| chooser.pack(other).kit == chooser.pack(which).kit);
                first.unwrap_or(which) << 32 | item
            }
        };
        let doubt = |(index, item): (usize, &Item)| item.form.has_terms().then(|| kind(index));
        rules.items.iter().enumerate().map(doubt).collect()
    };
    rules.iter().enumerate().map(of_pack).collect()
}

/// Every way to take one of each list, the last list's turning fastest.
fn each_way<'l, T>(lists: &[&'l [T]], take: &mut dyn FnMut(&[&'l T])) {
    fn from<'l, T>(lists: &[&'l [T]], taken: &mut Vec<&'l T>, take: &mut dyn FnMut(&[&'l T])) {
        let Some(list) = lists.get(taken.len()) else { return take(taken) };
        for one in *list {
            taken.push(one);
            from(lists, taken, take);
            taken.pop();
        }
    }
    from(lists, &mut Vec::with_capacity(lists.len()), take);
}
