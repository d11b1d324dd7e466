//! Several gaps at once: each way of working the joint probability, against a table of mpmath, against sums worked by
//! another way, and against random assemblies.

use shimwright_engine::analyse::monte_carlo::{MonteCarloOptions, draw};
use shimwright_engine::analyse::{
    Banded, GapOptions, Joint, JointError, JointSource, exact_of, frechet, joint_within, report,
};
use shimwright_engine::model::{Form, Model};
use shimwright_engine::number::bivariate_normal::{ERROR_BOUND, rectangle};
use shimwright_tests::binomial::likely;
use shimwright_tests::{close, model_of};

const RECTANGLES: &str = include_str!("../data/joint/rectangles.csv");

fn forms(model: &Model) -> Vec<Form> {
    let fitted = model.fitted();
    model.gaps.iter().map(|gap| model.with(gap, &fitted)).collect()
}

fn joint_of(model: &Model, options: MonteCarloOptions) -> Joint {
    let forms = forms(model);
    let gaps: Vec<Banded<'_>> = forms.iter().zip(&model.gaps).map(|(form, gap)| Banded::new(form, gap)).collect();
    joint_within(&gaps, &model.columns, options).expect("every law has a variance").expect("a gap has a band")
}

/// How many of so many assemblies have every gap in band.
fn drawn(model: &Model, samples: u64) -> u64 {
    let forms = forms(model);
    let gaps: Vec<Banded<'_>> = forms.iter().zip(&model.gaps).map(|(form, gap)| Banded::new(form, gap)).collect();
    let all: Vec<usize> = (0..gaps.len()).collect();
    let drawn = draw(&gaps, &all, &model.columns, MonteCarloOptions { samples, seed: 7, threads: None, digits: None });
    drawn.expect("a pool of threads").joint_within.expect("a gap has a band").count
}

fn bound(joint: &Joint) -> f64 {
    match joint.error {
        JointError::Bound(bound) => bound,
        JointError::Standard(_) => panic!("{joint:?} was drawn"),
    }
}

#[test]
fn rectangles_agree_with_sixty_digit_arithmetic() {
    let rows = RECTANGLES.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut compared = 0;
    for row in rows {
        let v: Vec<f64> = row.split(',').map(|figure| figure.parse().expect("a number")).collect();
        let found = rectangle((v[2], v[3]), (v[4], v[5]), v[0], v[1]);
        // What the engine states, and nothing beside it: the table has twenty digits of the doubles that it was given.
        close(found, v[6], ERROR_BOUND);
        // The other program's own error.
        close(found, v[7], 1e-9);
        compared += 1;
    }
    assert_eq!(compared, 88);
}

/// Two gaps that share nothing.
const APART: &str = "
dimensions:
  bore: { size: 20, tolerance: 0.03, distribution: rectangular }
  pin: { size: 19.9, tolerance: 0.02 }
  slot: { size: 8, tolerance: 0.04, distribution: triangular }
  key: { size: 7.95, tolerance: 0.02, distribution: rectangular }
gaps:
  radial: { chain: bore - pin, accept: [0.07, 0.12] }
  side: { chain: slot - key, accept: at most 0.07 }
";

/// How far a tooth goes in, and what is left: one sum.
const ONE_SUM: &str = "
dimensions:
  depth: { size: 60, tolerance: 0.2, distribution: rectangular }
  length: { size: 57, tolerance: 0.1 }
  tooth: { size: 6, tolerance: 0.1, distribution: triangular }
gaps:
  drawn out: { chain: depth - length, accept: [tooth / 2 - 0.15, tooth / 2 + 0.2] }
  engaged: { chain: tooth - drawn out, accept: [tooth / 2 - 0.1, tooth / 2 + 0.3] }
";

/// Two gaps with normal parts, some of them in both.
const NORMAL: &str = "
dimensions:
  housing: { size: 80, tolerance: 0.06 }
  shaft: { size: 50, tolerance: 0.03 }
  bearing: { size: 20, tolerance: 0.02 }
  cover: { size: 9.8, tolerance: 0.03 }
gaps:
  end float: { chain: housing - shaft - bearing - cover, accept: [0.15, 0.25] }
  step: { chain: housing - 2 * bearing, accept: [39.95, 40.03] }
";

/// The same with one part that is not normal, and a third gap that is by itself.
const MIXED: &str = "
dimensions:
  housing: { size: 80, tolerance: 0.06, distribution: rectangular }
  shaft: { size: 50, tolerance: 0.03 }
  bearing: { size: 20, tolerance: 0.02 }
  cover: { size: 9.8, tolerance: 0.03 }
  slot: { size: 8, tolerance: 0.04, distribution: triangular }
