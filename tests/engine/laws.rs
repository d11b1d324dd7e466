//! Each law, and sums of several, against reference values of 40 digits.
//!
//! Source: computed; mpmath 1.4.1 by `tests/data/laws/reference.py`, each distribution function checked there against
//! scipy 1.17.1. The Student t, arcsine and normal laws of the gauge block are those of JCGM 101:2008, 9.5, Table 10
//! (from memory).

use shimwright_engine::analyse::exact::{Exact, ExactOptions, Term};
use shimwright_engine::law::{
    Arcsine, Beta, Law, Normal, Rectangular, StudentT, Trapezoidal, Triangular, TruncatedNormal,
};

const LAWS: &str = include_str!("../data/laws/laws.csv");
const STACKS: &str = include_str!("../data/laws/stacks.csv");

/// Error of a tail of this probability: relative, and more where it is the exponential of a large logarithm.
fn tail(p: f64) -> f64 {
    if p > 0.0 { p * (2e-13 - 4.0 * f64::EPSILON * p.ln()) } else { 0.0 }
}

/// Absolute error of a characteristic function, against one at zero.
const CHARACTERISTIC: f64 = 4e-15;

fn law(name: &str, figures: &[f64]) -> Law {
    let built = match (name, figures) {
        ("normal", &[mean, sd]) => Normal::new(mean, sd).map(Law::Normal),
        ("rectangular", &[low, high]) => Rectangular::new(low, high).map(Law::Rectangular),
        ("triangular", &[low, mode, high]) => Triangular::new(low, mode, high).map(Law::Triangular),
        ("trapezoidal", &[low, first, second, high]) => {
            Trapezoidal::new(low, (first, second), high).map(Law::Trapezoidal)
        }
        ("arcsine", &[low, high]) => Arcsine::new(low, high).map(Law::Arcsine),
        ("truncated normal", &[mean, sd, low, high]) => {
            TruncatedNormal::new(mean, sd, low, high).map(Law::TruncatedNormal)
        }
        ("beta", &[a, b, low, high]) => Beta::new(a, b, low, high).map(Law::Beta),
        ("student t", &[mean, scale, freedom]) => StudentT::new(mean, scale, freedom).map(Law::StudentT),
        _ => panic!("no law {name} with {} figures", figures.len()),
    };
    built.expect("a valid law")
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text} is no number"))
}

#[test]
fn every_law_has_its_reference_values() {
    let mut rows = 0;
    for line in LAWS.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let figures: Vec<f64> = cells[1].split(' ').map(number).collect();
        let law = law(cells[0], &figures);
        let expected = number(cells[4]);
        let place = || number(cells[3]);
        // What lies within the rounding of a place and of its distance from the law's own figures.
        let near = |x: f64| {
            let size = 2.0 * f64::EPSILON * figures.iter().fold(x.abs(), |size, figure| size.max(figure.abs()));
            law.below(x + size) - law.below(x - size)
        };
        let (found, allowed) = match cells[2] {
            "mean" => (law.mean().expect("a mean"), 4.0 * f64::EPSILON * law.centre().abs().max(expected.abs())),
            // A truncated law whose density dies out long before its other limit loses most.
            "var" => (law.variance().expect("a variance"), 1e-12 * expected),
            "below" => (law.below(place()), tail(expected) + near(place())),
            "above" => (law.above(place()), tail(expected) + near(place())),
            // As a probability.
            "quantile" => {
                let found = law.quantile(place()).expect("p is inside (0, 1)");
                let between = (law.below(found) - law.below(expected)).abs();
                (between, 1e-12 * place().min(1.0 - place()) + 2.0 * near(expected))
            }
            "characteristic" => {
                let found = law.characteristic(place());
                let off = (found.re - expected).hypot(found.im - number(cells[5]));
                // Limits of 5.03 are rounded to 1e-16 of the half-range times a hundred.
                let rounding = f64::EPSILON * figures.iter().fold(0.0, |size: f64, one| size.max(one.abs())) * place();
                (expected + off, CHARACTERISTIC + rounding)
            }
            other => panic!("no figure {other}"),
        };
        let expected = if cells[2] == "quantile" { 0.0 } else { expected };
        assert!((found - expected).abs() <= allowed, "{line}: {found}, off by {:e} of {allowed:e}", found - expected);
        rows += 1;
    }
    assert!(rows > 900, "{rows}");
}

