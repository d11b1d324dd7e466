//! Packs that are chosen together, one candidate for each.

use super::candidates::{Candidate, Stock};
use super::choice::{Choice, Shim};
use super::chooser::Chooser;
use crate::length::on_grid;
use crate::model::{Item, Origin, PackForm};

/// A candidate for each pack, in the order of the chooser's packs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fill(pub(super) Vec<Candidate>);

impl Fill {
    /// The thickness of each pack on the grid.
    pub(super) fn thickness_nm(&self) -> Vec<i64> {
        self.0.iter().map(|one| one.thickness_nm).collect()
    }

    /// How many shims there are in all.
    pub(super) fn shims(&self) -> usize {
        self.0.iter().map(|one| one.shims).sum()
    }

    /// The packs' thicknesses with their doubt.
    pub(super) fn forms(&self, chooser: &Chooser<'_>, stock: Stock) -> Vec<PackForm> {
        let form = |(which, one): (usize, &Candidate)| {
            let items = chooser.items(stock, which);
            PackForm::of(one.counts.iter().map(|&(item, count)| (&items[item], count)))
        };
        self.0.iter().enumerate().map(form).collect()
    }

    /// The packs as an answer shows them: of equal shims those that stay come first, then those that are in, then those
    /// that another pack gives up, then the box.
    pub(super) fn choices(&self, chooser: &Chooser<'_>, stock: Stock) -> Vec<Choice> {
        let mut given_up = self.given_up(chooser, stock);
        (0..self.0.len()).map(|which| self.choice(chooser, stock, which, &mut given_up)).collect()
    }

    /// Shims that are in now and that their pack does not keep: the kind and the pack's place, one entry a shim.
    fn given_up(&self, chooser: &Chooser<'_>, stock: Stock) -> Vec<(usize, usize)> {
        let mut given_up = Vec::new();
        if stock == Stock::Box && self.0.len() > 1 {
            for (which, candidate) in self.0.iter().enumerate() {
                for (index, item) in chooser.items(stock, which).iter().enumerate() {
                    let kept =
                        candidate.counts.iter().find(|(taken, _)| *taken == index).map_or(0, |(_, count)| *count);
                    let kind = chooser.stocks.kind(which, index);
                    given_up.extend(std::iter::repeat_n((kind, which), item.fitted.saturating_sub(kept)));
                }
            }
        }
        given_up
    }

    fn choice(&self, chooser: &Chooser<'_>, stock: Stock, which: usize, given_up: &mut Vec<(usize, usize)>) -> Choice {
        let items = chooser.items(stock, which);
        let mut shims = Vec::with_capacity(self.0[which].shims);
        let mut thickness_mm = 0.0;
        for &(index, count) in &self.0[which].counts {
            let item = &items[index];
            thickness_mm += count as f64 * item.thickness_mm;
            let (fitted, in_box) = match stock {
                Stock::Box => (item.fitted, usize::MAX),
                // What the box has need not be bought.
                Stock::Bought => there(chooser, which, item),
            };
            for taken in 0..count {
                let mut moved_from = None;
                let from = if taken < fitted {
                    Origin::Fitted
                } else if let Some(at) = moved(chooser, which, index, given_up) {
                    moved_from = Some(chooser.chosen[given_up.swap_remove(at).1]);
                    Origin::Fitted
                } else if taken - fitted < in_box && stock == Stock::Bought {
                    Origin::Kit
                } else {
                    item.origin
                };
                shims.push(Shim {
                    label: item.label.clone(),
                    size_mm: item.label_mm,
                    thickness_mm: item.thickness_mm,
                    from,
                    moved_from,
                    stays: taken < item.staying,
                });
            }
        }
        Choice { thickness_mm, shims }
    }
}

/// Where among what was given up there is a shim for an item of the pack at `which`.
fn moved(chooser: &Chooser<'_>, which: usize, item: usize, given_up: &[(usize, usize)]) -> Option<usize> {
    if given_up.is_empty() {
        return None;
    }
    let kind = chooser.stocks.kind(which, item);
    given_up.iter().position(|&(given, from)| given == kind && from != which)
}

/// How many shims like a bought one are fitted, and how many are in the box.
fn there(chooser: &Chooser<'_>, which: usize, bought: &Item) -> (usize, usize) {
    let alike = |item: &&Item| !item.unique && on_grid(item.label_mm) == on_grid(bought.label_mm);
    let found = chooser.items(Stock::Box, which).iter().find(alike);
    found.map_or((0, 0), |item| (item.fitted, item.in_box.unwrap_or(usize::MAX)))
}
