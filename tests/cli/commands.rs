//! Commands, exit statuses and JSON.

use crate::tool::{json, run, run_with};

const DRIVE: &[&str] = &["drive-shaft", "depth=96.42/96.40/96.43", "length=93.05/93.06", "lug=4.20"];

fn with<'a>(first: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    [first, more].concat()
}

#[test]
fn pick_says_which_washers_to_fit() {
    let answer = json(&with(&with(&["pick"], DRIVE), &["--json"]));
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["command"], "pick");
    assert_eq!(answer["verdict"], "in");
    let sizes: Vec<f64> =
        answer["packs"][0]["shims"].as_array().unwrap().iter().map(|shim| shim["size"].as_f64().unwrap()).collect();
    assert_eq!(sizes, [0.60, 0.60]);
    let shares: f64 = answer["gaps"][0]["contributions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["variance_share"].as_f64().unwrap())
        .sum();
    // Rounding of a sum of a few shares.
    assert!((shares - 1.0).abs() < 1e-12, "{shares}");
}

#[test]
fn the_unit_of_the_answer_rereads_no_number() {
    let mm = json(&with(&with(&["pick"], DRIVE), &["--json"]));
    let inches = json(&with(&with(&["pick"], DRIVE), &["--json", "--unit", "in"]));
    let (mm, inches) = (&mm["gaps"][0]["expected"], &inches["gaps"][0]["expected"]);
    // One rounding of the division.
    assert!((mm.as_f64().unwrap() / 25.4 - inches.as_f64().unwrap()).abs() < 1e-15);
}

#[test]
fn exit_statuses_follow_the_verdict() {
    assert_eq!(run(&with(&["pick"], DRIVE)).status, 0);
    let deep = ["pick", "drive-shaft", "depth=99.42", "length=93.05", "lug=4.20"];
    assert_eq!(run(&deep).status, 1);
    let edge = ["pick", "drive-shaft", "depth=96.95/96.94/96.96", "length=93.34/93.36", "lug=4.24"];
    assert_eq!(run(&edge).status, 5);
    assert_eq!(run(&["pick"]).status, 2);
    assert_eq!(run(&["pick", "--no-such-option", "x.yaml"]).status, 2);
    assert_eq!(run(&["pick", "drive-shaft"]).status, 3);
    assert_eq!(run(&["pick", "no/such/file.yaml"]).status, 3);
    assert_eq!(run(&["pick", "no-such-preset"]).status, 3);
}

#[test]
fn faults_are_the_same_as_json() {
    let said = run(&["pick", "drive-shaft", "depht=96.42", "--json"]);
    assert_eq!(said.status, 3);
    assert!(said.out.is_empty());
    let report: serde_json::Value = serde_json::from_str(&said.err).unwrap();
    let codes: Vec<&str> =
        report["errors"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"unknown-name"), "{codes:?}");
    // All at once: the misspelt name, and the three inputs that are still missing.
    assert_eq!(codes.iter().filter(|code| **code == "missing-input").count(), 3, "{codes:?}");
}

#[test]
fn threads_change_no_figure() {
    let words =
        |threads: &'static str| ["gap", "presets/demos/layshaft.yaml", "--threads", threads, "--samples", "50000"];
    let one = run(&words("1"));
    assert_eq!(one.status, 0, "{}", one.err);
    assert_eq!(one.out, run(&words("2")).out);
    assert_eq!(one.out, run(&words("7")).out);
}

#[test]
fn values_of_the_line_go_into_a_file() {
    let document = "dimensions:\n  case: 10.00\n  gear: { size: 9.90, tolerance: 0.02 }\n\
                    gaps:\n  float: { chain: case - gear - shims, accept: [0.05, 0.11] }\n\
                    packs:\n  shims: { kit: box, count: [0, 2] }\nkits:\n  box: { sizes: [0.02, 0.05] }\n";
    let answer = run_with(&["pick", "-", "gear=9.88/9.88@micrometer", "--json"], document);
    let answer: serde_json::Value = serde_json::from_str(&answer.out).unwrap();
    let expected = answer["gaps"][0]["expected"].as_f64().unwrap();
    // 10.00 - 9.88 - 0.02 = 0.10 is as near to 0.08 as 0.07 with 0.05 is not: 0.02 + 0.02 gives 0.08.
    assert!((expected - 0.08).abs() < 1e-9, "{expected}");
}

#[test]
fn the_first_line_alone_for_the_bench() {
    let quiet = run(&with(&with(&["pick"], DRIVE), &["--quiet"]));
    let whole = run(&with(&["pick"], DRIVE));
    assert!(whole.out.starts_with(&quiet.out));
    assert!(quiet.out.starts_with("FIT 0.60 + 0.60, expect clearance "), "{}", quiet.out);
}

#[test]
fn the_printed_sum_adds_up() {
    for words in [
        with(&["pick"], DRIVE),
        vec!["pick", "presets/demos/layshaft.yaml"],
        vec!["pick", "presets/demos/pump-inch.yaml"],
    ] {
        let text = run(&words).out;
        let lines: Vec<&str> =
            text.lines().skip_while(|line| !(line.starts_with("How ") && line.contains(" adds up "))).skip(1).collect();
        let end = lines.iter().position(|line| line.trim_start().starts_with('=')).expect("the sum has a total");
        let figure = |line: &str| line.split_whitespace().last().unwrap().replace('.', "").parse::<i64>().unwrap();
        let sum: i64 = lines[..end]
            .iter()
            .map(|line| if line.trim_start().starts_with('-') { -figure(line) } else { figure(line) })
            .sum();
        let total = lines[end];
        assert_eq!(sum, figure(total), "{words:?}\n{text}");
    }
}
