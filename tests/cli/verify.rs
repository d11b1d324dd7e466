//! `verify`, and `pick` with what was read after fitting.

use std::fs;

use serde_json::Value;

use crate::tool::{json, run, run_with};

const FILE: &str = "presets/demos/layshaft.yaml";
const FITTED: &str = "shims.fitted=0.15+0.30";

fn verify(values: &[&str], more: &[&str]) -> Value {
    json(&[&["verify", FILE, FITTED], values, &["--json"], more].concat())
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

#[test]
fn the_answer_has_the_agreed_shape() {
    let answer = verify(&["float.found=0.19/0.20"], &[]);
    assert_eq!(keys(&answer), ["format", "command", "title", "unit", "seed", "verdict", "gaps", "packs", "notes"]);
    assert_eq!(
        (&answer["format"], &answer["command"], &answer["verdict"]),
        (&1.into(), &"verify".into(), &"in".into())
    );
    let gap = &answer["gaps"][0];
    let agreed = [
        "name",
        "predicted",
        "predicted_u",
        "found",
        "found_u",
        "difference",
        "difference_u",
        "en",
        "agrees",
        "best_estimate",
        "best_u",
        "suspects",
    ];
    assert_eq!(&keys(gap)[..agreed.len()], agreed);
    assert_eq!(keys(&answer["packs"][0]), ["name", "fitted", "wanted", "change", "turns"]);
    let f = |name: &str| gap[name].as_f64().unwrap();
    // 71.350 + 0.250 - 62.463 - 5.985 - 2.500 - 0.450, and the mean of the two readings.
    assert!((f("predicted") - 0.202).abs() < 1e-9 && (f("found") - 0.195).abs() < 1e-12);
    assert!((f("difference") + 0.007).abs() < 1e-9);
    assert!((f("en") - f("difference") / (2.0 * f("difference_u"))).abs() < 1e-12);
    assert_eq!((&gap["agrees"], &gap["suspects"]), (&true.into(), &Value::Array(vec![])));
    assert!(f("best_estimate") > f("found") && f("best_estimate") < f("predicted"));
    assert!(f("best_u") < f("found_u") && f("best_u") < f("predicted_u"));
    let pack = &answer["packs"][0];
    let change = pack["change"].as_f64().unwrap();
    assert!((pack["wanted"].as_f64().unwrap() - pack["fitted"].as_f64().unwrap() - change).abs() < 1e-12);
    // Target less gap over the coefficient of the pack, which closes it.
    assert!((change - (f("best_estimate") - 0.20)).abs() < 1e-9);
}

#[test]
fn where_they_disagree_there_is_no_combined_figure_and_the_status_is_one() {
    let words = ["verify", FILE, FITTED, "float.found=0.35/0.35"];
    let said = run(&words);
    assert_eq!(said.status, 1);
    assert!(said.out.starts_with("FIND OUT WHY FIRST: float is 0.20"), "{}", said.out);
    assert!(said.out.contains("but find out why first"), "{}", said.out);
    assert!(said.out.contains("it is as if one shim of 0.15 fewer were in"), "{}", said.out);
    let answer = verify(&["float.found=0.35/0.35"], &[]);
    let gap = &answer["gaps"][0];
    assert_eq!((&gap["agrees"], &gap["best_estimate"], &gap["best_u"]), (&false.into(), &Value::Null, &Value::Null));
    assert!(gap["en"].as_f64().unwrap() > 1.0);
    let suspects = gap["suspects"].as_array().unwrap();
    assert_eq!(suspects[0]["name"], "pocket");
    // The change is worked from the reading: 0.15 too much, and thicker closes.
    assert!((answer["packs"][0]["change"].as_f64().unwrap() - 0.15).abs() < 1e-9);
}

#[test]
fn the_status_is_that_of_the_verdict() {
    let status = |found: &str| run(&["verify", FILE, FITTED, found, "--quiet"]).status;
    assert_eq!(status("float.found=0.20/0.21"), 0);
    assert_eq!(status("float.found=0.19/0.20@feelers"), 0);
    // They agree, and are on the edge of the band; then they agree, and are out of it.
    let edge = |found: &str| run(&["verify", FILE, "shims.fitted=0.30", found, "--quiet"]);
    let (unsure, out) = (edge("float.found=0.298/0.297"), edge("float.found=0.34/0.34"));
    assert_eq!((unsure.status, out.status), (5, 1), "{}{}", unsure.out, out.out);
    assert!(unsure.out.starts_with("NOT SURE YET: "), "{}", unsure.out);
    assert!(out.out.starts_with("CHANGE IT: float 0.3"), "{}", out.out);
}

#[test]
fn the_change_is_said_with_its_reason() {
    let out = run(&["verify", FILE, "shims.fitted=0.30", "float.found=0.34/0.34"]).out;
    assert!(out.contains("thicker brings it to target, because thicker closes this gap"), "{out}");
    assert!(out.contains("For the record"), "{out}");
    assert!(out.contains("shims: fitted 0.30"), "{out}");
}

#[test]
fn without_a_reading_it_says_where_to_give_one() {
    let words = ["verify", FILE, FITTED, "--json"];
    let said = run(&words);
    assert_eq!((said.status, said.out.as_str()), (3, ""));
    let report: Value = serde_json::from_str(&said.err).unwrap();
    let error = &report["errors"][0];
    assert_eq!(
        (&error["code"], &error["path"], &error["file"]),
        (&"missing-input".into(), &"gaps.float".into(), &FILE.into())
    );
    let text = fs::read_to_string(crate::tool::root().join(FILE)).unwrap();
    let line = text.lines().position(|line| line.starts_with("  float:")).unwrap() + 1;
    assert_eq!(error["line"], line);
    assert!(error["help"].as_str().unwrap().contains("float.found=0.12/0.13"), "{error}");
}

const TWO: &str = "dimensions:
  pocket: { readings: [60.60, 60.61], instrument: calliper }
  cluster: { readings: [59.50], instrument: micrometer }
gaps:
  float: { chain: pocket - cluster - shims - rings, accept: [0.05, 0.30], target: 0.15 }
  crush: { chain: cluster - 59.60 + rings, as: preload, accept: [-0.5, -0.3], target: -0.4 }
packs:
  shims: { kit: box, fitted: [0.40] }
  rings: { kit: box, fitted: [0.50] }
kits:
  box: { sizes: [0.10, 0.40, 0.50], tolerance: 0.004 }
";

#[test]
fn several_gaps_and_packs_are_changed_together() {
    let words = ["verify", "-", "float.found=0.21/0.20", "crush.found=0.41/0.40", "--json"];
    let said = run_with(&words, TWO);
    let answer: Value = serde_json::from_str(&said.out).unwrap_or_else(|_| panic!("{}", said.err));
    let f = |value: &Value| value.as_f64().unwrap();
    let (float, crush) = (&answer["gaps"][0], &answer["gaps"][1]);
    assert_eq!((&float["agrees"], &crush["agrees"]), (&true.into(), &true.into()));
    // A preload's figures have their sign turned: a play of 0.405 is a preload of -0.405.
    assert!((f(&crush["found"]) + 0.405).abs() < 1e-12);
    // crush = -(cluster - 59.60 + rings): rings change it by -1; float by -1 each.
    let rings = -(-0.4 - f(&crush["best_estimate"]));
    let shims = -(0.15 - f(&float["best_estimate"])) - rings;
    assert!((f(&answer["packs"][1]["change"]) - rings).abs() < 1e-9, "{answer:#}");
    assert!((f(&answer["packs"][0]["change"]) - shims).abs() < 1e-9, "{answer:#}");
}

#[test]
fn two_packs_in_one_gap_leave_the_share_open() {
    let one = TWO
        .replace("  crush: { chain: cluster - 59.60 + rings, as: preload, accept: [-0.5, -0.3], target: -0.4 }\n", "");
    let said = run_with(&["verify", "-", "float.found=0.21/0.20"], &one);
    let words = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("float: 0.05"), "{}{}", said.out, said.err);
    assert!(words.contains("smaller brings it to target; more than one pack is in it"), "{}", said.out);
    assert!(!words.contains("thicker brings"), "{}", said.out);
}

