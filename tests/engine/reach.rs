//! `reach` against the world outside it: differences of the normal distribution function, units worked by numpy, and the
//! choice of `pick` itself.

use proptest::prelude::*;
use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::analyse::{Confidence, Verdict};
use shimwright_engine::document::resolved::Document;
use shimwright_engine::select::reach::{Reach, ReachError, ReachOptions, Stop, Sweep, first_choice, reach};
use shimwright_engine::select::{PickError, PickOptions, pick};
use shimwright_tests::strategies::{Choice, choice};
use shimwright_tests::{close, document_of, model_of};

const WINDOWS: &str = include_str!("../data/reach/windows.csv");
const AS_MEASURED: &str = include_str!("../data/reach/as_measured.csv");

/// The exact method tells its own bound, which is of this size; a sum of windows adds a few of them.
const EXACT: f64 = 1e-11;

/// Two drawn shares differ by more than so many standard errors in one of 1.7 million cases.
const ERRORS: f64 = 5.0;

fn reached(document: &Document, samples: u64) -> Reach {
    let monte_carlo = MonteCarloOptions { samples, ..MonteCarloOptions::default() };
    reach(document, &ReachOptions { monte_carlo, ..ReachOptions::default() }).expect("there is a band and a pack")
}

#[test]
fn windows_are_differences_of_the_normal_function() {
    for line in WINDOWS.lines().skip(1) {
        let [mean, sd, low, high, sizes, least, most, expected] =
            line.split(',').collect::<Vec<_>>().try_into().expect("eight columns");
        let text = format!(
            "
dimensions: {{ space: {{ size: {mean}, sd: {sd} }} }}
gaps: {{ play: {{ chain: space - shims, accept: [{low}, {high}] }} }}
packs: {{ shims: {{ kit: box, count: [{least}, {most}] }} }}
kits: {{ box: {{ sizes: [{}] }} }}
",
            sizes.replace('/', ", ")
        );
        let found = reached(&document_of(&text), 200_000);
        let expected: f64 = expected.parse().expect("a number");
        close(found.reached.probability, expected, EXACT);
        let drawn = found.monte_carlo.expect("units were drawn");
        close(drawn.value, expected, ERRORS * drawn.standard_error.max(1e-6));
    }
}

/// The five jobs of as_measured.py as documents.
fn job(name: &str) -> String {
    let gearmotor = |tool: &str, housing: &str| {
        format!(
            "
instruments: {{ tool: {{ {tool} }} }}
dimensions:
  a: {{ size: 64.20, sd: 0.045, readings: {housing}, instrument: tool }}
  b: {{ size: 63.35, sd: 0.055, readings: [63.35], instrument: tool }}
gaps: {{ play: {{ chain: a - b - shims, accept: [0.20, 0.30] }} }}
packs: {{ shims: {{ kit: box, count: [1, 3] }} }}
kits: {{ box: {{ sizes: [0.10, 0.20, 0.30, 0.50] }} }}
"
        )
    };
    let winch = |tool: &str, sds: [&str; 2], gap: &str, sizes: &str| {
        format!(
            "
instruments: {{ tool: {{ {tool} }} }}
dimensions:
  a: {{ size: 88.46, sd: {}, readings: [88.46], instrument: tool }}
  b: {{ size: 87.10, sd: {}, readings: [87.10], instrument: tool }}
gaps: {{ play: {{ chain: a - b - shims, {gap} }} }}
packs: {{ shims: {{ kit: box, count: [1, 2] }} }}
kits: {{ box: {{ sizes: [{sizes}] }} }}
",
            sds[0], sds[1]
        )
    };
    match name {
        "scatter" => gearmotor("repeatability: 0.01", "[64.20]"),
        "places" => gearmotor(
            "repeatability: 0.01",
            // They agree, so that there is no form; three repeats more and their own scatter, none, would count.
            "{ top: [64.20, 64.20], foot: [64.20, 64.20] }",
        ),
        "limit" => gearmotor("limit_of_error: 0.02", "[64.20]"),
        "poor" => {
            winch("repeatability: 0.04", ["0.03", "0.04"], "accept: [0.10, 0.16], target: 0.14", "0.40, 0.60, 0.80")
        }
        "zero" => winch(
            "repeatability: 0.01, zero_error: 0.05",
            ["0.10", "0.10"],
            "accept: [0.10, 0.25], target: 0.15",
            "0.40, 0.60, 1.00",
        ),
        _ => panic!("no job {name}"),
    }
}

