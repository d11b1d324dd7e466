//! What would settle a gap: each piece of advice is carried out, and the answer is then as sure as was said.

use shimwright_engine::analyse::Confidence;
use shimwright_engine::analyse::{GapFigures, GapOptions, Settle, Verdict, report, verify};
use shimwright_engine::select::{PickOptions, pick};
use shimwright_tests::{close, gap_of, model_of};

fn settle_of(gap: &GapFigures) -> &Settle {
    assert_eq!(gap.verdict, Some(Verdict::CannotTell), "{:?}", gap.exact.chances);
    gap.settle.as_ref().expect("advice")
}

/// Readings with this mean and this standard deviation: two of them off by s √((n − 1)/2), the rest on the mean.
fn readings(count: usize, mean: f64, sd: f64) -> String {
    let off = sd * ((count as f64 - 1.0) / 2.0).sqrt();
    let mut all = vec![mean; count];
    if count > 1 {
        (all[0], all[1]) = (mean - off, mean + off);
    }
    all.iter().map(|one| format!("{one:.13}")).collect::<Vec<_>>().join(", ")
}

const INSTRUMENTS: &str = "instruments:
  rule: { limit_of_error: 0.008 }
  fine: { limit_of_error: 0.002, zero_error: 0.002, repeatability: 0.001 }
  finer: { limit_of_error: 0.0005, repeatability: 0.0005 }
";

fn one(depth: &str, accept: &str) -> String {
    format!(
        "{INSTRUMENTS}dimensions:\n  depth: {{ readings: [{depth}], instrument: rule }}\ngaps:\n  gap: {{ chain: depth - 40, accept: {accept} }}\n"
    )
}

#[test]
fn so_many_more_readings_are_enough_and_one_fewer_is_not() {
    let band = "[0.084, 0.116]";
    let text = |count: usize| one(&readings(count, 40.1, 0.02), band);
    let gap = gap_of(&text(4));
    let settle = settle_of(&gap);
    let first = &settle.ways[0];
    let [step] = first.steps.as_slice() else { panic!("{first:?}") };
    assert_eq!((step.dimension.as_str(), step.instrument.as_deref(), step.places), ("depth", None, 1));
    let within = |count: usize| gap_of(&text(count)).exact.chances.unwrap().within;
    // The readings are made with the same mean and scatter, typed to 1e-13 mm.
    close(within(4 + step.readings), first.within, 1e-9);
    assert!(first.within >= 0.95 && within(4 + step.readings - 1) < 0.95, "{step:?}");
}

#[test]
fn out_is_an_answer_too() {
    // The mean is out of band; more readings make that sure.
    let text = |count: usize| one(&readings(count, 40.12, 0.01), "[0.09, 0.11]");
    let gap = gap_of(&text(4));
    let first = &settle_of(&gap).ways[0];
    assert!(first.within <= 0.05, "{first:?}");
    let after = gap_of(&text(4 + first.steps[0].readings));
    assert_eq!(after.verdict, Some(Verdict::Out));
    close(after.exact.chances.unwrap().within, first.within, 1e-9);
}

#[test]
fn two_readings_that_rest_on_one_repeat_want_more_before_a_better_tool() {
    let text = |count: usize| one(&readings(count, 40.1, 0.003), "[0.092, 0.108]");
    let gap = gap_of(&text(2));
    let first = &settle_of(&gap).ways[0];
    assert_eq!(first.steps[0].instrument, None);
    let after = gap_of(&text(2 + first.steps[0].readings));
    assert_eq!(after.verdict, Some(Verdict::In));
    close(after.exact.chances.unwrap().within, first.within, 1e-9);
}

