//! Tolerances to ask for, against closed forms, against documents with other tolerances, and as a property.

use proptest::prelude::*;
use shimwright_engine::analyse::{
    Confidence, FACTOR_PRECISION, GapOptions, Judge, MOST_TIGHTENED, NoFactor, Tolerances, report, tolerances,
};
use shimwright_engine::law::{Law, Normal, Rectangular, Triangular};
use shimwright_engine::model::Model;
use shimwright_tests::strategies::{Law as Kind, stack};
use shimwright_tests::{close, gap_of, gap_with, model_of};

/// Where the exact probability is good to 1e-12 the factor is, for these bands, to 1e-10; the search stops at 1e-9.
const OF_THE_SEARCH: f64 = 2.0 * FACTOR_PRECISION;

fn ask(text: &str, wanted: f64) -> Tolerances {
    let options = GapOptions { tolerances_for: Confidence::new(wanted), ..GapOptions::default() };
    gap_with(text, &options).tolerances.expect("it was asked for")
}

fn factor(text: &str, wanted: f64) -> f64 {
    ask(text, wanted).factor.expect("there is a factor")
}

/// Three normal dimensions, limits at three standard deviations: σ = 0.04/3.
fn normals(accept: &str) -> String {
    format!(
        "
dimensions:
  case: {{ size: 40, tolerance: 0.032 }}
  gear: {{ size: 28, tolerance: 0.016 }}
  ring: {{ size: 11.9, tolerance: 0.01788854381999832 }}
gaps:
  float: {{ chain: case - gear - ring, accept: {accept} }}
"
    )
}

#[test]
fn normal_laws_and_a_centred_band() {
    // Closed form: 2Φ(h/fσ) − 1 = w, so f = h/(z σ) with z the quantile of (1 + w)/2. z for 95 and 99 %: JCGM 100:2008,
    // Table G.2, worked to 16 digits.
    let sd = 0.04 / 3.0;
    for (wanted, z) in [(0.95, 1.959_963_984_540_054), (0.99, 2.575_829_303_548_901)] {
        for (accept, half) in [("[0.05, 0.15]", 0.05), ("[0.09, 0.11]", 0.01), ("[-4.9, 5.1]", 5.0)] {
            let expected = half / (z * sd);
            close(factor(&normals(accept), wanted) / expected, 1.0, OF_THE_SEARCH);
        }
    }
}

#[test]
fn normal_laws_and_one_limit() {
    // Closed form: Φ((m − l)/fσ) = w. z of 0.95, one-sided: 1.6448536269514722 (JCGM 106:2012, Table 1, to 17 digits).
    let expected = 0.02 / (1.644_853_626_951_472_2 * 0.04 / 3.0);
    close(factor(&normals("at least 0.08"), 0.95) / expected, 1.0, OF_THE_SEARCH);
    close(factor(&normals("at most 0.12"), 0.95) / expected, 1.0, OF_THE_SEARCH);
}

fn rectangle(accept: &str) -> String {
    format!(
        "
dimensions:
  ring: {{ size: 2, tolerance: 0.03, distribution: rectangular }}
gaps:
  room: {{ chain: ring, accept: {accept} }}
"
    )
}

#[test]
fn a_single_rectangle() {
    for wanted in [0.6, 0.9, 0.997] {
        // Closed forms, half-width a, band ± h about the mean: h/fa = w.
        close(factor(&rectangle("[1.98, 2.02]"), wanted) / (0.02 / (0.03 * wanted)), 1.0, OF_THE_SEARCH);
        // The mean off the middle by d, only the nearer end cut: (fa + h − d)/2fa = w.
        let near = 0.01 / (0.03 * (2.0 * wanted - 1.0));
        let both = 0.05 / (0.03 * wanted);
        close(factor(&rectangle("[1.99, 2.09]"), wanted) / near.min(both), 1.0, OF_THE_SEARCH);
    }
}

#[test]
fn two_equal_rectangles() {
    let text = "
dimensions:
  a: { size: 2, tolerance: 0.03, distribution: rectangular }
  b: { size: 1, tolerance: 0.03, distribution: rectangular }
gaps:
  room: { chain: a - b, accept: [0.96, 1.04] }
";
    // Closed form: 1 − (1 − h/2fa)² = w.
    for wanted in [0.75, 0.9, 0.99] {
        let expected = 0.04 / (0.06 * (1.0 - f64::sqrt(1.0 - wanted)));
        close(factor(text, wanted) / expected, 1.0, OF_THE_SEARCH);
    }
}

