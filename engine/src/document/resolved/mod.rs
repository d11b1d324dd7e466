//! The document with its units applied, its names bound and its figures looked up.

mod chain;
mod cold;
mod correlation;
mod dimension;
mod distribution;
mod instrument;
mod kit;
mod pack;
mod readings;
mod repeats;
mod slips;
mod weighted;

use std::collections::{BTreeMap, HashMap};

use super::diagnostic::{Code, Diagnostic};
use super::expression::Expression;
use super::source::Span;
use super::written::{self, Named, Reader};
use crate::length::Unit;
use crate::standards::material::REFERENCE_CELSIUS;

pub use chain::{Linear, Summand, What};
pub use correlation::Correlation;
pub use dimension::{Dimension, Drawing};
pub use instrument::{Instrument, InstrumentRef, shipped as shipped_instruments};
pub use kit::{Kit, KitKind, Size};
pub use pack::{Fitted, FittedAs, Pack};
pub use readings::{Place, Readings};
pub use slips::ratio as slip_of;
pub use written::{Count, Lean, UseOfPlaces};

/// A stack document, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// What the stack is.
    pub title: Option<String>,
    /// The unit of the document, in which answers are given.
    pub unit: Unit,
    /// The temperature of parts and instruments when they were read, in °C.
    pub temperature: f64,
    /// The document's own instruments, then those of the shop and the shipped ones that it does not replace.
    pub instruments: Vec<Instrument>,
    /// The dimensions, in the order of the document.
    pub dimensions: Vec<Dimension>,
    /// The gaps, in the order of the document.
    pub gaps: Vec<Gap>,
    /// The packs, in the order of the document.
    pub packs: Vec<Pack>,
    /// The kits, in the order of the document.
    pub kits: Vec<Kit>,
    /// How dimensions go together in production.
    pub correlations: Vec<Correlation>,
    /// The order in which gaps can be worked, those that others refer to first.
    pub gap_order: Vec<usize>,
    /// Cautions to be shown with the answer.
    pub cautions: Vec<String>,
    /// The order of assembly.
    pub fitting: Vec<String>,
}

/// A gap, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Its name.
    pub name: String,
    /// The chain, positive when open.
    pub chain: Linear,
    /// The lower end of the band, over dimensions.
    pub low: Option<Linear>,
    /// The upper end of the band, over dimensions.
    pub high: Option<Linear>,
    /// What to aim at, over dimensions; the middle of a band with two ends where none was written.
    pub target: Option<Linear>,
    /// Whether a target was written.
    pub target_written: bool,
    /// Whether every figure is a preload's.
    pub preload: bool,
    /// The temperature that it is worked at, in °C; none: 20, and gaps that its chain refers to at their own.
    pub celsius: Option<f64>,
    /// For a gap with a temperature of its own: the gap of the same chain that has none.
    pub cold: Option<usize>,
    /// The assembled gap as read: a play, positive when open.
    pub found: Option<Readings>,
    /// Which side to prefer.
    pub lean: Lean,
    /// The limit of wear, in millimetres.
    pub wear_limit_mm: Option<f64>,
    /// Where the band comes from.
    pub source: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Where its name stands.
    pub at: Span,
}

/// What a name stands for in an expression.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bound {
    Dimension(usize),
    Gap(usize),
    Pack(usize),
}

/// The names that may stand in expressions.
pub(super) struct Names {
    bound: BTreeMap<String, Bound>,
}

impl Names {
    fn new(reader: &mut Reader<'_>, document: &written::Document) -> Names {
        let mut names = Names { bound: BTreeMap::new() };
        let mut first: HashMap<String, Span> = HashMap::new();
        let dimensions = document.dimensions.iter().map(|one| &one.name).enumerate();
        let gaps = document.gaps.iter().map(|one| &one.name).enumerate();
        let packs = document.packs.iter().map(|one| &one.name).enumerate();
        let all = dimensions
            .map(|(index, name)| (name, Bound::Dimension(index)))
            .chain(gaps.map(|(index, name)| (name, Bound::Gap(index))))
            .chain(packs.map(|(index, name)| (name, Bound::Pack(index))));
        for (name, bound) in all {
            if let Some(&at) = first.get(&name.text) {
                let message = format!("`{}` is the name of two things", name.text);
                reader.push(
                    Diagnostic::error(Code::NameTwice, message)
                        .at(name.at)
                        .other(at, "the first one")
                        .help("rename one of them"),
                );
                continue;
            }
            first.insert(name.text.clone(), name.at);
            names.bound.insert(name.text.clone(), bound);
        }
        names
    }

    fn get(&self, name: &str) -> Option<Bound> {
        self.bound.get(name).copied()
    }

    /// The names of packs, in order.
    fn packs(&self) -> impl Iterator<Item = &str> {
        self.bound.iter().filter(|(_, bound)| matches!(bound, Bound::Pack(_))).map(|(name, _)| name.as_str())
    }

    /// All names, in order: a tie between equally near ones must not depend on the run.
    fn known(&self) -> impl Iterator<Item = &str> {
        self.bound.keys().map(String::as_str)
    }
}

