//! What is written once and stands once for each station: in the preset, on the line, in an example.

use shimwright_engine::document::diagnostic::{Code, Diagnostics};
use shimwright_engine::document::load_tree;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::Node;

use super::{has, shown};
use crate::Preset;

const GOOD: &str = "\
preset: test-feet
title: t
family: f
source: none
inputs:
  feet: { ask: a, how: h, takes: stations, default: [], source: none }
  rise: { ask: a, how: h, takes: readings, instrument: indicator }
  band: { ask: a, how: h, takes: limits }
  half: { ask: a, how: h, takes: length, default: 0.02, source: none }
  box: { ask: a, how: h, takes: kit, default: { sizes: [0.1, 0.2], tolerance: 0.001 }, source: none }
stack:
  dimensions: { half: $half }
  each feet:
    dimensions: { rise: $rise }
    gaps:
      step: { chain: 2*rise - plate/1 - half, accept: $band, target: rise / 2 }
      over: { chain: step - rise, accept: at least rise - 5 }
    packs:
      plate: { kit: box, count: 1 }
  kits: { box: $box }
examples:
  - title: one
    source: own numbers
    given: { rise: 0.3, band: [0.1, 0.9] }
    expect: { plate: [0.1], verdict: in }
  - title: two
    source: own numbers
    given: { feet: [a1, a2], rise: { a1: [0.3, 0.31], a2: 0.5 }, band: { a: [0.1, 0.9] } }
    expect: { plate a2: [0.1], step a1: { is: 0.4, within: 0.1 } }
";

fn read(text: &str) -> Result<(Preset, Sources), Diagnostics> {
    let mut sources = Sources::new();
    let id = sources.add("preset test", text);
    Preset::read_source(&sources, id).map(|preset| (preset, sources))
}

fn compiled(arguments: &[&str]) -> Result<(Node, Sources), Diagnostics> {
    let (preset, mut sources) = read(GOOD).unwrap();
    let arguments: Vec<String> = arguments.iter().map(|&one| one.to_owned()).collect();
    preset.compile(&mut sources, &arguments).map(|tree| (tree, sources))
}

fn at(arguments: &[&str], way: &[&str]) -> String {
    let (tree, sources) = compiled(arguments).unwrap();
    load_tree(&sources, &tree).unwrap();
    shown(way.iter().fold(&tree, |node, key| node.get(key).unwrap()))
}

const TWO: [&str; 5] = ["feet=a1/a2", "rise.a1=0.3@calliper", "rise.a2=0.5", "rise.a2=0.51", "band.a=0.1..0.9"];

#[test]
fn without_stations_the_block_stands_once_as_it_is_written() {
    let line = ["rise=0.3", "band=0.1..0.9"];
    assert_eq!(at(&line, &["dimensions"]), "{half: 0.02, rise: {readings: [0.3], instrument: indicator}}");
    assert_eq!(at(&line, &["gaps", "step", "chain"]), "2*rise - plate/1 - half");
    assert_eq!(at(&line, &["packs"]), "{plate: {kit: box, count: 1}}");
}

#[test]
fn with_stations_it_stands_once_for_each_under_its_name() {
    assert_eq!(
        at(&TWO, &["dimensions"]),
        "{half: 0.02, rise a1: {readings: [0.3], instrument: calliper}, rise a2: {readings: [0.5, 0.51], instrument: indicator}}"
    );
    assert_eq!(
        at(&TWO, &["gaps", "step a2"]),
        "{chain: 2*rise a2 - plate a2/1 - half, accept: [0.1, 0.9], target: rise a2 / 2}"
    );
    assert_eq!(at(&TWO, &["gaps", "over a1"]), "{chain: step a1 - rise a1, accept: at least rise a1 - 5}");
    assert_eq!(at(&TWO, &["packs"]), "{plate a1: {kit: box, count: 1}, plate a2: {kit: box, count: 1}}");
    assert_eq!(at(&TWO, &["kits", "box", "sizes"]), "[0.1, 0.2]");
    assert_eq!(
        at(&[&TWO[..], &["box.on_hand=0.1+0.2+0.10"]].concat(), &["kits", "box", "on_hand"]),
        "{0.1: 2, 0.2: 1}"
    );
    assert_eq!(at(&[&TWO[..], &["box.on_hand=none"]].concat(), &["kits", "box", "on_hand"]), "{}");
}