/// One dimension was measured, a band's end depends on another, and the shims have a tolerance of their own.
fn mixed(case: f64, gear: f64, lip: f64) -> String {
    format!(
        "
instruments: {{ gauge: {{ limit_of_error: 0.01, zero_error: 0.004 }} }}
dimensions:
  case: {{ size: 40, tolerance: {case} }}
  gear: {{ size: 28, tolerance: {gear}, distribution: triangular }}
  ring: {{ size: 11.3, tolerance: 0.05, readings: [11.27], instrument: gauge }}
  lip: {{ size: 0.2, tolerance: {lip}, distribution: rectangular }}
gaps:
  float: {{ chain: case - gear - ring - shims, accept: [lip / 2, 0.30] }}
packs:
  shims: {{ kit: tray, fitted: [0.5] }}
kits:
  tray: {{ sizes: [0.5], tolerance: 0.02 }}
"
    )
}

#[test]
fn what_is_no_tolerance_of_a_drawing_stays_as_it_is() {
    let found = ask(&mixed(0.06, 0.03, 0.01), 0.9);
    let factor = found.factor.expect("there is a factor");
    // A document with these tolerances has the probability that was wanted, and with wider ones less.
    let within = |factor: f64| {
        let text = mixed(0.06 * factor, 0.03 * factor, 0.01 * factor);
        gap_of(&text).exact.chances.unwrap().within
    };
    close(within(factor), 0.9, 1e-9);
    assert!(within(factor * 1.001) < 0.9 && within(factor * 0.999) > 0.9);
    // Each dimension alone with 1 % less, by documents again; the one that was measured is not among them.
    let now = within(1.0);
    let alone = [
        ("case", mixed(0.06 * 0.99, 0.03, 0.01)),
        ("gear", mixed(0.06, 0.03 * 0.99, 0.01)),
        ("lip", mixed(0.06, 0.03, 0.01 * 0.99)),
    ];
    assert_eq!(found.tighten.len(), alone.len());
    for (name, text) in alone {
        let expected = gap_of(&text).exact.chances.unwrap().within - now;
        let gain = found.tighten.iter().find(|one| one.dimension == name).unwrap().gain;
        // Two probabilities of 1e-12 each.
        close(gain, expected, 4e-12);
    }
    let gains: Vec<f64> = found.tighten.iter().map(|one| one.gain).collect();
    assert!(gains.is_sorted_by(|a, b| a >= b) && gains[0] > 0.0, "{gains:?}");
    assert_eq!(found.tighten[0].dimension, "case");
}

#[test]
fn why_there_is_no_factor() {
    let why = |text: &str| ask(text, 0.95).factor.unwrap_err();
    // The mean, 0.1, is outside, or on the very edge.
    let NoFactor::TooFarOff { at_best } = why(&normals("[0.12, 0.2]")) else { panic!("too far off") };
    assert_eq!(at_best, 0.0);
    let NoFactor::TooFarOff { at_best } = why(&normals("at least 0.1")) else { panic!("too far off") };
    close(at_best, 0.5, 1e-6);
    assert_eq!(ask(&normals("[0.12, 0.2]"), 0.95).tighten.len(), 3);
    // What was read is too much in doubt: a rectangle of ± 0.05 in a band of ± 0.03.
    let read = "
dimensions:
  case: { size: 40, tolerance: 0.01 }
  ring: { readings: [39.9], instrument: gauge }
instruments: { gauge: { limit_of_error: 0.05 } }
gaps:
  float: { chain: case - ring, accept: [0.07, 0.13] }
";
    let NoFactor::TooFarOff { at_best } = why(read) else { panic!("too far off") };
    close(at_best, 0.6, 1e-6);
    assert_eq!(why(&normals("[0.05, 0.15]").replace(", accept: [0.05, 0.15]", "")), NoFactor::NoBand);
    assert_eq!(why(&mixed(0.06, 0.03, 0.01).replace(", fitted: [0.5]", "")), NoFactor::NoPack);
    let exact = "{ dimensions: { a: 2 }, gaps: { room: { chain: a, accept: [1, 3] } } }";
    assert_eq!(why(exact), NoFactor::NoTolerance);
    assert_eq!(why(&rectangle("[-100000, 100000]")), NoFactor::AnyWidth);
}

