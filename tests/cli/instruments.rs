//! Instruments through the tool: the page that lists the shipped ones, a file of the shop's, and feelers on the line.

use std::fmt::Write as _;
use std::fs;

use shimwright_engine::document::resolved::{Instrument, shipped_instruments};
use shimwright_engine::length::{Unit, shortest};

use crate::tool::{json, root, run};

const PAGE: &str = "engine/data/README.md";
const BEGIN: &str = "<!-- written by tests/cli/instruments.rs -->\n";
const END: &str = "<!-- end -->\n";

/// One line of the table, its figures in the instrument's own unit.
fn row(one: &Instrument) -> String {
    let unit = one.unit.unwrap_or(Unit::Mm);
    // Inches come back from millimetres with the noise of the conversion.
    let figure = |mm: Option<f64>| mm.map_or("-".to_owned(), |mm| shortest((unit.from_mm(mm) * 1e9).round() / 1e9));
    format!(
        "| `{}` | {unit} | {} | {} | {} | {} | {} | {} |\n",
        one.name,
        figure(one.limit_of_error_mm),
        figure(one.zero_error_mm),
        figure(one.repeatability_mm),
        figure(one.stack_error_mm),
        if one.difference { "yes" } else { "no" },
        one.source.as_deref().unwrap_or_default()
    )
}

#[test]
fn the_page_lists_every_shipped_instrument() {
    let mut table = String::from(
        "| name | unit | limit of error | zero error | repeatability | stack error, a blade | reads a difference | source |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for one in shipped_instruments() {
        write!(table, "{}", row(&one)).unwrap();
    }
    let path = root().join(PAGE);
    let page = fs::read_to_string(&path).unwrap();
    let (before, rest) = page.split_once(BEGIN).expect("the page has a place for the table");
    let (_, behind) = rest.split_once(END).expect("the table has an end");
    let fresh = format!("{before}{BEGIN}{table}{END}{behind}");
    if std::env::var_os("SHIMWRIGHT_BLESS").is_some() {
        fs::write(path, fresh).unwrap();
    } else {
        assert_eq!(page, fresh, "{PAGE}: SHIMWRIGHT_BLESS=1 writes the table anew");
    }
}

const STACK: &str = "presets/demos/layshaft.yaml";

#[test]
fn a_file_of_instruments_is_read_beside_the_stack() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.yaml");
    let shop = path.to_str().unwrap();
    fs::write(&path, "unit: mm\ninstruments:\n  bench comparator: { limit_of_error: 0.001, repeatability: 0.001 }\n")
        .unwrap();
    for command in ["gap", "pick"] {
        let line = [command, STACK, "cluster=62.463/62.463/62.464@bench comparator", "--json"];
        assert_eq!(run(&line).status, 3, "{command}: nobody knows it");
        let answer = json(&[&line[..], &["--instruments", shop]].concat());
        assert_eq!(answer["command"], command, "{answer:#}");
    }
    let verify = ["verify", STACK, "shims.fitted=0.15+0.30", "float.found=0.21/0.22@bench comparator", "--json"];
    let answer = json(&[&verify[..], &["--instruments", shop]].concat());
    assert!(answer["gaps"][0]["found_u"].as_f64().unwrap() < 0.002, "{answer:#}");
    // A preset takes it too.
    let line = ["pick", "valve-lash", "lash=0.15/0.16@bench comparator", "old=2.70", "wanted=0.12..0.18"];
    assert_eq!(run(&[&line[..], &["--instruments", shop]].concat()).status, 0);
}

#[test]
fn faults_in_the_file_of_instruments_point_into_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.yaml");
    let shop = path.to_str().unwrap();
    for (text, code, line) in [
        ("instruments:\n  dial: { limit_of_error: -0.01 }\n", "negative", 2),
        ("instruments:\n  dial: { limit_of_eror: 0.01 }\n", "unknown-key", 2),
        ("unit: mm\ninstruments: { dial: {} }\ngaps: { float: { chain: a } }\n", "unknown-key", 3),
        ("unit: cm\ninstruments: { dial: {} }\n", "unknown-unit", 1),
        ("unit: mm\n", "missing-key", 1),
        ("instruments:\n  dial: {}\n  dial: {}\n", "double-key", 3),
        ("instruments: [dial]\n", "wrong-form", 1),
        ("instruments: [\n", "not-yaml", 1),
    ] {
        fs::write(&path, text).unwrap();
        let said = run(&["pick", STACK, "--json", "--instruments", shop]);
        assert_eq!((said.status, said.out.as_str()), (3, ""), "{text}{}", said.err);
        let report: serde_json::Value = serde_json::from_str(&said.err).unwrap();
        let [one] = report["errors"].as_array().unwrap().as_slice() else { panic!("{text}{report:#}") };
        assert_eq!((&one["code"], &one["file"], &one["line"]), (&code.into(), &shop.into(), &line.into()), "{one:#}");
    }
    let said = run(&["pick", STACK, "--instruments", "nowhere/shop.yaml"]);
    assert_eq!(said.status, 3);
    assert!(said.err.starts_with("there is no file `nowhere/shop.yaml`"), "{}", said.err);
}

#[test]
fn feelers_on_the_line_say_what_feelers_in_the_file_say() {
    let line = json(&["pick", "valve-lash", "lash=0.15goes/0.20stops", "old=2.70", "wanted=0.12..0.18", "--json"]);
    // The middle of the two blades; the old shim stays.
    let expected = line["gaps"][0]["expected"].as_f64().unwrap();
    assert!((expected - 0.175).abs() < 1e-9, "{line:#}");
    let said = run(&["pick", "valve-lash", "lash=0.10+0.05goes/0.20stops", "old=2.70", "wanted=0.12..0.18"]);
    let text = said.out.replace("\n      ", " ");
    assert!(text.contains("felt with stacked blades; oil and air make a stack thicker than its marks"), "{}", said.out);
    assert!(text.contains("feelers, stacked blades"), "where the doubt comes from: {}", said.out);
}