#[test]
fn another_instrument_is_named_the_coarsest_that_will_do() {
    let text = |tool: &str| one("40.1", "[0.096, 0.104]").replace("instrument: rule", &format!("instrument: {tool}"));
    let gap = gap_of(&text("rule"));
    let settle = settle_of(&gap);
    let [way] = settle.ways.as_slice() else { panic!("{settle:?}") };
    let [step] = way.steps.as_slice() else { panic!("{way:?}") };
    // `finer` would do as well; the shipped micrometer would not.
    assert_eq!((step.instrument.as_deref(), step.readings), (Some("fine"), 1));
    close(gap_of(&text("fine")).exact.chances.unwrap().within, way.within, 1e-12);
    assert_eq!(gap_of(&text("fine")).verdict, Some(Verdict::In));
    assert_eq!(gap_of(&text("micrometer")).verdict, Some(Verdict::CannotTell));
}

#[test]
fn an_instrument_that_is_in_use_comes_first() {
    let text = "instruments:
  rule: { limit_of_error: 0.02 }
  fine: { limit_of_error: 0.002, repeatability: 0.001 }
dimensions:
  depth: { readings: [40.1], instrument: rule }
  length: { readings: [40.0], instrument: fine }
gaps: { gap: { chain: depth - length, accept: [0.085, 0.115] } }
";
    let gap = gap_of(text);
    // The shipped micrometer is coarser and would do, but `fine` is on the bench.
    assert_eq!(settle_of(&gap).ways[0].steps[0].instrument.as_deref(), Some("fine"));
    assert_eq!(gap_of(&text.replace("instrument: rule", "instrument: micrometer")).verdict, Some(Verdict::In));
}

#[test]
fn more_readings_and_another_instrument_together() {
    let text = |count: usize, tool: &str| {
        format!(
            "instruments:\n  rule: {{ limit_of_error: 0.02, repeatability: 0.01 }}\n  fine: {{ limit_of_error: 0.0002, repeatability: 0.008 }}\n\
             dimensions: {{ depth: {{ readings: [{}], instrument: {tool} }} }}\ngaps: {{ gap: {{ chain: depth - 10, accept: [0.091, 0.109] }} }}\n",
            readings(count, 10.1, 0.008)
        )
    };
    let gap = gap_of(&text(1, "rule").replace("depth:", "depth gap:").replace("chain: depth", "chain: depth gap"));
    let settle = settle_of(&gap);
    // The shipped micrometer does better at once.
    assert_eq!(settle.ways[0].steps[0].instrument.as_deref(), Some("micrometer"));
    let only = |text: String| text.replace("instruments:\n", "instruments:\n  micrometer: { limit_of_error: 0.1 }\n");
    let gap = gap_of(&only(text(1, "rule")));
    let way = &settle_of(&gap).ways[0];
    let step = &way.steps[0];
    assert_eq!(step.instrument.as_deref(), Some("fine"));
    assert!(step.readings > 1);
    let after = gap_of(&only(text(step.readings, "fine")));
    assert_eq!(after.verdict, Some(Verdict::In));
    close(after.exact.chances.unwrap().within, way.within, 1e-9);
}

#[test]
fn two_parts_may_both_need_a_finer_instrument() {
    let text = |tool: &str| {
        format!(
            "instruments: {{ rule: {{ limit_of_error: 0.03 }}, micrometer: {{ limit_of_error: 0.004, repeatability: 0.001 }} }}\ndimensions:\n  \
             a: {{ readings: [10.1], instrument: {tool} }}\n  b: {{ readings: [5], instrument: {tool} }}\n\
             gaps: {{ gap: {{ chain: a - b - 5, accept: [0.085, 0.115] }} }}\n"
        )
    };
    let gap = gap_of(&text("rule"));
    let settle = settle_of(&gap);
    let [way] = settle.ways.as_slice() else { panic!("{settle:?}") };
    let names: Vec<(&str, Option<&str>)> =
        way.steps.iter().map(|step| (step.dimension.as_str(), step.instrument.as_deref())).collect();
    assert_eq!(names.len(), 2, "{names:?}");
    assert!(names.iter().all(|one| one.1 == Some("micrometer")), "{names:?}");
    close(gap_of(&text("micrometer")).exact.chances.unwrap().within, way.within, 1e-12);
}