#[test]
fn several_gaps_have_a_factor_each() {
    let text = "
dimensions:
  case: { size: 40, tolerance: 0.03 }
  gear: { size: 28, tolerance: 0.03 }
gaps:
  wide: { chain: case - gear, accept: [11.9, 12.1] }
  narrow: { chain: case - gear, accept: [11.98, 12.02] }
";
    let options = GapOptions { tolerances_for: Confidence::new(0.95), ..GapOptions::default() };
    let found = report(&model_of(text), &options).unwrap();
    let factors: Vec<f64> = found.gaps.into_iter().map(|gap| gap.tolerances.unwrap().factor.unwrap()).collect();
    close(factors[0] / factors[1], 5.0, 10.0 * FACTOR_PRECISION);
}

#[test]
fn of_many_dimensions_those_that_spread_the_gap_most_are_listed() {
    let many = MOST_TIGHTENED + 20;
    let half = |index: usize| 0.01 + index as f64 * 1e-5;
    let dimensions: String =
        (0..many).map(|index| format!("  part {index}: {{ size: 1, tolerance: {:.5} }}\n", half(index))).collect();
    let chain: Vec<String> = (0..many).map(|index| format!("part {index}")).collect();
    let sd = (0..many).map(|index| half(index).powi(2) / 9.0).sum::<f64>().sqrt();
    let (low, high) = (many as f64 - 2.0 * sd, many as f64 + 2.0 * sd);
    let text =
        format!("dimensions:\n{dimensions}gaps: {{ y: {{ chain: {}, accept: [{low}, {high}] }} }}", chain.join(" + "));
    let found = ask(&text, 0.95).tighten;
    let names: Vec<String> = found.into_iter().map(|one| one.dimension).collect();
    let expected: Vec<String> = (20..many).rev().map(|index| format!("part {index}")).collect();
    assert_eq!(names, expected);
}

/// The probability of the first gap with the drawings' laws made anew, `factor` times as wide.
fn within(model: &Model, factor: f64) -> (f64, f64) {
    let mut model = model.clone();
    for column in model.columns.iter_mut().filter(|column| !column.measured) {
        for part in &mut column.parts {
            let (mean, sd) = (part.law.mean().unwrap(), part.law.variance().unwrap().sqrt() * factor);
            part.law = match part.law {
                Law::Normal(_) => Law::Normal(Normal::new(mean, sd).unwrap()),
                Law::Rectangular(_) => {
                    let half = sd * f64::sqrt(3.0);
                    Law::Rectangular(Rectangular::new(mean - half, mean + half).unwrap())
                }
                Law::Triangular(_) => {
                    let half = sd * f64::sqrt(6.0);
                    Law::Triangular(Triangular::symmetric(mean - half, mean + half).unwrap())
                }
                _ => unreachable!("the stacks have no other laws"),
            };
        }
    }
    let gap = &model.gaps[0];
    let chances = Judge::new(&gap.start, gap, &model.columns).unwrap().at(0.0);
    (chances.within, chances.error_bound)
}

/// The limits of a law made anew are rounded to 1e-14 mm; the density of these gaps is below 1e4 per millimetre.
const ROUNDED_LIMITS: f64 = 1e-9;

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn at_the_factor_the_probability_is_the_wanted_one(
        (stack, order) in stack(&[Kind::Exact, Kind::Normal, Kind::Rectangular, Kind::Triangular, Kind::Read]),
        wanted in prop::sample::select(vec![0.55, 0.9, 0.95, 0.997]),
    ) {
        let model = model_of(&stack.document(&order, 1));
        let gap = &model.gaps[0];
        let found = tolerances(&gap.start, gap, &model.columns, false, Confidence::new(wanted).unwrap()).unwrap();
        let Ok(factor) = found.factor else {
            // Then the least tolerance does not do, or there is none, or the widest one would do.
            let least = within(&model, 1e-6).0;
            prop_assert!(least < wanted || found.tighten.is_empty() || found.factor == Err(NoFactor::AnyWidth));
            return Ok(());
        };
        let (at, bound) = within(&model, factor);
        prop_assert!(at >= wanted - bound - ROUNDED_LIMITS, "{at} at {factor}");
        let (beyond, bound) = within(&model, factor * (1.0 + 2.0 * FACTOR_PRECISION));
        prop_assert!(beyond <= wanted + bound + ROUNDED_LIMITS, "{beyond} beyond {factor}");
        // Symmetric laws of drawings alone, the mean in band: wider is never better.
        if stack.dimensions.iter().all(|one| one.law != Kind::Read) {
            let mut last = 1.0;
            for step in 1..=12 {
                let (next, bound) = within(&model, factor * f64::from(step) / 4.0);
                prop_assert!(next <= last + bound + ROUNDED_LIMITS, "{next} after {last}");
                last = next;
            }
        }
    }
}
