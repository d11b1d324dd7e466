//! Instruments: the document's own, and those that are shipped.

use std::sync::LazyLock;

use crate::document::source::Sources;
use crate::document::written::{self, Length, Named, Reader};
use crate::document::yaml;
use crate::length::Unit;
use crate::standards::material::Expansion;

/// An instrument, its figures in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Its name.
    pub name: String,
    /// The unit of bare readings made with it.
    pub unit: Option<Unit>,
    /// The largest error of a reading that is not its zero.
    pub limit_of_error_mm: Option<f64>,
    /// The largest error of its zero.
    pub zero_error_mm: Option<f64>,
    /// The standard deviation of one reading.
    pub repeatability_mm: Option<f64>,
    /// The digital step.
    pub resolution_mm: Option<f64>,
    /// What each blade of a stack may be thicker than its mark, one way only.
    pub stack_error_mm: Option<f64>,
    /// Whether a reading is a difference already, so that the zero does not count.
    pub difference: bool,
    /// What it grows by.
    pub expansion: Expansion,
    /// Where the figures come from.
    pub source: Option<String>,
    /// Whether it is a shipped one.
    pub shipped: bool,
}

/// What a reading was made with: an index into the document's instruments, or none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InstrumentRef {
    /// `instrument: none`: the scatter alone counts.
    None,
    /// The one that was named.
    Named(usize),
    /// None was named, so this one was assumed; its limit is at least half a step of the digits as typed.
    Assumed(usize),
}

impl InstrumentRef {
    /// The index of the instrument, if there is one.
    #[must_use]
    pub fn index(self) -> Option<usize> {
        match self {
            InstrumentRef::None => None,
            InstrumentRef::Named(index) | InstrumentRef::Assumed(index) => Some(index),
        }
    }
}

/// Which instrument is assumed where none is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::document) enum Default {
    /// For a dimension: an ordinary calliper in an ordinary hand.
    Dimension,
    /// For the assembled gap: the shipped indicator.
    Found,
    /// For a shim: the shipped micrometer.
    Shim,
    /// For what was felt with blades: the shipped feelers.
    Felt,
}

impl Default {
    fn name(self) -> &'static str {
        match self {
            // Not a name that a document can use: it has a space at its end.
            Default::Dimension => "no instrument named ",
            Default::Found => "indicator",
            Default::Shim => "micrometer",
            Default::Felt => "feelers",
        }
    }
}

/// More known instruments than this are not listed in a message.
const MOST_LISTED: usize = 40;

const SHIPPED: &str = include_str!("../../../data/instruments.yaml");

/// The shipped instruments as written: their data is a file of instruments.
static SHIPPED_WRITTEN: LazyLock<written::InstrumentFile> = LazyLock::new(|| {
    let mut sources = Sources::new();
    let id = sources.add("shipped instruments", SHIPPED);
    let tree = yaml::read(&sources, id).expect("the shipped instruments are YAML");
    let mut reader = Reader::new(&sources);
    let file = written::read_instruments(&mut reader, &tree);
    assert!(reader.diagnostics.is_empty(), "the shipped instruments have a fault");
    file
});

/// The shipped instruments.
#[must_use]
pub fn shipped() -> Vec<Instrument> {
    in_mm_of(&SHIPPED_WRITTEN).map(|one| Instrument { shipped: true, ..one }).collect()
}

fn in_mm_of(file: &written::InstrumentFile) -> impl Iterator<Item = Instrument> {
    file.instruments.iter().map(|one| in_mm(file.unit, one))
}

/// The document's own instruments, then those of the shop and the shipped ones, each where none before has its name,
/// then the assumed calliper.
pub(super) fn resolve(
    unit: Unit,
    written: &[written::Instrument],
    shop: Option<&written::InstrumentFile>,
) -> Vec<Instrument> {
    let mut all: Vec<Instrument> = written.iter().map(|one| in_mm(unit, one)).collect();
    for one in shop.into_iter().flat_map(in_mm_of).chain(shipped()) {
        if !all.iter().any(|own| own.name == one.name) {
            all.push(one);
        }
    }
    all.push(Instrument {
        name: Default::Dimension.name().to_owned(),
        unit: None,
        limit_of_error_mm: Some(0.05),
        zero_error_mm: None,
        repeatability_mm: None,
        resolution_mm: None,
        stack_error_mm: None,
        difference: false,
        expansion: Expansion::steel(),
        source: Some("an ordinary calliper in an ordinary hand; common practice, no source".to_owned()),
        shipped: true,
    });
    all
}

fn in_mm(document: Unit, written: &written::Instrument) -> Instrument {
    let unit = written.unit.unwrap_or(document);
    let mm = |length: &Option<Length>| length.as_ref().map(|length| length.mm(unit));
    Instrument {
        name: written.name.text.clone(),
        unit: written.unit,
        limit_of_error_mm: mm(&written.limit_of_error),
        zero_error_mm: mm(&written.zero_error),
        repeatability_mm: mm(&written.repeatability),
        resolution_mm: mm(&written.resolution),
        stack_error_mm: mm(&written.stack_error),
        difference: written.difference,
        expansion: written.expansion.clone().unwrap_or_else(Expansion::steel),
        source: written.source.clone(),
        shipped: false,
    }
}

/// The instrument that a name stands for, or the one to assume.
pub(super) fn find(
    reader: &mut Reader<'_>,
    instruments: &[Instrument],
    name: Option<&Named>,
    default: Default,
) -> Option<InstrumentRef> {
    let Some(name) = name else {
        let assumed = instruments.iter().position(|one| one.name == default.name());
        return assumed.map(InstrumentRef::Assumed);
    };
    if name.text == "none" {
        return Some(InstrumentRef::None);
    }
    let usable = |one: &&Instrument| !one.name.ends_with(' ');
    if let Some(index) = instruments.iter().position(|one| one.name == name.text && usable(&one)) {
        return Some(InstrumentRef::Named(index));
    }
    if reader.was_dropped("instruments", &name.text) {
        return None;
    }
    let known = || instruments.iter().filter(usable).map(|one| one.name.as_str());
    let listed = known().take(MOST_LISTED).collect::<Vec<_>>().join(", ");
    let message = format!("no instrument is called `{}`", name.text);
    reader.unknown_name(name, message, known(), format!("known are {listed}; others go under `instruments`"));
    None
}