#[test]
fn where_the_rest_is_too_wide_no_reading_will_do() {
    let text = "dimensions:
  depth: { readings: [40.1, 40.11, 40.09], instrument: calliper }
  gasket: { limits: [0.2, 0.3], distribution: rectangular }
gaps: { gap: { chain: depth - 40 - gasket, accept: [-0.19, -0.11] } }
";
    let gap = gap_of(text);
    let settle = settle_of(&gap);
    assert!(settle.ways.is_empty(), "{settle:?}");
    assert_eq!(settle.rest.as_ref().map(|rest| rest.name.as_str()), Some("gasket"));
    // A rectangle of 0.1 in a band of 0.08 about the same middle.
    close(settle.read_perfectly.unwrap(), 0.8, 1e-12);
}

#[test]
fn a_shared_zero_goes_with_its_instrument() {
    // In a sum the zero of the calliper counts twice; with the micrometer for one of them it counts once.
    let text = |tool: &str| {
        format!(
            "instruments: {{ coarse: {{ limit_of_error: 0.001, zero_error: 0.02, repeatability: 0.0001 }}, sharp: {{ limit_of_error: 0.001, zero_error: 0.001, repeatability: 0.0001 }} }}\n\
             dimensions: {{ a: {{ readings: [20], instrument: {tool} }}, b: {{ readings: [20], instrument: coarse }} }}\n\
             gaps: {{ gap: {{ chain: a + b - 39.9, accept: [0.0795, 0.1205] }} }}\n"
        )
    };
    let gap = gap_of(&text("coarse"));
    let way = &settle_of(&gap).ways[0];
    // The shipped micrometer is coarser and would not do.
    assert_eq!((way.steps.len(), way.steps[0].instrument.as_deref()), (1, Some("sharp")));
    assert_eq!(gap_of(&text("micrometer")).verdict, Some(Verdict::CannotTell));
    close(gap_of(&text("sharp")).exact.chances.unwrap().within, way.within, 1e-12);
}

#[test]
fn there_is_advice_only_where_it_cannot_be_told() {
    let sure = gap_of(&one("40.1", "[0.0, 0.2]"));
    assert_eq!((sure.verdict, &sure.settle), (Some(Verdict::In), &None));
    let share =
        gap_of("dimensions: { a: { size: 10, tolerance: 0.1 } }\ngaps: { gap: { chain: a, accept: [9.95, 10.05] } }\n");
    assert_eq!((share.verdict, &share.settle), (Some(Verdict::SomeWill), &None));
    let uneven = gap_of(
        "dimensions: { face: { readings: { left: 10.00, right: 10.20 }, instrument: calliper, allow_spread: 0.05 } }\n\
         gaps: { gap: { chain: face, accept: [9, 11] } }\n",
    );
    // Dressing the face settles that, not reading it.
    assert_eq!((uneven.verdict, &uneven.settle), (Some(Verdict::CannotTell), &None));
}

