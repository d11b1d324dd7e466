//! Readings as written.

use super::commas;
use super::felt::Reading;
use super::reader::{Fields, Length, Named, Reader};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::keys::{self, Section};
use crate::document::tree::{Node, Value};

/// What was read, and with what.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The figures.
    pub sets: Sets,
    /// The instrument's name.
    pub instrument: Option<Named>,
    /// How much the places may differ.
    pub allow_spread: Option<Length>,
    /// Which value of the places counts.
    pub use_of_places: UseOfPlaces,
    /// Where the readings stand.
    pub at: crate::document::source::Span,
}

/// The figures of a reading.
#[derive(Debug, Clone, PartialEq)]
pub enum Sets {
    /// Repeats at one place.
    Repeats(Vec<Reading>),
    /// Places on a face, each with its repeats.
    Places(Vec<Place>),
}

/// One place on a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// What was read there.
    pub readings: Vec<Reading>,
}

/// Which value of the places of a face counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UseOfPlaces {
    /// The mean of the places.
    #[default]
    Mean,
    /// The smallest.
    Least,
    /// The greatest.
    Most,
    /// Halfway between the smallest and the greatest.
    Middle,
}

impl Sets {
    /// All figures, place by place.
    pub fn all(&self) -> impl Iterator<Item = &Reading> {
        let groups: Vec<&[Reading]> = match self {
            Sets::Repeats(list) => vec![list],
            Sets::Places(places) => places.iter().map(|place| place.readings.as_slice()).collect(),
        };
        groups.into_iter().flatten()
    }
}

/// Reads the keys of a reading out of a map that has them among others.
pub(super) fn of_fields(reader: &mut Reader<'_>, fields: &Fields<'_>) -> Option<Readings> {
    let instrument = fields.read(reader, "instrument", Reader::named).flatten();
    let allow_spread =
        fields.read(reader, "allow_spread", |reader, node| reader.length_not_negative(node, "a spread")).flatten();
    let use_of_places = fields.read(reader, "use", |reader, node| reader.word(node, keys::USES)).flatten();
    let use_of_places = match use_of_places {
        Some("least") => UseOfPlaces::Least,
        Some("most") => UseOfPlaces::Most,
        Some("middle") => UseOfPlaces::Middle,
        _ => UseOfPlaces::Mean,
    };
    if keys::of(Section::Felt).any(|key| fields.get(key.name).is_some()) {
        // As below: one with a fault is kept as none.
        let felt = reader.felt_of(fields).map(Reading::Felt);
        let sets = Sets::Repeats(felt.into_iter().collect());
        return Some(Readings { sets, instrument, allow_spread, use_of_places, at: fields.node.at });
    }
    let node = fields.get("readings")?;
    let places = allow_spread.is_some() || fields.get("use").is_some();
    // Readings with a fault are kept as none, so that what stands beside them is still looked at.
    let sets = reader.within("readings", |reader| sets(reader, node, places)).unwrap_or(Sets::Repeats(Vec::new()));
    Some(Readings { sets, instrument, allow_spread, use_of_places, at: node.at })
}

/// Readings alone, without the keys beside them.
pub(super) fn bare(reader: &mut Reader<'_>, node: &Node) -> Option<Readings> {
    let sets = sets(reader, node, false)?;
    Some(Readings { sets, instrument: None, allow_spread: None, use_of_places: UseOfPlaces::Mean, at: node.at })
}

fn sets(reader: &mut Reader<'_>, node: &Node, list_is_places: bool) -> Option<Sets> {
    match &node.value {
        Value::Map(_) if !reader.is_felt(node) => {
            let entries = reader.entries(node, "a map of places");
            let places = entries
                .iter()
                .map(|entry| Place {
                    name: entry.key.text.clone(),
                    readings: reader.within(&entry.key.text, |reader| at_a_place(reader, &entry.value)),
                })
                .filter(|place| !place.readings.is_empty())
                .collect::<Vec<_>>();
            not_empty(reader, node, places.is_empty())?;
            Some(Sets::Places(places))
        }
        Value::List(items) => {
            commas(reader, node, items)?;
            let nested = items.iter().any(|item| matches!(item.value, Value::List(_)));
            if !list_is_places && !nested {
                let repeats = reader.readings(node);
                not_empty(reader, node, repeats.is_empty())?;
                return Some(Sets::Repeats(repeats));
            }
            let places = items
                .iter()
                .enumerate()
                .map(|(index, item)| Place { name: (index + 1).to_string(), readings: at_a_place(reader, item) })
                .filter(|place| !place.readings.is_empty())
                .collect::<Vec<_>>();
            not_empty(reader, node, places.is_empty())?;
            Some(Sets::Places(places))
        }
        _ => reader.reading(node).map(|one| Sets::Repeats(vec![one])),
    }
}

fn at_a_place(reader: &mut Reader<'_>, node: &Node) -> Vec<Reading> {
    match &node.value {
        Value::List(items) if commas(reader, node, items).is_none() => Vec::new(),
        _ => reader.readings(node),
    }
}

fn not_empty(reader: &mut Reader<'_>, node: &Node, empty: bool) -> Option<()> {
    if !empty {
        return Some(());
    }
    // A list whose every item was wrong has been complained of already.
    if matches!(&node.value, Value::List(items) if items.is_empty())
        || matches!(&node.value, Value::Map(entries) if entries.is_empty())
    {
        reader.error(Code::WrongForm, node.at, "there is no reading in it");
    }
    None
}

/// `[52,41, 52,40]` is four whole numbers to YAML and two readings to whoever wrote it.
fn commas(reader: &mut Reader<'_>, node: &Node, items: &[Node]) -> Option<()> {
    let Some(meant) = commas::in_readings(items) else { return Some(()) };
    let message = format!("{} whole readings stand here; decimal commas, perhaps", items.len());
    let first = items[0].text().unwrap_or_default();
    reader.push(
        Diagnostic::error(Code::CommaReadings, message).at(node.at).help(format!(
            "if you meant [{meant}], write decimal points; if they are whole, write {first}.0 and so on"
        )),
    );
    None
}
