//! Readings as written.

use super::reader::{Fields, Length, Named, Reader};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::keys;
use crate::document::tree::{Entry, Node, Value};

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
    Repeats(Vec<Length>),
    /// Places on a face, each with its repeats.
    Places(Vec<Place>),
}

/// One place on a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// What was read there.
    pub readings: Vec<Length>,
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
    pub fn all(&self) -> impl Iterator<Item = &Length> {
        let groups: Vec<&[Length]> = match self {
            Sets::Repeats(list) => vec![list],
            Sets::Places(places) => places.iter().map(|place| place.readings.as_slice()).collect(),
        };
        groups.into_iter().flatten()
    }
}

/// Reads the four keys of a reading out of a map that has them among others.
pub(super) fn of_fields(reader: &mut Reader<'_>, fields: &Fields<'_>) -> Option<Readings> {
    let instrument = fields.read(reader, "instrument", Reader::named).flatten();
    let allow_spread =
        fields.read(reader, "allow_spread", |reader, node| reader.length_not_negative(node, "a spread")).flatten();
    let use_of_places = fields.read(reader, "use", |reader, node| reader.word(node, keys::USES)).flatten();
    let node = fields.get("readings")?;
    let places = allow_spread.is_some() || fields.get("use").is_some();
    // Readings with a fault are kept as none, so that what stands beside them is still looked at.
    let sets = reader.within("readings", |reader| sets(reader, node, places)).unwrap_or(Sets::Repeats(Vec::new()));
    let use_of_places = match use_of_places {
        Some("least") => UseOfPlaces::Least,
        Some("most") => UseOfPlaces::Most,
        Some("middle") => UseOfPlaces::Middle,
        _ => UseOfPlaces::Mean,
    };
    Some(Readings { sets, instrument, allow_spread, use_of_places, at: node.at })
}

/// Readings alone, without the keys beside them.
pub(super) fn bare(reader: &mut Reader<'_>, node: &Node) -> Option<Readings> {
    let sets = sets(reader, node, false)?;
    Some(Readings { sets, instrument: None, allow_spread: None, use_of_places: UseOfPlaces::Mean, at: node.at })
}

fn sets(reader: &mut Reader<'_>, node: &Node, list_is_places: bool) -> Option<Sets> {
    match &node.value {
        Value::Map(_) => {
            let entries = reader.entries(node, "a map of places");
            if let Some(pair) = entries.windows(2).find(|pair| is_half_of_a_number(pair[1])) {
                let (whole, decimals) = (pair[0].value.text().unwrap_or_default(), &pair[1].key.text);
                let message = format!("`{whole},{decimals}` has a comma where a decimal point is due");
                let help = format!("write `{whole}.{decimals}`");
                reader.error_with_help(Code::DecimalComma, pair[1].key.at, message, help);
                return None;
            }
            let places = entries
                .iter()
                .map(|entry| Place {
                    name: entry.key.text.clone(),
                    readings: reader.within(&entry.key.text, |reader| reader.lengths(&entry.value)),
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
                let repeats = reader.lengths(node);
                not_empty(reader, node, repeats.is_empty())?;
                return Some(Sets::Repeats(repeats));
            }
            let places = items
                .iter()
                .enumerate()
                .map(|(index, item)| Place { name: (index + 1).to_string(), readings: reader.lengths(item) })
                .filter(|place| !place.readings.is_empty())
                .collect::<Vec<_>>();
            not_empty(reader, node, places.is_empty())?;
            Some(Sets::Places(places))
        }
        _ => reader.length(node).map(|one| Sets::Repeats(vec![one])),
    }
}

/// `{ at 12: 53,97 }` is to YAML a place that reads 53 and a key `97` without a value.
fn is_half_of_a_number(entry: &Entry) -> bool {
    let digits = !entry.key.text.is_empty() && entry.key.text.bytes().all(|byte| byte.is_ascii_digit());
    digits && matches!(entry.value.value, Value::Null)
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
    let texts: Vec<&str> = items.iter().filter_map(Node::text).collect();
    let whole = |text: &&str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if texts.len() < 2 || !texts.len().is_multiple_of(2) || texts.len() != items.len() || !texts.iter().all(whole) {
        return Some(());
    }
    let pairs: Vec<(&str, &str)> = texts.chunks(2).map(|pair| (pair[0], pair[1])).collect();
    // Whole parts alike, and decimals as long as each other: that is how decimal commas come out.
    let alike = pairs.iter().all(|(whole, decimals)| *whole == pairs[0].0 && decimals.len() == pairs[0].1.len());
    let spread = texts.iter().any(|text| *text != texts[0]);
    if pairs.len() < 2 || !alike || !spread {
        return Some(());
    }
    let meant = pairs.iter().map(|(whole, decimals)| format!("{whole}.{decimals}")).collect::<Vec<_>>().join(", ");
    let message = format!("{} whole readings stand here; decimal commas, perhaps", texts.len());
    reader.push(Diagnostic::error(Code::CommaReadings, message).at(node.at).help(format!(
        "if you meant [{meant}], write decimal points; if they are whole, write {}.0 and so on",
        texts[0]
    )));
    None
}
