//! How production spreads, as written: `distribution` and the keys that go with it.

use super::reader::{Fields, Length, Reader};
use super::weighted::{self, MixtureCase, Observed};
use crate::document::diagnostic::Code;
use crate::document::keys::{self, Section};
use crate::document::source::Span;
use crate::document::tree::{Node, Value};

/// How production spreads between the limits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Between {
    /// The distribution; normal where none is named.
    pub shape: Option<Shape>,
    /// Where it is named.
    pub at: Option<Span>,
    /// How many standard deviations the limits are from the middle.
    pub sigma_level: Option<f64>,
    /// The Cpk against the limits, in place of the sigma level.
    pub cpk: Option<f64>,
    /// How far the mean is above the middle of the limits.
    pub shift: Option<Length>,
}

/// A distribution between limits.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Normal.
    Normal,
    /// Rectangular.
    Rectangular,
    /// Triangular, with its mode; none: in the middle.
    Triangular(Option<Length>),
    /// Trapezoidal, with the ends of its top.
    Trapezoidal([Length; 2]),
    /// Arcsine.
    Arcsine,
    /// Normal with all beyond the limits sorted out, by its mean and standard deviation before that.
    TruncatedNormal(Length, Length),
    /// Beta, with its a and b.
    Beta(f64, f64),
}

/// A distribution that needs no limits, and takes none.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// Which it is.
    pub kind: AloneKind,
    /// Where it is named.
    pub at: Span,
}

/// The distributions that need no limits.
#[derive(Debug, Clone, PartialEq)]
pub enum AloneKind {
    /// A Student t.
    StudentT {
        /// Its middle.
        mean: Length,
        /// Its scale.
        scale: Length,
        /// Its degrees of freedom.
        freedom: f64,
    },
    /// Values with their weights.
    Discrete(Vec<(Length, f64)>),
    /// Values as they were observed.
    Observed(Observed),
    /// One of several drawings, each with its weight.
    Mixture(Vec<MixtureCase>),
}

/// What a dimension says of how production spreads.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Spreads {
    /// Between its limits.
    pub(super) between: Between,
    /// Without limits.
    pub(super) alone: Option<Alone>,
    /// Whether a distribution without limits was meant, so that a drawing is not missing.
    pub(super) stands_alone: bool,
}

/// One distribution, either way.
enum Named {
    Shape(Shape),
    Alone(AloneKind),
}

/// The distributions that stand without limits.
pub const ALONE: &[&str] = &["student t", "discrete", "observed", "mixture"];

/// The keys that give limits.
const LIMITS: [&str; 4] = ["tolerance", "class", "general", "limits"];

/// Reads `distribution`, `sigma_level`, `cpk` and `shift`.
pub(super) fn of_fields(reader: &mut Reader<'_>, fields: &Fields<'_>) -> Spreads {
    let named = fields.read(reader, "distribution", distribution).flatten();
    let positive = |reader: &mut Reader<'_>, key: &str, what: &str| {
        fields.read(reader, key, |reader, node| reader.positive_number(node, what)).flatten()
    };
    let mut between = Between {
        shape: None,
        at: fields.get("distribution").map(|node| node.at),
        sigma_level: positive(reader, "sigma_level", "the sigma level"),
        cpk: positive(reader, "cpk", "the Cpk"),
        shift: fields.read(reader, "shift", Reader::length).flatten(),
    };
    fields.at_most_one(reader, &["sigma_level", "cpk"]);
    let stands_alone = fields.get("distribution").is_some_and(|node| ALONE.iter().any(|name| node.get(name).is_some()));
    if stands_alone {
        refuse_limits(reader, fields);
    } else {
        want_limits(reader, fields);
    }
    let mut alone = None;
    match named {
        Some(Named::Alone(kind)) => alone = between.at.map(|at| Alone { kind, at }),
        Some(Named::Shape(shape)) => {
            if shape != Shape::Normal {
                only_normal(reader, fields);
            }
            between.shape = Some(shape);
        }
        None => {}
    }
    Spreads { between, alone, stands_alone }
}