#[test]
fn a_value_is_a_stations_own_then_that_of_its_letters_then_that_for_all() {
    let accept = |line: &[&str], gap: &str| at(&[&TWO[..4], line].concat(), &["gaps", gap, "accept"]);
    assert_eq!(accept(&["band=0.1..0.9"], "step a1"), "[0.1, 0.9]");
    assert_eq!(accept(&["band=0.1..0.9", "band.a=0.2..0.9"], "step a1"), "[0.2, 0.9]");
    assert_eq!(accept(&["band.a1=0.3..0.9", "band.a=0.2..0.9"], "step a1"), "[0.3, 0.9]");
    assert_eq!(accept(&["band.a1=0.3..0.9", "band.a=0.2..0.9"], "step a2"), "[0.2, 0.9]");
}

#[test]
fn an_example_gives_each_station_its_own() {
    let (preset, sources) = read(GOOD).unwrap();
    assert_eq!(preset.input("rise").unwrap().each.as_deref(), Some("feet"));
    assert_eq!(preset.input("half").unwrap().each, None);
    let tree = preset.compile_example(&sources, &preset.examples[1]).unwrap();
    assert!(load_tree(&sources, &tree).is_ok());
    let rise = tree.get("dimensions").and_then(|all| all.get("rise a1")).unwrap();
    assert_eq!(shown(rise), "{readings: [0.3, 0.31], instrument: indicator}");
}

#[test]
fn what_the_line_says_of_stations_is_checked() {
    let refused = |line: &[&str]| compiled(line).unwrap_err();
    let faults = refused(&["feet=a1/a2", "rise.a1=0.3", "band.b=1..2", "half.a1=0.1"]);
    has(&faults, Code::MissingInput, "`rise` is not given for a2");
    has(&faults, Code::UnknownName, "no station is called `b`");
    has(&faults, Code::UnknownName, "`half` is one for all");
    has(&faults, Code::MissingInput, "`band` is not given for a1, a2");
    has(
        &refused(&["feet=a1", "rise=0.3", "band=1..2"]),
        Code::BadValue,
        "`rise` is asked for at each station by itself",
    );
    has(&refused(&["rise.a1=0.3", "rise=0.3", "band=1..2"]), Code::UnknownName, "no stations are named");
    has(&refused(&["feet=a1//a2", "rise=0.3", "band=1..2"]), Code::BadValue, "a name is missing");
    has(&refused(&["feet=a-1", "rise.a-1=0.3", "band=1..2"]), Code::BadName, "`a-1` cannot be the name of a station");
    has(&refused(&["feet=target", "rise=0.3", "band=1..2"]), Code::BadName, "`target` cannot be");
    has(&refused(&["feet=a/a", "rise.a=0.3", "band=1..2"]), Code::DoubleKey, "named twice");
    has(&refused(&["rise=0.3", "band=1..2", "box.on_hand=all"]), Code::BadValue, "does not say what is in the box");
    has(&refused(&["rise=0.3", "band=1..2", "box.hand=0.1"]), Code::UnknownName, "`box` is one for all");
}

#[test]
fn what_a_preset_says_of_stations_is_checked() {
    let changed = |from: &str, to: &str| {
        assert!(GOOD.contains(from), "{from}");
        read(&GOOD.replacen(from, to, 1)).unwrap_err()
    };
    has(&changed("each feet:", "each foot:"), Code::BadInput, "no input that takes stations is called `foot`");
    has(&changed("packs:\n      plate", "pack:\n      plate"), Code::UnknownKey, "did you mean `packs`?");
    let twice = changed("  kits: {", "  each half:\n    gaps: { low: { chain: 0.1, accept: $band } }\n  kits: {");
    has(&twice, Code::BadInput, "`$band` stands under `each feet` and `each half`");
    has(&changed("feet: [a1, a2]", "feet: [a1, a1]"), Code::DoubleKey, "named twice");
    has(&changed("plate a2: [0.1]", "plate a3: [0.1]"), Code::BadInput, "no pack and no gap is called `plate a3`");
    has(&changed("band: { a: [0.1, 0.9] }", "band: { a: wide }"), Code::WrongForm, "`wide` is no pair of limits");
}
