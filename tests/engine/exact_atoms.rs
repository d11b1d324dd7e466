//! The exact distribution of sums that hold single values and mixtures: against closed forms worked outside this
//! project at 40 digits (mpmath 1.3.0), and against plain enumeration.

use proptest::prelude::*;
use shimwright_engine::analyse::exact::{Exact, ExactError, ExactOptions, Method, Term};
use shimwright_engine::law::{Arcsine, Law};
use shimwright_tests::strategies::{Case, Rest, a_deviate, mixed_sum};
use shimwright_tests::terms::{agrees, discrete, exact, mixture, normal, observed, rectangular, student};

/// Figures of 16 digits of inputs near 50 mm that round to doubles, where the density is a few tens at most.
const AT_FIFTY: f64 = 1e-13;

/// Three cases: never cut, cut once, cut twice.
fn three_cases() -> Term {
    mixture(1.0, &[(0.7, law(52.40, 0.02)), (0.2, law(52.15, 0.03)), (0.1, law(51.90, 0.03))])
}

fn law(mean: f64, sd: f64) -> Law {
    normal(1.0, mean, sd).law
}

#[test]
fn a_shim_of_three_sizes_beside_a_rectangle() {
    // P(X ≤ 0.16) = 0.5·1 + 0.3·(0.16 − 0.09)/0.12 + 0.2·0 = 0.675, by hand.
    let sum = exact(&[discrete(1.0, &[(0.10, 0.5), (0.15, 0.3), (0.25, 0.2)]), rectangular(1.0, 0.0, 0.06)]);
    assert_eq!(sum.method(), Method::Cases);
    agrees(sum.below(0.16), 0.675, 1e-15);
    agrees(sum.above(0.16), 0.325, 1e-15);
    let (low, high) = sum.interval(1.0).expect("it has limits");
    assert!((low - 0.04).abs() < 1e-16 && (high - 0.31).abs() < 1e-15);
}

#[test]
fn two_dice() {
    let pips: Vec<(f64, f64)> = (1..=6).map(|pips| (0.1 * f64::from(pips), 1.0)).collect();
    let sum = exact(&[discrete(1.0, &pips), discrete(-1.0, &pips), discrete(0.0, &pips)]);
    assert_eq!(sum.method(), Method::Atoms);
    for difference in -6..=6i32 {
        // Typed tenths against sums of tenths: the edge is met although the doubles differ.
        let x = f64::from(difference) / 10.0;
        let ways = |counts: &dyn Fn(i32) -> bool| {
            let hits = (1..=6).flat_map(|a| (1..=6).map(move |b| a - b)).filter(|&d| counts(d)).count();
            hits as f64 / 36.0
        };
        agrees(sum.below(x), ways(&|d| d < difference), 1e-15);
        agrees(sum.above(x), ways(&|d| d > difference), 1e-15);
        agrees(sum.at_or_below(x), ways(&|d| d <= difference), 1e-15);
        assert_eq!(sum.density(x), 0.0);
    }
    assert!((sum.sd_mm() - 0.1 * (35.0f64 / 6.0).sqrt()).abs() < 1e-15 && sum.mean_mm().abs() < 1e-15);
    for (p, x) in [(1.0 / 36.0, -0.5), (0.03, -0.4), (0.5, 0.0), (0.6, 0.1), (35.0 / 36.0, 0.4), (0.99, 0.5)] {
        assert!((sum.quantile(p).expect("p is inside (0, 1)") - x).abs() < 1e-15, "{p}");
    }
    let (low, high) = sum.interval(0.9).expect("a coverage inside (0, 1)");
    assert!((low + 0.4).abs() < 1e-15 && (high - 0.4).abs() < 1e-15);
}

