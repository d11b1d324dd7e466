//! Observed values in a table beside the stack file: where it is looked for, and what is said of it.

use std::fs;

use crate::tool::{json, run, run_bounded, run_with};

const STACK: &str = "dimensions:\n  gear: { distribution: { observed: { file: gears.csv, column: width } } }\n  \
                     bore: 30.10\ngaps:\n  float: { chain: bore - gear, accept: [0.08, 0.12] }\n";

#[test]
fn a_table_stands_beside_its_stack_file() {
    let folder = tempfile::tempdir().unwrap();
    let stack = folder.path().join("stack.yaml");
    fs::write(&stack, STACK).unwrap();
    let stack = stack.to_str().unwrap();
    let table = folder.path().join("gears.csv");
    // Four gears: floats 0.09, 0.10, 0.12 (on the edge) and 0.13.
    for content in [
        "unit,width\n1,30.01\n2,30.00\n3,29.98\n4,29.97\n",
        "unit;width\r\n1;30,01\r\n2;30,00\r\n\r\n3;29,98\r\n4;29,97\r\n",
        "\u{feff}\"width\",\"by whom, and when\"\n\"30.01\",\"J, Monday\"\n30.00,\n29.98,\n29.97 mm,\n",
    ] {
        fs::write(&table, content).unwrap();
        let answer = json(&["gap", stack, "--json", "--samples", "1000"]);
        let exact = &answer["gaps"][0]["exact"];
        assert!((exact["mean"].as_f64().unwrap() - 0.11).abs() < 1e-12, "{content:?}");
        assert_eq!((&exact["within"], &exact["above"]), (&0.75.into(), &0.25.into()), "{content:?}");
        let said = run(&["gap", stack, "--samples", "0"]);
        assert!(said.out.contains("-  gear   observed, 4 values of gears.csv  29.99"), "{}", said.out);
    }
    // A reading on the line makes it measured; what was observed stays for those who ask of production.
    let read = json(&["gap", stack, "gear=30.02@micrometer", "--json", "--samples", "0"]);
    assert!((read["gaps"][0]["exact"]["mean"].as_f64().unwrap() - 0.08).abs() < 1e-12);
    // A drawing on the line takes its place.
    let drawn = json(&["gap", stack, "gear=30.00+0.02-0.02", "--json", "--samples", "0"]);
    assert!((drawn["gaps"][0]["exact"]["mean"].as_f64().unwrap() - 0.10).abs() < 1e-12);
}

#[test]
fn a_table_that_is_not_there_is_said_at_its_name_with_all_else_that_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let stack = folder.path().join("stack.yaml");
    fs::write(&stack, STACK.replace("accept", "acept")).unwrap();
    fs::write(folder.path().join("gears.cvs"), "width\n30\n").unwrap();
    let said = run(&["gap", stack.to_str().unwrap(), "--json"]);
    let report: serde_json::Value = serde_json::from_str(&said.err).unwrap();
    let errors = report["errors"].as_array().unwrap();
    let codes: Vec<&str> = errors.iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert_eq!((said.status, codes.as_slice()), (3, &["no-file", "unknown-key"][..]));
    assert_eq!((&errors[0]["line"], &errors[0]["column"]), (&2.into(), &45.into()));
    assert_eq!(errors[0]["path"], "dimensions.gear.distribution.observed.file");
    assert!(errors[0]["help"].as_str().unwrap().ends_with("gears.cvs`?"), "{}", errors[0]);
}

#[test]
fn a_stack_on_standard_input_names_tables_from_where_the_tool_is_run() {
    let text = STACK.replace("gears.csv", "presets/demos/rowan-gears.csv").replace("30.10", "42.085");
    let said = run_with(&["gap", "-", "--json", "--samples", "0"], &text);
    let answer: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    assert!((answer["gaps"][0]["exact"]["mean"].as_f64().unwrap() - 0.10).abs() < 1e-12);
    let missing = run_with(&["gap", "-"], STACK);
    assert!(missing.status == 3 && missing.err.contains("there is no file `gears.csv`"), "{}", missing.err);
}

#[test]
fn a_table_that_never_ends_is_refused_within_bounds() {
    let folder = tempfile::tempdir().unwrap();
    let stack = folder.path().join("stack.yaml");
    fs::write(&stack, STACK).unwrap();
    // Just below the largest text that is read.
    for (content, phrase) in [
        (format!("width\n{}", "1\n".repeat(4_000_000)), "has more than 100000 rows"),
        (format!("unit,width\n1{}", ",".repeat(8_000_000)), "there is no value in column `width`"),
        ("1,".repeat(4_000_000), "has no column `width`"),
    ] {
        fs::write(folder.path().join("gears.csv"), content).unwrap();
        let said = run_bounded(&["gap", stack.to_str().unwrap(), "--json"], b"");
        assert!(said.status == 3 && said.err.contains(phrase) && said.err.len() < 20_000, "{phrase}");
    }
}