gaps:
  end float: { chain: housing - shaft - bearing - cover, accept: [0.15, 0.25] }
  step: { chain: housing - 2 * bearing, accept: [39.95, 40.03] }
  side: { chain: slot - 7.95, accept: at most 0.07 }
";

#[test]
fn gaps_that_share_nothing_multiply() {
    let model = model_of(APART);
    let joint = joint_of(&model, MonteCarloOptions::default());
    let report = report(&model, &GapOptions::default()).unwrap();
    let alone: Vec<f64> = report.gaps.iter().map(|gap| gap.exact.chances.unwrap().within).collect();
    assert_eq!(joint.source, JointSource::Independent);
    // The product of two figures that are worked the same way.
    close(joint.within, alone[0] * alone[1], 1e-15);
    let bounds: f64 = report.gaps.iter().map(|gap| gap.exact.chances.unwrap().error_bound).sum();
    assert!(bound(&joint) >= bounds && bound(&joint) < 1e-11, "{joint:?} {bounds}");
    likely(drawn(&model, 400_000), 400_000, joint.within);
}

#[test]
fn gaps_that_are_one_sum_are_one_interval() {
    let model = model_of(ONE_SUM);
    let joint = joint_of(&model, MonteCarloOptions::default());
    assert_eq!(joint.source, JointSource::OneSum);
    // By hand: s = depth − length − tooth/2 is in [−0.15, 0.20] and −s in [−0.10, 0.30], so s in [−0.15, 0.10].
    let mut s = forms(&model)[0].clone();
    s.add(&model.dimensions[2], -0.5);
    let law = exact_of(&s, &model.columns).unwrap();
    let by_hand = 1.0 - law.below(-0.15).value - law.above(0.10).value;
    // Twice the exact method's own bound.
    close(joint.within, by_hand, 4e-12);
    let count = drawn(&model, 400_000);
    likely(count, 400_000, joint.within);
    assert!(joint.within > 0.6 && joint.within < 0.8, "{joint:?}: the case is one where both ends count");
}

#[test]
fn one_sum_that_no_length_can_satisfy_is_never_in_band() {
    let text = ONE_SUM.replace("[tooth / 2 - 0.1, tooth / 2 + 0.3]", "[tooth / 2 + 0.2, tooth / 2 + 0.3]");
    // s in [−0.15, 0.20] and −s in [0.20, 0.30].
    assert_eq!(joint_of(&model_of(&text), MonteCarloOptions::default()).within, 0.0);
}

#[test]
fn two_normal_gaps_are_a_rectangle() {
    let model = model_of(NORMAL);
    let joint = joint_of(&model, MonteCarloOptions::default());
    assert_eq!(joint.source, JointSource::BivariateNormal);
    // By hand, in micrometres: a third of each tolerance; the gaps are 200 and 40,000.
    let (h, s, b, c) = (20.0_f64, 10.0_f64, 20.0_f64 / 3.0, 10.0_f64);
    let (one, other) = ((h * h + s * s + b * b + c * c).sqrt(), (h * h + 4.0 * b * b).sqrt());
    let correlation = (h * h + 2.0 * b * b) / (one * other);
    let root = (1.0 - correlation * correlation).sqrt();
    let by_hand = rectangle((-50.0 / one, 50.0 / one), (-50.0 / other, 30.0 / other), correlation, root);
    // Lengths of 80 mm are known to 1e-14 mm, which over a spread of 0.02 mm is 1e-12 of a standard deviation.
    close(joint.within, by_hand, 2e-12);
    assert!(bound(&joint) < 5e-12, "{joint:?}");
    let count = drawn(&model, 400_000);
    likely(count, 400_000, joint.within);
    let independent: f64 = report(&model, &GapOptions::default())
        .unwrap()
        .gaps
        .iter()
        .map(|gap| gap.exact.chances.unwrap().within)
        .product();
    assert!(joint.within > independent + 0.01, "sharing a part is not without effect: {joint:?} {independent}");
}