#[test]
fn discrete_beside_a_normal_law_and_a_t() {
    let sizes = discrete(1.0, &[(0.45, 0.3), (0.50, 0.5), (0.55, 0.2)]);
    let sum = exact(&[sizes.clone(), normal(1.0, 0.0, 0.008)]);
    for (x, below) in [
        (0.40, 6.156_790_275_656_817e-11),
        (0.45, 0.150_000_000_102_613_17),
        (0.47, 0.298_181_309_044_867_56),
        (0.50, 0.549_999_999_979_477_4),
        (0.56, 0.978_870_045_266_613),
        (0.60, 0.999_999_999_958_954_7),
    ] {
        // An ulp of x, 5e-17, against a standard deviation of 0.008; relative in the tail.
        agrees(sum.below(x), below, 1e-12 * below);
    }
    // Closed form of the t with three degrees.
    let sum = exact(&[sizes, student(1.0, 0.0, 0.004, 3.0)]);
    for (x, below) in [
        (0.40, 2.047_987_975_944_395e-4),
        (0.47, 0.298_946_198_345_526_46),
        (0.50, 0.549_944_818_433_445_2),
        (0.60, 0.999_848_297_143_74),
    ] {
        agrees(sum.below(x), below, 1e-14);
    }
}

#[test]
fn a_case_never_cut_once_and_twice_less_a_rectangle() {
    // Each case is a rectangle and a normal law: F(y) = (s/2a)[pΦ(p) + φ(p) − mΦ(m) − φ(m)], p, m = (y ± a)/s.
    let sum = exact(&[three_cases(), rectangular(-1.0, 51.55, 0.05)]);
    assert_eq!(sum.method(), Method::Cases);
    for (y, below) in [
        (0.2, 3.362_336_512_564_318_6e-6),
        (0.36, 0.058_982_867_628_345_6),
        (0.6, 0.199_999_999_999_943_52),
        (0.83, 0.514_094_763_788_804_2),
        (1.0, 0.999_999_992_515_368_3),
    ] {
        agrees(sum.below(y), below, AT_FIFTY);
        let x = sum.quantile(below).expect("p is inside (0, 1)");
        assert!((sum.below(x).value - below).abs() < 3e-14, "{y}");
    }
}

#[test]
fn an_exact_case_keeps_its_jump_and_the_edge_is_in() {
    // Half of the parts are 5.00 to the nanometre, half are anywhere in 4.98 to 5.02; 0.10 is exact.
    let exactly = discrete(1.0, &[(5.0, 1.0)]).law;
    let sum = Exact::new(
        0.10,
        &[mixture(1.0, &[(1.0, exactly), (1.0, rectangular(1.0, 5.0, 0.02).law)])],
        ExactOptions::default(),
    )
    .expect("it has a variance");
    for (x, below, at_or_below) in [(5.09, 0.125, 0.125), (5.10, 0.25, 0.75), (5.11, 0.875, 0.875)] {
        agrees(sum.below(x), below, AT_FIFTY);
        agrees(sum.at_or_below(x), at_or_below, AT_FIFTY);
        agrees(sum.above(x), 1.0 - at_or_below, AT_FIFTY);
    }
    for (p, x) in [(0.125, 5.09), (0.3, 5.10), (0.7, 5.10), (0.8, 5.104)] {
        assert!((sum.quantile(p).expect("p is inside (0, 1)") - x).abs() < 1e-13, "{p}");
    }
    let (low, high) = sum.interval(0.4).expect("a coverage inside (0, 1)");
    assert!((low - 5.10).abs() < 1e-14 && (high - 5.10).abs() < 1e-14);
}

#[test]
fn a_long_history_is_added_up_whole_whatever_stands_beside_it() {
    // 10,000 values that no step repeats, between 52.3 and 52.5.
    let values: Vec<f64> = (0..10_000u32).map(|i| 52.3 + 0.2 * (f64::from(i) * 0.618_033_988_749).fract()).collect();
    let count = values.len() as f64;
    let places = [51.99, 52.004, 52.1, 52.17];
    // Beside nothing, a normal law, and (inverted, so that its characteristic function is used) a rectangle and a
    // normal law.
    let alone = exact(&[observed(1.0, &values)]);
    let beside_normal = exact(&[observed(1.0, &values), normal(-1.0, 0.3, 0.004)]);
    let inverted = exact(&[observed(1.0, &values), normal(-1.0, 0.3, 0.004), rectangular(1.0, 0.0, 0.05)]);
    assert_eq!(inverted.method(), Method::Inversion);
    let one = exact(&[normal(-1.0, 0.3, 0.004)]);
    let other = exact(&[normal(-1.0, 0.3, 0.004), rectangular(1.0, 0.0, 0.05)]);
    for x in places {
        let share = |below: &dyn Fn(f64) -> f64| values.iter().map(|&value| below(x - value)).sum::<f64>() / count;
        let counted = values.iter().filter(|&&value| value < x + 0.3).count() as f64 / count;
        agrees(alone.below(x + 0.3), counted, 1e-15);
        agrees(beside_normal.below(x), share(&|y| one.below(y).value), AT_FIFTY);
        agrees(inverted.below(x), share(&|y| other.below(y).value), 1e-12);
    }
}

