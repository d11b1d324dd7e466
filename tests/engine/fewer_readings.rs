//! Fewer readings with the same mean and scatter never make an answer surer, while the mean is in the band.
//!
//! Under one rule for the scatter and without `repeatability`, from twelve readings down to two.

use proptest::prelude::*;
use proptest::sample::select;
use shimwright_tests::gap_of;

/// `count` readings of this mean and this standard deviation: two of them off by s √((n − 1)/2), the rest on the mean.
fn readings(count: usize, mean: f64, sd: f64) -> String {
    let off = sd * ((count as f64 - 1.0) / 2.0).sqrt();
    let mut all = vec![mean; count];
    (all[0], all[1]) = (mean - off, mean + off);
    all.iter().map(|one| format!("{one:.13}")).collect::<Vec<_>>().join(", ")
}

fn within(count: usize, mean: f64, sd: f64, rest: &str, band: (f64, f64)) -> f64 {
    let readings = readings(count, mean, sd);
    let (instruments, read, others, chain) = match rest {
        "alone" => ("", "instrument: none", "", "pocket"),
        "with a drawing" => ("", "instrument: none", "  gear: { size: 30, tolerance: 0.02 }\n", "pocket - gear + 30"),
        "with a rectangle" => {
            let gear = "  gear: { limits: [29.98, 30.02], distribution: rectangular }\n";
            ("", "instrument: none", gear, "pocket - gear + 30")
        }
        _ => {
            ("instruments: { gauge: { limit_of_error: 0.01, zero_error: 0.005 } }\n", "instrument: gauge", "", "pocket")
        }
    };
    let (low, high) = band;
    let gap = gap_of(&format!(
        "{instruments}dimensions:\n  pocket: {{ readings: [{readings}], {read} }}\n{others}gaps:\n  y: {{ chain: {chain}, accept: [{low:.9}, {high:.9}] }}\n"
    ));
    gap.exact.chances.unwrap().within
}

proptest! {
    // Each case is worked for eleven numbers of readings.
    #![proptest_config(ProptestConfig { cases: 80, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn fewer_readings_never_raise_the_probability(
        sd in 0.001..0.05_f64,
        below in 0.0..0.1_f64,
        above in 0.0..0.1_f64,
        rest in select(vec!["alone", "with a drawing", "with a rectangle", "with an instrument"]),
    ) {
        let mean = 42.5;
        let band = (mean - below, mean + above);
        let all: Vec<f64> = (2..=12).map(|count| within(count, mean, sd, rest, band)).collect();
        for (count, pair) in (2..).zip(all.windows(2)) {
            // Each probability has a bound of 1e-12; readings of 42.5 are typed to 1e-13.
            prop_assert!(pair[0] <= pair[1] + 1e-10, "{count} readings {} and one more {}", pair[0], pair[1]);
        }
    }
}

#[test]
fn the_difference_is_no_small_one() {
    // The band is two standard deviations wide on each side.
    let at = |count| within(count, 42.5, 0.01, "alone", (42.48, 42.52));
    assert!(at(12) > 0.999_9);
    // Student t: three degrees and 2 × 2; three degrees and 2 √2/3.993.
    assert!(at(4) > 0.971 && at(4) < 0.973, "{}", at(4));
    assert!(at(2) > 0.45 && at(2) < 0.48, "{}", at(2));
}
