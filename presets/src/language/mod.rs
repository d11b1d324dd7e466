//! The language of presets: a file as a typed preset, everything in it checked, nothing filled in yet.

mod example;
mod input;
mod kind;
pub(crate) mod reference;
pub(crate) mod stations;

use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::keys::Section;
use shimwright_engine::document::source::{SourceId, Sources, Span};
use shimwright_engine::document::tree::{Entry as TreeEntry, Node};
use shimwright_engine::document::written::{Fields, Reader};
use shimwright_engine::document::yaml;

use crate::catalogue::Entry;

pub use example::{Example, Expectation};
use input::Asked;
pub use input::{Input, Takes};
pub(crate) use kind::check as check_kind;

/// A preset. Its nodes point into the [`Sources`] that it was read with; compile it with the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Preset {
    /// Its name.
    pub name: String,
    /// What it is for, in a few words.
    pub title: String,
    /// The family of assemblies that it belongs to.
    pub family: String,
    /// Where the method comes from; `none` is common practice, no source.
    pub source: String,
    /// What it sets, in a sentence; empty where the preset does not say.
    pub sets: String,
    /// A picture in plain text, its lines ended; empty where there is none.
    pub picture: String,
    /// What is asked, in order.
    pub inputs: Vec<Input>,
    /// The order of assembly.
    pub fitting: Vec<String>,
    /// What to check after assembly.
    pub verify: Vec<String>,
    /// Usual mistakes.
    pub mistakes: Vec<String>,
    /// Cautions, shown with every answer.
    pub cautions: Vec<String>,
    /// Worked examples, each a test.
    pub examples: Vec<Example>,
    /// The stack document with `$input` in it.
    pub stack: Node,
    /// The entries that go from the preset into the document: `title` in front, the others behind.
    pub(crate) carried: Vec<TreeEntry>,
    pub(crate) at: Span,
}

/// The keys that a document takes over from its preset.
const CARRIED: [&str; 3] = ["title", "fitting", "cautions"];

/// The keys without which a preset cannot be listed, used or tested. Those that are shipped have all keys.
const NEEDED: [&str; 7] = ["preset", "title", "family", "source", "inputs", "stack", "examples"];

impl Preset {
    /// Reads a shipped preset; its source is called `preset NAME`.
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn read(sources: &mut Sources, entry: &Entry) -> Result<Preset, Diagnostics> {
        let id = sources.add(format!("preset {}", entry.name), entry.text);
        let preset = Preset::read_source(sources, id)?;
        if preset.name != entry.name {
            let message = format!("the file `{}.yaml` holds a preset that is called `{}`", entry.name, preset.name);
            let fault = Diagnostic::error(Code::BadInput, message).at(preset.at).path("preset");
            return Err(fault.help("give file and preset the same name").into());
        }
        Ok(preset)
    }

    /// Reads a preset from a text of `sources`.
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn read_source(sources: &Sources, id: SourceId) -> Result<Preset, Diagnostics> {
        let tree = yaml::read(sources, id).map_err(|fault| Diagnostics::from(*fault))?;
        let mut reader = Reader::new(sources);
        match read(&mut reader, &tree) {
            Some(preset) if !reader.diagnostics.has_errors() => Ok(preset),
            _ => Err(reader.diagnostics),
        }
    }

    /// The input of a name.
    #[must_use]
    pub fn input(&self, name: &str) -> Option<&Input> {
        self.inputs.iter().find(|input| input.name.text == name)
    }
}

fn read(reader: &mut Reader<'_>, tree: &Node) -> Option<Preset> {
    let fields = reader.fields(tree, Section::Preset)?;
    for key in NEEDED {
        if fields.get(key).is_none() {
            reader.error(Code::MissingKey, tree.at, format!("a preset needs `{key}`"));
        }
    }
    let name = text(reader, &fields, "preset");
    if let Some(node) = fields.get("preset")
        && !is_kebab(&name)
    {
        let help = "write lower-case words joined by `-`: `valve-lash`";
        reader.error_with_help(Code::BadName, node.at, format!("`{name}` cannot be the name of a preset"), help);
    }
    let mut asked = fields.read(reader, "inputs", input::read_all).unwrap_or_default();
    let stack = fields.get("stack");
    if let Some(stack) = stack {
        reader.within("stack", |reader| check_stack(reader, stack, &mut asked));
    }
    let texts = |reader: &mut Reader<'_>, key: &str| fields.read(reader, key, Reader::texts).unwrap_or_default();
    let examples = fields.read(reader, "examples", |reader, node| example::read_all(reader, node, &asked, stack));
    let carried = CARRIED.iter().filter_map(|&key| fields.get(key).map(|node| TreeEntry::new(key, node.clone())));
    Some(Preset {
        name,
        title: text(reader, &fields, "title"),
        family: text(reader, &fields, "family"),
        source: text(reader, &fields, "source"),
        sets: text(reader, &fields, "sets"),
        picture: text(reader, &fields, "picture"),
        fitting: texts(reader, "fitting"),
        verify: texts(reader, "verify"),
        mistakes: texts(reader, "mistakes"),
        cautions: texts(reader, "cautions"),
        examples: examples.unwrap_or_default(),
        inputs: asked.inputs,
        stack: stack?.clone(),
        carried: carried.collect(),
        at: fields.get("preset").map_or(tree.at, |node| node.at),
    })
}

fn text(reader: &mut Reader<'_>, fields: &Fields<'_>, key: &str) -> String {
    fields.read(reader, key, Reader::text).flatten().unwrap_or_default()
}

fn is_kebab(name: &str) -> bool {
    let word = |word: &str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    name.split('-').all(word)
}

fn check_stack(reader: &mut Reader<'_>, stack: &Node, asked: &mut Asked) {
    let (rest, of_each) = stations::apart(stack);
    // Only the top is read here: a document needs its inputs before the rest of it can be.
    let Some(fields) = reader.fields(&rest, Section::Document) else { return };
    for key in CARRIED {
        if let Some(node) = fields.get(key) {
            let message = format!("`{key}` of the stack would stand beside the preset's own");
            reader.error_with_help(Code::BadInput, node.at, message, "keep the one of the preset");
        }
    }
    let mut used = reference::check(reader, &rest, asked);
    stations::check(reader, &of_each, asked, &mut used);
    for (input, used) in asked.inputs.iter().zip(used) {
        if !used {
            let message = format!("the input `{}` is asked for, and the stack does not use it", input.name.text);
            let help = format!("write `${}` where it belongs, or take the input out", input.name.text);
            reader.error_with_help(Code::BadInput, input.name.at, message, help);
        }
    }
}