#[test]
fn a_long_history_beside_laws_of_slow_decay_answers_soon_and_says_how_well() {
    let values: Vec<f64> = (0..10_000u32).map(|i| (f64::from(i) * 0.618_033_988_749).fract()).collect();
    let arcsine = Term { coefficient: 1.0, law: Law::Arcsine(Arcsine::new(-0.1, 0.1).expect("a valid law")) };
    let rest = [arcsine, rectangular(1.0, 0.0, 0.02)];
    let sum = exact(&[&[observed(1.0, &values)], &rest[..]].concat());
    let alone = exact(&rest);
    for x in [-0.05, 0.0, 0.31, 0.999] {
        let found = sum.below(x);
        let expected: f64 = values.iter().map(|value| alone.below(x - value).value).sum::<f64>() / 10_000.0;
        assert!(
            (found.value - expected).abs() <= found.error_bound + alone.below(x).error_bound,
            "{found:?} {expected}"
        );
        assert!(found.error_bound < 1e-4, "{found:?}");
    }
}

#[test]
fn too_many_single_sums_are_taken_together_within_the_bound() {
    let values: Vec<f64> = (0..1500u32).map(|i| (f64::from(i) * 0.618_033_988_749).fract()).collect();
    let sum = exact(&[observed(1.0, &values), observed(1.0, &values)]);
    for x in [0.1, 0.52, 1.0, 1.7] {
        let pairs = values.iter().flat_map(|a| values.iter().map(move |b| a + b));
        let counted = pairs.filter(|&sum| sum < x).count() as f64 / (values.len() * values.len()) as f64;
        let found = sum.below(x);
        assert!((found.value - counted).abs() <= found.error_bound, "{found:?} {counted}");
        assert!(found.error_bound > 0.0 && found.error_bound < 2e-3, "{found:?}");
    }
}

#[test]
fn ten_mixtures_answer_together() {
    // 3^10 cases; the sum of ten equal mixtures is a multinomial mixture of 66 normal laws.
    let one = three_cases();
    let sum = exact(&vec![one; 10]);
    assert_eq!(sum.method(), Method::Inversion);
    let (places, sds, shares) = ([52.40, 52.15, 51.90], [0.02f64, 0.03, 0.03], [0.7f64, 0.2, 0.1]);
    for x in [517.8, 519.5, 521.3, 522.9, 523.95] {
        let mut below = 0.0;
        for a in 0..=10i32 {
            for b in 0..=10 - a {
                let counts = [a, b, 10 - a - b];
                let ways: f64 = (1..=10).map(f64::from).product::<f64>()
                    / counts.iter().map(|&n| (1..=n).map(f64::from).product::<f64>()).product::<f64>();
                let share: f64 = counts.iter().zip(shares).map(|(&n, share)| share.powi(n)).product();
                let mean: f64 = counts.iter().zip(places).map(|(&n, mean)| f64::from(n) * mean).sum();
                let variance: f64 = counts.iter().zip(sds).map(|(&n, sd)| f64::from(n) * sd * sd).sum();
                below += ways * share * exact(&[normal(1.0, mean, variance.sqrt())]).below(x).value;
            }
        }
        // Rounding of means near 520 mm, 6e-14 each, against a density of a few units.
        agrees(sum.below(x), below, 1e-12);
    }
}

