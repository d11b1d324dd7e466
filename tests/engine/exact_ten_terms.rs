//! Ten laws in one sum, every one of another kind, against 40-digit arithmetic.
//!
//! Source: computed outside this project, mpmath at 40 digits, the characteristic function inverted with two different
//! steps (invented inputs). The sum is
//! N(20, 0.010) − U(4.97, 5.03) + Tri(2.96, 3.00, 3.05) − Trap(5.96, 5.98, 6.02, 6.04) + TruncN(1.50, 0.015; 1.47, 1.54)
//! − Beta(2, 3.5; 3.95, 4.05) + Arcsine(±0.02) − U(7.98, 8.02) − {0.45: 0.3, 0.50: 0.5, 0.55: 0.2} + U(0.99, 1.01);
//! in the second the last term is a Student t about 1.0 of scale 0.006 with five degrees.

use shimwright_engine::analyse::exact::{Exact, ExactOptions, Term};
use shimwright_engine::law::{Arcsine, Beta, Law, Trapezoidal, Triangular, TruncatedNormal};
use shimwright_tests::close;
use shimwright_tests::terms::{discrete, normal, rectangular, student};

/// What is asked of the figures; the reference has fifteen digits.
const WANTED: f64 = 1e-12;

/// q standard deviations from the mean, and P(Y ≤ there).
type Point = (f64, f64);

fn sum(last: Term) -> Exact {
    let term = |coefficient, law| Term { coefficient, law };
    let terms = [
        normal(1.0, 20.0, 0.010),
        rectangular(-1.0, 5.0, 0.03),
        term(1.0, Law::Triangular(Triangular::new(2.96, 3.00, 3.05).expect("a valid law"))),
        term(-1.0, Law::Trapezoidal(Trapezoidal::new(5.96, (5.98, 6.02), 6.04).expect("a valid law"))),
        term(1.0, Law::TruncatedNormal(TruncatedNormal::new(1.50, 0.015, 1.47, 1.54).expect("a valid law"))),
        term(-1.0, Law::Beta(Beta::new(2.0, 3.5, 3.95, 4.05).expect("a valid law"))),
        term(1.0, Law::Arcsine(Arcsine::new(-0.02, 0.02).expect("a valid law"))),
        rectangular(-1.0, 8.0, 0.02),
        discrete(-1.0, &[(0.45, 0.3), (0.50, 0.5), (0.55, 0.2)]),
        last,
    ];
    Exact::new(0.0, &terms, ExactOptions::default()).expect("every term has a variance")
}

fn agrees(sum: &Exact, points: &[Point]) {
    for &(q, reference) in points {
        let x = sum.mean_mm() + q * sum.sd_mm();
        let found = sum.below(x);
        assert!((found.value - reference).abs() <= WANTED, "{q}: {found:?} is not {reference}");
        // The place rounds by an ulp of 2, at a density of 7 at most.
        let rounding = 4e-15;
        assert!((found.value - reference).abs() <= found.error_bound + rounding, "{q}: {found:?} breaks its bound");
        assert!(found.error_bound <= WANTED, "{q}: {found:?}");
        let above = sum.above(x);
        assert!((above.value - (1.0 - reference)).abs() <= WANTED, "{q}: {above:?}");
    }
}

#[test]
fn ten_bounded_and_normal_laws_with_one_of_single_values() {
    let sum = sum(rectangular(1.0, 1.0, 0.01));
    close(sum.mean_mm(), 2.022_626_068_365_130_3, 1e-14);
    close(sum.sd_mm(), 0.056_678_761_678_070_524, 1e-15);
    agrees(
        &sum,
        &[
            (-5.5, 6.691_684_318_434_04e-14),
            (-4.0, 4.378_450_561_682_84e-6),
            (-3.0, 9.212_747_822_006_28e-4),
            (0.0, 0.497_042_552_492_387),
            (2.5, 0.995_712_986_268_835),
        ],
    );
}

#[test]
fn the_same_with_a_student_t() {
    let sum = sum(student(1.0, 1.0, 0.006, 5.0));
    close(sum.sd_mm(), 0.056_913_519_413_459_075, 1e-15);
    agrees(
        &sum,
        &[
            (-5.5, 4.624_622_640_288_7e-8),
            (-4.0, 5.553_754_814_104_51e-6),
            (-3.0, 9.370_326_718_104_53e-4),
            (0.0, 0.497_074_694_767_178),
            (2.5, 0.995_670_133_112_29),
        ],
    );
}
