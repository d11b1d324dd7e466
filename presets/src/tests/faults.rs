//! What a preset may not be: one fault each, and where it is said to be.

use shimwright_engine::document::diagnostic::{Code, Diagnostics};
use shimwright_engine::document::load_tree;
use shimwright_engine::document::source::Sources;

use super::{has, lines, shown};
use crate::{Entry, Preset};

const GOOD: &str = "\
preset: test-gap
title: t
family: f
source: none
sets: s
picture: p
inputs:
  deep: { ask: a, how: h, takes: readings, instrument: calliper }
  high: { ask: a, how: h, takes: readings }
  band: { ask: a, how: h, takes: limits }
  box: { ask: a, how: h, takes: kit, default: { sizes: [0.1], on_hand: { 0.1: 2 }, tolerance: 0.01 }, source: none }
  many: { ask: a, how: h, takes: count, default: [1, 3], source: none }
  sort: { ask: a, how: h, takes: choice, choices: [nearest, looser], default: looser, source: none }
  old: { ask: a, how: h, takes: shims, default: [], source: none }
stack:
  dimensions:
    deep: $deep
    high: { readings: $high, instrument: feelers }
  gaps:
    gap: { chain: deep - high - pack, accept: $band, lean: $sort }
  packs:
    pack: { kit: box, count: $many, fitted: $old }
  kits:
    box: $box
fitting: [x]
verify: [x]
mistakes: [x]
cautions: [x]
examples:
  - title: one
    source: own numbers
    given: { deep: [3.0, 3.1], high: 2.5, band: at least 0.1, old: [0.1] }
    expect: { pack: [0.1], gap: { is: 0.45, within: 0.001 }, verdict: in }
";

fn read(text: &str) -> (Result<Preset, Diagnostics>, Sources) {
    let mut sources = Sources::new();
    let id = sources.add("preset test", text);
    (Preset::read_source(&sources, id), sources)
}

/// The faults of the good preset after one change.
fn changed(from: &str, to: &str) -> Diagnostics {
    assert!(GOOD.contains(from), "{from}");
    read(&GOOD.replacen(from, to, 1)).0.unwrap_err()
}

/// That one change makes one fault with this code and these words, at a place.
fn one(from: &str, to: &str, code: Code, words: &str) {
    let faults = changed(from, to);
    has(&faults, code, words);
    assert_eq!(faults.len(), 1, "{:#?}", lines(&faults));
    assert!(faults.iter().all(|one| one.at.is_some()));
}

#[test]
fn the_good_one_is_good() {
    let (preset, mut sources) = read(GOOD);
    let preset = preset.unwrap();
    let tree = preset.compile_example(&sources, &preset.examples[0]).unwrap();
    load_tree(&sources, &tree).unwrap();
    let arguments = ["deep=3", "high=2@micrometer", "band=0.1..0.2", "box=0.2/0.3"].map(str::to_owned);
    let tree = preset.compile(&mut sources, &arguments).unwrap();
    let high = tree.get("dimensions").and_then(|dimensions| dimensions.get("high")).unwrap();
    assert_eq!(shown(high), "{readings: [2], instrument: micrometer}", "the value's instrument wins");
    let kit = tree.get("kits").and_then(|kits| kits.get("box")).unwrap();
    assert_eq!(shown(kit), "{sizes: [0.2, 0.3], tolerance: 0.01}", "counts of other sizes do not stay");
}

#[test]
fn a_dollar_stands_for_a_whole_value_of_an_input() {
    one(
        "deep: $deep",
        "deep: $deeep\n    other: $deep",
        Code::BadInput,
        "no input is called `deeep`; did you mean `$deep`?",
    );
    one("deep: $deep", "deep: $width\n    other: $deep", Code::BadInput, "the inputs are deep, high, band");
    one("chain: deep", "chain: deep - $deep", Code::BadInput, "nothing is pasted into text");
    one("chain: deep - high - pack,", "chain: deep - high - pack, note: \"so $many\",", Code::BadInput, "pasted");
    one("deep: $deep", "deep: $deep\n    other: $", Code::BadInput, "`$`: an input stands for a whole value");
    one("deep: $deep", "deep: $deep\n    $high: 3", Code::BadInput, "`$high`: an input cannot be a key");
    one("deep: $deep", "deep: 3", Code::BadInput, "the input `deep` is asked for, and the stack does not use it");
    one("count: $many", "count: $many, thickest: $high", Code::BadInput, "readings cannot stand here");
    assert!(read(&GOOD.replacen("chain: deep", "note: \"costs $5\", chain: deep", 1)).0.is_ok());
}

