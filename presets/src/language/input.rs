//! What a preset asks for.

use shimwright_engine::document::diagnostic::Code;
use shimwright_engine::document::keys::{self, Section};
use shimwright_engine::document::name;
use shimwright_engine::document::tree::{Entry, Node};
use shimwright_engine::document::written::{Fields, Named, Reader};

use super::kind;

/// The kind of value that an input takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// One or more readings of the same thing.
    Readings,
    /// One figure, taken as exact.
    Length,
    /// The least and the most, or one of them.
    Limits,
    /// A number of shims, or the fewest and the most.
    Count,
    /// A kit.
    Kit,
    /// Shims by their thickness.
    Shims,
    /// One of a few words.
    Choice,
    /// The names of the stations that something stands once for.
    Stations,
}

impl Takes {
    /// Every kind, in the order of the table of keys.
    pub const ALL: [Takes; 8] = [
        Takes::Readings,
        Takes::Length,
        Takes::Limits,
        Takes::Count,
        Takes::Kit,
        Takes::Shims,
        Takes::Choice,
        Takes::Stations,
    ];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Takes::Readings => "readings",
            Takes::Length => "length",
            Takes::Limits => "limits",
            Takes::Count => "count",
            Takes::Kit => "kit",
            Takes::Shims => "shims",
            Takes::Choice => "choice",
            Takes::Stations => "stations",
        }
    }

    /// How a value of this kind is written behind `NAME=`.
    #[must_use]
    pub fn form(self) -> &'static str {
        match self {
            Takes::Readings => "53.97/53.96/53.99",
            Takes::Length => "0.30",
            Takes::Limits => "0.05..0.20",
            Takes::Count => "3 or 1..3",
            Takes::Kit => "0.22/0.26/0.28 or 2.00:3.50:0.05",
            Takes::Shims => "0.30+0.50",
            Takes::Choice => "one of its words",
            Takes::Stations => "I1/I2/E1/E2",
        }
    }
}

/// One input of a preset.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its name.
    pub name: Named,
    /// What is asked for.
    pub ask: String,
    /// Where to put the instrument; empty where the preset does not say.
    pub how: String,
    /// The kind of value.
    pub takes: Takes,
    /// What it is usually read with.
    pub instrument: Option<Named>,
    /// How much the places of a face may differ.
    pub allow_spread: Option<Node>,
    /// Which value of the places of a face counts.
    pub use_of_places: Option<Node>,
    /// The value where none is given.
    pub default: Option<Node>,
    /// Where the default comes from; `none` is common practice, no source.
    pub source: Option<String>,
    /// The words of a choice.
    pub choices: Vec<String>,
    /// The input whose stations it is asked for, each by itself.
    pub each: Option<String>,
}

/// The inputs of a preset that is being read.
#[derive(Debug, Default)]
pub(super) struct Asked {
    pub(super) inputs: Vec<Input>,
    /// The names of those that could not be read: to refer to one of them is no second fault.
    broken: Vec<String>,
}

impl Asked {
    pub(super) fn get(&self, name: &str) -> Option<&Input> {
        self.inputs.iter().find(|input| input.name.text == name)
    }

    pub(super) fn is_broken(&self, name: &str) -> bool {
        self.broken.iter().any(|broken| broken == name)
    }

    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.inputs.iter().map(|input| input.name.text.as_str()).chain(self.broken.iter().map(String::as_str))
    }
}

pub(super) fn read_all(reader: &mut Reader<'_>, node: &Node) -> Asked {
    let mut asked = Asked::default();
    for entry in reader.entries(node, "a map of inputs") {
        match reader.within(&entry.key.text, |reader| read(reader, entry)) {
            Some(input) => asked.inputs.push(input),
            None => asked.broken.push(entry.key.text.clone()),
        }
    }
    asked
}

fn read(reader: &mut Reader<'_>, entry: &Entry) -> Option<Input> {
    let name = Named { text: entry.key.text.clone(), at: entry.key.at };
    let well_named = check_name(reader, &name);
    let fields = reader.fields(&entry.value, Section::Input)?;
    for key in ["ask", "takes"] {
        if fields.get(key).is_none() {
            reader.error(Code::MissingKey, name.at, format!("the input `{}` needs `{key}`", name.text));
        }
    }
    let ask = fields.read(reader, "ask", Reader::text).flatten().unwrap_or_default();
    let how = fields.read(reader, "how", Reader::text).flatten().unwrap_or_default();
    let word = fields.read(reader, "takes", |reader, node| reader.word(node, keys::TAKES)).flatten();
    let instrument = fields.read(reader, "instrument", Reader::named).flatten();
    fields.read(reader, "allow_spread", |reader, node| reader.length_not_negative(node, "a spread"));
    fields.read(reader, "use", |reader, node| reader.word(node, keys::USES));
    let source = fields.read(reader, "source", Reader::text).flatten();
    let choices = fields.read(reader, "choices", Reader::texts).unwrap_or_default();
    let takes = Takes::ALL.into_iter().find(|takes| Some(takes.word()) == word)?;
    let input = Input {
        name,
        ask,
        how,
        takes,
        instrument,
        allow_spread: fields.get("allow_spread").cloned(),
        use_of_places: fields.get("use").cloned(),
        default: fields.get("default").cloned(),
        source,
        choices,
        each: None,
    };
    together(reader, &fields, &input);
    fields.read(reader, "default", |reader, node| kind::check(reader, &input, node));
    well_named.then_some(input)
}

fn check_name(reader: &mut Reader<'_>, name: &Named) -> bool {
    if let Err(bad) = name::check(&name.text) {
        reader.error_with_help(Code::BadName, name.at, bad.message, bad.help);
        return false;
    }
    if name.text.contains(' ') {
        let help = format!("write `{}`, so that nothing needs quotes on a command line", name.text.replace(' ', "_"));
        reader.error_with_help(Code::BadName, name.at, format!("`{}` is more than one word", name.text), help);
        return false;
    }
    true
}

/// What belongs together, and what does not.
fn together(reader: &mut Reader<'_>, fields: &Fields<'_>, input: &Input) {
    let word = input.takes.word();
    if input.takes != Takes::Readings {
        for key in ["instrument", "allow_spread", "use"] {
            if let Some(node) = fields.get(key) {
                let message = format!("`{key}` belongs to an input that takes readings, not {word}");
                reader.error(Code::KeysExclude, node.at, message);
            }
        }
    }
    match fields.get("choices") {
        Some(node) if input.takes != Takes::Choice => {
            let message = format!("`choices` belong to an input that takes a choice, not {word}");
            reader.error(Code::KeysExclude, node.at, message);
        }
        None if input.takes == Takes::Choice => {
            let message = format!("the choice `{}` needs `choices`", input.name.text);
            reader.error(Code::MissingKey, input.name.at, message);
        }
        _ => {}
    }
    if let Some(default) = &input.default
        && input.source.is_none()
    {
        let message = format!("the default of `{}` does not say where it comes from", input.name.text);
        let help = "write `source:` beside it; `none` is common practice, no source";
        reader.error_with_help(Code::MissingKey, default.at, message, help);
    }
}
