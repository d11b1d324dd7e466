//! How often a kit gets there over the population of parts, and how far a dimension may still go.
//!
//! The population is the drawing's: a dimension that has readings as well is read anew for every unit, in the way in
//! which the document says it is read.

mod bits;
mod intervals;
pub(super) mod lots;
mod measured;
pub(super) mod parts;
pub(super) mod population;
pub(super) mod quick;
mod room;
pub(super) mod served;
mod steps;

use crate::analyse::Confidence;
use crate::analyse::monte_carlo::{MonteCarloOptions, Share};
use crate::document::diagnostic::Diagnostics;
use crate::document::resolved::Document;
use crate::length::from_grid_mm;
use crate::model::{Model, build};

use super::PickError;
use intervals::{between, union};
use parts::{Group, Part, parts};
use served::OneSum;

pub use room::{Room, Stop};

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReachOptions {
    /// How sure one wants to be.
    pub confidence: Confidence,
    /// The random units; no samples: none are tried out.
    pub monte_carlo: MonteCarloOptions,
    /// Whether the box as counted is all there is.
    pub on_hand: bool,
    /// A dimension that is to be changed step by step.
    pub sweep: Option<Sweep>,
}

/// Changes of one dimension, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// The dimension's name.
    pub dimension: String,
    /// By how much it is changed, in millimetres.
    pub changes_mm: Vec<f64>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// How sure one wanted to be.
    pub confidence: Confidence,
    /// The probability that some pack, each shim as thick as is best known, puts every gap in its band.
    pub reached: Reached,
    /// The same by random units, as a check; none where none were tried.
    pub monte_carlo: Option<Share>,
    /// The probability that the pack which `pick` chooses first by the readings puts every gap in its band; none where no
    /// units were tried, or packs are chosen together.
    pub as_measured: Option<Share>,
    /// The packs.
    pub packs: Vec<Wanted>,
    /// How far each dimension may go; none where no pack is in now, or packs are chosen together.
    pub room: Option<Vec<Room>>,
    /// The dimension changed step by step: the change in millimetres and how often the kit gets there.
    pub sweep: Vec<(f64, Reached)>,
}

/// How often the kit gets there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// The probability.
    pub probability: f64,
    /// A bound of its error; where it was drawn, none.
    pub error_bound: Option<f64>,
    /// Its standard error where it was drawn.
    pub standard_error: Option<f64>,
}