/// Resolves a document as written. What is wrong is added to the reader's diagnostics; where something is, there is
/// no resolved document. `shop` are instruments whose names come between the document's own and the shipped ones.
#[must_use]
pub fn resolve(
    reader: &mut Reader<'_>,
    written: &written::Document,
    shop: Option<&written::InstrumentFile>,
) -> Option<Document> {
    let unit = written.unit;
    let names = Names::new(reader, written);
    let instruments = instrument::resolve(unit, &written.instruments, shop);
    let context = Context { unit, names: &names, instruments: &instruments };
    let dimensions = written
        .dimensions
        .iter()
        .filter_map(|one| below(reader, "dimensions", &one.name, |reader| dimension::resolve(reader, &context, one)))
        .collect::<Vec<_>>();
    let mut kits = written
        .kits
        .iter()
        .filter_map(|one| below(reader, "kits", &one.name, |reader| kit::resolve(reader, &context, one)))
        .collect::<Vec<_>>();
    let packs = written
        .packs
        .iter()
        .filter_map(|one| {
            below(reader, "packs", &one.name, |reader| pack::resolve(reader, &context, one, &written.kits, &mut kits))
        })
        .collect::<Vec<_>>();
    let correlations =
        reader.within("correlations", |reader| correlation::resolve(reader, &names, &written.correlations));
    let cold = cold::partners(&written.gaps, &names);
    let gaps = written
        .gaps
        .iter()
        .zip(&cold)
        .filter_map(|(one, &cold)| below(reader, "gaps", &one.name, |reader| gap(reader, &context, one, cold)))
        .collect::<Vec<_>>();
    let gap_order = chain::order(reader, &written.gaps, &cold, &names);
    cold::senses(reader, &written.gaps, &cold);
    slips::found_without_fitted(reader, written, &names);
    if reader.diagnostics.has_errors() {
        return None;
    }
    // Nothing below is reached with an entry left out: each one that was has an error of its own.
    let document = Document {
        title: written.title.clone(),
        unit,
        temperature: written.temperature.unwrap_or(REFERENCE_CELSIUS),
        instruments,
        dimensions,
        gaps,
        packs,
        kits,
        correlations,
        gap_order: gap_order?,
        cautions: written.cautions.clone(),
        fitting: written.fitting.clone(),
    };
    slips::check(reader, &document);
    repeats::check(reader, &document);
    (!reader.diagnostics.has_errors()).then_some(document)
}

/// What the parts of a document need to be resolved.
pub(super) struct Context<'a> {
    unit: Unit,
    names: &'a Names,
    instruments: &'a [Instrument],
}

fn below<T>(reader: &mut Reader<'_>, section: &str, name: &Named, work: impl FnOnce(&mut Reader<'_>) -> T) -> T {
    reader.within(section, |reader| reader.within(&name.text, work))
}

fn gap(reader: &mut Reader<'_>, context: &Context<'_>, written: &written::Gap, cold: Option<usize>) -> Option<Gap> {
    let chain = reader.within("chain", |reader| chain::linear(reader, context, &written.chain, chain::Allowed::All));
    let mut over_dimensions = |key: &str, expression: Option<&Expression>| {
        expression
            .map(|one| reader.within(key, |reader| chain::linear(reader, context, one, chain::Allowed::Dimensions)))
    };
    let low = over_dimensions("accept", written.accept.as_ref().and_then(|accept| accept.low.as_ref()));
    let high = over_dimensions("accept", written.accept.as_ref().and_then(|accept| accept.high.as_ref()));
    let target = over_dimensions("target", written.target.as_ref());
    let found = written.found.as_ref().map(|found| {
        reader.within("found", |reader| readings::resolve(reader, context, found, instrument::Default::Found))
    });
    // A part that could not be resolved has been complained of; `?` on each only now keeps all complaints.
    let (low, high, target, found) = (inside_out(low)?, inside_out(high)?, inside_out(target)?, inside_out(found)?);
    let target_written = target.is_some();
    let middle = || low.as_ref().zip(high.as_ref()).map(|(low, high)| low.middle(high));
    let target = target.or_else(middle);
    if let (Some(low), Some(high)) = (&low, &high)
        && low.is_constant()
        && high.is_constant()
    {
        slips::band_order(reader, &written.name.text, low, high, low.constant_mm, high.constant_mm);
    }
    let gap = Gap {
        name: written.name.text.clone(),
        chain: chain?,
        low,
        high,
        target,
        target_written,
        preload: written.preload,
        celsius: written.at,
        cold,
        found,
        lean: written.lean,
        wear_limit_mm: written.wear_limit.as_ref().map(|limit| limit.mm(context.unit)),
        source: written.source.clone(),
        note: written.note.clone(),
        at: written.name.at,
    };
    preload_sign(reader, &gap, written);
    Some(gap)
}

fn inside_out<T>(value: Option<Option<T>>) -> Option<Option<T>> {
    match value {
        None => Some(None),
        Some(inner) => inner.map(Some),
    }
}

/// A positive figure for a gap that is called a preload, without `as: preload`, would set a float.
fn preload_sign(reader: &mut Reader<'_>, gap: &Gap, written: &written::Gap) {
    if gap.preload || !gap.name.to_lowercase().contains("preload") {
        return;
    }
    let positive =
        |linear: &Option<Linear>| linear.as_ref().is_some_and(|one| one.is_constant() && one.constant_mm > 0.0);
    if positive(&gap.target) || positive(&gap.low) || positive(&gap.high) {
        let at = written.target.as_ref().map(|target| target.at).or(written.accept.as_ref().map(|accept| accept.at));
        let message = format!("`{}` is called a preload, and a positive gap is play", gap.name);
        let help = "write `as: preload` beside it, so that its figures are the preload's; or give it another name";
        reader.push(Diagnostic::error(Code::PreloadSign, message).at(at.unwrap_or(written.name.at)).help(help));
    }
}
