//! A drive shaft that stands on thrust washers and is engaged by lugs to half their length, as a plain stack document.
//!
//! The measurements are common practice, no source: depth of the bore 131.18, length 127.83 and by a second reading
//! 127.81, lugs 4.35, washers of 0.60, two of which measured 1.228 together.

use shimwright_engine::analyse::{Verdict, report};
use shimwright_engine::select::{Pick, PickOptions, pick};
use shimwright_tests::{close, model_of};

/// Sums of figures of 131 with two decimals are off by rounding alone.
const ROUNDING_MM: f64 = 1e-12;

fn stack(depth: &str, length: &str, washers: &str, kit: &str) -> String {
    format!(
        "
dimensions:
  depth: {{ readings: {depth}, instrument: depth gauge }}
  length: {{ readings: {length}, instrument: calliper }}
  lug: {{ readings: [4.35], instrument: calliper }}
gaps:
  clearance: {{ chain: depth - length - washers, target: lug / 2, accept: [lug / 2 - 0.30, lug / 2 + 0.30] }}
  engaged: {{ chain: lug - clearance }}
packs:
  washers: {{ kit: shelf, {washers} }}
kits:
  shelf: {kit}
"
    )
}

const BY_LABEL: &str = "{ sizes: [0.60], tolerance: 0.015 }";

fn chosen(depth: &str, length: &str, kit: &str) -> Pick {
    pick(&model_of(&stack(depth, length, "count: [1, 3]", kit)), &PickOptions::default()).unwrap()
}

fn labels(pick: &Pick) -> Vec<&str> {
    pick.packs[0].choice.shims.iter().map(|shim| shim.label.as_str()).collect()
}

#[test]
fn two_washers_of_sixty() {
    let pick = chosen("[131.18]", "[127.83]", BY_LABEL);
    assert_eq!(labels(&pick), ["0.60", "0.60"]);
    // 131.18 - 127.83 = 3.35; half of 4.35 is 2.175; 1.175 is wanted and 1.20 is there.
    close(pick.packs[0].wanted.thickness_mm, 1.175, ROUNDING_MM);
    close(pick.gaps[0].target_mm.unwrap(), 2.175, ROUNDING_MM);
    close(pick.gaps[0].expected_mm, 2.15, ROUNDING_MM);
    close(pick.gaps[1].expected_mm, 2.20, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::In));
    assert!(pick.gaps[0].chances.unwrap().within > 0.99);
    // Both gaps are named, and one has no band.
    assert_eq!((pick.gaps[1].name.as_str(), pick.gaps[1].verdict), ("engaged", None));
    // One washer gives 2.75, three give 1.55: both are outside.
    let expected: Vec<f64> = pick.alternatives.iter().map(|one| one.gaps[0].expected_mm).collect();
    close(expected[0], 2.75, ROUNDING_MM);
    close(expected[1], 1.55, ROUNDING_MM);
    assert!(pick.alternatives.iter().all(|one| one.verdict == Some(Verdict::Out)));
}

#[test]
fn a_second_reading_of_the_length() {
    let second = chosen("[131.18]", "[127.81]", BY_LABEL);
    close(second.gaps[0].expected_mm, 2.17, ROUNDING_MM);
    close(second.packs[0].wanted.thickness_mm, 1.195, ROUNDING_MM);
    // Both readings together: 127.82, and so 2.16.
    let both = chosen("[131.18]", "[127.83, 127.81]", BY_LABEL);
    close(both.gaps[0].expected_mm, 2.16, ROUNDING_MM);
    close(both.packs[0].wanted.thickness_mm, 1.185, ROUNDING_MM);
    // By repeated measuring 1.16 to 1.21 were wanted.
    for pick in [&second, &both] {
        assert_eq!(labels(pick), ["0.60", "0.60"]);
        assert!(pick.packs[0].wanted.thickness_mm > 1.16 && pick.packs[0].wanted.thickness_mm < 1.21);
    }
}

#[test]
fn washers_measured_one_by_one() {
    let pick = chosen("[131.18]", "[127.83]", "{ sizes: [0.60], actual: { 0.60: [0.613, 0.615] } }");
    assert_eq!(labels(&pick), ["0.60", "0.60"]);
    close(pick.packs[0].choice.thickness_mm, 1.228, ROUNDING_MM);
    close(pick.gaps[0].expected_mm, 2.122, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::In));
}

#[test]
fn washers_measured_together_as_they_are_fitted() {
    for fitted in
        ["fitted: [1.228]", "fitted: [{ readings: [1.228], instrument: micrometer }]", "fitted: [0.613, 0.615]"]
    {
        let model = model_of(&stack("[131.18]", "[127.83]", fitted, BY_LABEL));
        let report = report(&model, &Default::default()).unwrap();
        close(report.gaps[0].exact.mean_mm, 2.122, ROUNDING_MM);
        close(report.gaps[1].exact.mean_mm, 4.35 - 2.122, ROUNDING_MM);
        assert_eq!(report.gaps[0].verdict, Some(Verdict::In));
    }
}

#[test]
fn a_machined_case_is_served_by_three() {
    let pick = chosen("[131.68]", "[127.83]", BY_LABEL);
    assert_eq!(labels(&pick), ["0.60", "0.60", "0.60"]);
    close(pick.gaps[0].expected_mm, 2.05, ROUNDING_MM);
    close(pick.packs[0].wanted.thickness_mm, 1.675, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::In));
    assert!(pick.make.is_empty());
}

#[test]
fn a_case_machined_too_far_is_told_what_to_have_made() {
    // 0.9 deeper: three washers leave 2.45, in band by the number and not surely; a millimetre more is out.
    let near = chosen("[132.08]", "[127.83]", BY_LABEL);
    assert_eq!(near.verdict, Some(Verdict::CannotTell));
    close(near.gaps[0].expected_mm, 2.45, ROUNDING_MM);
    let far = chosen("[133.08]", "[127.83]", BY_LABEL);
    assert_eq!((far.verdict, labels(&far).len()), (Some(Verdict::Out), 3));
    close(far.gaps[0].expected_mm, 3.45, ROUNDING_MM);
    close(far.misses_by_mm.unwrap(), 0.975, ROUNDING_MM);
    for pick in [near, far] {
        let [make] = pick.make.as_slice() else { panic!("one pack, one shim to have made") };
        let beside: f64 = 0.60 * make.beside.len() as f64;
        close(make.thickness_mm + beside, pick.packs[0].wanted.thickness_mm, ROUNDING_MM);
        assert!(make.sure && make.low_mm < make.thickness_mm && make.thickness_mm < make.high_mm);
    }
}
