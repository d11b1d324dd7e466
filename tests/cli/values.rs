//! What is wrong with NAME=VALUE or with a preset, through the tool.

use serde_json::Value;

use crate::tool::{Run, run, run_with};

const FILE: &str = "presets/demos/layshaft.yaml";
/// The inputs that `drive-shaft` asks for, all given.
const GIVEN: [&str; 3] = ["depth=96.42/96.40", "length=93.05/93.06", "lug=4.20"];

fn errors(said: &Run, words: &[&str]) -> Vec<Value> {
    assert_eq!((said.status, said.out.as_str()), (3, ""), "{words:?}\n{}", said.err);
    let report: Value = serde_json::from_str(&said.err).unwrap_or_else(|fault| panic!("{words:?}: {fault}"));
    report["errors"].as_array().unwrap().clone()
}

/// That a line has one fault, on the command line, with this code and these words in its message or its advice.
fn one_fault(stack: &str, values: &[&str], code: &str, phrase: &str) {
    let words = [&["pick", stack, "--json"], values].concat();
    let errors = errors(&run(&words), &words);
    let [one] = errors.as_slice() else { panic!("{words:?}: {errors:#?}") };
    assert_eq!(one["code"], code, "{one:#}");
    assert_eq!((&one["file"], &one["line"]), (&"command line".into(), &1.into()), "{one:#}");
    assert!(one["column"].as_u64().unwrap() >= 1, "{one:#}");
    let said = format!("{} {}", one["message"].as_str().unwrap(), one["help"].as_str().unwrap_or_default());
    assert!(said.contains(phrase), "{said}");
}

#[test]
fn a_value_that_cannot_be_read_is_refused_at_its_place() {
    for (value, code, phrase) in [
        ("pocket=53,97", "decimal-comma", "write 53.97 if it is a decimal point, 53/97 if it stands between"),
        ("pocket=71.35 cm", "unknown-unit", "the units are mm, in, thou, um"),
        ("pocket=71.35 inches", "unknown-unit", "write `in`"),
        ("pocket=readings.csv", "bad-value", "is a table"),
        ("pocket=", "bad-value", "there is no value"),
        ("pocket=1/2 in", "bad-value", "write 0.5 in if it is a fraction, 1.0/2.0 in if it stands between two values"),
        ("pocket=2 13/16 in", "bad-value", "write 2.8125 in if it is a fraction, 2.0/13.0/16.0 in"),
        ("pocket=71.3.5", "not-a-number", "`71.3.5`"),
        ("pocket=1e400", "not-finite", "too large"),
        ("pocket=71.35@caliper", "unknown-name", "did you mean `calliper`?"),
        ("pocket=0.15goes", "bad-value", "what goes and what stops belong together"),
        ("pocket=0.20goes/0.15stops", "wrong-way-round", "what stops must be thicker"),
        ("pocket=71.35/71.36/7.135", "slip-of-unit", "10 times off"),
        ("pocket=71.35@", "bad-value", "there is nothing behind the `@`"),
        ("end washer=2.50+0.02", "bad-value", "both deviations"),
        ("end washer=2.52..2.48", "wrong-way-round", "write 2.48..2.52"),
        ("float.target=wide", "bad-value", "`wide` has no meaning here"),
        ("float.found=0.25", "needs-fitted", "`shims` does not say which shims were in give shims.fitted=0.30+0.50"),
        ("shims.fitted=0.15/0.30", "bad-value", "shims are joined by `+`"),
    ] {
        one_fault(FILE, &[value], code, phrase);
    }
}

#[test]
fn a_name_that_is_not_there_has_its_neighbour_named() {
    for (value, phrase) in [
        ("pockt=71.35", "did you mean `pocket`?"),
        ("float.fond=0.25", "did you mean `.found`?"),
        ("float=0.25", "write `float.found=` or `float.target=`"),
        ("shims=0.25", "write `shims.fitted=`"),
        ("pocket.found=0.25", "write `pocket=` and its value"),
        ("drawer=0.20/0.25", "a kit of a stack document is changed in the document"),
    ] {
        one_fault(FILE, &[value], "unknown-name", phrase);
    }
}

