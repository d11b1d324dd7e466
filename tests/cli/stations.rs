//! Many stations on one box as the tool shows them: the first line, a line a station, JSON; and a preset that asks for
//! each of them.

use crate::tool::{json, run};

const DEMO: &str = "presets/demos/wren-twin.yaml";

/// The same job by the preset, with feelers that are good to 0.010.
const TWIN: [&str; 20] = [
    "valve-lash",
    "stations=I1/I2/I3/I4/E1/E2/E3/E4",
    "lash.I1=0.11",
    "lash.I2=0.19",
    "lash.I3=0.15",
    "lash.I4=0.10",
    "lash.E1=0.17",
    "lash.E2=0.25",
    "lash.E3=0.28",
    "lash.E4=0.21",
    "old.I1=2.475",
    "old.I2=2.600",
    "old.I3=2.550",
    "old.I4=2.500",
    "old.E1=2.650",
    "old.E2=2.550",
    "old.E3=2.700",
    "old.E4=2.600",
    "wanted.I=0.12..0.18",
    "wanted.E=0.20..0.26",
];

/// Source: worked by hand, invented scenario; the sums stand in the comment of the demo.
#[test]
fn the_first_line_says_what_to_buy_and_a_line_what_to_do_at_each_station() {
    let said = run(&["pick", DEMO]);
    assert_eq!(said.status, 5, "{}", said.err);
    let lines: Vec<&str> = said.out.lines().collect();
    assert_eq!(lines[0], "BUY 2: 2.45, 2.75; move 3; keep 3; sure to be in band: 4 of 8");
    let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    let stations: Vec<String> = lines[1..9].iter().map(|line| words(line)).collect();
    assert_eq!(
        stations,
        [
            "I1 take out 2.475 fit 2.45 (buy) expect 0.135 in, not sure: 87 in 100",
            "I2 take out 2.60 fit 2.65 from E1 expect 0.140 in, sure: 98 in 100",
            "I3 keep 2.55 expect 0.150 in, sure: 100 in 100",
            "I4 take out 2.50 fit 2.475 from I1 expect 0.125 in, not sure: 62 in 100",
            "E1 take out 2.65 fit 2.60 from I2 expect 0.220 in, sure: 98 in 100",
            "E2 keep 2.55 expect 0.250 in, not sure: 75 in 100",
            "E3 take out 2.70 fit 2.75 (buy) expect 0.230 in, sure: 100 in 100",
            "E4 keep 2.60 expect 0.210 in, not sure: 75 in 100",
        ]
    );
    assert_eq!(lines[9], "spare: 2.50 (from I4), 2.70 (from E3)");
    assert_eq!(lines[10], "one more bought would make sure: I4: 2.45 gives 0.150, more than 999 in 1000");
    assert_eq!(run(&["pick", DEMO, "--quiet"]).out, format!("{}\n", lines[0]));
}

#[test]
fn every_station_is_in_one_list_of_the_plan() {
    let answer = json(&["pick", DEMO, "--json"]);
    let plan = &answer["plan"];
    let names = |list: &str| -> Vec<&str> {
        let entries = plan[list].as_array().unwrap_or_else(|| panic!("{list} is a list"));
        entries.iter().map(|entry| entry["station"].as_str().expect("a station's name")).collect()
    };
    assert_eq!(names("keep"), ["I3", "E2", "E4"]);
    assert_eq!(names("move"), ["I2", "I4", "E1"]);
    assert_eq!(names("buy"), ["I1", "E3"]);
    assert!(names("box").is_empty() && names("unserved").is_empty());
    assert_eq!((answer["packs"].as_array().unwrap().len(), answer["gaps"].as_array().unwrap().len()), (8, 8));
    let moved = &plan["move"][1];
    assert_eq!((&moved["pack"], &moved["from"], &moved["size"]), (&"shim I4".into(), &"shim I1".into(), &2.475.into()));
    assert_eq!((&moved["take_out"][0], &moved["gaps"][0]), (&2.5.into(), &"lash I4".into()));
    assert_eq!(
        (&moved["verdict"], &moved["by_number"], &moved["sure"]),
        (&"cannot tell".into(), &"in".into(), &false.into())
    );
    assert_eq!(moved["if_bought"]["size"], 2.45);
    let spare: Vec<f64> = plan["spare"].as_array().unwrap().iter().map(|one| one["size"].as_f64().unwrap()).collect();
    assert_eq!(spare, [2.5, 2.7]);
    assert!(json(&["pick", "presets/demos/wren-valve.yaml", "--json"])["plan"].is_null(), "one valve is no plan");
}

#[test]
fn the_preset_asks_for_each_valve_and_plans_the_engine() {
    let pick = |more: &[&str]| run(&[&["pick"], &TWIN[..], more, &["--quiet"]].concat());
    let none_in_the_box = pick(&["tray.on_hand=none"]);
    assert_eq!(none_in_the_box.out, "BUY 2: 2.45, 2.75; move 3; keep 3; sure to be in band: 7 of 8\n");
    let two = pick(&["tray.on_hand=2.75+2.45+2.45"]);
    assert_eq!(two.out, "FROM THE BOX 3: 2.45 twice, 2.75; move 2; keep 3; sure to be in band: all 8\n");
    assert_eq!(two.status, 0);
    let expanded = run(&[&["preset", "expand"], &TWIN[..], &["tray.on_hand=2.75+2.45+2.45"]].concat());
    assert!(expanded.out.contains("on_hand: { 2.75: 1, 2.45: 2 }"), "{}", expanded.out);
    let fed_back = crate::tool::run_with(&["pick", "-", "--quiet"], &expanded.out);
    assert_eq!(fed_back.out, two.out);
}

#[test]
fn a_valve_that_no_shim_serves_is_named_with_what_it_needs() {
    let line = [
        "pick",
        "valve-lash",
        "stations=I1/I2",
        "lash.I1=0.04",
        "lash.I2=0.15",
        "old.I1=2.00",
        "old.I2=2.50",
        "wanted=0.12..0.18",
        "tray.on_hand=none",
    ];
    let said = run(&line);
    assert_eq!(said.status, 1, "{}", said.err);
    let first = said.out.lines().next().unwrap();
    assert_eq!(first, "LEAVE ALL AS THEY ARE; NOTHING FITS I1; sure to be in band: 1 of 2");
    // 2.00 + 0.04 - 0.15 = 1.89
    assert!(said.out.contains("\nI1: have one made 1.890 thick; from "), "{}", said.out);
    let plan = &json(&[&line[..], &["--json"]].concat())["plan"];
    assert_eq!(plan["unserved"][0]["station"], "I1");
    assert!((plan["unserved"][0]["make"]["thickness"].as_f64().unwrap() - 1.89).abs() < 1e-9);
}