#[test]
fn every_key_is_wanted_and_no_other() {
    one("family: f\n", "", Code::MissingKey, "a preset needs `family`");
    one("family: f\n", "family: f\nfamilly: g\n", Code::UnknownKey, "did you mean `family`?");
    one("family: f\n", "family: f\nfamily: g\n", Code::DoubleKey, "given twice");
    one("{ ask: a, how: h, takes: limits }", "{ how: h, takes: limits }", Code::MissingKey, "`band` needs `ask`");
    one("takes: limits", "takes: limits, uses: most", Code::UnknownKey, "did you mean `use`?");
    one("    source: own numbers\n", "", Code::MissingKey, "an example needs `source`");
    one("stack:\n", "stack:\n  titel: x\n", Code::UnknownKey, "did you mean `title`?");
    one("stack:\n", "stack:\n  title: x\n", Code::BadInput, "beside the preset's own");
    one("preset: test-gap", "preset: Test gap", Code::BadName, "lower-case words joined by `-`");
}

#[test]
fn inputs_have_a_kind_and_what_belongs_to_it() {
    one("takes: limits", "takes: limit", Code::UnknownWord, "did you mean `limits`?");
    one("takes: limits", "takes: limits, instrument: calliper", Code::KeysExclude, "an input that takes readings");
    one("takes: limits", "takes: limits, choices: [a]", Code::KeysExclude, "an input that takes a choice");
    one("choices: [nearest, looser], ", "", Code::MissingKey, "needs `choices`");
    one("default: [1, 3], source: none", "default: [1, 3]", Code::MissingKey, "does not say where it comes from");
    one("  band:", "  a b: { ask: a, how: h, takes: length }\n  band:", Code::BadName, "more than one word");
    one("  band:", "  9: { ask: a, how: h, takes: length }\n  band:", Code::BadName, "`part 9`");
}

#[test]
fn defaults_and_given_values_are_of_their_kind() {
    one("default: [1, 3]", "default: [1, 2, 3]", Code::Count, "a count is a whole number");
    one("default: [1, 3]", "default: few", Code::Count, "a count is a whole number");
    one("default: looser", "default: loose", Code::UnknownWord, "not one of the choices of `sort`");
    one("default: []", "default: thin", Code::WrongForm, "a list of shims");
    one("sizes: [0.1], on_hand: { 0.1: 2 }, ", "", Code::EmptyKit, "the kit has no sizes");
    one("default: { sizes: [0.1], on_hand: { 0.1: 2 }, tolerance: 0.01 }", "default: 3", Code::WrongForm, "a kit");
    one("band: at least 0.1", "band: about 0.1", Code::WrongForm, "no pair of limits");
    one("band: at least 0.1", "band: [0.1]", Code::WrongForm, "limits are two lengths");
    one("deep: [3.0, 3.1]", "deep: []", Code::WrongForm, "there is no reading in it");
    one("deep: [3.0, 3.1]", "deep: { top: wide }", Code::NotANumber, "`wide`");
    one("high: 2.5", "high: 2,5", Code::DecimalComma, "`2,5` has a comma");
}

#[test]
fn examples_are_complete() {
    one("high: 2.5, ", "", Code::MissingInput, "`high` is not given, and it has no default");
    one("high: 2.5", "high: 2.5, oldd: []", Code::BadInput, "did you mean `old`?");
    one("verdict: in", "verdict: inn", Code::UnknownWord, "did you mean `in`?");
    one("pack: [0.1], gap", "pakc: [0.1], gap", Code::BadInput, "did you mean `pack`?");
    one("is: 0.45, within: 0.001", "is: 0.45", Code::MissingKey, "needs `within`");
    one("is: 0.45, within: 0.001", "is: 0.45, within: -1", Code::Negative, "may not be negative");
    one(
        "expect: { pack: [0.1], gap: { is: 0.45, within: 0.001 }, verdict: in }",
        "expect: {}",
        Code::BadInput,
        "nothing",
    );
    let list = GOOD.find("examples:").unwrap();
    let none = format!("{}examples: []\n", &GOOD[..list]);
    has(&read(&none).0.unwrap_err(), Code::BadInput, "there is no example");
    let map = format!("{}examples: {{}}\n", &GOOD[..list]);
    has(&read(&map).0.unwrap_err(), Code::WrongForm, "a list of examples");
}

#[test]
fn all_faults_come_in_one_report_with_their_places() {
    let text = GOOD
        .replace("family: f\n", "")
        .replace("$deep", "$dep")
        .replace("inn", "in")
        .replace("takes: limits", "takes: l");
    let (result, sources) = read(&text);
    let faults = result.unwrap_err();
    assert!(faults.len() >= 3, "{:#?}", lines(&faults));
    let place = faults.iter().find(|one| one.message.contains("`dep`")).unwrap();
    assert_eq!(sources.text(place.at.unwrap()), "$dep");
    assert_eq!(place.path, "stack.dimensions.deep");
}

#[test]
fn a_file_and_its_preset_have_one_name() {
    let entry = Entry { name: "other", title: String::new(), family: String::new(), text: GOOD };
    has(&Preset::read(&mut Sources::new(), &entry).unwrap_err(), Code::BadInput, "called `test-gap`");
    let entry = Entry { text: "a: [", ..entry };
    has(&Preset::read(&mut Sources::new(), &entry).unwrap_err(), Code::Yaml, "");
}
