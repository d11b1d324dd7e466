//! What a command line says to a preset.

use shimwright_engine::document::diagnostic::{Code, Diagnostics};
use shimwright_engine::document::load_tree;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::Node;

use super::{has, preset, shown};

fn compiled(name: &str, arguments: &[&str]) -> (Result<Node, Diagnostics>, Sources) {
    let (preset, mut sources) = preset(name);
    let arguments: Vec<String> = arguments.iter().map(|&one| one.to_owned()).collect();
    let result = preset.compile(&mut sources, &arguments);
    (result, sources)
}

/// The node at a way through the document.
fn at(name: &str, arguments: &[&str], way: &[&str]) -> String {
    let (result, sources) = compiled(name, arguments);
    let tree = result.unwrap();
    load_tree(&sources, &tree).unwrap();
    shown(way.iter().fold(&tree, |node, key| node.get(key).unwrap()))
}

fn refused(name: &str, arguments: &[&str]) -> Diagnostics {
    compiled(name, arguments).0.unwrap_err()
}

const SHAFT: [&str; 3] = ["depth=96.42/96.40/96.43", "length=93.05", "lug=4.20"];
const VALVE: [&str; 3] = ["lash=0.06", "old=2.70", "wanted=0.12..0.18"];
const PLAY: [&str; 5] =
    ["trial=0.287+0.351", "play=0.41/0.42", "wanted=0.06..0.12", "count=3", "box=0.21/0.25/0.29/0.32"];

fn with<'a>(first: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    first.iter().chain(more).copied().collect()
}

#[test]
fn readings_become_a_dimension_with_the_inputs_keys() {
    let depth = ["dimensions", "depth"];
    assert_eq!(
        at("drive-shaft", &SHAFT, &depth),
        "{readings: [96.42, 96.40, 96.43], instrument: depth gauge, allow_spread: 0.05 mm}"
    );
    let own = ["depth=96.42@calliper", "depth=96.40", "length=93.05", "lug=4.20"];
    assert_eq!(
        at("drive-shaft", &own, &depth),
        "{readings: [96.42, 96.40], instrument: calliper, allow_spread: 0.05 mm}"
    );
    assert_eq!(at("valve-lash", &VALVE, &["gaps", "lash", "found"]), "{readings: [0.06], instrument: feelers}");
}

#[test]
fn each_kind_becomes_what_the_document_takes() {
    let shaft = |more: &[&str], way: &[&str]| at("drive-shaft", &with(&SHAFT, more), way);
    assert_eq!(shaft(&["band=0.012 in"], &["dimensions", "band"]), "0.012 in");
    assert_eq!(shaft(&["count=2"], &["packs", "washers", "count"]), "2");
    assert_eq!(shaft(&["count=1..2"], &["packs", "washers", "count"]), "[1, 2]");
    assert_eq!(
        shaft(&["shelf=0.60/1.00"], &["kits", "shelf"]),
        "{sizes: [0.60, 1.00], tolerance: 0.015 mm}",
        "the default's tolerance stays"
    );
    assert_eq!(
        at("valve-lash", &with(&VALVE, &["tray=2.00:3.00:0.025 mm"]), &["kits", "tray", "sizes"]),
        "{from: 2.00 mm, to: 3.00 mm, step: 0.025 mm}"
    );
    let play = |more: &[&str], way: &[&str]| at("end-play", &with(&PLAY, more), way);
    assert_eq!(play(&[], &["packs", "rings", "stay"]), "[]");
    assert_eq!(play(&["stay=all"], &["packs", "rings", "stay"]), "all");
    assert_eq!(play(&["stay=0.287"], &["packs", "rings", "stay"]), "[0.287]");
    assert_eq!(play(&["sense=preload"], &["gaps", "setting", "as"]), "preload");
    assert_eq!(play(&[], &["kits", "box"]), "{sizes: [0.21, 0.25, 0.29, 0.32]}");
    let open = ["lash=0.06", "old=2.70@calliper", "wanted=at least 0.12", "lash.target=0.15"];
    assert_eq!(at("valve-lash", &open, &["gaps", "lash", "accept"]), "at least 0.12");
    assert_eq!(at("valve-lash", &open, &["packs", "shim", "fitted"]), "[{readings: 2.70, instrument: calliper}]");
    assert_eq!(at("valve-lash", &open, &["gaps", "lash", "target"]), "0.15");
}