#[test]
fn a_t_among_the_laws_is_cut_and_too_many_are_refused() {
    let heavy = |scale: f64| mixture(1.0, &[(0.5, student(1.0, 0.0, scale, 3.0).law), (0.5, law(0.0, 0.01))]);
    let sum = exact(&[heavy(0.01), normal(1.0, 0.0, 0.005)]);
    let cases = [
        exact(&[student(1.0, 0.0, 0.01, 3.0), normal(1.0, 0.0, 0.005)]),
        exact(&[normal(1.0, 0.0, 0.01), normal(1.0, 0.0, 0.005)]),
    ];
    for x in [-0.2, -0.02, 0.0, 0.013, 0.15] {
        agrees(sum.below(x), 0.5 * (cases[0].below(x).value + cases[1].below(x).value), 1e-12);
    }
    let many: Vec<Term> = (0..20).map(|_| heavy(0.01)).collect();
    assert_eq!(Exact::new(0.0, &many, ExactOptions::default()), Err(ExactError::TooManyCases));
    let none = mixture(1.0, &[(0.5, student(1.0, 0.0, 0.01, 2.0).law), (0.5, law(0.0, 0.01))]);
    assert_eq!(Exact::new(0.0, &[none], ExactOptions::default()), Err(ExactError::NoVariance));
}

/// P(rest < x) in closed form: a normal law beside at most one rectangle, or nothing random at all.
fn rest_below(rest: &Rest, x: f64) -> f64 {
    let below = |z: f64| 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
    let density = |z: f64| (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let y = x - rest.centre;
    match (rest.sd, rest.half) {
        (0.0, 0.0) => f64::from(u8::from(y > 0.5e-6)),
        (sd, 0.0) => below(y / sd),
        (0.0, half) => ((y + half) / (2.0 * half)).clamp(0.0, 1.0),
        (sd, half) => {
            let (p, m) = ((y + half) / sd, (y - half) / sd);
            // For large p and m the two large parts cancel; their difference is taken first.
            sd / (2.0 * half) * (p * below(p) + density(p) - m * below(m) - density(m))
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_sum_is_what_enumeration_times_closed_forms_makes_of_it(sum in mixed_sum(), deviate in a_deviate()) {
        let found = Exact::new(0.25, &sum.terms, ExactOptions::default()).expect("every term has a variance");
        let x = found.mean_mm() + deviate * found.sd_mm().max(1e-3);
        let cases: Vec<Case> = sum.cases();
        // Nothing random within 2 nm of its value is passed over: there the grid decides, which is tested above.
        prop_assume!(cases.iter().all(|case| {
            case.rest.sd + case.rest.half > 0.0 || (x - 0.25 - case.rest.centre).abs() > 2e-6
        }));
        let expected: f64 = cases.iter().map(|case| case.share * rest_below(&case.rest, x - 0.25)).sum();
        let (below, above) = (found.below(x), found.above(x));
        // The lengths, 300 mm at most, round by 6e-14, against spreads from 1e-3 mm; the closed form cancels where a
        // rectangle is much wider than the normal law beside it, by their ratio.
        let allowed = 1e-10;
        prop_assert!((below.value - expected).abs() <= below.error_bound + allowed, "{below:?} {expected}");
        prop_assert!((above.value - (1.0 - expected)).abs() <= above.error_bound + allowed, "{above:?} {expected}");
        prop_assert!(below.error_bound < 1.1e-12 && above.error_bound < 1.1e-12, "{below:?} {above:?}");
    }

    #[test]
    fn a_quantile_is_the_least_length_that_holds_p(sum in mixed_sum(), p in 1e-4..0.9999f64) {
        let found = Exact::new(0.25, &sum.terms, ExactOptions::default()).expect("every term has a variance");
        let x = found.quantile(p).expect("p is inside (0, 1)");
        // Two grid steps further out there is p, two further in there is not; in between lies the grid's own.
        let near = 1e-11 + 2.0 * found.at_or_below(x).error_bound;
        prop_assert!(found.at_or_below(x + 1.1e-6).value >= p - near, "{p} at {x}");
        prop_assert!(found.below(x - 1.1e-6).value <= p + near, "{p} at {x}");
        let (low, high) = found.interval(0.9).expect("a coverage inside (0, 1)");
        prop_assert!(low <= high && found.below(low - 1.1e-6).value <= 0.05 + near);
        prop_assert!(found.above(high + 1.1e-6).value <= 0.05 + near);
    }
}
