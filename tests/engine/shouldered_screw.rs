//! The shouldered screw of Shigley's Mechanical Engineering Design (example 1-7 in the 10th and 11th edition), all the
//! way from a document in inches.
//!
//! w = a − b − c − d with a 1.750 ± 0.003, b 0.750 ± 0.001, c 0.120 ± 0.005, d 0.875 ± 0.001 in; w must be 0.003 in at
//! least. Published and seen: nominal 0.005, worst case ± 0.010, root sum square ± 0.006, P(w < 0.003) = 0.158655 with
//! normal laws at three sigma. The figures of the other laws were computed from the closed form of the sum.

use shimwright_engine::analyse::{GapOptions, RootSumSquareOptions};
use shimwright_tests::{close, gap_of, gap_with, shouldered_screw};

/// An inch, by definition.
const INCH: f64 = 25.4;

/// Lengths: sizes of 44 mm are rounded to 7e-15 mm.
const ROUNDING_MM: f64 = 1e-13;

fn stack(distribution: &str, least: &str) -> String {
    shouldered_screw(distribution, &format!("at least {least}"))
}

#[test]
fn nominal_and_worst_case() {
    let gap = gap_of(&stack("normal", "0.003 in"));
    close(gap.nominal_mm, 0.005 * INCH, ROUNDING_MM);
    close(gap.worst_case.low_mm, -0.005 * INCH, ROUNDING_MM);
    close(gap.worst_case.high_mm, 0.015 * INCH, ROUNDING_MM);
    assert_eq!(gap.worst_case.fits, Some(false));
    // The corner of the least gap: the screw at its shortest, what is on it at its longest.
    let corner: Vec<(&str, f64)> = gap.worst_case.low_at.iter().map(|one| (one.name.as_str(), one.value_mm)).collect();
    for ((name, value), (expected, inches)) in
        corner.into_iter().zip([("a", 1.747), ("b", 0.751), ("c", 0.125), ("d", 0.876)])
    {
        assert_eq!(name, expected);
        close(value, inches * INCH, ROUNDING_MM);
    }
}

#[test]
fn root_sum_square_plain_inflated_and_with_a_mean_shift() {
    // Inflation of 1.5 is Bender's (1962), the mean shift Greenwood and Chase's (1987): the formulas from memory; 0.009
    // and 0.0025 + 0.75 × 0.006 = 0.0070 follow from them.
    let plain = RootSumSquareOptions::default();
    let cases = [
        (plain, 0.006),
        (RootSumSquareOptions { inflate: 1.5, ..plain }, 0.009),
        (RootSumSquareOptions { mean_shift: 0.25, ..plain }, 0.0070),
        (RootSumSquareOptions { mean_shift: 1.0, ..plain }, 0.010),
    ];
    for (root_sum_square, half) in cases {
        let options = GapOptions { root_sum_square, ..GapOptions::default() };
        let found = gap_with(&stack("normal", "0.003 in"), &options).root_sum_square.unwrap();
        close(found.mean_mm, 0.005 * INCH, ROUNDING_MM);
        close(found.sd_mm, 0.002 * INCH, ROUNDING_MM);
        close(found.low_mm, (0.005 - half) * INCH, ROUNDING_MM);
        close(found.high_mm, (0.005 + half) * INCH, ROUNDING_MM);
    }
}

#[test]
fn probabilities_of_three_laws() {
    let cases = [
        ("normal", 0.158_655_253_931_457, 0.006_209_665_325_776_1),
        ("rectangular", 0.302_777_777_777_778, 0.080_555_555_555_555_6),
        ("triangular", 0.215_416_887_125_22, 0.018_333_333_333_333_3),
    ];
    for (distribution, too_little, interference) in cases {
        for (least, expected) in [("0.003 in", too_little), ("0", interference)] {
            let chances = gap_of(&stack(distribution, least)).exact.chances.unwrap();
            close(chances.below, expected, 1e-12);
            close(chances.within, 1.0 - expected, 1e-12);
            assert_eq!(chances.above, 0.0);
            assert!(chances.error_bound <= 1.1e-12, "{chances:?}");
        }
    }
}
