//! Edges of a choice: bands without width, made shims and the rules, gaps that pull apart, faces that are not flat.
//! All figures are invented.

use serde_json::Value;

use crate::tool::{run_bounded, run_with};

fn json(document: &str) -> Value {
    let said = run_with(&["pick", "-", "--json"], document);
    serde_json::from_str(&said.out).unwrap_or_else(|fault| panic!("{fault}: {}", said.err))
}

fn words(document: &str) -> String {
    run_with(&["pick", "-"], document).out
}

#[test]
fn a_band_without_width_is_answered() {
    let document = "dimensions: { bore: { readings: [10.02, 10.03], instrument: calliper } }\n\
                    gaps: { play: { chain: bore - 9 - shims, accept: [0.1, 0.1] } }\n\
                    packs: { shims: { kit: k, count: [1, 3] } }\nkits: { k: { sizes: [0.5], tolerance: 0.01 } }\n";
    let said = run_bounded(&["pick", "-", "--quiet"], document.as_bytes());
    assert_eq!(said.status, 1, "{}", said.err);
    assert!(said.out.starts_with("NOTHING FITS: nearest is 0.5 + 0.5, expect play 0.025"), "{}", said.out);
}

#[test]
fn a_made_shim_obeys_the_rules() {
    // 0.900 - 0.10 wanted, with 0.25 + 0.25 that must be there: 0.300 is left to make.
    let twice = "dimensions: { bore: { readings: [0.9, 0.9, 0.9], instrument: micrometer } }\n\
                 gaps: { play: { chain: bore - shims, accept: [0.05, 0.15] } }\n\
                 packs: { shims: { kit: k, count: [1, 3], includes: [0.25, 0.25] } }\n\
                 kits: { k: { sizes: [0.1, 0.25, 0.5], tolerance: 0.005, on_hand: { 0.25: 2, 0.1: 1 } } }\n";
    let made = json(twice)["make"][0]["thickness"].as_f64().unwrap();
    // A mean of three doubles.
    assert!((made - 0.3).abs() < 1e-12, "{made}");
    assert!(words(twice).contains("to go with 0.25 + 0.25"));
    // What stays is 0.5, and the pack may be 0.62: the 0.203 that is wanted has no room.
    let thick = "gaps: { play: { chain: 0 - shims, accept: [0.05, 0.15], found: { readings: [0.30, 0.31, 0.30], instrument: \
                 indicator } } }\npacks: { shims: { kit: k, count: [1, 3], fitted: [0.5], stay: all, thickest: 0.62 } }\n\
                 kits: { k: { sizes: [0.1, 0.2, 0.5], tolerance: 0.005 } }\n";
    assert_eq!(json(thick)["make"], Value::Array(Vec::new()));
}

#[test]
fn gaps_that_pull_apart_have_no_thickness() {
    let document = "dimensions:\n  one: { readings: [1.0, 1.001], instrument: micrometer }\n  \
                    two: { readings: [1.3, 1.301], instrument: micrometer }\ngaps:\n  \
                    first: { chain: one - p, accept: [0, 0.1] }\n  second: { chain: two - p, accept: [0, 0.1] }\n\
                    packs: { p: { kit: k, count: 1 } }\nkits: { k: { sizes: [0.8, 0.9, 1.1], tolerance: 0.002 } }\n";
    let answer = json(document);
    assert_eq!(answer["make"], Value::Array(Vec::new()));
    assert_eq!(answer["packs"][0]["wanted"]["low"], Value::Null);
    let said = words(document);
    assert!(said.contains("no one thickness serves all of these gaps"), "{said}");
    assert!(said.contains("How first adds up") && said.contains("How second adds up"), "{said}");
}

#[test]
fn a_face_that_is_not_flat_is_never_sure() {
    let document = "dimensions:\n  depth: { readings: { north: 20.50, south: 20.41 }, instrument: depth gauge, allow_spread: \
                    0.05 }\n  hub: { readings: [19.80, 19.80], instrument: micrometer }\n\
                    gaps: { play: { chain: depth - hub - shims, accept: [0.02, 0.40] } }\npacks: { shims: { kit: k } }\n\
                    kits: { k: { sizes: [0.10, 0.20, 0.25], tolerance: 0.005 } }\n";
    let said = words(document);
    let first = said.split("\n  band").next().unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(first.ends_with("in band by the number, but a face is not flat: cannot tell"), "{said}");
    assert!(said.contains("no thickness can make it sure while a face is not flat"), "{said}");
}

#[test]
fn figures_in_two_units_say_so() {
    let document = "dimensions: { bore: { readings: [10.52, 10.53], instrument: calliper } }\n\
                    gaps: { play: { chain: bore - 9 - shims, accept: [0.004 in, 0.008 in] } }\n\
                    packs: { shims: { kit: k, count: [1, 3] } }\nkits: { k: { sizes: [0.5, 0.9], tolerance: 0.01 } }\n";
    assert!(words(document).contains("band 0.102 to 0.203 mm"), "{}", words(document));
    let inches = run_with(&["pick", "-", "--unit", "in"], document).out;
    assert!(inches.starts_with("FIT 0.5 mm + 0.9 mm, "), "{inches}");
}

#[test]
fn far_tails_of_production_rest_on_the_law() {
    let document = "dimensions: { a: { size: 10.3, tolerance: 0.02 }, b: { size: 10, tolerance: 0.02 } }\n\
                    gaps: { g: { chain: a - b - p, accept: [0.05, 0.15] } }\npacks: { p: { kit: k, count: [1, 2] } }\n\
                    kits: { k: { sizes: [0.2, 0.15], tolerance: 0.005 } }\n";
    assert!(words(document).contains("only if the law holds that far out"), "{}", words(document));
}
