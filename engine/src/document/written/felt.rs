//! A reading as written: a length, or what feeler blades say of a gap.

use super::reader::{Fields, Length, Reader};
use crate::document::diagnostic::Code;
use crate::document::keys::{self, Section};
use crate::document::source::Span;
use crate::document::tree::{Node, Value};
use crate::length::Unit;

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// A length.
    Length(Length),
    /// What was felt with blades.
    Felt(Felt),
}

/// What was felt with blades: the ones that go in together, and the ones that do not.
#[derive(Debug, Clone, PartialEq)]
pub struct Felt {
    /// The blades that go in; empty where not even the thinnest does.
    pub goes: Vec<Length>,
    /// The blades that do not; empty where the ones that go in fill the gap.
    pub stops: Vec<Length>,
    /// Where it stands.
    pub at: Span,
}

/// Fewer blades than this are no stack: nothing is between them.
const A_STACK: usize = 2;

impl Reading {
    /// The lengths that were typed for it.
    pub fn lengths(&self) -> impl Iterator<Item = &Length> {
        let (first, second): (&[Length], &[Length]) = match self {
            Reading::Length(length) => (std::slice::from_ref(length), &[]),
            Reading::Felt(felt) => (&felt.goes, &felt.stops),
        };
        first.iter().chain(second)
    }

    /// The value in millimetres, `unit` being the unit of a bare number: the middle between what goes and what stops.
    #[must_use]
    pub fn mm(&self, unit: Unit) -> f64 {
        match self {
            Reading::Length(length) => length.mm(unit),
            Reading::Felt(felt) if felt.stops.is_empty() => sum(&felt.goes, unit),
            Reading::Felt(felt) => f64::midpoint(sum(&felt.goes, unit), sum(&felt.stops, unit)),
        }
    }

    /// Half the step between what goes and what stops, in millimetres; negative where they are the wrong way round.
    #[must_use]
    pub fn half_step_mm(&self, unit: Unit) -> f64 {
        match self {
            Reading::Felt(felt) if !felt.stops.is_empty() => (sum(&felt.stops, unit) - sum(&felt.goes, unit)) / 2.0,
            Reading::Length(_) | Reading::Felt(_) => 0.0,
        }
    }

    /// How many stacked blades count in the value, and the share of the value that comes from stacks. A single blade is
    /// no stack; of the middle between two ends each counts by half.
    #[must_use]
    pub fn stacked(&self) -> (f64, f64) {
        let Reading::Felt(felt) = self else { return (0.0, 0.0) };
        let of = |blades: &[Length]| if blades.len() >= A_STACK { (blades.len() as f64, 1.0) } else { (0.0, 0.0) };
        let (goes, stops) = (of(&felt.goes), of(&felt.stops));
        if felt.stops.is_empty() { goes } else { ((goes.0 + stops.0) / 2.0, (goes.1 + stops.1) / 2.0) }
    }

    /// The text as typed, in the words of the command line.
    #[must_use]
    pub fn text(&self) -> String {
        let blades = |blades: &[Length]| match blades {
            [] => "0".to_owned(),
            _ => blades.iter().map(|one| one.typed.text()).collect::<Vec<_>>().join("+"),
        };
        match self {
            Reading::Length(length) => length.typed.text(),
            Reading::Felt(felt) if felt.stops.is_empty() => format!("{} blades", blades(&felt.goes)),
            Reading::Felt(felt) => format!("{} goes/{} stops", blades(&felt.goes), blades(&felt.stops)),
        }
    }

    /// The place value of the last digit as typed, in millimetres: of blades, the finest.
    #[must_use]
    pub fn step_mm(&self, unit: Unit) -> f64 {
        let finest = self.lengths().map(|one| one.typed.step_mm(unit)).fold(f64::INFINITY, f64::min);
        if finest.is_finite() { finest } else { 0.0 }
    }

    /// Whether it was felt with blades.
    #[must_use]
    pub fn is_felt(&self) -> bool {
        matches!(self, Reading::Felt(_))
    }
}

/// Whether a key belongs to a reading with feeler blades.
pub(super) fn is_key(name: &str) -> bool {
    keys::of(Section::Felt).any(|key| key.name == name)
}

fn sum(blades: &[Length], unit: Unit) -> f64 {
    blades.iter().map(|one| one.mm(unit)).sum()
}

impl Reader<'_> {
    /// Whether a map is one reading with feeler blades, and not places on a face.
    #[must_use]
    pub fn is_felt(&self, node: &Node) -> bool {
        node.entries().is_some_and(|entries| entries.iter().any(|entry| is_key(&entry.key.text)))
    }

    /// One reading.
    pub fn reading(&mut self, node: &Node) -> Option<Reading> {
        if self.is_felt(node) { self.felt(node).map(Reading::Felt) } else { self.length(node).map(Reading::Length) }
    }

    /// A list of readings; one reading is a list of one.
    pub fn readings(&mut self, node: &Node) -> Vec<Reading> {
        match &node.value {
            Value::List(items) => items.iter().filter_map(|item| self.reading(item)).collect(),
            _ => self.reading(node).into_iter().collect(),
        }
    }

    fn felt(&mut self, node: &Node) -> Option<Felt> {
        let fields = self.fields(node, Section::Felt)?;
        self.felt_of(&fields)
    }

    /// A reading with feeler blades out of a map that has its keys, among others perhaps.
    pub(super) fn felt_of(&mut self, fields: &Fields<'_>) -> Option<Felt> {
        let at = fields.node.at;
        let alone = [
            ["readings", "goes"],
            ["readings", "stops"],
            ["readings", "blades"],
            ["goes", "blades"],
            ["stops", "blades"],
        ]
        .iter()
        .all(|keys| fields.at_most_one(self, keys));
        let blades = fields.read(self, "blades", |reader, node| reader.blades(node, false));
        let goes = fields.read(self, "goes", |reader, node| reader.blades(node, true));
        let stops = fields.read(self, "stops", |reader, node| reader.blades(node, false));
        if fields.unknown || !alone {
            return None;
        }
        if let Some(blades) = blades {
            return Some(Felt { goes: blades?, stops: Vec::new(), at });
        }
        let (message, help) = match (&goes, &stops) {
            (Some(goes), Some(stops)) => {
                return Some(Felt { goes: goes.clone()?, stops: stops.clone()?, at });
            }
            (Some(_), None) => (
                "`goes` without `stops` says only that the gap is larger",
                "add the next blade, which does not go in: `{ goes: 0.15, stops: 0.20 }`",
            ),
            _ => (
                "`stops` without `goes` says only that the gap is smaller",
                "add the blade that goes in: `{ goes: 0.15, stops: 0.20 }`; `goes: 0` where none does",
            ),
        };
        self.error_with_help(Code::MissingKey, at, message, help);
        None
    }

    /// The blades of a stack; one length is a single blade. Where `none` may be, a single 0 is no blade at all.
    fn blades(&mut self, node: &Node, none: bool) -> Option<Vec<Length>> {
        let blades = self.thicknesses(node);
        if let ([only], true) = (blades.as_slice(), none)
            && only.typed.number == 0.0
        {
            return Some(Vec::new());
        }
        if let Some(bad) = blades.iter().find(|blade| blade.typed.number <= 0.0) {
            let help = "`goes: 0` says that not even the thinnest blade goes in";
            self.error_with_help(Code::Zero, bad.at, "a blade is thicker than zero", help);
            return None;
        }
        if matches!(&node.value, Value::List(items) if items.is_empty()) {
            self.error(Code::WrongForm, node.at, "there is no blade in it");
        }
        (!blades.is_empty()).then_some(blades)
    }
}
