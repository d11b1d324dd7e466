//! Which sizes of a kit to keep, and how many of each.
//!
//! Sizes are chosen over the population by the parts alone, each shim as thick as its label says. How many of each is by
//! simulation of builds, each of which takes its first choice that the shelf still has.

mod shelf;
mod sizes;
mod windows;

use crate::analyse::Confidence;
use crate::analyse::monte_carlo::MonteCarloOptions;
use crate::document::resolved::{Document, Size};
use crate::length::on_grid;
use crate::model::Model;

use super::PickError;
use super::reach::{ReachError, parts::Group, population_model};
use sizes::Choice;

pub use shelf::Service;

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct StockOptions {
    /// How sure one wants to be that a pack is in.
    pub confidence: Confidence,
    /// The most sizes to keep; none: all that serve.
    pub sizes: Option<usize>,
    /// The sizes to choose from, in millimetres with their labels; none: the kit's own.
    pub candidates: Option<Vec<(f64, String)>>,
    /// How many builds the shelf has to last for; nought: how many of each size is not asked.
    pub builds: usize,
    /// How likely no build that the sizes can serve is to go without.
    pub service: f64,
    /// The batches that are tried out, their seed and threads.
    pub monte_carlo: MonteCarloOptions,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// The kit's name.
    pub kit: String,
    /// The sizes to keep, the thinnest first.
    pub sizes: Vec<Kept>,
    /// How often the kept sizes get there, by the parts alone.
    pub reached: f64,
    /// How often all that could be chosen from would.
    pub reached_by_all: f64,
    /// Whether no other choice of as many sizes can be better.
    pub proven_best: bool,
    /// What no choice of as many sizes can exceed.
    pub bound: f64,
    /// How the bound came about.
    pub bounded_by: Bound,
    /// How many of each were worked for so many builds; none where that was not asked.
    pub service: Option<Service>,
}

/// What bounds the reach of a choice of sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// The best choice itself.
    Proof,
    /// All sizes that could be chosen from.
    AllSizes,
    /// As many thicknesses as so many sizes can make, each chosen freely.
    FreeThicknesses,
}

/// A size to keep.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// The size, in millimetres.
    pub size_mm: f64,
    /// Its label.
    pub label: String,
    /// How many to have for the builds; none where that was not asked.
    pub quantity: Option<usize>,
    /// How many of them are there already.
    pub on_hand: usize,
    /// How many a hundred builds use; none where no builds were asked for.
    pub use_per_100: Option<f64>,
}

impl Kept {
    /// How many are to be ordered.
    #[must_use]
    pub fn to_order(&self) -> Option<usize> {
        self.quantity.map(|quantity| quantity.saturating_sub(self.on_hand))
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StockError {
    /// As of `reach`.
    #[error(transparent)]
    Reach(#[from] ReachError),
    /// The document has several packs to stock for, or one that is not made of shims.
    #[error("`stock` plans the sizes of one pack of shims; here {packs} are to be chosen for")]
    OnePack {
        /// How many.
        packs: usize,
    },
    /// The gaps of the pack share parts with others, so that what a thickness serves is no interval.
    #[error("what a thickness of `{pack}` serves is not one interval: its gaps are different sums of parts")]
    NotOneSum {
        /// The pack.
        pack: String,
    },
}

impl From<PickError> for StockError {
    fn from(fault: PickError) -> Self {
        StockError::Reach(fault.into())
    }
}

/// Plans what to keep for the one pack of a document.
///
/// # Errors
/// Why there is no answer.
pub fn stock(document: &Document, options: &StockOptions) -> Result<Stock, StockError> {
    let document = with_candidates(document, options.candidates.as_deref());
    let model: Model = population_model(&document, false)?;
    let groups = super::groups::of(&model)?;
    let packs = groups.iter().map(|group| group.packs.len()).sum();
    let one = match groups.as_slice() {
        [group] if packs == 1 && model.packs[group.packs[0]].is_of_shims() => group.packs[0],
        _ => return Err(StockError::OnePack { packs }),
    };
    let chooser = super::chooser::Chooser::new(&model, vec![one], options.confidence)?;
    let choice = Choice::new(chooser)?;
    let most = options.sizes.unwrap_or(usize::MAX);
    let found = choice.best(most)?;
    let kit = document.packs.iter().find(|pack| pack.name == model.packs[one].name).map(|pack| pack.kit);
    let there = |size_mm: f64| {
        let sizes = kit.map_or(&[][..], |kit| &document.kits[kit].sizes);
        let size = sizes.iter().find(|size| on_grid(size.label_mm) == on_grid(size_mm));
        size.and_then(|size| size.on_hand).unwrap_or(0)
    };
    let service = match options.builds {
        0 => None,
        builds => shelf::quantities(&choice, &found.sizes, builds, options.service, options.monte_carlo),
    };
    let kept = found.sizes.iter().enumerate().map(|(place, &item)| {
        let item = &choice.items()[item];
        Kept {
            size_mm: item.label_mm,
            label: item.label.clone(),
            quantity: service.as_ref().map(|service| service.quantities[place]),
            on_hand: there(item.label_mm),
            use_per_100: service.as_ref().map(|service| service.use_per_100[place]),
        }
    });
    Ok(Stock {
        kit: model.packs[one].kit.clone(),
        sizes: kept.collect(),
        reached: found.reached,
        reached_by_all: choice.reached_by_all(),
        proven_best: found.bounded_by == Bound::Proof || found.bound <= found.reached + 1e-12,
        bound: found.bound,
        bounded_by: found.bounded_by,
        service,
    })
}

/// The document with other sizes in the kits of its packs; those that must be there stay.
fn with_candidates(document: &Document, candidates: Option<&[(f64, String)]>) -> Document {
    let mut document = document.clone();
    let Some(candidates) = candidates else { return document };
    for index in 0..document.kits.len() {
        let old = document.kits[index].sizes.clone();
        let named = |kit: usize, place: usize| {
            document
                .packs
                .iter()
                .filter(|pack| pack.kit == kit)
                .any(|pack| pack.includes.contains(&place) || pack.never.iter().any(|list| list.contains(&place)))
        };
        let mut sizes: Vec<Size> =
            (0..old.len()).filter(|&place| named(index, place)).map(|place| old[place].clone()).collect();
        for (mm, label) in candidates {
            let known = |sizes: &[Size]| sizes.iter().position(|size| on_grid(size.label_mm) == on_grid(*mm));
            if known(&sizes).is_none() {
                // A size that is there already is known by its label and by how many there are.
                let there = known(&old).map(|place| old[place].clone());
                let bare = || Size { label_mm: *mm, typed: label.clone(), on_hand: None, actual_mm: Vec::new() };
                sizes.push(there.unwrap_or_else(bare));
            }
        }
        sizes.sort_by(|a, b| a.label_mm.total_cmp(&b.label_mm));
        let place = |old_place: &usize| {
            let label = on_grid(old[*old_place].label_mm);
            sizes.iter().position(|size| on_grid(size.label_mm) == label).expect("a size that is named was kept")
        };
        for pack in document.packs.iter_mut().filter(|pack| pack.kit == index) {
            pack.fitted = None;
            pack.includes = pack.includes.iter().map(place).collect();
            pack.never = pack.never.iter().map(|list| list.iter().map(place).collect()).collect();
        }
        document.kits[index].sizes = sizes;
    }
    document
}

/// The group of a chooser's one pack.
fn group_of<'a>(chooser: super::chooser::Chooser<'a>) -> Result<Group<'a>, PickError> {
    Group::of(chooser)
}
