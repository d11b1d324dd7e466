//! Acceptance limits with a guard band, against JCGM 106 and ISO 14253-1.
//!
//! Sources: JCGM 106:2012, 7.3 (probability of conformance with one and two limits), 8.3 (guarded acceptance) and the
//! process of its example 9.5; ISO 14253-1 (the guard band counts against who proves). Inputs and the factor 1.65 are from
//! memory; the figures were computed outside this project.

use shimwright_engine::analyse::{Confidence, GapFigures, GapOptions, Guard};
use shimwright_tests::{close, gap_of, gap_with};

/// A gap `y` read as `value` with a normal doubt of `u`, and nothing else in doubt.
fn read(value: f64, u: f64, accept: &str, confidence: f64) -> GapFigures {
    let text = format!(
        "instruments: {{ gauge: {{ repeatability: {u} }} }}\ndimensions: {{ y: {{ readings: [{}], instrument: gauge }} }}\n\
         gaps: {{ gap: {{ chain: {} y, accept: {accept} }} }}\n",
        value.abs(),
        if value < 0.0 { "0 -" } else { "0 +" }
    );
    let confidence = Confidence::new(confidence).expect("a confidence");
    gap_with(&text, &GapOptions { guard: true, confidence, ..GapOptions::default() })
}

fn guard(gap: &GapFigures) -> Guard {
    gap.guard.expect("a measured gap with a band")
}

/// A quantile found by halving, from a distribution function good to 1e-14 and a slope of 0.1/u at least.
const QUANTILE_U: f64 = 1e-9;

#[test]
fn conformance_probabilities_of_jcgm_106() {
    // 7.3 and its example: a voltage read as -5.47 with u 0.05, at most -5.40.
    let one = read(-5.47, 0.05, "at most -5.40", 0.95);
    close(one.exact.chances.unwrap().within, 0.919_243_340_8, 5e-11);
    // Two limits: 9.98 with u 0.015 against 9.95 to 10.05.
    let two = read(9.98, 0.015, "[9.95, 10.05]", 0.95);
    close(two.exact.chances.unwrap().within, 0.977_248_337_425_088_3, 1e-12);
    // The z of Table 1 of 7.3: a value so many u inside one limit has that probability.
    for (z, probability) in [(0.8416, 0.80), (1.2816, 0.90), (1.6449, 0.95), (2.3263, 0.99), (3.0902, 0.999)] {
        let gap = read(10.0, 0.1, &format!("at least {}", 10.0 - 0.1 * z), 0.95);
        // z is printed to four places; the density there is 0.28 at most.
        close(gap.exact.chances.unwrap().within, probability, 0.28 * 0.5e-4);
    }
    // The process of 9.5, nothing measured: the share out of specification.
    let process =
        gap_of("dimensions: { r: { size: 1500, sd: 0.12 } }\ngaps: { gap: { chain: r, accept: [1499.8, 1500.2] } }\n");
    close(1.0 - process.exact.chances.unwrap().within, 0.095_580_704_5, 5e-11);
}

#[test]
fn the_guard_band_of_one_limit_is_z_times_u() {
    let u = 0.05;
    for (confidence, z) in [
        (0.95, 1.644_853_626_951_472_7),
        (0.99, 2.326_347_874_040_841),
        // U = 2u, JCGM 106's common case.
        (0.977_249_868_051_820_8, 2.0),
    ] {
        let upper = guard(&read(10.0, u, "at most 12", confidence)).limits.unwrap();
        assert_eq!(upper.low_mm, None);
        close(upper.high_mm.unwrap(), 12.0 - z * u, QUANTILE_U * u);
        let lower = guard(&read(10.0, u, "at least 8", confidence)).limits.unwrap();
        assert_eq!(lower.high_mm, None);
        close(lower.low_mm.unwrap(), 8.0 + z * u, QUANTILE_U * u);
    }
    // ISO 14253-1, one limit: 1.65 u, which leaves 0.04947 outside; Φ(-1.65) = 0.049471468.
    let iso = guard(&read(10.0, u, "at most 12", 1.0 - 0.049_471_468)).limits.unwrap();
    // The probability is given to 5e-10; the density at 1.65 is 0.102.
    close(iso.high_mm.unwrap(), 12.0 - 1.65 * u, 5e-10 / 0.102 * u + QUANTILE_U * u);
}

