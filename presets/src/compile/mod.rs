//! From a preset and its inputs to the tree of a stack document.

mod fill;
mod value;

use std::collections::HashMap;

use shimwright_engine::document::assign::{self, Assignment, grouped};
use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::{Entry, Node};
use shimwright_engine::document::written::Reader;

use crate::language::{Example, Input, Preset, Takes, check_kind};

/// The value of an input.
#[derive(Debug, Clone, PartialEq)]
struct Answer {
    node: Node,
    /// The instrument, where the value itself named one.
    instrument: Option<Node>,
}

/// The answers, by the name of the input.
type Answers<'a> = HashMap<&'a str, Answer>;

impl Preset {
    /// The stack document for some `NAME=VALUE` arguments. NAME is an input of the preset, or anything that can be
    /// set in the document that comes out: `GAP.found`, `GAP.target`, `PACK.fitted`, a dimension that is no input.
    ///
    /// # Errors
    /// All that is wrong with the arguments, and every input that is missing, with what is asked and how.
    pub fn compile(&self, sources: &mut Sources, arguments: &[String]) -> Result<Node, Diagnostics> {
        let (assignments, mut faults) = assign::parse_all(sources, arguments);
        let is_input = |one: &Assignment| one.part.is_none() && self.input(&one.name.text).is_some();
        let (inputs, others): (Vec<Assignment>, Vec<Assignment>) = assignments.into_iter().partition(is_input);
        let mut answers = Answers::new();
        let mut given: Vec<&str> = Vec::new();
        let groups = grouped(&inputs);
        for input in &self.inputs {
            let Some(group) = groups.iter().find(|group| group.first().name.text == input.name.text) else { continue };
            given.push(&input.name.text);
            match value::read(input, group) {
                Ok(answer) => {
                    answers.insert(&input.name.text, answer);
                }
                Err(fault) => faults.push(fault.path(input.name.text.clone())),
            }
        }
        faults.extend(self.check(sources, &answers));
        faults.extend(self.missing(&given));
        let mut tree = self.fill(answers);
        let names: Vec<&str> = self.inputs.iter().map(|input| input.name.text.as_str()).collect();
        faults.extend(assign::apply_parsed(&mut tree, &others, &names));
        if faults.has_errors() { Err(faults) } else { Ok(tree) }
    }

    /// The stack document for what an example gives.
    ///
    /// # Errors
    /// A value of another kind than the input takes, and every input that is missing.
    pub fn compile_example(&self, sources: &Sources, example: &Example) -> Result<Node, Diagnostics> {
        let answer = |entry: &Entry| Answer { node: entry.value.clone(), instrument: None };
        let answers: Answers<'_> = example.given.iter().map(|entry| (entry.key.text.as_str(), answer(entry))).collect();
        let given: Vec<&str> = answers.keys().copied().collect();
        let mut faults = self.check(sources, &answers);
        faults.extend(self.missing(&given));
        if faults.has_errors() { Err(faults) } else { Ok(self.fill(answers)) }
    }

    /// What is wrong with the kinds of the answers.
    fn check(&self, sources: &Sources, answers: &Answers<'_>) -> Diagnostics {
        let mut reader = Reader::new(sources);
        for input in &self.inputs {
            if let Some(answer) = answers.get(input.name.text.as_str()) {
                reader.within(&input.name.text, |reader| check_kind(reader, input, &answer.node));
            }
        }
        reader.diagnostics
    }

    /// One error for each input that is not given and has no default.
    fn missing(&self, given: &[&str]) -> Diagnostics {
        let mut faults = Diagnostics::new();
        let lacks = |input: &&Input| input.default.is_none() && !given.contains(&input.name.text.as_str());
        for input in self.inputs.iter().filter(lacks) {
            let name = &input.name.text;
            let form = match input.takes {
                Takes::Choice => input.choices.join(" or "),
                takes => takes.form().to_owned(),
            };
            let fault = Diagnostic::error(Code::MissingInput, format!("`{name}` is not given: {}", input.ask));
            let help = format!("{} Write it like {name}={form}", input.how);
            faults.push(fault.at(input.name.at).path(format!("inputs.{name}")).help(help.trim_start()));
        }
        faults
    }

    /// The stack with answers and defaults in it, and what the document takes over from the preset around it.
    fn fill<'a>(&'a self, mut answers: Answers<'a>) -> Node {
        for input in &self.inputs {
            if let Some(default) = &input.default {
                let answer = || Answer { node: default.clone(), instrument: None };
                answers.entry(&input.name.text).or_insert_with(answer);
            }
        }
        let filled = fill::Filler { preset: self, answers: &answers }.stack();
        let (front, behind): (Vec<Entry>, Vec<Entry>) =
            self.carried.iter().cloned().partition(|entry| entry.key.text == "title");
        let stack = filled.entries().unwrap_or_default().iter().cloned();
        Node::map(front.into_iter().chain(stack).chain(behind).collect(), filled.at)
    }
}
