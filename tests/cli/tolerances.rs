//! Tolerances to ask for and capability, as the tool says them. The figures are checked in tests/engine.

use serde_json::Value;

use crate::tool::{run, run_with};

/// Nothing measured; σ of the gap is 0.04/3 mm.
const STACK: &str = "
dimensions:
  case: { size: 40, tolerance: 0.032 }
  gear: { size: 28, tolerance: 0.024 }
gaps:
  float: { chain: case - gear, accept: [11.95, 12.05] }
";

fn gap(words: &[&str], text: &str) -> Value {
    let run = run_with(&[&["gap", "-", "--json", "--samples", "0"], words].concat(), text);
    serde_json::from_str::<Value>(&run.out).unwrap_or_else(|_| panic!("{}", run.err))["gaps"][0].clone()
}

fn text(words: &[&str], text: &str) -> String {
    let run = run_with(&[&["gap", "-", "--samples", "0"], words].concat(), text);
    run.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn wider_tolerances_and_the_one_to_tighten_first() {
    // 0.05/(2.5758293 σ) = 1.4558; cut to three figures.
    let said = text(&["--tolerances", "99%"], STACK);
    assert!(said.contains("every tolerance may be 1.45 times as wide and still give 99 of 100 units"), "{said}");
    assert!(said.contains("tighten case first; 1 % less of one tolerance alone"), "{said}");
    let found = &gap(&["--tolerances", "0.99"], STACK)["tolerances"];
    assert_eq!((&found["wanted"], &found["reason"]), (&0.99.into(), &Value::Null));
    assert!((found["factor"].as_f64().unwrap() - 1.455_84).abs() < 1e-5, "{found}");
    let names: Vec<&Value> = found["tighten"].as_array().unwrap().iter().map(|one| &one["dimension"]).collect();
    assert_eq!(names, ["case", "gear"]);
}

#[test]
fn finer_tolerances() {
    let narrow = STACK.replace("[11.95, 12.05]", "[11.98, 12.02]");
    let said = text(&["--tolerances", "0.997"], &narrow);
    assert!(said.contains("every tolerance must be 0.505 times as wide to give 997 of 1000 units"), "{said}");
}

#[test]
fn why_there_are_none() {
    let reason = |text: &str| {
        let found = gap(&["--tolerances", "0.99"], text)["tolerances"].clone();
        assert_eq!(found["factor"], Value::Null, "{found}");
        found["reason"].as_str().unwrap().to_owned()
    };
    let far = STACK.replace("[11.95, 12.05]", "[12.01, 12.05]");
    assert!(reason(&far).starts_with("with hardly any tolerance the probability is "));
    let said = text(&["--tolerances", "0.99"], &far);
    assert!(said.contains("no tolerance is fine enough for 99 of 100 units: the mean is too small by 0.010"), "{said}");
    // ± 0.05 for a tool that is not named, in a band of ± 0.04.
    let read = STACK.replace("{ size: 40, tolerance: 0.032 }", "{ readings: [40.00] }");
    let read = read.replace("[11.95, 12.05]", "[11.96, 12.04]");
    assert!(text(&["--tolerances", "0.99"], &read).contains("no tolerance is fine enough for 99 in 100: without any"));
    assert_eq!(reason(&STACK.replace(", accept: [11.95, 12.05]", "")), "the gap has no band");
    // Not asked for: not there.
    assert!(gap(&[], STACK).get("tolerances").is_none());
    assert!(!text(&[], STACK).contains("Tolerances"));
}

#[test]
fn a_share_that_is_none_is_refused() {
    for share in ["2", "0.4", "x", "99.7"] {
        assert_eq!(run(&["gap", "end-play", "--tolerances", share]).status, 2, "{share}");
    }
}

#[test]
fn capability_stands_under_the_figures_and_says_what_it_assumes() {
    // C_p = 0.1/(6 σ) = 1.25, which is 88.4 on each side.
    let run = run_with(&["gap", "-", "--samples", "0"], STACK);
    let (_, figures) = run.out.split_once("\nFigures\n").unwrap();
    assert!(figures.contains("  Cp, Cpk                         1.250, 1.250\n"), "{figures}");
    assert!(figures.contains("  ppm below, above, both          88.4, 88.4, 177\n"), "{figures}");
    assert!(figures.contains("  if the laws hold so far out\n"), "{figures}");
    let exact = &gap(&[], STACK)["exact"];
    assert!((exact["ppm"]["outside"].as_f64().unwrap() - 176.834_570).abs() < 1e-5, "{exact}");
    assert!((exact["ppm"]["below"].as_f64().unwrap() - 88.417_285).abs() < 1e-5, "{exact}");
    let read = STACK.replace("{ size: 40, tolerance: 0.032 }", "{ readings: [40.00] }");
    let exact = &gap(&[], &read)["exact"];
    assert_eq!((&exact["cp"], &exact["cpk"], &exact["ppm"]), (&Value::Null, &Value::Null, &Value::Null));
    assert!(!run_with(&["gap", "-", "--samples", "0"], &read).out.contains("ppm"));
}
