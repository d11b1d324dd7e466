//! `reach` as it is run: the shipped examples, JSON, and what it refuses.

use serde_json::Value;

use crate::tool::{json, run, run_with};

const WINCH: &str = "presets/demos/brook-winch.yaml";
const GEARMOTOR: &str = "presets/demos/nettle-gearmotor.yaml";

#[test]
fn a_machined_case_is_answered_in_one_command() {
    let answer = json(&["reach", WINCH, "--sweep", "case depth=0:-1.10:0.05", "--samples", "0", "--json"]);
    assert!(answer["reached"].as_f64().unwrap() > 0.999, "{answer}");
    assert_eq!((&answer["source"], &answer["reached_as_measured"]), (&"exact".into(), &Value::Null));
    let room = &answer["room"][0];
    assert_eq!((&room["dimension"], &room["low_stop"]), (&"case depth".into(), &"hole".into()));
    // The pack of 1.20 goes down to a float of 0.10, a depth of 88.405, and a little less far to be sure of it.
    let low = room["low"].as_f64().unwrap();
    assert!(low > 88.405 && low < 88.425, "{room}");
    let sweep = &answer["sweep"];
    assert_eq!(sweep["steps"].as_array().unwrap().len(), 23);
    // 88.463 less 0.05 leaves a float of 0.108 with 1.20 in; 0.10 less is in the hole.
    let first = sweep["below_confidence_at"].as_f64().unwrap();
    assert!((first + 0.05).abs() < 1e-9 || (first + 0.10).abs() < 1e-9, "{sweep}");
    // The thinnest pack is 0.40: the space has to be 0.50 at least, and is 1.358 now.
    let none = sweep["none_at"].as_f64().unwrap();
    assert!((none + 0.90).abs() < 1e-9, "{sweep}");
    let words = run(&["reach", WINCH, "--samples", "0"]);
    assert_eq!(words.status, 0);
    for said in ["THE BOX DOES IT", "sizes covered", "sizes missing", "May still be cut to", "no size behind it"] {
        assert!(words.out.contains(said), "{said}\n{}", words.out);
    }
}

#[test]
fn how_often_the_kit_gets_there_is_one_command() {
    let answer = json(&["reach", GEARMOTOR, "--samples", "100000", "--json"]);
    // Steps of 0.10 and a band of 0.10: every space from 0.30 on is served, and 0.85 is 7 standard deviations off.
    assert!((answer["reached"].as_f64().unwrap() - 1.0).abs() < 1e-9, "{answer}");
    let measured = answer["reached_as_measured"].as_f64().unwrap();
    assert!(measured > 0.80 && measured < 0.95, "{answer}");
    assert!(answer["standard_error"]["reached_as_measured"].as_f64().unwrap() < 0.002);
    // Up to three of 0.10, 0.20, 0.30, 0.50 make every tenth from 0.10 to 1.30 and 1.50, but not 1.40.
    let holes = answer["packs"][0]["holes"].as_array().unwrap();
    assert_eq!(holes.len(), 1, "{answer}");
    assert!((holes[0][0].as_f64().unwrap() - 1.35).abs() < 1e-9 && (holes[0][1].as_f64().unwrap() - 1.45).abs() < 1e-9);
    // By the drawing nothing is sure to be in.
    assert_eq!(answer["room"], Value::Null);
    let words = run(&["reach", GEARMOTOR, "--samples", "20000"]);
    assert!(words.out.lines().next().unwrap().contains("with perfect tools, for"), "{}", words.out);
    assert!(words.out.lines().all(|line| line.chars().count() <= 80), "{}", words.out);
    let quiet = run(&["reach", GEARMOTOR, "--samples", "0", "--quiet"]);
    assert_eq!((quiet.out.lines().count(), quiet.status), (1, 0));
}

#[test]
fn the_box_as_it_is_may_do_less() {
    let document = "
dimensions: { space: { size: 0.85, sd: 0.07 } }
gaps: { float: { chain: space - shims, accept: [0.20, 0.30] } }
packs: { shims: { kit: box, count: [1, 2] } }
kits: { box: { sizes: [0.20, 0.30, 0.50], on_hand: { 0.20: 1, 0.30: 2 } } }
";
    let of = |more: &[&str]| {
        let said = run_with(&[&["reach", "-", "--samples", "0", "--json"], more].concat(), document);
        let answer: Value = serde_json::from_str(&said.out).unwrap();
        answer["reached"].as_f64().unwrap()
    };
    let (plenty, box_alone) = (of(&[]), of(&["--on-hand"]));
    assert!(plenty > 0.99 && box_alone < 0.90, "{plenty} {box_alone}");
}

