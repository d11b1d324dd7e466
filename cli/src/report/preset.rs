//! A preset as a page of a workshop manual.

use serde_json::{Value, json};
use shimwright_engine::document::tree::Node;
use shimwright_presets::{Input, Preset, Takes, inline};

use super::json::FORMAT;
use super::text::hanging;

/// The page.
#[must_use]
pub fn page(preset: &Preset, width: usize) -> String {
    let mut page = format!("{}\n", preset.title.to_uppercase());
    if !preset.sets.is_empty() {
        page.push_str(&hanging("", &format!("Sets: {}", preset.sets), width));
    }
    page.push_str(&hanging("", &format!("Method from: {}", origin(&preset.source)), width));
    if !preset.picture.is_empty() {
        page.push('\n');
        for line in preset.picture.lines() {
            page.push_str(&format!("    {line}\n"));
        }
    }
    page.push_str("\nMeasure and give, in this order\n");
    for (index, input) in preset.inputs.iter().enumerate() {
        page.push_str(&asked(index + 1, input, width));
    }
    for (heading, lines, numbered) in [
        ("Fitting, in this order", &preset.fitting, true),
        ("Check after assembly", &preset.verify, false),
        ("Usual mistakes", &preset.mistakes, false),
        ("Take care", &preset.cautions, false),
    ] {
        page.push_str(&list(heading, lines, numbered, width));
    }
    page.push_str(&format!("\nTry it\n  {}\n", sample(preset)));
    page
}

fn origin(source: &str) -> &str {
    if source == "none" { "common practice, no source" } else { source }
}

fn asked(number: usize, input: &Input, width: usize) -> String {
    let mut text = hanging(&format!("  {number}. {}: ", input.name.text), &input.ask, width);
    if !input.how.is_empty() {
        text.push_str(&hanging("     ", &input.how, width));
    }
    let mut facts = vec![form(input.takes).to_owned()];
    if !input.choices.is_empty() {
        facts.push(format!("one of {}", input.choices.join(", ")));
    }
    if let Some(each) = &input.each {
        facts.push(format!("one for each of the {each}, where there are any"));
    }
    if let Some(instrument) = &input.instrument {
        facts.push(format!("by the {}", instrument.text));
    }
    if input.takes == Takes::Stations && input.default.is_some() {
        facts.push("may be left out".to_owned());
    } else if let Some(default) = &input.default {
        let source = input.source.as_deref().map_or(String::new(), |source| format!(" ({})", origin(source)));
        facts.push(format!("{} where not given{source}", inline(default)));
    }
    text.push_str(&hanging("     ", &facts.join("; "), width));
    text
}

/// How a value of this kind is typed, by an example of it.
fn form(takes: Takes) -> &'static str {
    match takes {
        Takes::Readings => "readings, such as 53.97/53.96/53.99",
        Takes::Length => "a length, such as 0.30",
        Takes::Limits => "limits, such as 0.05..0.20",
        Takes::Count => "a count, such as 3 or 1..3",
        Takes::Kit => "sizes, such as 0.22/0.26/0.28 or 2.00:3.50:0.05",
        Takes::Shims => "shims, such as 0.30+0.50",
        Takes::Choice => "a word",
        Takes::Stations => "names, such as I1/I2/E1/E2",
    }
}

fn list(heading: &str, lines: &[String], numbered: bool, width: usize) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{heading}\n");
    for (index, line) in lines.iter().enumerate() {
        let lead = if numbered { format!("  {}. ", index + 1) } else { "  - ".to_owned() };
        text.push_str(&hanging(&lead, line, width));
    }
    text
}

/// A line to type, with the inputs that have no default left open.
fn sample(preset: &Preset) -> String {
    let needed = preset.inputs.iter().filter(|input| input.default.is_none());
    let words: Vec<String> = needed.map(|input| format!("{}=...", input.name.text)).collect();
    format!("shimwright pick {} {}", preset.name, words.join(" "))
}

/// The preset as JSON.
#[must_use]
pub fn json(preset: &Preset) -> Value {
    let inputs: Vec<Value> = preset
        .inputs
        .iter()
        .map(|input| {
            json!({
                "name": input.name.text,
                "ask": input.ask,
                "how": input.how,
                "takes": input.takes.word(),
                "instrument": input.instrument.as_ref().map(|one| &one.text),
                "default": input.default.as_ref().map(|node: &Node| inline(node)),
                "source": input.source,
                "choices": input.choices,
                "each": input.each,
            })
        })
        .collect();
    json!({
        "format": FORMAT,
        "command": "preset show",
        "name": preset.name,
        "title": preset.title,
        "family": preset.family,
        "source": preset.source,
        "sets": preset.sets,
        "inputs": inputs,
        "fitting": preset.fitting,
        "verify": preset.verify,
        "mistakes": preset.mistakes,
        "cautions": preset.cautions,
    })
}