#[test]
fn nearly_the_same_sum_of_normal_parts_keeps_its_bound() {
    // Two gaps that differ by a part of 1 nm of spread: ρ = 1 − 1e-9 or so.
    let text = "
dimensions:
  a: { size: 100, tolerance: 0.05 }
  b: { size: 0.5, sd: 0.000001 }
gaps:
  one: { chain: a, accept: [99.98, 100.01] }
  two: { chain: a + b, accept: [100.49, 100.53] }
";
    let joint = joint_of(&model_of(text), MonteCarloOptions::default());
    assert_eq!(joint.source, JointSource::BivariateNormal);
    // Given a, b moves the lower end of the second band by 1e-6 mm; where the spread is 0.0167 mm and the density 20 a
    // millimetre, that is a second order of 1e-10: a is in [99.99, 100.01].
    let law = exact_of(&model_of(text).dimensions[0], &model_of(text).columns).unwrap();
    close(joint.within, law.below(100.01).value - law.below(99.99).value, 1e-9);
    assert!(bound(&joint) < 1e-11, "{joint:?}");
}

#[test]
fn what_is_left_is_drawn_with_its_standard_error() {
    let model = model_of(MIXED);
    let options = MonteCarloOptions { samples: 200_000, ..MonteCarloOptions::default() };
    let joint = joint_of(&model, options);
    assert_eq!(joint.source, JointSource::MonteCarlo);
    let JointError::Standard(error) = joint.error else { panic!("{joint:?}") };
    assert!(error > 1e-4 && error < 2e-3, "{error}");
    // Another seed, all three gaps drawn. 6.2 standard errors of the two: 5.6e-10.
    let all = drawn(&model, 1_000_000) as f64 / 1e6;
    close(joint.within, all, 6.2 * error.hypot(5e-4));
    // The report says the same, since it draws the same.
    let asked = GapOptions { monte_carlo: Some(options), ..GapOptions::default() };
    let told = report(&model, &asked).unwrap();
    let within = told.joint_within.unwrap();
    assert_eq!(within.source, JointSource::MonteCarlo);
    close(within.within, joint.within, 6.2 * error);
    // Without samples there is nothing to say.
    assert_eq!(report(&model, &GapOptions::default()).unwrap().joint_within, None);
}

#[test]
fn every_way_keeps_within_the_bounds_of_frechet() {
    for text in [APART, ONE_SUM, NORMAL, MIXED] {
        let model = model_of(text);
        let options = MonteCarloOptions { samples: 100_000, ..MonteCarloOptions::default() };
        let joint = joint_of(&model, options);
        let told = report(&model, &GapOptions::default()).unwrap();
        let (low, high) = frechet(told.gaps.iter().filter_map(|gap| gap.exact.chances).map(|one| one.within));
        let allowed = match joint.error {
            JointError::Bound(bound) => bound + 1e-12,
            JointError::Standard(error) => 6.2 * error,
        };
        assert!(joint.within >= low - allowed && joint.within <= high + allowed, "{low} {joint:?} {high}");
    }
}

#[test]
fn a_gap_without_doubt_is_in_or_out() {
    let text = |accept: &str| {
        format!(
            "
dimensions:
  a: {{ size: 5, tolerance: 0.1 }}
  b: 0.3
gaps:
  one: {{ chain: a, accept: [4.95, 5.10] }}
  two: {{ chain: b - 0.1 - 0.1, accept: {accept} }}
"
        )
    };
    let alone = joint_of(
        &model_of(&text("[0, 1]").replace("two: { chain: b - 0.1 - 0.1, accept: [0, 1] }", "two: { chain: b }")),
        MonteCarloOptions::default(),
    );
    assert_eq!(alone.source, JointSource::Alone);
    // 0.3 − 0.1 − 0.1 is not 0.1 in binary; on the edge is in.
    let edge = joint_of(&model_of(&text("[0.1, 0.2]")), MonteCarloOptions::default());
    assert_eq!((edge.within, edge.source), (alone.within, JointSource::Independent));
    assert_eq!(joint_of(&model_of(&text("[0.11, 0.2]")), MonteCarloOptions::default()).within, 0.0);
}

#[test]
fn the_covariance_of_gaps_is_that_of_what_they_share() {
    let report = report(&model_of(NORMAL), &GapOptions::default()).unwrap();
    let covariance = report.covariance_mm2.unwrap();
    // In µm²: housing 20², bearing (20/3)² with −1 and −2.
    close(covariance[(0, 1)] * 1e6, 400.0 + 2.0 * 400.0 / 9.0, 1e-9);
    assert_eq!(covariance[(0, 1)], covariance[(1, 0)]);
    close(covariance[(0, 0)].sqrt(), report.gaps[0].exact.sd_mm, 1e-15);
}
