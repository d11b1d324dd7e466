//! A pack of shims as written.

use super::kit;
use super::reader::{Fields, Length, Named, Reader};
use super::readings::{self, Readings};
use super::screw::{self, Screw};
use crate::document::diagnostic::Code;
use crate::document::keys::Section;
use crate::document::source::Span;
use crate::document::tree::{Entry, Node, Value};

/// A pack as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Its name.
    pub name: Named,
    /// The kit that it is taken from.
    pub kit: Option<Named>,
    /// The fewest and the most shims.
    pub count: Count,
    /// The shims that are in now; none given is not the same as none in.
    pub fitted: Option<Vec<Fitted>>,
    /// Those that are not to come out.
    pub stay: Stay,
    /// Sizes that must be in it.
    pub includes: Vec<Length>,
    /// The greatest thickness of the whole pack.
    pub thickest: Option<Length>,
    /// How much may be taken off one shim.
    pub lap: Option<Length>,
    /// Sizes of which no two may meet, list by list.
    pub never: Vec<Vec<Length>>,
    /// The pack that it is to be as thick as.
    pub same_as: Option<Named>,
    /// The pack that it may not be thinner than.
    pub not_thinner_than: Option<Named>,
    /// What it is where it is one piece that is made.
    pub made: Option<Made>,
    /// What it is where it is an adjusting screw.
    pub screw: Option<Screw>,
    /// What fitted shims were measured with.
    pub instrument: Option<Named>,
    /// Where the rules come from.
    pub source: Option<String>,
}

/// A piece that is made to size.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// From, to, step.
    pub range: [Length; 3],
    /// How far it may be from its size.
    pub tolerance: Option<Length>,
}

/// How many shims a pack may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// The fewest.
    pub least: usize,
    /// The most.
    pub most: usize,
}

impl Default for Count {
    fn default() -> Self {
        Count { least: 0, most: 4 }
    }
}

/// One shim that is in.
#[derive(Debug, Clone, PartialEq)]
pub enum Fitted {
    /// Its thickness, by its label or as measured.
    Thickness(Length),
    /// What was read on it.
    Read(Readings, Span),
}

/// Which fitted shims stay.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Stay {
    /// None has to.
    #[default]
    None,
    /// All of them.
    All(Span),
    /// Those of these thicknesses.
    These(Vec<Length>),
}

/// More shims than this are a slip of the pen, not a pack.
const MOST_SHIMS: f64 = 1000.0;

pub(super) fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Pack> {
    let fields = reader.fields(&entry.value, Section::Pack)?;
    let kit = fields.read(reader, "kit", Reader::named).flatten();
    if fields.unknown {
        // One of them may be a mistyped `fitted`, which then is not missing.
        reader.drop_entry("fitted", &entry.key.text);
    }
    let made = fields.read(reader, MADE, made).flatten();
    let screw = fields.read(reader, "screw", screw::read).flatten();
    if fields.get("screw").is_some() && screw.is_none() {
        reader.drop_entry("fitted", &entry.key.text);
    }
    let no_shims = [(MADE, MADE), ("screw", "a screw")].into_iter().find(|(key, _)| fields.get(key).is_some());
    if let Some((own, what)) = no_shims {
        for key in ["kit", "count", "includes", "never", "lap", "stay", "screw"].into_iter().filter(|&key| key != own) {
            if let Some(node) = fields.get(key) {
                reader.error(Code::KeysExclude, node.at, format!("`{key}` does not go with a pack that is {what}"));
            }
        }
        if let Some(node) = fields.get("fitted").filter(|_| own == "screw") {
            reader.error(Code::KeysExclude, node.at, "a screw is where it is: turns count from there");
        }
    }
    if fields.get("kit").is_none() && no_shims.is_none() && !fields.unknown {
        let help = "write `kit: NAME`, NAME being one of `kits`, or `made to size:` with from, to and step";
        reader.error_with_help(
            Code::MissingKey,
            entry.key.at,
            format!("the pack `{}` does not say which kit it is taken from", entry.key.text),
            help,
        );
    }
    fields.read(reader, "note", Reader::text);
    Some(Pack {
        name: Named { text: entry.key.text.clone(), at: entry.key.at },
        kit,
        count: match no_shims {
            Some(_) => Count { least: 1, most: 1 },
            None => fields.read(reader, "count", count).flatten().unwrap_or_default(),
        },
        fitted: fields.read(reader, "fitted", fitted),
        stay: fields.read(reader, "stay", stay).unwrap_or_default(),
        includes: fields.read(reader, "includes", Reader::thicknesses).unwrap_or_default(),
        thickest: fields
            .read(reader, "thickest", |reader, node| reader.length_not_negative(node, "a thickness"))
            .flatten(),
        lap: fields
            .read(reader, "lap", |reader, node| reader.length_not_negative(node, "what may be taken off"))
            .flatten(),
        never: fields.read(reader, "never", never).unwrap_or_default(),
        same_as: fields.read(reader, "same_as", Reader::named).flatten(),
        not_thinner_than: fields.read(reader, "not_thinner_than", Reader::named).flatten(),
        made,
        screw,
        instrument: fields.read(reader, "instrument", Reader::named).flatten(),
        source: fields.read(reader, "source", Reader::text).flatten(),
    })
}

