//! The shipped demos through the whole job: what the gap is, which shims to fit, and what is read when they are in.
//!
//! Source of every figure here: computed by hand, invented scenario. The sums stand in the comments of the demos.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;

use crate::tool::{json, root, run, words};

/// The figures by hand have five decimals.
const BY_HAND: f64 = 0.000_006;
const MM_PER_INCH: f64 = 25.4;

/// A demo, worked by hand. Lengths are in the document's unit.
struct Demo {
    file: &'static str,
    /// Each gap as it stands in the file: with no shims in, or as found.
    before: &'static [(&'static str, f64)],
    /// The verdict on what is picked.
    picked: &'static str,
    packs: &'static [Packed],
    /// Each gap with that pack in.
    expected: &'static [(&'static str, f64)],
    after: &'static [After],
    /// The verdict and the exit status after fitting.
    verdict: (&'static str, i32),
    /// The packs that the trade's last sum asks for, where it was worked.
    asks: &'static [f64],
}

/// A pack: what is taken from the kit, and its thickness with what stays in.
type Packed = (&'static [f64], f64);

/// A gap after fitting: its name, the sum of its parts where it has one, and the mean of what was read.
type After = (&'static str, Option<f64>, f64);

const DEMOS: [Demo; 17] = [
    Demo {
        file: "layshaft",
        before: &[("float", 0.652)],
        picked: "in",
        packs: &[(&[0.15, 0.30], 0.45)],
        expected: &[("float", 0.202)],
        after: &[("float", Some(0.202), 0.183_33)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "trial-rings",
        before: &[("end play", 0.430)],
        picked: "in",
        packs: &[(&[0.33], 0.974)],
        expected: &[("end play", 0.100)],
        after: &[("end play", None, 0.103_33)],
        verdict: ("in", 0),
        asks: &[0.977_33],
    },
    Demo {
        file: "bevel-preload",
        before: &[("bearing preload", -0.313_33)],
        picked: "in",
        packs: &[(&[2.34], 2.34)],
        expected: &[("bearing preload", 0.076_67)],
        after: &[("bearing preload", None, -0.215)],
        verdict: ("out", 1),
        asks: &[2.345],
    },
    Demo {
        file: "harrow-gearbox",
        // Hot, with the trial shim in: -0.41333 - 0.15015 + 1.10 x 11.7 x 1e-6 x 65 = -0.56265.
        before: &[("cold preload", -0.413_33), ("hot preload", -0.562_65)],
        picked: "in",
        packs: &[(&[1.60], 1.60)],
        expected: &[("cold preload", 0.086_67), ("hot preload", -0.062_27)],
        after: &[("cold preload", None, -0.315)],
        verdict: ("out", 1),
        asks: &[1.595],
    },
    Demo {
        file: "pump-inch",
        before: &[("clearance", -0.045_33)],
        picked: "in",
        packs: &[(&[0.002, 0.030, 0.030], 0.062)],
        expected: &[("clearance", 0.016_67)],
        after: &[("clearance", Some(0.016_67), 0.017)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "wren-valve",
        before: &[("lash", 0.28)],
        picked: "in",
        packs: &[(&[2.75], 2.75)],
        expected: &[("lash", 0.23)],
        after: &[("lash", None, 0.23)],
        verdict: ("in", 0),
        asks: &[2.75],
    },
    Demo {
        file: "dunmore-pump",
        // Hot, with no shims in: 1.22428 - 0.06032 = 1.16396.
        before: &[("clearance", 1.224_28), ("hot clearance", 1.163_96)],
        picked: "in",
        packs: &[(&[0.002 * MM_PER_INCH, 0.010 * MM_PER_INCH, 0.010 * MM_PER_INCH, 0.010 * MM_PER_INCH], 0.8128)],
        expected: &[("clearance", 0.411_48), ("hot clearance", 0.350_78)],
        after: &[("clearance", Some(0.411_48), 0.425)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "ashgrove-collimator",
        before: &[("air gap", 12.526)],
        picked: "in",
        packs: &[(&[0.025, 0.1], 0.125)],
        expected: &[("air gap", 12.401)],
        after: &[("air gap", Some(12.401), 12.4015)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "ferry-decks",
        before: &[("deck one", 1.13), ("deck two", 1.09)],
        picked: "in",
        packs: &[(&[0.20], 0.20)],
        expected: &[("deck one", 1.33), ("deck two", 1.29)],
        after: &[("deck one", Some(1.33), 1.335), ("deck two", Some(1.29), 1.285)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "linden-governor",
        before: &[("float", 3.444), ("engagement", 4.80)],
        picked: "in",
        packs: &[(&[0.15, 0.80, 0.80], 1.75), (&[0.25, 0.50, 0.80], 1.55)],
        expected: &[("float", 0.144), ("engagement", 3.05)],
        after: &[("float", Some(0.144), 0.145), ("engagement", Some(3.05), 3.055)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "quay-rocker",
        before: &[("lash", 0.423_33)],
        picked: "in",
        packs: &[(&[], 0.125)],
        expected: &[("lash", 0.235_83)],
        after: &[("lash", None, 0.24)],
        verdict: ("in", 0),
        asks: &[-0.006_67],
    },
    Demo {
        file: "weir-mainshaft",
        before: &[("play", 1.730)],
        picked: "cannot tell",
        packs: &[(&[1.70], 1.70)],
        expected: &[("play", 0.030)],
        after: &[("play", Some(0.030), 0.030)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "tarn-axle",
        before: &[("preload", 0.0), ("backlash", 0.31)],
        picked: "in",
        packs: &[(&[3.15], 3.15), (&[2.90], 2.90)],
        expected: &[("preload", 0.21), ("backlash", 0.16)],
        after: &[("backlash", None, 0.165)],
        verdict: ("in", 0),
        // 0.165 less 0.16 is 0.005, by the slope 0.00833 thicker; right 6.04 less that.
        asks: &[3.158_33, 2.881_67],
    },
    Demo {
        file: "marlow-press",
        before: &[("float", 0.904_67)],
        picked: "in",
        packs: &[(&[0.20, 0.50], 0.70)],
        expected: &[("float", 0.204_67)],
        after: &[("float", Some(0.204_67), 0.203_33)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "rowan-reducer",
        before: &[("float", 1.615)],
        picked: "some will",
        packs: &[(&[0.20, 0.20, 1.00], 1.40)],
        expected: &[("float", 0.215)],
        after: &[("float", Some(0.215), 0.313_33)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "nettle-gearmotor",
        before: &[("float", 0.85)],
        picked: "in",
        packs: &[(&[0.10, 0.50], 0.60)],
        expected: &[("float", 0.25)],
        after: &[("float", Some(0.25), 0.255)],
        verdict: ("in", 0),
        asks: &[],
    },
    Demo {
        file: "brook-winch",
        before: &[("float", 1.358_33)],
        picked: "in",
        packs: &[(&[0.60, 0.60], 1.20)],
        expected: &[("float", 0.158_33)],
        after: &[("float", Some(0.158_33), 0.16)],
        verdict: ("in", 0),
        asks: &[],
    },
];

/// The demo that has no packs: how a batch comes out as it is drawn.
const AS_DRAWN: &str = "marlow-winch";

impl Demo {
    fn path(&self) -> String {
        format!("presets/demos/{}.yaml", self.file)
    }

    fn answer(&self, command: &str, more: &[&str]) -> Value {
        json(&[&[command, &self.path(), "--json"], more].concat())
    }
}

fn near(what: &Value, by_hand: f64, said: &str) {
    let figure = what.as_f64().unwrap_or_else(|| panic!("{said}: no figure but {what}"));
    assert!((figure - by_hand).abs() < BY_HAND, "{said}: {figure}, by hand {by_hand}");
}

fn gap<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let gaps = answer["gaps"].as_array().expect("an answer has gaps");
    gaps.iter().find(|gap| gap["name"] == name).unwrap_or_else(|| panic!("no gap {name}"))
}

/// The words after `shimwright` of the line in a demo's comment that verifies it.
fn line_to_verify(demo: &Demo) -> Vec<String> {
    let text = fs::read_to_string(root().join(demo.path())).unwrap();
    let comment: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix('#')).collect();
    let joined = comment.join("\n").replace("\\\n", " ");
    let line = joined.lines().find_map(|line| line.trim().strip_prefix("shimwright "));
    words(line.unwrap_or_else(|| panic!("{} says how to verify it", demo.file)))
}

#[test]
fn every_demo_is_worked_here() {
    let shipped: BTreeSet<String> = fs::read_dir(root().join("presets/demos"))
        .unwrap()
        .filter_map(|entry| entry.unwrap().file_name().to_str().unwrap().strip_suffix(".yaml").map(str::to_owned))
        .collect();
    // The plan of many stations is worked in `stations`.
    let worked = DEMOS.iter().map(|demo| demo.file).chain([AS_DRAWN, "wren-twin"]);
    assert_eq!(shipped, worked.map(str::to_owned).collect());
}

#[test]
fn two_gaps_of_a_batch_are_told_at_once() {
    let answer = json(&["gap", &format!("presets/demos/{AS_DRAWN}.yaml"), "--json", "--samples", "0"]);
    for (name, mean, sd) in [("float", 0.20, 0.037_42), ("step", 0.15, 0.015_49)] {
        near(&gap(&answer, name)["exact"]["mean"], mean, name);
        near(&gap(&answer, name)["exact"]["sd"], sd, name);
    }
    near(&answer["covariance"][0][1], 0.000_12, "what the drum is in both");
    // By scipy 1.17.1 (multivariate_normal, good to 1e-10) from the covariances in the demo's comment.
    let joint = answer["joint_within"].as_f64().unwrap();
    assert!((joint - 0.991_254_329_88).abs() < 1e-9, "{joint}");
    assert_eq!(answer["joint_source"], "two normal sums");
    let said = run(&["gap", &format!("presets/demos/{AS_DRAWN}.yaml"), "--samples", "0"]);
    assert_eq!(said.status, 0);
    assert!(said.out.contains("\nboth at once: 991 in 1000\n"), "{}", said.out);
    assert!(said.out.contains("drum with sleeve (going together takes away)  − 0.046"), "{}", said.out);
}

#[test]
fn gap_gives_the_figure_by_hand() {
    for demo in &DEMOS {
        let answer = demo.answer("gap", &["--samples", "0"]);
        assert_eq!(answer["gaps"].as_array().unwrap().len(), demo.before.len(), "{}", demo.file);
        for (name, by_hand) in demo.before {
            near(&gap(&answer, name)["exact"]["mean"], *by_hand, &format!("{}, {name}", demo.file));
        }
    }
}

#[test]
fn pick_takes_the_shims_by_hand() {
    for demo in &DEMOS {
        let answer = demo.answer("pick", &[]);
        assert_eq!(answer["verdict"], demo.picked, "{}", demo.file);
        assert_eq!(answer["packs"].as_array().unwrap().len(), demo.packs.len(), "{}", demo.file);
        for (pack, (by_hand, thickness)) in answer["packs"].as_array().unwrap().iter().zip(demo.packs) {
            near(&pack["thickness"], *thickness, demo.file);
            let taken: Vec<&Value> = pack["shims"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|shim| shim["from"] == "kit" || shim["moved_from"].is_string())
                .map(|shim| &shim["size"])
                .collect();
            assert_eq!(taken.len(), by_hand.len(), "{}: {taken:?}", demo.file);
            for (size, by_hand) in taken.iter().zip(*by_hand) {
                near(size, *by_hand, demo.file);
            }
        }
        assert_eq!(answer["gaps"].as_array().unwrap().len(), demo.expected.len(), "{}", demo.file);
        for (name, by_hand) in demo.expected {
            near(&gap(&answer, name)["expected"], *by_hand, &format!("{}, {name}", demo.file));
        }
    }
}

#[test]
fn the_line_in_the_comment_verifies_it() {
    for demo in &DEMOS {
        let line = line_to_verify(demo);
        assert_eq!(line[..2], ["verify".to_owned(), demo.path()], "{}", demo.file);
        let line: Vec<&str> = line.iter().map(String::as_str).collect();
        let (verdict, status) = demo.verdict;
        assert_eq!(run(&line).status, status, "{}", demo.file);
        let answer = json(&[&line[..], &["--json"]].concat());
        assert_eq!(answer["verdict"], verdict, "{}", demo.file);
        for (name, sum, read) in demo.after {
            let (gap, said) = (gap(&answer, name), format!("{}, {name}", demo.file));
            near(&gap["found"], *read, &said);
            let best = gap["best_estimate"].as_f64().expect("the reading agrees with the sum, or there is no sum");
            match sum {
                Some(sum) => {
                    near(&gap["predicted"], *sum, &said);
                    assert_eq!(gap["agrees"], true, "{said}");
                    // Of two figures that agree the best estimate is between them, but for what other readings say of
                    // the parts that gaps share: less than the reading's own doubt.
                    let alone = demo.after.len() == 1;
                    let beyond = if alone { BY_HAND } else { gap["found_u"].as_f64().expect("it was read") };
                    assert!(best > sum.min(*read) - beyond && best < sum.max(*read) + beyond, "{said}: {best}");
                }
                None => near(&gap["best_estimate"], *read, &said),
            }
        }
        for (pack, by_hand) in answer["packs"].as_array().unwrap().iter().zip(demo.asks) {
            near(&pack["wanted"], *by_hand, demo.file);
        }
    }
}