#[test]
fn a_table_of_readings_is_read_from_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("after.csv");
    let value = |content: &str| {
        fs::write(&path, content).unwrap();
        format!("float.found={}@indicator", path.display())
    };
    let listed = run(&["verify", FILE, FITTED, "float.found=0.19/0.20/0.21@indicator"]);
    for content in
        ["float, assembled\n0.19\n0.20\n0.21\n", "0.19\r\n0.20\r\n\r\n0.21", "\u{feff}\"0.19\"\n0.20\n0.21\n"]
    {
        let content = content.replace("float, assembled", "float");
        let said = run(&["verify", FILE, FITTED, &value(&content)]);
        assert_eq!((said.status, &said.out), (listed.status, &listed.out), "{content:?}{}", said.err);
    }
    for (content, phrase, line) in [
        ("0.19\n0,20\n", "with a decimal point", Some(2)),
        ("a\n0.19;0.20\n", "one reading on each line", Some(2)),
        ("float\n", "one value on each line", None),
    ] {
        let said = run(&["verify", FILE, FITTED, &value(content), "--json"]);
        assert_eq!((said.status, said.out.as_str()), (3, ""), "{content:?}");
        let report: Value = serde_json::from_str(&said.err).unwrap();
        let error = &report["errors"][0];
        assert!(error["help"].as_str().unwrap().contains(phrase), "{error}");
        assert_eq!(error["line"].as_u64(), line, "{error}");
    }
    let missing = run(&["verify", FILE, FITTED, "float.found=no/such.csv"]);
    assert_eq!(missing.status, 3);
    assert!(missing.err.starts_with("there is no file `no/such.csv`"), "{}", missing.err);
}