#[test]
fn tools_are_not_advised_where_they_cannot_reach() {
    // A part of 40 mm is not read with a micrometer from 50 to 100 mm, nor with one in inches.
    let text = "instruments: { rule: { limit_of_error: 0.03 } }
dimensions: { a: { readings: [SIZE], instrument: rule } }
gaps: { gap: { chain: a - SIZE, accept: [-0.02, 0.02] } }
";
    // The plain micrometer and the one from 25 to 50 mm are as good; of equal ones the first is named.
    for (size, tool) in [("40", "micrometer"), ("70", "micrometer 50 to 100")] {
        let gap = gap_of(&text.replace("SIZE", size));
        assert_eq!(settle_of(&gap).ways[0].steps[0].instrument.as_deref(), Some(tool), "{size}");
    }
    // Nothing finer than a depth gauge that measures depths is shipped; a found play wants a difference.
    let depth = gap_of(
        "instruments: { my depth gauge: { limit_of_error: 0.03, repeatability: 0.003 } }\ndimensions: { a: { readings: [10], instrument: my depth gauge } }\ngaps: { gap: { chain: a - 9.9, accept: [0.08, 0.12] } }\n",
    );
    let named = settle_of(&depth).ways.iter().flat_map(|way| &way.steps).filter_map(|step| step.instrument.as_deref());
    assert!(named.into_iter().all(|name| name.contains("depth")));
    let found = "gaps: { gap: { chain: 0 - s, accept: [0.15, 0.25], found: { readings: [0.24, 0.25, 0.22, 0.25], instrument: indicator } } }\npacks: { s: { kit: k, fitted: [] } }\nkits: { k: { sizes: [1] } }\n";
    let found = gap_of(found);
    let way = &settle_of(&found).ways[0];
    assert_eq!((way.steps[0].dimension.as_str(), way.steps[0].instrument.as_deref()), ("gap.found", None));
}

const PACK: &str = "dimensions:
  depth: { readings: [40.50, 40.53], instrument: calliper }
gaps:
  float: { chain: depth - 40 - shims, accept: [0.06, 0.14] FOUND }
packs: { shims: { kit: box, count: 1 FITTED } }
kits: { box: { sizes: [0.40, 0.60] } }
";

#[test]
fn pick_says_it_of_the_chosen_pack() {
    let text = PACK.replace("FOUND", "").replace("FITTED", "");
    let answer = pick(&model_of(&text), &PickOptions::default()).unwrap();
    assert_eq!(answer.verdict, Some(Verdict::CannotTell));
    let advice = answer.settle[0].as_ref().expect("advice");
    let fitted = gap_of(&PACK.replace("FOUND", "").replace("FITTED", ", fitted: [0.40]"));
    assert_eq!(fitted.settle.as_ref(), Some(advice), "the same gap, the same advice");
    assert!(!advice.ways.is_empty());
}

#[test]
fn verify_weighs_the_sum_and_the_reading_anew() {
    let text = |count: usize| {
        PACK.replace(
            "FOUND",
            &format!(", found: {{ readings: [{}], instrument: none }}", readings(count, 0.131, 0.008)),
        )
        .replace("FITTED", ", fitted: [0.40]")
    };
    let gap = verify(&model_of(&text(3)), Confidence::default()).unwrap().gaps.remove(0);
    assert_eq!((gap.agrees, gap.verdict), (Some(true), Some(Verdict::CannotTell)));
    let settle = gap.settle.expect("advice");
    let way =
        settle.ways.iter().find(|way| way.steps[0].dimension == "float.found" && way.steps[0].instrument.is_none());
    let way = way.expect("more readings of the gap");
    let after = verify(&model_of(&text(3 + way.steps[0].readings)), Confidence::default()).unwrap().gaps.remove(0);
    assert_eq!((after.agrees, after.verdict), (Some(true), Some(Verdict::In)));
    close(after.chances.unwrap().within, way.within, 1e-9);
}

#[test]
fn every_gap_that_cannot_be_told_has_its_own() {
    let text = "dimensions:
  depth: { readings: [40.10, 40.13, 40.07], instrument: calliper }
gaps:
  one: { chain: depth - 40, accept: [0.08, 0.12] }
  two: { chain: depth - 39, accept: [1.0, 1.2] }
  three: { chain: 2 * depth - 80, accept: [0.13, 0.27] }
";
    let report = report(&model_of(text), &GapOptions::default()).unwrap();
    let has: Vec<bool> = report.gaps.iter().map(|gap| gap.settle.is_some()).collect();
    let cannot: Vec<bool> = report.gaps.iter().map(|gap| gap.verdict == Some(Verdict::CannotTell)).collect();
    assert_eq!(has, cannot);
    assert!(has.contains(&true) && has.contains(&false));
}