#[test]
fn as_measured_is_what_numpy_draws() {
    for line in AS_MEASURED.lines().skip(1) {
        let [name, share, error] = line.split(',').collect::<Vec<_>>().try_into().expect("three columns");
        let (share, error): (f64, f64) = (share.parse().expect("a number"), error.parse().expect("a number"));
        let found = reached(&document_of(&job(name)), 400_000).as_measured.expect("one pack, and units were drawn");
        let both = error.hypot(found.standard_error);
        assert!((found.value - share).abs() <= ERRORS * both, "{name}: {found:?}, numpy {share}");
    }
}

#[test]
fn threads_do_not_change_a_figure() {
    let document = document_of(&job("limit"));
    let with = |threads| {
        let monte_carlo = MonteCarloOptions { samples: 50_000, seed: 3, threads: Some(threads), digits: None };
        reach(&document, &ReachOptions { monte_carlo, ..ReachOptions::default() }).expect("there is an answer")
    };
    assert_eq!(with(1), with(2));
}

fn quick_agrees(choice: &Choice) -> Result<(), TestCaseError> {
    let text = choice.document();
    let model = model_of(&text);
    let quick = first_choice(&model, Confidence::default());
    match (pick(&model, &PickOptions::default()), quick) {
        (Ok(picked), Ok(quick)) => {
            let (thickness, shims) = quick.expect("there is one pack, and pick found it");
            // What is in and sure is left in by `pick` whether or not it is chosen first.
            prop_assume!(!picked.leave);
            let packed = &picked.packs[0].choice;
            prop_assert!((packed.thickness_mm - thickness).abs() < 1e-9, "{text}\n{packed:?}\n{thickness}");
            prop_assert_eq!(packed.shims.len(), shims, "{}\n{:?}\n{}", text, packed, thickness);
        }
        (Err(PickError::NoPack { .. }), Ok(None)) | (Err(_), Err(_)) => {}
        (picked, quick) => {
            return Err(TestCaseError::fail(format!("{text}\n{:?}\n{quick:?}", picked.map(|one| one.packs))));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_quick_choice_is_that_of_pick(choice in choice()) {
        quick_agrees(&choice)?;
    }

    #[test]
    fn one_more_size_never_lowers_what_is_reached(choice in choice(), label in 5_i64..40) {
        let mut more = choice.clone();
        let label = label * 10_000;
        // A new size that is there, and none that is already there.
        prop_assume!(more.sizes.iter().all(|size| size.label != label));
        let at = more.sizes.partition_point(|size| size.label < label);
        more.sizes.insert(at, shimwright_tests::strategies::Size { label, on_hand: 2, actual: Vec::new() });
        more.includes.iter_mut().for_each(|index| *index += usize::from(*index >= at));
        let of = |choice: &Choice| {
            let options = ReachOptions {
                monte_carlo: MonteCarloOptions { samples: 0, ..MonteCarloOptions::default() },
                ..ReachOptions::default()
            };
            reach(&document_of(&choice.document()), &options)
        };
        match (of(&choice), of(&more)) {
            (Ok(before), Ok(after)) => {
                prop_assert!(
                    after.reached.probability >= before.reached.probability - EXACT,
                    "{}\n{:?}\n{:?}", choice.document(), before.reached, after.reached
                );
            }
            (Err(ReachError::NoParts { .. } | ReachError::NoBand | ReachError::Pick(_)), _) => {}
            (before, after) => prop_assert!(false, "{}\n{:?}\n{:?}", choice.document(), before, after),
        }
    }
}

/// A winch's case as it was read.
fn winch(depth: f64) -> String {
    format!(
        "
dimensions:
  depth: {{ readings: [{depth:.6}], instrument: depth micrometer }}
  drum: {{ readings: [87.10], instrument: micrometer 50 to 100 }}
gaps: {{ float: {{ chain: depth - drum - shims, accept: [0.10, 0.25] }} }}
packs: {{ shims: {{ kit: list, count: [1, 2] }} }}
kits: {{ list: {{ sizes: [0.40, 0.60, 1.00], tolerance: 0.004 }} }}
"
    )
}

fn is_in(text: &str) -> bool {
    pick(&model_of(text), &PickOptions::default()).expect("there is a pack").verdict == Some(Verdict::In)
}

#[test]
fn just_outside_its_room_the_verdict_flips() {
    for depth in [88.46, 89.20, 87.70, 87.56] {
        let room = reached(&document_of(&winch(depth)), 0).room;
        assert_eq!(room.is_some(), is_in(&winch(depth)), "{depth}");
        let Some(rooms) = room else { continue };
        let room = &rooms[0];
        assert!((room.now_mm - depth).abs() < 1e-12 && rooms.len() == 2);
        for (end, out) in [(room.low.unwrap().0, -1.0), (room.high.unwrap().0, 1.0)] {
            assert!(is_in(&winch(end - out * 2e-6)), "{depth}: {end}");
            assert!(!is_in(&winch(end + out * 2e-6)), "{depth}: {end}");
        }
        // The drum takes from the float what the case gives.
        let drum = &rooms[1];
        close(drum.high.unwrap().0 - 87.10, depth - room.low.unwrap().0, 1e-7);
        close(87.10 - drum.low.unwrap().0, room.high.unwrap().0 - depth, 1e-7);
    }
}

#[test]
fn a_hole_and_the_end_of_the_kit_are_told_apart() {
    // 1.20 is followed by 1.00 with a hole between, and by 1.40; the thickest is 2.00, the thinnest 0.40.
    let stops = |depth| {
        let room = &reached(&document_of(&winch(depth)), 0).room.expect("a pack is in")[0];
        (room.low.unwrap().1, room.high.unwrap().1)
    };
    assert_eq!(stops(88.46), (Stop::Hole, Stop::Hole));
    assert_eq!(stops(89.27), (Stop::Hole, Stop::End));
    assert_eq!(stops(87.67), (Stop::End, Stop::Hole));
}

#[test]
fn wanted_thicknesses_are_covered_by_windows_about_each_sum() {
    let packs = reached(&document_of(&winch(88.46)), 0).packs;
    let intervals = packs[0].intervals_mm.as_ref().unwrap();
    // The target is 0.175, so that each sum serves what is wanted 0.075 to either side of it.
    let sums = [0.40, 0.60, 0.80, 1.00, 1.20, 1.40, 1.60, 2.00];
    assert_eq!(intervals.len(), sums.len());
    for ((low, high), sum) in intervals.iter().zip(sums) {
        close(*low, sum - 0.075, 1e-12);
        close(*high, sum + 0.075, 1e-12);
    }
    assert_eq!(packs[0].holes_mm.as_ref().unwrap().len(), sums.len() - 1);
}

#[test]
fn the_edge_is_in() {
    // Nothing is random: 0.1 + 0.2 of shims leave 0.70 exactly, which is an end of the band.
    let text = |high: &str| {
        format!(
            "
dimensions: {{ body: 1.000 }}
gaps: {{ space: {{ chain: body - shims, accept: [0.60, {high}], target: 0.65 }} }}
packs: {{ shims: {{ kit: box, count: 2 }} }}
kits: {{ box: {{ sizes: [0.10, 0.20], on_hand: {{ 0.10: 1, 0.20: 1 }} }} }}
"
        )
    };
    let of = |high, on_hand| {
        let options = ReachOptions {
            monte_carlo: MonteCarloOptions { samples: 5000, ..MonteCarloOptions::default() },
            on_hand,
            ..ReachOptions::default()
        };
        let found = reach(&document_of(&text(high)), &options).expect("there is an answer");
        let drawn = found.monte_carlo.unwrap().value;
        (found.reached.probability, drawn, found.as_measured.unwrap().value)
    };
    assert_eq!(of("0.70", true), (1.0, 1.0, 1.0));
    assert_eq!(of("0.699999", true), (0.0, 0.0, 0.0));
    // With plenty of each, 0.20 twice leaves 0.60, which is the other end.
    assert_eq!(of("0.699999", false), (1.0, 1.0, 1.0));
}

#[test]
fn a_cut_is_swept_and_the_shims_give_out() {
    let document = document_of(&winch(88.46));
    let sweep = Sweep { dimension: "depth".to_owned(), changes_mm: vec![0.0, -0.08, -0.15, -2.0] };
    let options = ReachOptions {
        monte_carlo: MonteCarloOptions { samples: 0, ..MonteCarloOptions::default() },
        sweep: Some(sweep),
        ..ReachOptions::default()
    };
    let swept = reach(&document, &options).expect("there is an answer").sweep;
    let at = |index: usize| swept[index].1.probability;
    assert!(at(0) > 0.999 && at(1) < 0.5 && at(2) > 0.999 && at(3) == 0.0, "{swept:?}");
    // Each step is what `reach` says of a document with that size.
    for (change, there) in &swept {
        let alone = reached(&document_of(&winch(88.46 + change)), 0).reached;
        close(alone.probability, there.probability, EXACT);
    }
}

#[test]
fn gaps_that_share_a_part_are_drawn_and_one_sum_is_not() {
    let text = |second: &str| {
        format!(
            "
dimensions: {{ a: {{ size: 10, tolerance: 0.09 }}, b: {{ size: 9, tolerance: 0.09 }}, c: {{ size: 1, tolerance: 0.03 }} }}
gaps:
  first: {{ chain: a - b - shims, accept: [0.05, 0.20] }}
  second: {{ chain: {second}, accept: [0.00, 0.16], target: 0.10 }}
packs: {{ shims: {{ kit: box, count: 1 }} }}
kits: {{ box: {{ sizes: [0.70, 0.80, 0.90, 1.00] }} }}
"
        )
    };
    // The same sum: both bands have to meet, at 0.05 to 0.16.
    let same = reached(&document_of(&text("a - b - shims")), 200_000);
    let alone = reached(
        &document_of(
            &text("c").replace("[0.05, 0.20]", "[0.05, 0.16]").replace("[0.00, 0.16], target: 0.10", "[0.5, 1.5]"),
        ),
        0,
    );
    close(same.reached.probability, alone.reached.probability, EXACT);
    let drawn = same.monte_carlo.unwrap();
    close(drawn.value, same.reached.probability, ERRORS * drawn.standard_error);
    // Another sum with a part in common has no single law.
    let other = reached(&document_of(&text("a + c - b - 1 - shims")), 200_000);
    assert_eq!(other.reached.standard_error, other.monte_carlo.map(|share| share.standard_error));
    assert!(other.reached.error_bound.is_none() && other.as_measured.is_some());
}

#[test]
fn packs_chosen_together_are_one_set_of_thicknesses() {
    // Only the total counts, so that it is the same as one pack of both counts together.
    let two = "
dimensions: { space: { size: 1.36, sd: 0.30 } }
gaps: { float: { chain: space - left - right, accept: [0.10, 0.25] } }
packs: { left: { kit: list, count: 1 }, right: { kit: list, count: [0, 1] } }
kits: { list: { sizes: [0.40, 0.60, 1.00] } }
";
    let one = "
dimensions: { space: { size: 1.36, sd: 0.30 } }
gaps: { float: { chain: space - pack, accept: [0.10, 0.25] } }
packs: { pack: { kit: list, count: [1, 2] } }
kits: { list: { sizes: [0.40, 0.60, 1.00] } }
";
    let (two, one) = (reached(&document_of(two), 100_000), reached(&document_of(one), 100_000));
    close(two.reached.probability, one.reached.probability, EXACT);
    assert_eq!(two.monte_carlo, one.monte_carlo);
    assert!(two.packs.iter().all(|pack| pack.intervals_mm.is_none()) && two.as_measured.is_none());
}

#[test]
fn what_says_nothing_of_other_units_is_refused() {
    let found = "
gaps: { play: { chain: 0 - shims, accept: [0.05, 0.15], found: [0.43] } }
packs: { shims: { kit: box, fitted: [0.30] } }
kits: { box: { sizes: [0.30, 0.50] } }
";
    let options = ReachOptions::default();
    assert!(matches!(reach(&document_of(found), &options), Err(ReachError::NoParts { .. })));
    let no_band = "
dimensions: { body: 1.000 }
gaps: { play: { chain: body - shims, target: 0.5 } }
packs: { shims: { kit: box } }
kits: { box: { sizes: [0.30, 0.50] } }
";
    assert!(matches!(reach(&document_of(no_band), &options), Err(ReachError::NoBand)));
}

#[test]
fn parts_that_go_together_spread_less() {
    // The difference of two lengths of sd 0.10 with a correlation of 0.5 has the sd 0.10 again.
    let text = "
dimensions: { a: { size: 2.36, sd: 0.10 }, b: { size: 1.00, sd: 0.10 } }
correlations: [[a, b, 0.5]]
gaps: { float: { chain: a - b - shims, accept: [0.10, 0.25] } }
packs: { shims: { kit: list, count: 1 } }
kits: { list: { sizes: [1.00, 1.20] } }
";
    let alone = "
dimensions: { space: { size: 1.36, sd: 0.10 } }
gaps: { float: { chain: space - shims, accept: [0.10, 0.25] } }
packs: { shims: { kit: list, count: 1 } }
kits: { list: { sizes: [1.00, 1.20] } }
";
    let (tied, alone) = (reached(&document_of(text), 200_000), reached(&document_of(alone), 0));
    close(tied.reached.probability, alone.reached.probability, EXACT);
    let drawn = tied.monte_carlo.unwrap();
    close(drawn.value, alone.reached.probability, ERRORS * drawn.standard_error);
    let measured = tied.as_measured.unwrap();
    // Nothing is read, so that every unit is given the same pack: 1.20 serves a space from 1.30 to 1.45.
    assert!(measured.value < drawn.value, "{measured:?} {drawn:?}");
}
