//! The answers to what a preset asks for, and whether each has its place.

use std::collections::HashMap;

use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::source::Span;
use shimwright_engine::document::tree::Node;
use shimwright_engine::document::written::Named;

use crate::language::stations::letters;
use crate::language::{Input, Preset, Takes};

/// The value of an input.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answer {
    pub(super) node: Node,
    /// The instrument, where the value itself named one.
    pub(super) instrument: Option<Node>,
}

/// What was given for an input.
pub(super) struct Given<'a> {
    pub(super) input: &'a Input,
    /// The station that it is for, or the letters of several.
    pub(super) station: Option<Named>,
    pub(super) at: Span,
    /// None where the value could not be read, which is said already.
    pub(super) answer: Option<Answer>,
}

/// The answers, by the name of the input and by what stands behind its point.
#[derive(Default)]
pub(super) struct Answers<'a> {
    all: HashMap<(&'a str, Option<String>), Answer>,
}

impl<'a> Answers<'a> {
    /// The answers to what was given, and the defaults of what was not.
    pub(super) fn new(preset: &'a Preset, given: &[Given<'a>]) -> Self {
        let mut answers = Answers::default();
        for one in given {
            if let Some(answer) = &one.answer {
                let station = one.station.as_ref().map(|station| station.text.clone());
                answers.all.insert((&one.input.name.text, station), answer.clone());
            }
        }
        for input in &preset.inputs {
            if let Some(default) = &input.default {
                let answer = || Answer { node: default.clone(), instrument: None };
                answers.all.entry((&input.name.text, None)).or_insert_with(answer);
            }
        }
        answers
    }

    /// The answer that counts for a station: its own, that of its letters, that for all.
    pub(super) fn get(&self, input: &'a Input, station: Option<&str>) -> Option<&Answer> {
        let of = |station: Option<&str>| self.all.get(&(input.name.text.as_str(), station.map(str::to_owned)));
        let own = station.and_then(|station| of(Some(station)).or_else(|| of(Some(letters(station)?))));
        own.or_else(|| of(None))
    }

    /// The names of the stations that an input lists.
    pub(super) fn stations(&self, preset: &'a Preset, name: &str) -> Vec<String> {
        let answer = preset.input(name).and_then(|input| self.get(input, None));
        match answer.map(|answer| &answer.node.value) {
            Some(shimwright_engine::document::tree::Value::List(items)) => {
                items.iter().filter_map(|item| item.text().map(str::to_owned)).collect()
            }
            _ => Vec::new(),
        }
    }
}

/// Whether an input is asked for at each station by itself: a reading is never one for all.
fn is_read(input: &Input) -> bool {
    matches!(input.takes, Takes::Readings | Takes::Shims)
}

impl Preset {
    /// What is given for no station that there is, or for all where each has its own.
    pub(super) fn misplaced(&self, given: &[Given<'_>], answers: &Answers<'_>) -> Diagnostics {
        let mut faults = Diagnostics::new();
        for one in given {
            let name = one.input.name.text.as_str();
            let said = |code, message: String| Diagnostic::error(code, message).at(one.at).path(name.to_owned());
            let stations = one.input.each.as_ref().map(|each| (each, self.stations_of(answers, each)));
            let fault = match (&one.station, stations) {
                (Some(station), None) => {
                    let message = format!("`{name}` is one for all, and `{name}.{}` is not asked for", station.text);
                    Some(said(Code::UnknownName, message).help(format!("write `{name}=`")))
                }
                (Some(station), Some((each, all))) if all.is_empty() => {
                    let message = format!("`{name}.{}` is for a station, and no stations are named", station.text);
                    let help = format!("name all of them: `{each}={}`; for one alone write `{name}=`", station.text);
                    Some(said(Code::UnknownName, message).help(help))
                }
                (Some(station), Some((_, all))) => unknown_station(station, &all).map(|(message, help)| {
                    Diagnostic::error(Code::UnknownName, message).at(station.at).path(name.to_owned()).help(help)
                }),
                (None, Some((_, all))) if is_read(one.input) && !all.is_empty() => {
                    let message = format!("`{name}` is asked for at each station by itself");
                    Some(said(Code::BadValue, message).help(format!("write `{name}.{}=` and so on", all[0])))
                }
                (None, _) => None,
            };
            if let Some(fault) = fault {
                faults.push(fault);
            }
        }
        faults
    }

    fn stations_of(&self, answers: &Answers<'_>, each: &str) -> Vec<String> {
        answers.stations(self, each)
    }

    /// One error for each input that is not given and has no default.
    pub(super) fn missing(&self, given: &[Given<'_>], answers: &Answers<'_>) -> Diagnostics {
        let mut faults = Diagnostics::new();
        for input in self.inputs.iter().filter(|input| input.default.is_none()) {
            let name = &input.name.text;
            let all = input.each.as_ref().map_or(Vec::new(), |each| self.stations_of(answers, each));
            let of_input: Vec<&Given<'_>> = given.iter().filter(|one| one.input.name.text == *name).collect();
            // What was given wrongly is not missing too.
            let is_for = |one: &&Given<'_>, station: &str| {
                one.station
                    .as_ref()
                    .is_none_or(|for_one| for_one.text == station || Some(for_one.text.as_str()) == letters(station))
            };
            let lacking: Vec<&str> = all
                .iter()
                .map(String::as_str)
                .filter(|station| !of_input.iter().any(|one| is_for(one, station)))
                .collect();
            let form = match input.takes {
                Takes::Choice => input.choices.join(" or "),
                takes => takes.form().to_owned(),
            };
            let (what, label) = match lacking.first() {
                Some(first) => (format!("`{name}` is not given for {}", lacking.join(", ")), format!("{name}.{first}")),
                None if all.is_empty() && of_input.is_empty() => (format!("`{name}` is not given"), name.clone()),
                None => continue,
            };
            let fault = Diagnostic::error(Code::MissingInput, format!("{what}: {}", input.ask));
            let help = format!("{} Write it like {label}={form}", input.how);
            faults.push(fault.at(input.name.at).path(format!("inputs.{name}")).help(help.trim_start()));
        }
        faults
    }
}

/// Message and help where a name is neither a station nor the letters of any.
fn unknown_station(station: &Named, all: &[String]) -> Option<(String, String)> {
    let name = station.text.as_str();
    if all.iter().any(|one| one == name || letters(one) == Some(name)) {
        return None;
    }
    let help = match nearest(name, all.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the stations are {}", all.join(", ")),
    };
    Some((format!("no station is called `{name}`"), help))
}
