//! Every shipped preset, with every example that it has.

use shimwright_engine::document::diagnostic::Severity;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::{load, load_tree, yaml};

use super::{preset, shown};
use crate::{Expectation, Preset, Takes, catalogue, print};

#[test]
fn every_preset_reads_and_is_complete() {
    for entry in catalogue() {
        let (preset, _) = preset(entry.name);
        assert_eq!((preset.title.as_str(), preset.family.as_str()), (entry.title.as_str(), entry.family.as_str()));
        assert!(preset.cautions.len() > 1 && !preset.fitting.is_empty() && !preset.verify.is_empty(), "{}", entry.name);
        let last = preset.cautions.last().unwrap();
        assert!(last.contains("do not replace"), "{}: the last caution defers to others: {last}", entry.name);
        assert!(!preset.sets.is_empty() && !preset.picture.is_empty() && !preset.mistakes.is_empty(), "{}", entry.name);
        for line in preset.picture.lines() {
            assert!(line.chars().count() <= 66 && line.is_ascii(), "{}: {line}", entry.name);
        }
        for input in &preset.inputs {
            assert!(input.how.ends_with('.') && input.how.contains(' '), "{} {}", entry.name, input.name.text);
        }
        assert!(preset.examples.len() > 1, "{}", entry.name);
        for example in &preset.examples {
            let verdict = example.expect.iter().any(|one| matches!(one, Expectation::Verdict(_)));
            assert!(verdict && !example.source.is_empty(), "{}: {}", entry.name, example.title);
        }
    }
}

#[test]
fn every_example_compiles_into_a_document() {
    for entry in catalogue() {
        let (preset, sources) = preset(entry.name);
        for example in &preset.examples {
            let tree = preset.compile_example(&sources, example).unwrap();
            let (document, notes) = load_tree(&sources, &tree)
                .unwrap_or_else(|faults| panic!("{}, {}: {:#?}", entry.name, example.title, super::lines(&faults)));
            assert!(notes.iter().all(|one| one.severity == Severity::Note));
            assert_eq!(document.title.as_deref(), Some(preset.title.as_str()));
            assert_eq!((&document.cautions, &document.fitting), (&preset.cautions, &preset.fitting));
            for expectation in &example.expect {
                match expectation {
                    Expectation::Pack { name, .. } => assert!(document.packs.iter().any(|pack| pack.name == *name)),
                    Expectation::Gap { name, .. } => assert!(document.gaps.iter().any(|gap| gap.name == *name)),
                    Expectation::Verdict(_) => {}
                }
            }
        }
    }
}

#[test]
fn what_expand_prints_is_the_same_document() {
    for entry in catalogue() {
        let (preset, sources) = preset(entry.name);
        for example in &preset.examples {
            let tree = preset.compile_example(&sources, example).unwrap();
            let text = print(&tree);
            assert!(!text.contains('$'), "{}:\n{text}", entry.name);
            let mut again = Sources::new();
            let id = again.add("expanded", text.clone());
            let back = yaml::read(&again, id).unwrap();
            assert_eq!(shown(&back), shown(&tree), "{text}");
            assert_eq!(print(&back), text);
            let (first, _) = load_tree(&sources, &tree).unwrap();
            let (second, _) = load(&again, id).unwrap();
            // Places differ, and nothing else may.
            assert_eq!(without_places(&format!("{first:?}")), without_places(&format!("{second:?}")));
        }
    }
}

fn without_places(text: &str) -> String {
    let mut pieces = text.split("Span {");
    let first = pieces.next().unwrap_or("").to_owned();
    pieces.fold(first, |all, piece| all + piece.split_once('}').map_or("", |(_, behind)| behind))
}

#[test]
fn every_word_of_takes_is_a_kind() {
    let words = Takes::ALL.map(Takes::word);
    assert_eq!(words.as_slice(), shimwright_engine::document::keys::TAKES);
}

#[test]
fn the_drive_shaft_expands_into_a_page() {
    let (preset, mut sources) = preset("drive-shaft");
    let arguments = ["depth=96.42/96.40/96.43", "length=93.05/93.06", "lug=4.20"].map(str::to_owned);
    let text = print(&preset.compile(&mut sources, &arguments).unwrap());
    let head = "\
title: Drive shaft set to half-lug engagement
dimensions:
  depth: { readings: [96.42, 96.40, 96.43], instrument: depth gauge, allow_spread: 0.05 mm }
  length: { readings: [93.05, 93.06], instrument: calliper }
  lug: { readings: [4.20], instrument: calliper }
  band: 0.30 mm
gaps:
  clearance:
    chain: depth - length - washers
    target: lug / 2
    accept: [lug / 2 - band, lug / 2 + band]
  engaged: { chain: lug - clearance }
packs:
  washers: { kit: shelf, count: [1, 3] }
kits:
  shelf: { sizes: [0.60 mm], tolerance: 0.015 mm }
fitting:
  - \"Before anything comes out,";
    assert!(text.starts_with(head), "{text}");
}

/// A preset with no more than it must have, in the short form of one line an input.
const SHORT: &str = r#"preset: drive-shaft
title: Drive shaft set to half-lug engagement
family: drive stacks
source: none
inputs:
  depth:  { ask: "bore depth", how: "three places or more", takes: readings, instrument: depth gauge, allow_spread: 0.05 mm }
  length: { ask: "clamp face to washer face", how: "spring out, twice", takes: readings, instrument: calliper }
  lug:    { ask: "length of one lug", takes: readings, instrument: calliper }
  band:   { ask: "how far from half a lug is still good", takes: length, default: 0.30 mm, source: none }
  count:  { ask: "fewest and most washers", takes: count, default: [1, 3], source: none }
  shelf:  { ask: "the washers you have", takes: kit, default: { sizes: [0.60 mm], tolerance: 0.015 mm }, source: none }
stack:
  dimensions: { depth: $depth, length: $length, lug: $lug, band: $band }
  gaps:
    clearance: { chain: depth - length - washers, target: lug / 2, accept: [lug / 2 - band, lug / 2 + band] }
    engaged: { chain: lug - clearance }
  packs: { washers: { kit: shelf, count: $count } }
  kits: { shelf: $shelf }
examples:
  - title: a case that was never cut
    source: own numbers
    given: { depth: [96.42, 96.40, 96.43], length: [93.05, 93.06], lug: 4.20 }
    expect: { washers: [0.60, 0.60], clearance: { is: 2.162, within: 0.001 }, verdict: in }
"#;

#[test]
fn a_short_preset_is_enough() {
    let mut sources = Sources::new();
    let id = sources.add("preset short", SHORT);
    let preset = Preset::read_source(&sources, id).unwrap();
    let tree = preset.compile_example(&sources, &preset.examples[0]).unwrap();
    assert!(load_tree(&sources, &tree).is_ok());
    assert_eq!(preset.examples[0].expect.len(), 3);
}

#[test]
fn every_demo_is_a_document_and_prints_as_one() {
    for text in [
        include_str!("../../demos/bevel-preload.yaml"),
        include_str!("../../demos/layshaft.yaml"),
        include_str!("../../demos/pump-inch.yaml"),
        include_str!("../../demos/trial-rings.yaml"),
        include_str!("../../demos/wren-twin.yaml"),
    ] {
        let mut sources = Sources::new();
        let id = sources.add("demo", text);
        let (first, _) = load(&sources, id).unwrap();
        let printed = sources.add("printed", print(&yaml::read(&sources, id).unwrap()));
        let (second, _) = load(&sources, printed).unwrap();
        assert_eq!(without_places(&format!("{first:?}")), without_places(&format!("{second:?}")));
    }
}