#[test]
fn what_it_refuses_is_told_at_its_place() {
    let error = |words: &[&str], document: &str| {
        let said = run_with(&[&["reach", "-", "--json"], words].concat(), document);
        let report: Value = serde_json::from_str(&said.err).unwrap_or_else(|fault| panic!("{fault}\n{}", said.err));
        (said.status, report["errors"][0].clone())
    };
    let body = "
dimensions: { body: { size: 1.0, sd: 0.01 } }
packs: { shims: { kit: box } }
kits: { box: { sizes: [0.30, 0.50] } }
";
    let (status, fault) = error(&[], &format!("{body}gaps: {{ play: {{ chain: body - shims, target: 0.5 }} }}\n"));
    assert_eq!((status, &fault["code"], &fault["path"]), (3, &"no-band".into(), &"gaps.play".into()), "{fault}");
    let sound = format!("{body}gaps: {{ play: {{ chain: body - shims, accept: [0.1, 0.3] }} }}\n");
    let (status, fault) = error(&["--sweep", "boddy=0:1:0.1"], &sound);
    assert_eq!((status, &fault["code"]), (3, &"unknown-name".into()), "{fault}");
    assert_eq!(fault["help"], "did you mean `body`?");
    let found = "
gaps: { play: { chain: 0 - shims, accept: [0.05, 0.15], found: [0.43] } }
packs: { shims: { kit: box, fitted: [0.30] } }
kits: { box: { sizes: [0.30, 0.50] } }
";
    let (status, fault) = error(&[], found);
    assert_eq!((status, &fault["code"]), (3, &"no-population".into()), "{fault}");
    for (sweep, said) in [
        ("body", "NAME=FROM:TO:STEP"),
        ("body=0:1", "FROM:TO:STEP"),
        ("body=0:1:0", "greater than 0"),
        ("body=0:1:1e-9", "more than 10000 steps"),
        ("body=0:0,5:0.1", "use a point"),
    ] {
        let refused = run(&["reach", WINCH, "--sweep", sweep]);
        assert!(refused.status == 2 && refused.err.contains(said), "{sweep}: {}", refused.err);
    }
}

#[test]
fn what_to_stock_for_the_next_forty_is_one_command() {
    let answer = json(&["stock", GEARMOTOR, "--builds", "40", "--json"]);
    let sizes = answer["sizes"].as_array().unwrap();
    assert_eq!((sizes.len(), &answer["proven_best"]), (4, &true.into()), "{answer}");
    assert!(sizes.iter().all(|size| size["quantity"].as_u64() == size["order"].as_u64()), "{answer}");
    assert!(answer["service"]["service"].as_f64().unwrap() > 0.92, "{answer}");
    let words = run(&["stock", GEARMOTOR, "--builds", "40"]);
    assert_eq!(words.status, 0);
    assert!(words.out.starts_with("KEEP ") && words.out.contains("What to order for shelf"), "{}", words.out);
    assert!(words.out.lines().all(|line| line.chars().count() <= 80), "{}", words.out);
    let few = json(&["stock", GEARMOTOR, "--sizes", "2", "--candidates", "0.10:0.80:0.05", "--json"]);
    let labels: Vec<&str> =
        few["sizes"].as_array().unwrap().iter().map(|size| size["label"].as_str().unwrap()).collect();
    assert!(labels.len() == 2 && labels.iter().all(|label| label.len() == 4), "{few}");
    assert!(few["sizes"][0]["quantity"].is_null() && few["service"].is_null());
    for line in [&["--sizes", "0"][..], &["--builds", "1001"], &["--candidates", "0.1:0.8"]] {
        assert_eq!(run(&[&["stock", GEARMOTOR][..], line].concat()).status, 2, "{line:?}");
    }
    let two = run(&["stock", "presets/demos/linden-governor.yaml"]);
    assert!(two.status == 4 && two.err.contains("one pack of shims"), "{}", two.err);
}
