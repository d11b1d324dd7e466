//! The exact distribution against published figures, asked of the sum itself; the same stacks stand as documents in
//! `additive_model`, `shouldered_screw`, `published_stacks` and `type_a`.
//!
//! Beside each check stands its source. "Closed form" figures were worked out from the formula named, at 50 digits,
//! outside this project.

use shimwright_engine::analyse::exact::{Method, Term};
use shimwright_engine::law::{Law, StudentT};
use shimwright_tests::terms::{agrees, exact, normal, rectangular, student, triangular};

#[test]
fn jcgm_101_additive_model_normal() {
    // JCGM 101:2008, 9.2.2, Table 2: four standard normal laws, u = 2.00, 95 % interval [−3.92, 3.92].
    let sum = exact(&vec![normal(1.0, 0.0, 1.0); 4]);
    let (low, high) = sum.interval(0.95).expect("a coverage inside (0, 1)");
    assert_eq!(sum.method(), Method::Normal);
    assert_eq!((sum.mean_mm(), sum.sd_mm()), (0.0, 2.0));
    assert!((high - 3.92).abs() < 0.005 && (low + 3.92).abs() < 0.005);
    // Closed form: 2 × 1.959963984540054.
    assert!((high - 3.919_927_969_080_108).abs() < 1e-14);
}

#[test]
fn jcgm_101_additive_model_rectangular() {
    // JCGM 101:2008, 9.2.3, Table 3: four rectangular laws of standard deviation 1; published [−3.88, 3.88], where
    // the normal law would say ±3.92. Closed form (Annex E): ±2√3 (2 − (3/5)^{1/4}).
    let sum = exact(&vec![rectangular(1.0, 0.0, 3.0f64.sqrt()); 4]);
    let (low, high) = sum.interval(0.95).expect("a coverage inside (0, 1)");
    assert!((high - 3.88).abs() < 0.005 && (low + 3.88).abs() < 0.005);
    assert!((high - 3.879_406_741_347_821).abs() < 1e-14 && (low + high).abs() < 1e-14);
    assert!((sum.sd_mm() - 2.0).abs() < 1e-15);
}

#[test]
fn jcgm_101_additive_model_with_a_dominant_rectangle() {
    // JCGM 101:2008, 9.2.4, Table 4 (from memory): u = 10.1, [−17.0, 17.0]; root sum square with a normal law would
    // say [−19.9, 19.9]. Closed form of the 97.5 % point at 40 digits.
    let root = 3.0f64.sqrt();
    let mut terms = vec![rectangular(1.0, 0.0, root); 3];
    terms.push(rectangular(1.0, 0.0, 10.0 * root));
    let sum = exact(&terms);
    let (low, high) = sum.interval(0.95).expect("a coverage inside (0, 1)");
    assert!((high - 17.0).abs() < 0.05 && (low + 17.0).abs() < 0.05);
    assert!((high - 17.015_814_099_866_674).abs() < 1e-13);
    assert!((sum.sd_mm() - 10.148_891_565_092_22).abs() < 1e-13);
    assert!((1.96 * sum.sd_mm() - 19.9).abs() < 0.05);
}

#[test]
fn jcgm_100_table_g2() {
    // JCGM 100:2008, Table G.2: t_p(ν) for p = 68.27, 90, 95, 95.45, 99, 99.73 %, to three places. (The table prints
    // two; k = 2.92 at ν = 16 and 99 % is the figure of its example H.1.)
    let coverages = [0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973];
    let rows = [
        (1.0, [1.837, 6.314, 12.706, 13.968, 63.657, 235.784]),
        (2.0, [1.321, 2.920, 4.303, 4.527, 9.925, 19.206]),
        (3.0, [1.197, 2.353, 3.182, 3.307, 5.841, 9.219]),
        (5.0, [1.111, 2.015, 2.571, 2.649, 4.032, 5.507]),
        (8.0, [1.067, 1.860, 2.306, 2.366, 3.355, 4.277]),
        (10.0, [1.053, 1.812, 2.228, 2.284, 3.169, 3.957]),
        (16.0, [1.032, 1.746, 2.120, 2.169, 2.921, 3.544]),
        (20.0, [1.026, 1.725, 2.086, 2.133, 2.845, 3.422]),
        (50.0, [1.010, 1.676, 2.009, 2.051, 2.678, 3.157]),
        (100.0, [1.005, 1.660, 1.984, 2.025, 2.626, 3.077]),
    ];
    for (freedom, row) in rows {
        let law = Law::StudentT(StudentT::new(0.0, 1.0, freedom).expect("a valid law"));
        for (coverage, printed) in coverages.into_iter().zip(row) {
            // Half a unit in the third place.
            assert!((law.half_width(coverage) - printed).abs() <= 0.000_5, "{freedom} at {coverage}");
            if freedom > 2.0 {
                let alone = exact(&[student(1.0, 0.0, 1.0, freedom)]);
                let (_, high) = alone.interval(coverage).expect("a coverage inside (0, 1)");
                assert_eq!(alone.method(), Method::Single);
                assert!((high - printed).abs() <= 0.000_5);
            }
        }
    }
}