/// Complains of what needs limits where there are none.
fn want_limits(reader: &mut Reader<'_>, fields: &Fields<'_>) {
    // Without anything else the dimension is told that it says nothing.
    let nothing = ["size", "sd", "readings", "goes", "stops", "blades", "span"];
    if fields.unknown
        || LIMITS.iter().any(|key| fields.get(key).is_some())
        || nothing.iter().all(|key| fields.get(key).is_none())
    {
        return;
    }
    for key in ["distribution", "sigma_level", "cpk", "shift"] {
        if let Some(node) = fields.get(key) {
            let message = format!("`{key}` needs limits: a tolerance, a class or `limits`");
            reader.error(Code::KeysExclude, node.at, message);
        }
    }
}

/// Complains of what cannot stand beside a distribution without limits.
fn refuse_limits(reader: &mut Reader<'_>, fields: &Fields<'_>) {
    let others = ["size", "tolerance", "class", "general", "sd", "limits", "span", "sigma_level", "cpk", "shift"];
    let there: Vec<(&str, &Node)> = others.iter().filter_map(|&key| Some((key, fields.get(key)?))).collect();
    if let Some((_, first)) = there.first() {
        let keys = there.iter().map(|(key, _)| *key).collect::<Vec<_>>().join("` and `");
        let message = format!("this distribution stands alone: `{keys}` cannot stand beside it");
        reader.error(Code::KeysExclude, first.at, message);
    }
}

/// Complains of what belongs to the normal distribution.
fn only_normal(reader: &mut Reader<'_>, fields: &Fields<'_>) {
    for key in ["sigma_level", "cpk", "shift"] {
        if let Some(node) = fields.get(key) {
            reader.error(Code::KeysExclude, node.at, format!("`{key}` belongs to the normal distribution alone"));
        }
    }
}

fn distribution(reader: &mut Reader<'_>, node: &Node) -> Option<Named> {
    if !matches!(node.value, Value::Map(_)) {
        let named = |name: &&str| !keys::DISTRIBUTIONS.contains(name);
        let with_figures = keys::of(Section::Distribution).map(|key| key.name).filter(named);
        let known: Vec<&str> = keys::DISTRIBUTIONS.iter().copied().chain(with_figures).collect();
        let word = reader.word(node, &known)?;
        return word_alone(reader, node, word).map(Named::Shape);
    }
    let fields = reader.fields(node, Section::Distribution)?;
    let names: Vec<&'static str> = keys::of(Section::Distribution).map(|key| key.name).collect();
    if !fields.at_most_one(reader, &names) {
        return None;
    }
    let Some((name, figures)) = names.iter().find_map(|&name| Some((name, fields.get(name)?))) else {
        if !fields.unknown {
            reader.error_with_help(
                Code::MissingKey,
                node.at,
                "the distribution has no name",
                format!("write {}", example(names[0])),
            );
        }
        return None;
    };
    reader.within(name, |reader| with_figures(reader, name, figures))
}

fn word_alone(reader: &mut Reader<'_>, node: &Node, word: &str) -> Option<Shape> {
    match word {
        "normal" => Some(Shape::Normal),
        "rectangular" => Some(Shape::Rectangular),
        "triangular" => Some(Shape::Triangular(None)),
        "arcsine" => Some(Shape::Arcsine),
        _ => {
            let help = format!("write {}", example(word));
            reader.error_with_help(Code::WrongForm, node.at, format!("`{word}` needs its figures"), help);
            None
        }
    }
}