#[test]
fn pick_takes_what_was_fitted_and_read_in_one_line() {
    // 0.30 was in and 0.35 was read: 0.35 + 0.30 - 0.20 = 0.45 is wanted, from the same box.
    let words = ["pick", FILE, "shims.fitted=0.30", "float.found=0.35/0.35/0.34", "--json"];
    let answer = json(&words);
    let f = |value: &Value| value.as_f64().unwrap();
    let found = (0.35 + 0.35 + 0.34) / 3.0;
    assert!((f(&answer["packs"][0]["wanted"]["thickness"]) - (found + 0.30 - 0.20)).abs() < 1e-9);
    let thickness = f(&answer["packs"][0]["thickness"]);
    assert!((f(&answer["gaps"][0]["expected"]) - (found + 0.30 - thickness)).abs() < 1e-9);
    assert_eq!(answer["verdict"], "in");
    // The shim that is in can be used again, and is not taken from the box.
    let froms: Vec<(&Value, &Value)> =
        answer["packs"][0]["shims"].as_array().unwrap().iter().map(|shim| (&shim["size"], &shim["from"])).collect();
    assert_eq!(froms, [(&Value::from(0.15), &Value::from("kit")), (&Value::from(0.30), &Value::from("fitted"))]);
    // Fitted and read again, it is left in, by both commands; the file was not touched.
    let after = ["shims.fitted=0.15+0.30", "float.found=0.20/0.19/0.20"];
    let again = run(&[&["pick", FILE, "--quiet"][..], &after].concat());
    assert!(again.out.starts_with("LEAVE IT: 0.15 + 0.30 is in, float 0.197"), "{}", again.out);
    let checked = run(&[&["verify", FILE, "--quiet"][..], &after].concat());
    assert!(checked.out.starts_with("LEAVE IT: float 0.197"), "{}", checked.out);
    assert_eq!((again.status, checked.status), (0, 0));
}

#[test]
fn pick_warns_where_reading_and_sum_disagree() {
    let said = run(&["pick", FILE, "shims.fitted=0.30", "float.found=0.60/0.61"]);
    assert!(said.out.contains("they do not agree,\n      find out why first"), "{}", said.out);
}

#[test]
fn a_gap_that_is_out_by_the_sum_is_on_the_first_line() {
    let line = [
        "verify",
        "presets/demos/tarn-axle.yaml",
        "left.fitted=3.15",
        "right.fitted=3.20",
        "backlash.found=0.16/0.17@indicator",
    ];
    let answer = run(&[&line[..], &["--quiet"]].concat());
    assert_eq!(answer.status, 1, "{}", answer.out);
    let first = answer.out.replace('\n', " ");
    assert!(first.starts_with("CHANGE IT: preload 0.510 by the sum, out of band, too large by 0.260;"), "{first}");
    let json = json(&[&line[..], &["--json"]].concat());
    assert_eq!(json["gaps"][0]["verdict"], "out");
    assert_eq!(json["gaps"][0]["by_number"], "out");
    assert_eq!(json["gaps"][0]["within"], 0.0);
}

#[test]
fn pick_from_a_reading_at_odds_with_the_sum_says_so_first() {
    let stack = "presets/demos/layshaft.yaml";
    let line = ["pick", stack, "float.found=0.35/0.35@indicator", "shims.fitted=0.15+0.30", "--quiet"];
    let answer = run(&line).out.replace('\n', " ");
    assert!(answer.contains("reading and sum do not agree, find out why first"), "{answer}");
    let agreeing = ["pick", stack, "float.found=0.19/0.20@indicator", "shims.fitted=0.15+0.30", "--quiet"];
    assert!(!run(&agreeing).out.contains("find out why"), "they agree");
}
