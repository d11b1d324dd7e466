//! Packs by thickness: a cell is one thickness for each pack that is chosen, and all candidates of these thicknesses
//! are as far from the targets as each other.

use super::PickError;
use super::alike::{Alike, Shelf};
use super::candidates::{Candidate, Rules, Stock};
use super::chooser::Chooser;
use super::fill::Fill;
use super::search::too_many;

/// Where several packs are chosen together: so many candidates of one thickness, of one pattern of errors and of one
/// number of shims are kept. With more, only what is left in a box, or a size that is in both packs, could tell them
/// apart.
const OF_EACH: usize = 8;
/// More cells than this are not looked through.
const MOST_CELLS: usize = 2_000_000;
/// The spans of the packs bear on each other; so often they are narrowed by each other.
const ROUNDS: usize = 3;

/// Thicknesses that are looked at together, and how far from the targets they are.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    pub(super) distance: i64,
    thickness_nm: Vec<i64>,
}

/// The cells within a distance.
pub(super) struct Cells<'r> {
    rules: &'r [Rules],
    stock: Stock,
    alike: Vec<Alike>,
    of_each: usize,
    shelves: Vec<Shelf>,
    cells: Vec<Cell>,
}

impl<'r> Cells<'r> {
    pub(super) fn new(chooser: &Chooser<'_>, stock: Stock, rules: &'r [Rules]) -> Cells<'r> {
        let alike = rules.iter().map(|rules| Alike::new(chooser, &rules.items)).collect();
        let of_each = if rules.len() == 1 { 1 } else { OF_EACH };
        Cells { rules, stock, alike, of_each, shelves: Vec::new(), cells: Vec::new() }
    }

    /// Makes the cells within a distance; tells whether they are all there are.
    pub(super) fn fill(&mut self, chooser: &Chooser<'_>, distance: i64) -> Result<bool, PickError> {
        let spans: Vec<(i64, i64)> = self.rules.iter().map(Rules::span_nm).collect();
        let mut windows = spans.clone();
        let mut whole = true;
        for round in 0..ROUNDS {
            for which in 0..spans.len() {
                let window = chooser.window(which, distance, &windows);
                whole &= round > 0 || window.0 <= spans[which].0 && window.1 >= spans[which].1;
                windows[which] = if spans.len() == 1 {
                    window
                } else {
                    (window.0.max(windows[which].0), window.1.min(windows[which].1))
                };
            }
        }
        self.shelves.clear();
        for (which, (alike, rules)) in self.alike.iter().zip(self.rules).enumerate() {
            let shelf = alike.shelf(rules, windows[which], self.of_each);
            self.shelves.push(shelf.ok_or_else(|| too_many(chooser, which))?);
        }
        self.cells.clear();
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
            let went_on = self.walk(chooser, distance, before, spans.clone(), cells);
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

    /// The packs of a cell that can be judged unlike, and that the box can serve.
    pub(super) fn fills(&self, chooser: &Chooser<'_>, cell: &Cell) -> Vec<Fill> {
        let candidates: Vec<&[Candidate]> =
            self.shelves.iter().zip(&cell.thickness_nm).map(|(shelf, nm)| shelf[nm].as_slice()).collect();
        if let [alone] = candidates.as_slice() {
            return alone.iter().map(|one| Fill(vec![one.clone()])).collect();
        }
        let mut fills: Vec<Vec<Candidate>> = vec![Vec::new()];
        for of_pack in candidates {
            let longer = |fill: &Vec<Candidate>| {
                let fill = fill.clone();
                of_pack.iter().map(move |one| fill.iter().chain([one]).cloned().collect())
            };
            fills = fills.iter().flat_map(longer).collect();
        }
        let limited = self.stock == Stock::Box && chooser.stocks.limited() && self.rules.iter().all(|one| one.limited);
        fills.into_iter().map(Fill).filter(|fill| !limited || chooser.stocks.serves(fill)).collect()
    }
}