#[test]
fn parts_of_the_document_can_be_set_too() {
    let found = ["clearance.found=2.15/2.16@feelers", "washers.fitted=0.60+0.60"];
    let arguments = with(&SHAFT, &found);
    assert_eq!(
        at("drive-shaft", &arguments, &["gaps", "clearance", "found"]),
        "{readings: [2.15, 2.16], instrument: feelers}"
    );
    assert_eq!(at("drive-shaft", &arguments, &["packs", "washers", "fitted"]), "[0.60, 0.60]");
    assert_eq!(at("drive-shaft", &with(&SHAFT, &["clearance.target=2.0"]), &["gaps", "clearance", "target"]), "2.0");
}

#[test]
fn every_node_knows_where_it_came_from() {
    let (result, sources) = compiled("drive-shaft", &SHAFT);
    let tree = result.unwrap();
    let source = |way: &[&str]| {
        let node = way.iter().fold(&tree, |node, key| node.get(key).unwrap());
        (sources.get(node.at.source).name.clone(), sources.text(node.at).to_owned())
    };
    assert_eq!(
        source(&["dimensions", "depth", "readings"]),
        ("command line".to_owned(), "96.42/96.40/96.43".to_owned())
    );
    let preset = |text: &str| ("preset drive-shaft".to_owned(), text.to_owned());
    assert_eq!(source(&["dimensions", "band"]), preset("0.30 mm"));
    assert_eq!(source(&["dimensions", "depth", "instrument"]), preset("depth gauge"));
    assert_eq!(source(&["title"]), preset("Drive shaft set to half-lug engagement"));
}

#[test]
fn all_that_is_missing_is_said_at_once() {
    let faults = refused("end-play", &["play=0.41"]);
    let missing: Vec<&str> = faults.iter().map(|one| one.path.as_str()).collect();
    assert_eq!(missing, ["inputs.trial", "inputs.wanted", "inputs.count", "inputs.box"]);
    assert!(faults.iter().all(|one| one.code == Code::MissingInput && one.at.is_some()));
    has(&faults, Code::MissingInput, "`trial` is not given: the trial shims that are in while the play is read");
    has(&faults, Code::MissingInput, "may be wrong. Write it like box=0.22/0.26/0.28 or 2.00:3.50:0.05");
}

#[test]
fn a_value_of_another_kind_is_refused() {
    let faults = refused(
        "end-play",
        &["trial=0.3/0.4", "play=wide", "sense=prelod", "wanted=0.1", "count=x", "stay=1,5", "box=0.2:0.3", "count=3"],
    );
    has(&faults, Code::BadValue, "shims are joined by `+`");
    has(&faults, Code::BadValue, "`wide` has no meaning here");
    has(&faults, Code::UnknownWord, "`prelod` is not one of the choices of `sense`; did you mean `preload`?");
    has(&faults, Code::BadValue, "limits are written");
    has(&faults, Code::DoubleKey, "`count` is given twice");
    has(&faults, Code::DecimalComma, "write 1.5 if");
    has(&faults, Code::BadValue, "from, to and step");
    assert_eq!(faults.len(), 7, "what is given wrongly is not missing too: {faults:#?}");
    has(&refused("end-play", &with(&PLAY, &["sense=sideways"])), Code::UnknownWord, "one of: play, preload");
}

#[test]
fn an_unknown_name_gets_the_nearest_of_inputs_and_parts() {
    let faults =
        refused("drive-shaft", &with(&SHAFT, &["lenght=93", "clearence.found=2", "depth.found=3", "clearance=2"]));
    has(&faults, Code::UnknownName, "did you mean `length`?");
    has(&faults, Code::UnknownName, "did you mean `clearance.found`?");
    has(&faults, Code::UnknownName, "`depth` has no `.found`");
    has(&faults, Code::UnknownName, "`clearance.found=` or `clearance.target=`");
    assert_eq!(faults.len(), 4);
    has(
        &refused("drive-shaft", &with(&SHAFT, &["depth=1@a", "depth=2@b"])),
        Code::KeysExclude,
        "with `a` and with `b`",
    );
}
