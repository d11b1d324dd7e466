//! A pack as an answer shows it, and what a gap will be with it.

use super::candidates::{Candidate, Stock};
use super::chooser::Chooser;
use crate::analyse::{ByNumber, Chances, ColdFigures, Contribution, Verdict};
use crate::length::on_grid;
use crate::model::{Basis, Item, Origin, PackForm};

/// A pack of shims.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The thickness that is reckoned with, in millimetres.
    pub thickness_mm: f64,
    /// Each shim, the thinnest first.
    pub shims: Vec<Shim>,
}

/// One shim of a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Shim {
    /// The label as typed.
    pub label: String,
    /// The size by the label, in millimetres.
    pub size_mm: f64,
    /// The thickness that is reckoned with, in millimetres.
    pub thickness_mm: f64,
    /// Where it comes from.
    pub from: Origin,
    /// Whether it is in now and is not to come out.
    pub stays: bool,
}

/// What a gap will be with a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Its name.
    pub name: String,
    /// What its figures rest on.
    pub basis: Basis,
    /// The expected gap, in millimetres.
    pub expected_mm: f64,
    /// The standard uncertainty, in millimetres.
    pub u_mm: f64,
    /// The ends of the 95 % interval, in millimetres.
    pub interval_mm: (f64, f64),
    /// The means of the band's ends, in millimetres.
    pub accept_mm: (Option<f64>, Option<f64>),
    /// The mean of the target, in millimetres.
    pub target_mm: Option<f64>,
    /// The probabilities against the band; none where there is no band.
    pub chances: Option<Chances>,
    /// The verdict.
    pub verdict: Option<Verdict>,
    /// Where the expected value stands to the band.
    pub by_number: Option<ByNumber>,
    /// Whether its doubt is that of a measurement.
    pub measured: bool,
    /// What the same chain must be at 20 °C; none where the gap is not at another temperature or has no aim.
    pub cold: Option<ColdFigures>,
    /// Where the doubt comes from.
    pub contributions: Vec<Contribution>,
}

impl Expected {
    /// By how much the expected gap is outside its band, in millimetres; none where it is in or has none.
    #[must_use]
    pub fn misses_by_mm(&self) -> Option<f64> {
        self.by_number?.misses_by_mm(self.expected_mm, self.accept_mm)
    }
}

/// How many shims like a bought one are fitted, and how many are in the box.
fn there(chooser: &Chooser<'_>, bought: &Item) -> (usize, usize) {
    let alike = |item: &&Item| !item.unique && on_grid(item.label_mm) == on_grid(bought.label_mm);
    let found = chooser.items(Stock::Box).iter().find(alike);
    found.map_or((0, 0), |item| (item.fitted, item.in_box.unwrap_or(usize::MAX)))
}

impl Candidate {
    /// The pack's thickness with its doubt.
    pub(super) fn form(&self, chooser: &Chooser<'_>, stock: Stock) -> PackForm {
        let items = chooser.items(stock);
        PackForm::of(self.counts.iter().map(|&(item, count)| (&items[item], count)))
    }

    /// The pack as an answer shows it: of equal shims those that stay come first, then those that are in, then the
    /// box.
    pub(super) fn choice(&self, chooser: &Chooser<'_>, stock: Stock) -> Choice {
        let items = chooser.items(stock);
        let mut shims = Vec::with_capacity(self.shims);
        let mut thickness_mm = 0.0;
        for &(index, count) in &self.counts {
            let item = &items[index];
            thickness_mm += count as f64 * item.thickness_mm;
            let (fitted, in_box) = match stock {
                Stock::Box => (item.fitted, usize::MAX),
                // What the box has need not be bought.
                Stock::Bought => there(chooser, item),
            };
            for taken in 0..count {
                let from = if taken < fitted {
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
                    stays: taken < item.staying,
                });
            }
        }
        Choice { thickness_mm, shims }
    }
}
