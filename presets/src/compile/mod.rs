//! From a preset and its inputs to the tree of a stack document.

mod answers;
mod each;
mod fill;
mod value;

use shimwright_engine::document::assign::{self, Assignment, grouped};
use shimwright_engine::document::diagnostic::Diagnostics;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::{Entry, Node};
use shimwright_engine::document::written::{Named, Reader};

use crate::language::{Example, Preset, check_kind};
use answers::{Answer, Answers, Given};

impl Preset {
    /// The stack document for some `NAME=VALUE` arguments. NAME is an input of the preset, `INPUT.STATION` for what is
    /// asked at each station, or anything that can be set in the document that comes out: `GAP.found`, `GAP.target`,
    /// `PACK.fitted`, a dimension that is no input.
    ///
    /// # Errors
    /// All that is wrong with the arguments, and every input that is missing, with what is asked and how.
    pub fn compile(&self, sources: &mut Sources, arguments: &[String]) -> Result<Node, Diagnostics> {
        let (assignments, mut faults) = assign::parse_all(sources, arguments);
        let is_input = |one: &Assignment| one.part.is_none() && self.input(&one.name.text).is_some();
        let (inputs, others): (Vec<Assignment>, Vec<Assignment>) = assignments.into_iter().partition(is_input);
        let mut given: Vec<Given<'_>> = Vec::new();
        let groups = grouped(&inputs);
        for input in &self.inputs {
            for group in groups.iter().filter(|group| group.first().name.text == input.name.text) {
                let first = group.first();
                let answer = match value::read(input, group) {
                    Ok(answer) => Some(answer),
                    Err(fault) => {
                        faults.push(fault.path(input.name.text.clone()));
                        None
                    }
                };
                given.push(Given { input, station: first.station.clone(), at: first.name.at, answer });
            }
        }
        let mut tree = self.filled(sources, &given, &mut faults);
        let names: Vec<&str> = self.inputs.iter().map(|input| input.name.text.as_str()).collect();
        faults.extend(assign::apply_parsed(&mut tree, &others, &names));
        if faults.has_errors() { Err(faults) } else { Ok(tree) }
    }

    /// The stack document for what an example gives.
    ///
    /// # Errors
    /// A value of another kind than the input takes, and every input that is missing.
    pub fn compile_example(&self, sources: &Sources, example: &Example) -> Result<Node, Diagnostics> {
        let answer = |node: &Node| Some(Answer { node: node.clone(), instrument: None });
        let mut given: Vec<Given<'_>> = Vec::new();
        for entry in &example.given {
            let Some(input) = self.input(&entry.key.text) else { continue };
            match example.by_station(input, entry) {
                Some(stations) => given.extend(stations.iter().map(|one| {
                    let station = Named { text: one.key.text.clone(), at: one.key.at };
                    Given { input, station: Some(station), at: one.key.at, answer: answer(&one.value) }
                })),
                None => given.push(Given { input, station: None, at: entry.key.at, answer: answer(&entry.value) }),
            }
        }
        let mut faults = Diagnostics::new();
        let tree = self.filled(sources, &given, &mut faults);
        if faults.has_errors() { Err(faults) } else { Ok(tree) }
    }

    /// The stack with answers and defaults in it, and what the document takes over from the preset around it.
    fn filled(&self, sources: &Sources, given: &[Given<'_>], faults: &mut Diagnostics) -> Node {
        let mut reader = Reader::new(sources);
        for one in given {
            if let Some(answer) = &one.answer {
                reader.within(&one.input.name.text, |reader| check_kind(reader, one.input, &answer.node));
            }
        }
        faults.extend(reader.diagnostics);
        let answers = Answers::new(self, given);
        faults.extend(self.misplaced(given, &answers));
        faults.extend(self.missing(given, &answers));
        let filler = fill::Filler { preset: self, answers: &answers, station: None };
        let stack = each::entries(&filler, &self.stack);
        let (front, behind): (Vec<Entry>, Vec<Entry>) =
            self.carried.iter().cloned().partition(|entry| entry.key.text == "title");
        Node::map(front.into_iter().chain(stack).chain(behind).collect(), self.stack.at)
    }
}