/// The thicknesses of a pack that the kit serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Its index among the model's packs.
    pub pack: usize,
    /// The thicknesses wanted that some pack serves; none where the pack's gaps have other packs too.
    pub intervals_mm: Option<Vec<(f64, f64)>>,
    /// The thicknesses between them.
    pub holes_mm: Option<Vec<(f64, f64)>>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReachError {
    /// Nothing can be chosen.
    #[error(transparent)]
    Pick(#[from] PickError),
    /// No gap with a pack has a band.
    #[error("no gap with a pack in its chain has `accept`, and only a band says what is reached")]
    NoBand,
    /// A gap is known only as it was found.
    #[error("`{gap}` has no parts in its chain: as it was found, it says nothing of the next unit")]
    NoParts {
        /// The gap.
        gap: String,
    },
    /// There is no such dimension.
    #[error("there is no dimension `{name}` to change")]
    NoDimension {
        /// The name.
        name: String,
    },
    /// No random units can be tried, and there is no other way.
    #[error("how often the kit gets there has to be tried out with random units here, and none were allowed")]
    NotDrawn,
    /// The document of the population is no model.
    #[error("the parts by their drawings cannot be worked")]
    Document(Diagnostics),
}

/// How often the kit of a document gets there.
///
/// # Errors
/// Why there is no answer.
pub fn reach(document: &Document, options: &ReachOptions) -> Result<Reach, ReachError> {
    let model = population_model(document, options.on_hand)?;
    let groups = Group::all(&model, options.confidence)?;
    let parts = parts(&model, &groups).ok_or(ReachError::NoBand)?;
    let drawn = |model: &Model, parts: &[Part]| {
        (options.monte_carlo.samples > 0).then(|| served::drawn(parts, &model.columns, options.monte_carlo)).flatten()
    };
    let exact = served::exactly(&parts, &model.columns);
    let monte_carlo = drawn(&model, &parts);
    let reached = match &exact {
        Some(sums) => exactly(sums, None),
        None => Reached::drawn(monte_carlo.ok_or(ReachError::NotDrawn)?),
    };
    let mut sweep = Vec::new();
    if let Some(asked) = &options.sweep {
        let index = document.dimensions.iter().position(|one| one.name == asked.dimension);
        let index = index.ok_or_else(|| ReachError::NoDimension { name: asked.dimension.clone() })?;
        for &change in &asked.changes_mm {
            sweep.push((
                change,
                match &exact {
                    Some(sums) => exactly(sums, Some((document, &model, index, change))),
                    None => {
                        let changed = changed(document, &model, index, change);
                        let groups_there = Group::all(&changed, options.confidence)?;
                        let parts = parts::parts(&changed, &groups_there).ok_or(ReachError::NoBand)?;
                        Reached::drawn(drawn(&changed, &parts).ok_or(ReachError::NotDrawn)?)
                    }
                },
            ));
        }
    }
    let one_each = groups.iter().all(|group| group.lots.is_some());
    let as_measured = if options.monte_carlo.samples > 0 && one_each {
        let read = model_of(&population::as_read(document, options.on_hand))?;
        let groups = Group::all(&read, options.confidence)?;
        measured::drawn(document, &model, &read, groups, options.monte_carlo)?
    } else {
        None
    };
    Ok(Reach {
        confidence: options.confidence,
        reached,
        monte_carlo,
        as_measured,
        packs: groups.iter().flat_map(wanted).collect(),
        room: room::room(document, &model, &groups)?,
        sweep,
    })
}

/// The thickness in millimetres and the number of shims that are chosen first for the one pack of a model, by the way in
/// which `reach` chooses for unit after unit: `pick` by another road. None where packs are chosen together.
///
/// # Errors
/// Why nothing was chosen.
pub fn first_choice(model: &Model, confidence: Confidence) -> Result<Option<(f64, usize)>, PickError> {
    let groups = Group::all(model, confidence)?;
    let [Group { chooser, lots: Some(lots), .. }] = groups.as_slice() else { return Ok(None) };
    let quick = quick::Quick::new(chooser, lots.clone(), false)?;
    let lot = quick.choose(&quick.present(chooser), &mut quick::Scratch::default());
    Ok(lot.map(|lot| (from_grid_mm(quick.lots.all[lot].thickness_nm), quick.lots.all[lot].shims)))
}

/// The model of the population of a document.
pub(super) fn population_model(document: &Document, on_hand: bool) -> Result<Model, ReachError> {
    let model = model_of(&population::population(document, on_hand))?;
    let bare = |gap: &&crate::model::Gap| {
        gap.is_judged()
            && !gap.has_dimensions
            && document.gaps.iter().any(|one| one.name == gap.name && one.found.is_some())
    };
    match model.gaps.iter().find(bare) {
        Some(gap) => Err(ReachError::NoParts { gap: gap.name.clone() }),
        None => Ok(model),
    }
}

pub(super) fn model_of(document: &Document) -> Result<Model, ReachError> {
    build(document).map(|(model, _)| model).map_err(ReachError::Document)
}

impl Reached {
    fn drawn(share: Share) -> Reached {
        Reached { probability: share.value, error_bound: None, standard_error: Some(share.standard_error) }
    }
}

/// The product over sums that share nothing, a dimension being changed by so much.
fn exactly(sums: &[OneSum], changed: Option<(&Document, &Model, usize, f64)>) -> Reached {
    let (probability, error) = sums.iter().fold((1.0, 0.0), |(product, error), one| {
        let moved =
            changed.map_or(0.0, |(document, model, index, by)| by * room::shares(document, model, &one.sum)[index]);
        let (p, bound) = one.probability(moved);
        (product * p, error + bound)
    });
    Reached { probability, error_bound: Some(error), standard_error: None }
}

/// The model with a dimension changed.
fn changed(document: &Document, model: &Model, index: usize, by_mm: f64) -> Model {
    let mut changed = model.clone();
    let name = &document.dimensions[index].name;
    for &(column, coefficient) in model.dimensions[index].terms() {
        let own = &mut changed.columns[column];
        if own.kind == crate::model::ColumnKind::Dimension && &own.name == name {
            own.value_mm += by_mm / coefficient;
        }
    }
    changed
}

/// The thicknesses wanted that a group's packs serve, for each pack by the gaps in which it is alone.
///
/// Where a pack has several such gaps, what they want is taken to move together, as far apart as it is on average.
fn wanted<'g>(group: &'g Group<'_>) -> impl Iterator<Item = Wanted> + 'g {
    let chooser = &group.chooser;
    (0..chooser.chosen.len()).map(move |which| {
        let columns = &chooser.model.columns;
        let own: Vec<_> = chooser
            .aims
            .iter()
            .filter(|aim| aim.gap.has_band() && aim.coefficients[which] != 0.0)
            .filter(|aim| aim.coefficients.iter().filter(|&&coefficient| coefficient != 0.0).count() == 1)
            .collect();
        let pack = chooser.chosen[which];
        if own.is_empty() {
            return Wanted { pack, intervals_mm: None, holes_mm: None };
        }
        let wants: Vec<f64> = own.iter().map(|aim| (aim.target_mm - aim.start_mm) / aim.coefficients[which]).collect();
        let least = wants.iter().copied().fold(f64::INFINITY, f64::min);
        let most = wants.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let centre = f64::midpoint(least, most);
        let served = |thickness_mm: f64| {
            own.iter().zip(&wants).fold((f64::NEG_INFINITY, f64::INFINITY), |(low, high), (aim, want)| {
                // gap = target + coefficient × (thickness − wanted), and wanted moves with the others'.
                let end = |end: &Option<crate::model::Form>| {
                    end.as_ref().map(|end| {
                        thickness_mm
                            - (end.mean_mm(columns) - aim.target_mm) / aim.coefficients[which]
                            - (want - centre)
                    })
                };
                let (a, b) = (end(&aim.gap.low), end(&aim.gap.high));
                let (thin, thick) = if aim.coefficients[which] > 0.0 { (b, a) } else { (a, b) };
                (thin.map_or(low, |thin| low.max(thin)), thick.map_or(high, |thick| high.min(thick)))
            })
        };
        let mut thicknesses: Vec<i64> = group.choices_nm.iter().map(|choice| choice[which]).collect();
        thicknesses.sort_unstable();
        thicknesses.dedup();
        let intervals = union(thicknesses.into_iter().map(|nm| served(from_grid_mm(nm))).collect());
        Wanted { pack, holes_mm: Some(between(&intervals)), intervals_mm: Some(intervals) }
    })
}