fn with_figures(reader: &mut Reader<'_>, name: &str, node: &Node) -> Option<Named> {
    match name {
        "triangular" => {
            let figures = Figures::read(reader, node, name, Section::Triangular)?;
            let mode = figures.length(reader, "mode");
            Some(Named::Shape(Shape::Triangular(Some(mode?))))
        }
        "trapezoidal" => {
            let figures = Figures::read(reader, node, name, Section::Trapezoidal)?;
            let top = figures.one(reader, "top", |reader, node| reader.pair(node, "the ends of the top"));
            Some(Named::Shape(Shape::Trapezoidal(top?)))
        }
        "truncated normal" => {
            let figures = Figures::read(reader, node, name, Section::TruncatedNormal)?;
            let (mean, sd) = (figures.length(reader, "mean"), figures.spread(reader, "sd", "the standard deviation"));
            Some(Named::Shape(Shape::TruncatedNormal(mean?, sd?)))
        }
        "beta" => {
            let figures = Figures::read(reader, node, name, Section::Beta)?;
            let (a, b) = (figures.number(reader, "a"), figures.number(reader, "b"));
            Some(Named::Shape(Shape::Beta(a?, b?)))
        }
        "student t" => {
            let figures = Figures::read(reader, node, name, Section::StudentT)?;
            let (mean, scale) = (figures.length(reader, "mean"), figures.spread(reader, "scale", "the scale"));
            let freedom = figures.number(reader, "freedom");
            Some(Named::Alone(AloneKind::StudentT { mean: mean?, scale: scale?, freedom: freedom? }))
        }
        "discrete" => weighted::discrete(reader, node).map(Named::Alone),
        "observed" => weighted::observed(reader, node).map(Named::Alone),
        "mixture" => weighted::mixture(reader, node).map(Named::Alone),
        _ => None,
    }
}

/// How a distribution with figures is written.
pub(super) fn example(name: &str) -> &'static str {
    match name {
        "trapezoidal" => "{ trapezoidal: { top: [5.98, 6.02] } }",
        "truncated normal" => "{ truncated normal: { mean: 1.50, sd: 0.015 } }",
        "beta" => "{ beta: { a: 2, b: 3.5 } }",
        "student t" => "{ student t: { mean: 1.0, scale: 0.006, freedom: 5 } }",
        "discrete" => "{ discrete: { 0.45: 0.3, 0.50: 0.5, 0.55: 0.2 } }",
        "observed" => "{ observed: [52.41, 52.44] }, or { observed: { file: units.csv, column: pocket } }",
        "mixture" => {
            "{ mixture: [ { weight: 0.7, size: 52.40, tolerance: 0.05 }, { weight: 0.3, size: 52.15, tolerance: 0.05 } ] }"
        }
        _ => "{ triangular: { mode: 3.00 } }",
    }
}

/// The figures of one distribution.
struct Figures<'n> {
    name: String,
    fields: Fields<'n>,
}

impl<'n> Figures<'n> {
    fn read(reader: &mut Reader<'_>, node: &'n Node, name: &str, section: Section) -> Option<Self> {
        if node.entries().is_none() {
            let help = format!("write {}", example(name));
            reader.error_with_help(Code::WrongForm, node.at, format!("`{name}` needs its figures"), help);
            return None;
        }
        Some(Self { name: name.to_owned(), fields: reader.fields(node, section)? })
    }

    /// A figure that must be there.
    fn one<'s, T>(
        &self,
        reader: &mut Reader<'s>,
        key: &str,
        read: impl FnOnce(&mut Reader<'s>, &'n Node) -> Option<T>,
    ) -> Option<T> {
        if self.fields.get(key).is_none() && !self.fields.unknown {
            let help = format!("write {}", example(&self.name));
            let message = format!("`{}` needs `{key}`", self.name);
            reader.error_with_help(Code::MissingKey, self.fields.node.at, message, help);
        }
        self.fields.read(reader, key, read).flatten()
    }

    fn length(&self, reader: &mut Reader<'_>, key: &str) -> Option<Length> {
        self.one(reader, key, Reader::length)
    }

    fn number(&self, reader: &mut Reader<'_>, key: &str) -> Option<f64> {
        self.one(reader, key, |reader, node| reader.positive_number(node, &format!("`{key}`")))
    }

    /// A length above zero.
    fn spread(&self, reader: &mut Reader<'_>, key: &str, what: &str) -> Option<Length> {
        let length = self.one(reader, key, |reader, node| reader.length_not_negative(node, what))?;
        if length.typed.number == 0.0 {
            reader.error(Code::Zero, length.at, format!("{what} must be greater than zero"));
            return None;
        }
        Some(length)
    }
}