#[test]
fn both_limits_count_where_the_band_is_narrow() {
    // Wide beside u: each limit by itself, to the tail of the other.
    let wide = guard(&read(10.0, 0.01, "[9.9, 10.1]", 0.95)).limits.unwrap();
    close(wide.low_mm.unwrap(), 9.9 + 1.644_853_626_951_472_7 * 0.01, 1e-9);
    close(wide.high_mm.unwrap(), 10.1 - 1.644_853_626_951_472_7 * 0.01, 1e-9);
    // The band 4 u wide: in the middle 2Φ(2) - 1 = 0.9545. Of that no more than 0.0045 is left for both tails, so the
    // limits are nearer to each other than 1.645 u from each end would be, and at each of them both tails make 0.05.
    let narrow = guard(&read(10.0, 0.05, "[9.9, 10.1]", 0.95));
    close(narrow.best_possible, 0.954_499_736_103_641_6, 1e-12);
    let limits = narrow.limits.unwrap();
    let (low, high) = (limits.low_mm.unwrap(), limits.high_mm.unwrap());
    close(low - 9.9, 10.1 - high, 1e-9);
    assert!(low - 9.9 > 1.645 * 0.05 && low < high, "{low} to {high}");
    for end in [low, high] {
        let there = read(end, 0.05, "[9.9, 10.1]", 0.95).exact.chances.unwrap();
        close(there.within, 0.95, 1e-9);
        assert!(there.below.min(there.above) > 0.009);
    }
}

#[test]
fn where_no_value_would_do_there_are_no_limits() {
    let none = guard(&read(10.0, 0.06, "[9.9, 10.1]", 0.95));
    assert_eq!(none.limits, None);
    // 2Φ(0.1/0.06) - 1.
    close(none.best_possible, 1.0 - 2.0 * 0.047_790_352_272_814_7, 1e-12);
}

#[test]
fn limits_are_for_what_was_read_and_wanted() {
    let options = GapOptions { guard: true, ..GapOptions::default() };
    let drawn = "dimensions: { y: { size: 10, tolerance: 0.1 } }\ngaps: { gap: { chain: y, accept: [9.9, 10.1] } }\n";
    assert_eq!(gap_with(drawn, &options).guard, None, "a share of production has no acceptance limits");
    let space = "dimensions: { y: { readings: [10.01], instrument: calliper } }\n\
                 gaps: { gap: { chain: y - shims, accept: [0.1, 0.2] } }\npacks: { shims: { kit: box } }\nkits: { box: { sizes: [1] } }\n";
    assert_eq!(gap_with(space, &options).guard, None);
    assert_eq!(gap_of(&space.replace("kit: box }", "kit: box, fitted: [9.86] }")).guard, None, "it was not asked for");
    // Without doubt the limits are the band's ends.
    let sure = "dimensions: { y: { readings: [10.01], instrument: none } }\ngaps: { gap: { chain: y, accept: [9.9, 10.1] } }\n";
    if let Some(guard) = gap_with(sure, &options).guard {
        let limits = guard.limits.unwrap();
        assert_eq!((limits.low_mm, limits.high_mm), (Some(9.9), Some(10.1)));
    }
}

#[test]
fn an_end_in_doubt_counts_too() {
    // The end is read with a doubt of its own, 0.03 and 0.04 make 0.05.
    let text = "instruments: { a: { repeatability: 0.03 }, b: { repeatability: 0.04 } }
dimensions: { y: { readings: [10], instrument: a }, most: { readings: [12], instrument: b } }
gaps: { gap: { chain: y, accept: at most most } }
";
    let text = text.replace("at most most", "[-100, most]");
    let gap = gap_with(&text, &GapOptions { guard: true, ..GapOptions::default() });
    close(guard(&gap).limits.unwrap().high_mm.unwrap(), 12.0 - 1.644_853_626_951_472_7 * 0.05, 1e-9);
}
