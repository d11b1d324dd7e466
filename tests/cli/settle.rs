//! What would settle an answer, and guard bands, as the tool says them.

use serde_json::Value;

use crate::tool::run_with;

const STACK: &str = "dimensions:
  depth: { readings: [40.12, 40.16], instrument: calliper }
  length: { readings: [39.60, 39.61, 39.60], instrument: micrometer }
gaps:
  float: { chain: depth - length - shims, accept: [0.10, 0.16] }
packs:
  shims: { kit: box, count: [0, 3], fitted: [0.30, 0.10] }
kits:
  box: { sizes: [0.10, 0.20, 0.30, 0.50], tolerance: 0.005 }
";

fn said(words: &[&str], text: &str) -> String {
    let run = run_with(words, text);
    assert_eq!(run.status, 5, "{}{}", run.out, run.err);
    run.out
}

fn settle(words: &[&str], text: &str) -> Value {
    let answer: Value = serde_json::from_str(&said(&[words, &["--json"]].concat(), text)).unwrap();
    answer["gaps"][0].clone()
}

#[test]
fn one_sentence_says_what_to_read() {
    let line = "to settle it: read depth twice with the micrometer or a tool as good\n";
    for command in ["gap", "pick"] {
        let out = said(&[command, "-"], STACK);
        assert!(out.contains(line), "{command}: {out}");
    }
    let scatter = STACK.replace("[40.12, 40.16], instrument: calliper", "[40.12, 40.16], instrument: none");
    let out = said(&["gap", "-"], &scatter);
    assert!(out.contains("to settle it: read depth 6 more times\n"), "{out}");
    let drawing = STACK
        .replace("{ readings: [39.60, 39.61, 39.60], instrument: micrometer }", "{ size: 39.60, tolerance: 0.06 }");
    let out = said(&["gap", "-"], &drawing);
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("most of what is left is length, which was not read: read that too"), "{out}");
}

#[test]
fn verify_says_it_too() {
    let out = said(&["verify", "-", "float.found=0.158/0.15"], STACK);
    assert!(out.contains("to settle it: "), "{out}");
    assert!(out.contains("NOT SURE YET: float 0.15"), "{out}");
    // A finer reading of the parts would set sum and reading at odds, if both stay: only a finer dial does.
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("read float as found twice with the indicator over a tenth of a turn"), "{out}");
}

#[test]
fn json_lists_the_ways() {
    for words in [&["gap", "-"][..], &["pick", "-"], &["verify", "-", "float.found=0.154/0.150@none"]] {
        let gap = settle(words, STACK);
        let first = &gap["settle"][0];
        assert_eq!(first["way"], 1);
        assert!(first["dimension"].is_string() && first["readings"].as_u64().unwrap() >= 1, "{first}");
        let within = first["within"].as_f64().unwrap();
        assert!(within >= 0.95 || within <= 0.05, "{first}");
        assert!(gap.get("read_perfectly").is_some());
    }
    let gap = settle(&["gap", "-"], STACK);
    assert_eq!(gap["settle"][0]["instrument"], "micrometer");
    // A sure answer has nothing to settle.
    let sure = run_with(&["gap", "-", "--json"], &STACK.replace("[0.10, 0.16]", "[0.0, 0.3]"));
    let sure: Value = serde_json::from_str(&sure.out).unwrap();
    assert_eq!((&sure["gaps"][0]["settle"], &sure["gaps"][0]["read_perfectly"]), (&Value::Null, &Value::Null));
}

#[test]
fn guard_bands_are_said_and_listed_where_they_are_asked_for() {
    let wide = STACK.replace("[0.10, 0.16]", "[0.05, 0.20]");
    let run = run_with(&["gap", "-", "--guard"], &wide);
    assert_eq!(run.status, 0);
    assert!(run.out.contains("guard band: read between 0.083 and 0.167 and you are sure\n"), "{}", run.out);
    let json = |words: &[&str], text: &str| -> Value {
        let run = run_with(&[words, &["--json", "--samples", "0"]].concat(), text);
        serde_json::from_str::<Value>(&run.out).unwrap()["gaps"][0].clone()
    };
    let guard = &json(&["gap", "-", "--guard"], &wide)["guard"];
    let (low, high) = (guard["low"].as_f64().unwrap(), guard["high"].as_f64().unwrap());
    // The words are cut inwards: a value that they allow is allowed by the figures.
    assert!((0.082..=0.083).contains(&low) && (0.167..0.168).contains(&high), "{guard}");
    // Surer is narrower.
    let surer = &json(&["gap", "-", "--guard", "--confidence", "99%"], &wide)["guard"];
    assert!(surer["low"].as_f64().unwrap() > low && surer["high"].as_f64().unwrap() < high);
    // In inches the same limits.
    let inches = &json(&["gap", "-", "--guard", "--unit", "in"], &wide)["guard"];
    assert!((inches["low"].as_f64().unwrap() * 25.4 - low).abs() < 1e-12);
    let one = wide.replace("[0.05, 0.20]", "at most 0.20");
    let one = &json(&["gap", "-", "--guard"], &one)["guard"];
    assert_eq!(one["low"], Value::Null);
    assert!((one["high"].as_f64().unwrap() - high).abs() < 1e-4);
    // Too narrow for the tools: none, and said. Not asked for: not there.
    let narrow = run_with(&["gap", "-", "--guard"], STACK);
    let words = narrow.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("guard band: no value read could make you sure"), "{}", narrow.out);
    assert_eq!(json(&["gap", "-", "--guard"], STACK)["guard"], Value::Null);
    assert!(json(&["gap", "-"], STACK).get("guard").is_none());
}

#[test]
fn no_value_is_sure_on_a_face_that_is_not_flat() {
    let stack = "
dimensions:
  face: { readings: { top: 30.02, left: 30.10, right: 30.05 }, instrument: depth gauge, allow_spread: 0.05 }
  gear: { readings: [29.60, 29.61], instrument: micrometer }
gaps: { play: { chain: face - gear - shims, accept: [0.05, 0.20] } }
packs: { shims: { kit: box, fitted: [0.30] } }
kits: { box: { sizes: [0.10, 0.20, 0.30], tolerance: 0.005 } }
";
    let words = run_with(&["gap", "-", "--guard", "--samples", "0"], stack).out;
    assert!(!words.contains("you are sure"), "{words}");
    let answer = run_with(&["gap", "-", "--guard", "--samples", "0", "--json"], stack).out;
    let answer: serde_json::Value = serde_json::from_str(&answer).expect("JSON");
    assert!(answer["gaps"][0]["guard"].is_null(), "{answer}");
}

#[test]
fn an_outside_is_not_settled_with_a_tool_for_depths() {
    let stack = "
dimensions: { shaft: { readings: [40.12], instrument: calliper }, bore: { size: 40.74, tolerance: 0.005 } }
gaps: { play: { chain: bore - shaft, accept: [0.59, 0.65] } }
";
    let words = run_with(&["gap", "-", "--samples", "0"], stack).out;
    assert!(words.contains("to settle it") && words.contains("micrometer") && !words.contains("depth"), "{words}");
}