/// The key of a pack that is one piece.
const MADE: &str = "made to size";

fn made(reader: &mut Reader<'_>, node: &Node) -> Option<Made> {
    let fields = reader.fields(node, Section::Made)?;
    let range = kit::range(reader, &fields, node);
    let tolerance =
        fields.read(reader, "tolerance", |reader, node| reader.length_not_negative(node, "a tolerance")).flatten();
    Some(Made { range: range?, tolerance })
}

fn never(reader: &mut Reader<'_>, node: &Node) -> Vec<Vec<Length>> {
    let lists = match &node.value {
        Value::List(items) if items.iter().any(|item| matches!(item.value, Value::List(_))) => items.as_slice(),
        _ => std::slice::from_ref(node),
    };
    let mut found = Vec::with_capacity(lists.len());
    for list in lists {
        let sizes = reader.thicknesses(list);
        if sizes.len() == 1 {
            let help = "write [0.10, 0.10] where no two of one size may meet";
            reader.error_with_help(Code::Count, list.at, "it takes two sizes to meet", help);
        }
        found.push(sizes);
    }
    found
}

fn count(reader: &mut Reader<'_>, node: &Node) -> Option<Count> {
    let mut whole = |node: &Node| {
        let length = reader.length(node)?;
        let number = length.typed.number;
        if number < 0.0 || number.fract() != 0.0 || length.typed.unit.is_some() || number > MOST_SHIMS {
            reader.error(Code::Count, node.at, format!("a count of shims is a whole number from 0 to {MOST_SHIMS}"));
            return None;
        }
        Some(number as usize)
    };
    let Value::List(items) = &node.value else {
        return whole(node).map(|exactly| Count { least: exactly, most: exactly });
    };
    let [least, most] = items.as_slice() else {
        reader.error(Code::Count, node.at, "a count is a number, or the fewest and the most");
        return None;
    };
    let (least, most) = (whole(least), whole(most));
    let (least, most) = (least?, most?);
    if least > most {
        let help = reader.write_pair(node.at, most, least);
        reader.error_with_help(Code::Count, node.at, "the fewest shims are more than the most", help);
        return None;
    }
    Some(Count { least, most })
}

fn fitted(reader: &mut Reader<'_>, node: &Node) -> Vec<Fitted> {
    match &node.value {
        Value::List(items) if items.len() > MOST_SHIMS as usize => {
            reader.error(Code::Count, node.at, format!("{} shims are more than a pack has", items.len()));
            Vec::new()
        }
        Value::List(items) if items.iter().all(|item| item.text().is_some()) => {
            let lengths = reader.thicknesses(node);
            lengths.into_iter().filter_map(|length| of_thickness(reader, length)).collect()
        }
        Value::List(items) => items.iter().filter_map(|item| one_fitted(reader, item)).collect(),
        _ => one_fitted(reader, node).into_iter().collect(),
    }
}

fn one_fitted(reader: &mut Reader<'_>, node: &Node) -> Option<Fitted> {
    if let Value::Map(_) = node.value {
        let fields: Fields<'_> = reader.fields(node, Section::Fitted)?;
        if fields.get("readings").is_none() && !fields.unknown {
            reader.error(Code::MissingKey, node.at, "a fitted shim as a map needs `readings`");
        }
        return readings::of_fields(reader, &fields).map(|readings| Fitted::Read(readings, node.at));
    }
    let length = reader.length(node)?;
    of_thickness(reader, length)
}

fn of_thickness(reader: &mut Reader<'_>, length: Length) -> Option<Fitted> {
    if length.typed.number <= 0.0 {
        reader.error(Code::KitSize, length.at, "a shim is thicker than zero");
        return None;
    }
    Some(Fitted::Thickness(length))
}

fn stay(reader: &mut Reader<'_>, node: &Node) -> Stay {
    match node.text() {
        Some("all") => Stay::All(node.at),
        _ => Stay::These(reader.thicknesses(node)),
    }
}
