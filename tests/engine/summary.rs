//! Readings of a bench: what is undefined, what is refused, and the pooled figure.

use shimwright_engine::number::summary::{Pooled, Summary, pool, summarise};

#[test]
fn what_is_undefined() {
    assert_eq!(summarise(&[]), None);
    assert_eq!(summarise(&[8.004]), Some(Summary { count: 1, mean: 8.004, sd: None }));
    assert_eq!(pool(&[]), None);
    assert_eq!(pool(&[&[], &[8.004], &[7.5]]), None);
}

#[test]
fn what_is_not_finite_gives_nothing() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        for values in [[bad, 1.0, 2.0], [1.0, bad, 2.0], [1.0, 2.0, bad]] {
            assert_eq!(summarise(&values), None, "{values:?}");
            assert_eq!(pool(&[&[3.0, 4.0], &values]), None, "{values:?}");
        }
        assert_eq!(summarise(&[bad]), None);
        assert_eq!(pool(&[&[3.0, 4.0], &[bad]]), None);
    }
    // Finite, but their difference, or its square, is beyond a double.
    assert_eq!(summarise(&[-1.7e308, 1.7e308]), None);
    assert_eq!(summarise(&[0.0, 1e200]), None);
    assert_eq!(pool(&[&[0.0, 1e200]]), None);
    assert_eq!(pool(&[&[0.0, 1.7e154], &[0.0, 1.7e154]]), None);
}

#[test]
fn repeats_that_agree_have_no_scatter() {
    // 0.1 has no exact double; its copies must still agree exactly.
    let found = summarise(&[0.1; 7]).expect("seven values");
    assert_eq!(found, Summary { count: 7, mean: 0.1, sd: Some(0.0) });
}

#[test]
fn a_hand_sum() {
    // 2, 4, 4, 4, 5, 5, 7, 9: mean 5, sum of squares 32, so s^2 = 32/7.
    let found = summarise(&[2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]).expect("eight values");
    assert_eq!(found.mean, 5.0);
    // Two roundings at most: the quotient and the root.
    assert!((found.sd.expect("eight values") - (32.0_f64 / 7.0).sqrt()).abs() <= 1e-15 * 2.2);
}

#[test]
fn readings_one_double_apart_keep_their_scatter() {
    // Their mean is no double; the scatter is about the mean itself, not about its rounding: s = step / √2.
    let found = summarise(&[1.0, 1.0 + f64::EPSILON]).expect("two values");
    let exact = f64::EPSILON * std::f64::consts::FRAC_1_SQRT_2;
    // A root of an exact square: one rounding, relative 1.1e-16.
    assert!((found.sd.expect("two values") / exact - 1.0).abs() <= 4e-16, "{found:?}");
}

#[test]
fn a_long_row_of_small_steps_keeps_its_mean() {
    // A million values a hair above 1: the exact mean of 1 and 1 + 2^-40, half and half, is 1 + 2^-41, and the exact s is
    // 2^-41 sqrt(n / (n - 1)).
    let hair = 2.0_f64.powi(-40);
    let values: Vec<f64> = (0..1_000_000).map(|k| if k % 2 == 0 { 1.0 } else { 1.0 + hair }).collect();
    let found = summarise(&values).expect("values");
    assert_eq!(found.mean, 1.0 + hair / 2.0);
    let exact = hair / 2.0 * (1e6_f64 / 999_999.0).sqrt();
    // The squares are all alike and exact, so only the quotient and the root round: 1e-15 is several times that.
    assert!((found.sd.expect("values") / exact - 1.0).abs() <= 1e-15, "{found:?}");
}

/// `count` readings with the mean and standard deviation asked for, up to rounding.
fn made(count: usize, mean: f64, sd: f64) -> Vec<f64> {
    let steps: Vec<f64> = (0..count).map(|k| ((k * k) % 17) as f64 + (k % 5) as f64).collect();
    let raw = summarise(&steps).expect("steps");
    let scale = sd / raw.sd.expect("steps");
    steps.iter().map(|step| mean + scale * (step - raw.mean)).collect()
}

#[test]
fn pooled_deviation_of_a_handbook() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, two-sample test of the AUTO83B data (from memory, and
    // reproduced by its own formula): 249 cars, mean 20.14458, s 6.41470; 79 cars, mean 30.48101, s 6.10771; pooled
    // standard deviation 6.34260 with 326 degrees of freedom. The readings are made to have those means and deviations.
    let (first, second) = (made(249, 20.14458, 6.41470), made(79, 30.48101, 6.10771));
    let Pooled { sd, freedom } = pool(&[&first, &second]).expect("freedom");
    assert_eq!(freedom, 326);
    // Half a unit of the last printed place, in the inputs and in the result.
    assert!((sd - 6.34260).abs() <= 1e-5, "{sd}");
}

#[test]
fn single_readings_add_neither_freedom_nor_scatter() {
    let repeats: &[f64] = &[53.97, 53.96, 53.99];
    let alone = pool(&[repeats]).expect("two degrees");
    let sd = summarise(repeats).expect("three").sd.expect("three");
    assert_eq!(alone, Pooled { sd, freedom: 2 });
    assert_eq!(pool(&[&[12.0], repeats, &[], &[1.14]]), Some(alone));
}