#[test]
fn a_slip_of_the_decimal_point_is_seen_on_the_line_too() {
    one_fault(FILE, &["end washer=2.50+-0.02", "end washer=24.9"], "slip-of-unit", "10 times off");
}

#[test]
fn a_trial_pack_that_is_tight_says_nothing() {
    one_fault(FILE, &["float.found=0.00", "shims.fitted=0.30"], "tight-play", "put in a thinner trial pack");
}

#[test]
fn the_inputs_of_a_preset_are_checked() {
    for (value, code, phrase) in [
        ("lgu=4.20", "unknown-name", "did you mean `lug`?"),
        ("count=3..1", "count", "write 1..3"),
        ("count=some", "count", "`some` is not a count"),
        ("shelf=0.80:0.60:0.05", "wrong-way-round", "the wrong way round"),
        ("shelf=0/0.60", "kit-size", "greater than zero"),
        ("band=0.3/0.2", "bad-value", "a length is one number"),
        ("shelf=units.csv", "bad-value", "is a table"),
    ] {
        one_fault("drive-shaft", &[&GIVEN[..], &[value]].concat(), code, phrase);
    }
    let twice = [&GIVEN[..], &["count=1", "count=2"]].concat();
    one_fault("drive-shaft", &twice, "double-key", "`count` is given twice");
}

#[test]
fn missing_inputs_are_all_named_with_what_is_asked() {
    let words = ["pick", "drive-shaft", "depth=53,97", "--json"];
    let errors = errors(&run(&words), &words);
    let said = |code: &str| -> Vec<&str> {
        errors.iter().filter(|one| one["code"] == code).map(|one| one["message"].as_str().unwrap()).collect()
    };
    assert_eq!(said("decimal-comma").len(), 1, "{errors:#?}");
    let missing = said("missing-input");
    assert!(missing.iter().any(|one| one.starts_with("`length` is not given")), "{missing:?}");
    assert!(missing.iter().any(|one| one.starts_with("`lug` is not given")), "{missing:?}");
    assert_eq!(missing.len(), 2, "what was given and cannot be read is not missing: {missing:?}");
}

#[test]
fn a_preset_that_is_not_there_has_its_neighbour_named() {
    let words = ["pick", "drive-shft", "--json"];
    let errors = errors(&run(&words), &words);
    assert_eq!((errors.len(), &errors[0]["code"]), (1, &"unknown-preset".into()));
    assert_eq!(errors[0]["help"], "did you mean `drive-shaft`?");
}

#[test]
fn the_line_and_the_file_are_one_report() {
    let document = "dimensions:\n  bore: { size: 42.50, tolerence: 0.03 }\n  wheel: 41.87\n\
                    gaps:\n  float: { chain: bore - wheel - shims, accept: [0.10, 0.30] }\n\
                    packs:\n  shims: { kit: tray }\nkits:\n  tray: { sizes: [0.20] }\n";
    let words = ["pick", "-", "wheel=41,87", "weel=3", "--json"];
    let errors = errors(&run_with(&words, document), &words);
    let codes: Vec<&str> = errors.iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert_eq!(codes.len(), 3, "{errors:#?}");
    for code in ["decimal-comma", "unknown-name", "unknown-key"] {
        assert!(codes.contains(&code), "{codes:?}");
    }
}

#[test]
fn a_line_that_is_no_line_is_told_from_a_wrong_value() {
    for words in [&["pick", FILE, "pocket"][..], &["pick", FILE, "=3"], &["pick", FILE, "--confidence", "2"]] {
        let said = run(words);
        assert_eq!((said.status, said.out.as_str()), (2, ""), "{words:?}");
        assert!(!said.err.is_empty());
    }
}