fn sum(name: &str) -> Vec<Term> {
    let of = |coefficient: f64, name: &str, figures: &[f64]| Term { coefficient, law: law(name, figures) };
    let skew = of(1.0, "triangular", &[2.96, 3.0, 3.05]);
    let trapezoid = of(1.0, "trapezoidal", &[5.96, 5.98, 6.02, 6.04]);
    let rectangle = of(-1.0, "rectangular", &[4.97, 5.03]);
    let beta = of(-1.0, "beta", &[2.0, 3.5, 3.95, 4.05]);
    let narrow = of(-1.0, "rectangular", &[7.98, 8.02]);
    let mut eight = vec![
        of(1.0, "normal", &[20.0, 0.01]),
        rectangle.clone(),
        skew.clone(),
        trapezoid.clone(),
        of(1.0, "truncated normal", &[1.5, 0.015, 1.47, 1.54]),
        beta.clone(),
        of(1.0, "arcsine", &[-0.02, 0.02]),
        narrow.clone(),
    ];
    match name {
        "S1" => {
            eight.push(of(1.0, "rectangular", &[0.99, 1.01]));
            eight
        }
        "S2" => {
            eight.push(of(1.0, "student t", &[1.0, 0.006, 5.0]));
            eight
        }
        "S3" => vec![skew, beta, trapezoid, rectangle, narrow],
        "skew with three degrees" => {
            vec![skew, of(-1.0, "beta", &[1.5, 4.0, 0.0, 0.2]), of(1.0, "student t", &[0.0, 0.004, 3.0])]
        }
        "skew with two and a half degrees" => vec![
            of(2.0, "triangular", &[0.0, 0.0, 0.05]),
            of(1.0, "normal", &[0.0, 0.01]),
            of(-1.0, "student t", &[0.0, 0.003, 2.5]),
        ],
        "sorted and arcsine" => vec![
            of(1.0, "truncated normal", &[0.0, 0.02, -0.01, 0.06]),
            of(0.5, "arcsine", &[-0.03, 0.03]),
            of(1.0, "normal", &[0.0, 0.004]),
        ],
        _ => panic!("no stack {name}"),
    }
}

#[test]
fn mixed_stacks_have_their_reference_values() {
    // Sizes up to 20 rounded to doubles, against a spread of 0.05: 1e-14 of it.
    const SIZES: f64 = 2e-14;
    let mut prepared: Vec<(&str, Exact)> = Vec::new();
    for line in STACKS.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let name = cells[0];
        if prepared.last().is_none_or(|(last, _)| *last != name) {
            let exact = Exact::new(0.0, &sum(name), ExactOptions::default()).expect("every term has a variance");
            prepared.push((name, exact));
        }
        let (_, exact) = prepared.last().expect("one was prepared");
        let expected = number(cells[3]);
        match cells[1] {
            "mean" => assert!((exact.mean_mm() - expected).abs() < 1e-14, "{line}: {}", exact.mean_mm()),
            "sd" => assert!((exact.sd_mm() / expected - 1.0).abs() < 1e-13, "{line}: {}", exact.sd_mm()),
            side => {
                let x = number(cells[2]);
                let found = if side == "below" { exact.below(x) } else { exact.above(x) };
                let off = (found.value - expected).abs();
                assert!(off <= found.error_bound + SIZES && off <= 1e-12, "{line}: {found:?}, off by {off:e}");
                assert!(found.error_bound <= 1.5e-12, "{line}: {found:?}");
            }
        }
    }
    assert_eq!(prepared.len(), 6);
}