#[test]
fn shouldered_screw() {
    // Shigley's Mechanical Engineering Design, example of the shouldered screw (1-7 in the 10th and 11th edition):
    // w = a − b − c − d with a 1.750 ± 0.003, b 0.750 ± 0.001, c 0.120 ± 0.005, d 0.875 ± 0.001 in, wanted
    // w ≥ 0.003 in; published P(w < 0.003) = 0.158655 for normal laws with the tolerance at three sigma. The rest
    // is closed form.
    let parts = [(1.0, 1.75, 0.003), (-1.0, 0.75, 0.001), (-1.0, 0.12, 0.005), (-1.0, 0.875, 0.001)];
    let all = |law: fn(f64, f64, f64) -> Term| {
        let terms: Vec<Term> = parts.iter().map(|&(sign, size, tolerance)| law(sign, size, tolerance)).collect();
        exact(&terms)
    };
    let cases = [
        (
            all(|sign, size, tolerance| normal(sign, size, tolerance / 3.0)),
            0.158_655_253_931_457,
            0.006_209_665_325_776_1,
        ),
        (all(rectangular), 0.302_777_777_777_778, 0.080_555_555_555_555_6),
        (all(triangular), 0.215_416_887_125_22, 0.018_333_333_333_333_3),
    ];
    for (clearance, least, interference) in cases {
        // Sizes of 1.75 rounded to a double are off by up to 1e-13 of the spread.
        agrees(clearance.below(0.003), least, 1e-12);
        agrees(clearance.below(0.0), interference, 1e-12);
        assert!((clearance.mean_mm() - 0.005).abs() < 1e-15);
    }
    assert!((all(|s, x, t| normal(s, x, t / 3.0)).sd_mm() - 0.002).abs() < 1e-17);
}

#[test]
fn tail_beyond_seven_sigma() {
    // A worked example of a public page (its name was not kept): an envelope 4.976 ± 0.003 around four parts
    // 1.240 ± 0.003, sigma 0.001 each. Z = 7.1554; an answer that leaves out the envelope's own spread gets Z = 8.
    let mut terms = vec![normal(-1.0, 1.24, 0.001); 4];
    terms.push(normal(1.0, 4.976, 0.001));
    let gap = exact(&terms);
    let found = gap.below(0.0);
    // Nine digits printed; and here the bound is relative.
    assert!((found.value / 4.170_931_42e-13 - 1.0).abs() < 2e-9);
    assert!(found.error_bound < 1e-12 * found.value);
}

#[test]
fn three_parts_in_series() {
    // A worked example of a public page (its name was not kept): N(55, 2) + N(65, 3) + N(92, 3), wanted 215 ± 15.
    // Out of specification, recomputed: 0.00531974103.
    let length = exact(&[normal(1.0, 55.0, 2.0), normal(1.0, 65.0, 3.0), normal(1.0, 92.0, 3.0)]);
    let out = length.below(200.0).value + length.above(230.0).value;
    assert!((out - 0.005_319_741_03).abs() < 5e-12);
    assert!((length.sd_mm() - 4.690_415_759_8).abs() < 5e-11 && length.mean_mm() == 212.0);
}

#[test]
fn moving_part_clearance() {
    // A worked example of a public page (its name was not kept): N(55, 0.3) − N(54, 0.2), wanted 0.9 ± 0.5.
    // Out of specification, recomputed: 0.181674911305.
    let clearance = exact(&[normal(1.0, 55.0, 0.3), normal(-1.0, 54.0, 0.2)]);
    let out = clearance.below(0.4).value + clearance.above(1.4).value;
    assert!((out - 0.181_674_911_305).abs() < 1e-12);
    assert!((clearance.sd_mm() - 0.360_555_127_5).abs() < 5e-11);
}
