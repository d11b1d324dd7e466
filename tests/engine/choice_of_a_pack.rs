//! The choice of a pack against brute force: kits of up to 12 sizes, packs of up to 4 shims, every rule.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use shimwright_engine::analyse::Verdict;
use shimwright_engine::model::Origin;
use shimwright_engine::select::{AlternativeRole, Expected, PickError, PickOptions, pick};
use shimwright_tests::model_of;
use shimwright_tests::strategies::{Choice, choice};

use crate::brute_force::BruteForce;

/// Probabilities of two ways to the same distribution: each has a bound of 1e-12, and lengths of 9 mm are rounded to
/// 2e-15 mm against a spread of 1e-3 mm and more.
const PROBABILITY: f64 = 1e-10;

fn agrees(choice: &Choice) -> Result<(), TestCaseError> {
    let mut brute = BruteForce::new(choice);
    let best = brute.best();
    prop_assume!(!brute.on_the_edge);
    let text = choice.document();
    let picked = match (pick(&model_of(&text), &PickOptions::default()), &best) {
        (Ok(picked), Some(_)) => picked,
        (Err(PickError::NoPack { .. }), None) => return Ok(()),
        (picked, _) => {
            return Err(TestCaseError::fail(format!("{text}\n{:?}\nbut {best:?}", picked.map(|one| one.packs))));
        }
    };
    let best = best.expect("matched above");
    let shims: Vec<(i64, bool)> = picked.packs[0]
        .choice
        .shims
        .iter()
        .map(|shim| ((shim.thickness_mm * 1e6).round() as i64, shim.from == Origin::Fitted))
        .collect();
    prop_assert_eq!(&shims, &best.shims, "{}\nengine {:?}\nbrute force {:?}", text, picked.gaps[0], best);
    prop_assert_eq!(picked.leave, best.leave, "{}", text);
    let gap = &picked.gaps[0];
    prop_assert_eq!((gap.expected_mm * 1e6).round() as i64, best.expected, "{}", text);
    prop_assert!((gap.u_mm - best.sd_mm).abs() <= 1e-12, "{}\n{} {}", text, gap.u_mm, best.sd_mm);
    if let Some(chances) = gap.chances {
        prop_assert_eq!(picked.verdict, Some(best.verdict), "{}", text);
        prop_assert!((chances.within - best.within).abs() <= PROBABILITY, "{}\n{:?} {}", text, chances, best.within);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn is_that_of_brute_force(choice in choice()) {
        agrees(&choice)?;
    }
}

#[test]
fn the_cases_are_of_every_kind() {
    // What the property above looks at, counted over a fixed run: none of the ways through the order is left out.
    let mut runner = TestRunner::deterministic();
    let [mut none, mut leave, mut sure, mut doubtful, mut out, mut not_nearest, mut measured] = [0; 7];
    for _ in 0..400 {
        let choice = choice().new_tree(&mut runner).unwrap().current();
        let Ok(pick) = pick(&model_of(&choice.document()), &PickOptions::default()) else {
            none += 1;
            continue;
        };
        leave += i32::from(pick.leave);
        sure += i32::from(pick.verdict == Some(Verdict::In));
        doubtful += i32::from(matches!(pick.verdict, Some(Verdict::CannotTell | Verdict::SomeWill)));
        out += i32::from(pick.verdict == Some(Verdict::Out));
        measured += i32::from(pick.gaps[0].measured);
        let off = |gap: &Expected| (gap.expected_mm - gap.target_mm.unwrap()).abs();
        let neighbours = pick.alternatives.iter().filter(|one| one.role != AlternativeRole::Next);
        not_nearest += i32::from(neighbours.into_iter().any(|one| off(&one.gaps[0]) + 1e-9 < off(&pick.gaps[0])));
    }
    let all = [none, leave, sure, doubtful, out, not_nearest, measured];
    assert!(all.iter().all(|&count| count >= 5), "{all:?}");
}

/// The shims chosen, by their labels.
fn labels(text: &str) -> Vec<String> {
    let picked = pick(&model_of(text), &PickOptions::default()).unwrap();
    picked.packs[0].choice.shims.iter().map(|shim| shim.label.clone()).collect()
}

#[test]
fn a_pack_on_the_edge_of_the_slack_is_level() {
    // Half the band is 0.03. 0.20 + 0.45 + 0.475 is 0.010 from the target, 0.575 twice is 0.015: level, the slack being
    // 0.005, and with fewer shims.
    let text = "
dimensions: { body: 9.000 }
gaps: { space: { chain: body - shims, accept: at least 7.835, target: 7.865 } }
packs: { shims: { kit: box, count: [1, 3] } }
kits: { box: { sizes: [0.15, 0.20, 0.275, 0.30, 0.325, 0.45, 0.475, 0.575] } }
";
    assert_eq!(labels(text), ["0.575", "0.575"]);
    // A micrometre more and it is not.
    let more = text.replace("target: 7.865", "target: 7.866").replace("7.835", "7.836");
    assert_eq!(labels(&more), ["0.20", "0.45", "0.475"]);
}

#[test]
fn the_slack_is_half_the_uncertainty_where_that_is_more() {
    // ± 0.06 at three sigma is u = 0.02, so the slack is 0.010: two of 0.305 are 0.010 off, three of 0.20 are not.
    let text = "
dimensions: { body: { size: 9.000, tolerance: 0.06 } }
gaps: { space: { chain: body - shims, accept: [8.30, 8.50] } }
packs: { shims: { kit: box, count: [2, 3] } }
kits: { box: { sizes: [0.20, 0.305] } }
";
    assert_eq!(labels(text), ["0.305", "0.305"]);
    // u = 0.0198: the slack is 0.0099.
    assert_eq!(labels(&text.replace("0.06", "0.0594")), ["0.20", "0.20", "0.20"]);
}

#[test]
fn a_tie_goes_looser_unless_it_leans() {
    let of = |sign: char, target: f64, more: &str| {
        let (low, high) = (target - 0.05, target + 0.05);
        labels(&format!(
            "
dimensions: {{ body: 9.000 }}
gaps: {{ space: {{ chain: body {sign} shims, accept: [{low:.2}, {high:.2}]{more} }} }}
packs: {{ shims: {{ kit: box, count: 1 }} }}
kits: {{ box: {{ sizes: [0.19, 0.21] }} }}
"
        ))
    };
    // Looser is the larger gap: the thinner shim where shims close it, the thicker one where they open it.
    assert_eq!(of('-', 8.80, ""), ["0.19"]);
    assert_eq!(of('+', 9.20, ""), ["0.21"]);
    // A preload is looser where it is less.
    assert_eq!(of('-', -8.80, ", as: preload"), ["0.19"]);
    assert_eq!(of('+', -9.20, ", as: preload"), ["0.21"]);
    assert_eq!(of('-', 8.80, ", lean: tighter"), ["0.21"]);
    assert_eq!(of('-', -8.80, ", as: preload, lean: more"), ["0.21"]);
    assert_eq!(of('-', -8.80, ", as: preload, lean: less"), ["0.19"]);
}

#[test]
fn the_scarcest_size_is_that_of_all_its_measured_shims() {
    // Both packs are 0.001 from the target, on either side; of 0.15 there are two left when one is taken, of 0.20 none.
    let text = "
dimensions: { body: 9.000 }
gaps: { space: { chain: body - shims, accept: [8.70, 8.80], target: 8.75 } }
packs: { shims: { kit: box, count: 2 } }
kits: { box: { sizes: [0.05, 0.10, 0.15, 0.20], on_hand: { 0.05: 3, 0.10: 3 }, actual: { 0.15: [0.151, 0.152, 0.153], 0.20: [0.199] } } }
";
    assert_eq!(labels(text), ["0.10", "0.15"]);
}

#[test]
fn a_band_with_one_end_and_a_large_kit() {
    // 75 sizes, four at most: 1.5 million packs. At the target of 0.70 the gap is below 0.80 in 84 of 100 only, so the
    // pack is further on: 0.80 - 1.645 × 0.10 = 0.6355, and 0.02 is the step.
    let text = "
dimensions: { body: { size: 4.000, tolerance: 0.3 } }
gaps: { space: { chain: body - shims, accept: at most 0.8, target: 0.7 } }
packs: { shims: { kit: box } }
kits: { box: { sizes: { from: 0.02, to: 1.50, step: 0.02 } } }
";
    assert_eq!(labels(text), ["0.38", "1.50", "1.50"]);
}

/// The fewest cases in which every branch of the order to try is passed: by the number, on the edge, and none that enters.
#[test]
fn the_thickest_that_enters_leaves_no_less_than_nothing() {
    let text = |groove: &str| {
        format!(
            "
dimensions: {{ groove: {groove} }}
gaps: {{ play: {{ chain: groove - ring, accept: [0, 0.05], lean: thickest that enters }} }}
packs: {{ ring: {{ kit: rings, count: 1 }} }}
kits: {{ rings: {{ sizes: [1.60, 1.65, 1.70, 1.75], tolerance: 0 }} }}
"
        )
    };
    let picked = |groove: &str| pick(&model_of(&text(groove)), &PickOptions::default());
    let label = |groove: &str| picked(groove).expect("a ring").packs[0].choice.shims[0].label.clone();
    assert_eq!(label("1.73"), "1.70");
    // A ring that leaves nothing enters; 1.70 - 1.70 is nothing whatever binary says.
    assert_eq!(label("1.70"), "1.70");
    assert_eq!(label("1.6999"), "1.65");
    assert!(matches!(picked("1.59"), Err(PickError::NoPack { .. })));
    // A normal groove, sd 0.02: P(1.73 + 0.02 z >= t) = Phi((1.73 - t)/0.02) for each ring that is tried.
    let answer = picked("{ size: 1.73, sd: 0.02 }").expect("a ring");
    let tried: Vec<(&str, f64)> =
        answer.tries.iter().map(|one| (one.choice.shims[0].label.as_str(), one.enters)).collect();
    let phi =
        [("1.75", 0.158_655_253_931_457_05), ("1.70", 0.933_192_798_731_141_9), ("1.65", 0.999_968_328_758_166_9)];
    assert_eq!(tried.len(), phi.len(), "{tried:?}");
    for ((label, enters), (ring, reference)) in tried.iter().zip(phi) {
        assert_eq!(*label, ring);
        // Figures of the normal law to sixteen digits, of inputs that are rounded to doubles.
        assert!((enters - reference).abs() < 1e-12, "{label}: {enters}, {reference}");
    }
}

#[test]
fn a_shim_is_lapped_only_where_nothing_else_is_in_band() {
    let text = |case: &str, lap: &str| {
        format!(
            "
dimensions: {{ case: {case}, drum: {{ readings: [87.63], instrument: micrometer 50 to 100 }} }}
gaps: {{ play: {{ chain: case - drum - shims, accept: [0.10, 0.14], target: 0.12 }} }}
packs: {{ shims: {{ kit: tray, count: [1, 2], lap: {lap} }} }}
kits: {{ tray: {{ sizes: [0.20, 0.50, 0.60], tolerance: 0.01 }} }}
"
        )
    };
    let picked = |case: &str, lap: &str| pick(&model_of(&text(case, lap)), &PickOptions::default()).expect("a pack");
    let shims = |case: &str, lap: &str| -> Vec<(i64, Origin)> {
        let picked = picked(case, lap);
        picked.packs[0].choice.shims.iter().map(|one| ((one.thickness_mm * 1e6).round() as i64, one.from)).collect()
    };
    // 88.35 - 87.63 - 0.12 = 0.60, which is there.
    assert_eq!(shims("88.35", "0.06"), [(600_000, Origin::Kit)]);
    // 88.41: 0.66 is wanted. 0.70 in two, the 0.50 of it lapped by 0.04: 0.46.
    assert_eq!(shims("88.41", "0.06"), [(200_000, Origin::Kit), (460_000, Origin::Lapped)]);
    // As much as may come off leaves 0.685, in band at 0.095 only by lapping less than it takes: out, so nothing is lapped.
    assert_eq!(shims("88.41", "0.015"), [(200_000, Origin::Kit), (500_000, Origin::Kit)]);
    // What is lapped is measured: limit of error and repeatability of a micrometer, and its zero, which the drum, read with
    // another one, does not share; the tolerance of the 0.20 stays.
    let gap = &picked("88.41", "0.06").gaps[0];
    let drum = [(0.005, 3.0), (0.003, 3.0), (0.002, 1.0)];
    let shim = [(0.004, 3.0), (0.002, 3.0), (0.002, 1.0), (0.01, 3.0)];
    let variance: f64 = drum.iter().chain(&shim).map(|(half, by): &(f64, f64)| half * half / by).sum();
    assert!((gap.u_mm - variance.sqrt()).abs() < 1e-12, "{} {}", gap.u_mm, variance.sqrt());
}
