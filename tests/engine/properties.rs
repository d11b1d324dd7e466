//! What holds of every stack, whatever its figures.
//!
//! Lengths are up to 60 mm with coefficients up to 2, so their sums are rounded to 1e-13 mm at most; spreads are 5e-4 mm
//! and more.

use proptest::prelude::*;
use shimwright_engine::analyse::{exact_of, worst_case};
use shimwright_engine::model::Model;
use shimwright_tests::strategies::{Law, Stack, stack};
use shimwright_tests::{gap_of, model_of};

/// Rounding of sums of such lengths, in millimetres.
const ROUNDING_MM: f64 = 2e-13;

const BOUNDED: &[Law] = &[Law::Exact, Law::Rectangular, Law::Triangular, Law::Read];
const ALL: &[Law] = &[Law::Exact, Law::Normal, Law::Rectangular, Law::Triangular, Law::Read];

fn in_mm(nm: i64) -> f64 {
    nm as f64 / 1e6
}

/// A sample of a stack: each dimension at its own share of its half-range, −1 to 1, and the shared zero at its own.
fn sample(stack: &Stack, shares: &[f64], zero: f64) -> f64 {
    let value = |(one, &share): (&shimwright_tests::strategies::Dimension, &f64)| {
        let off = match one.law {
            Law::Read => share * in_mm(Stack::LIMIT) + zero * in_mm(Stack::ZERO),
            _ => share * in_mm(one.half),
        };
        one.hundredths as f64 / 100.0 * (in_mm(one.middle) + off)
    };
    stack.dimensions.iter().zip(shares).map(value).sum()
}

/// Mean and variance of a stack, worked by hand: a²t²/9 for a normal law, /3 for a rectangle, /6 for a triangle, and the
/// zero once, with the sum of its coefficients.
fn moments(stack: &Stack) -> (f64, f64) {
    let (mut mean, mut variance, mut zero) = (0.0, 0.0, 0.0);
    for one in &stack.dimensions {
        let a = one.hundredths as f64 / 100.0;
        mean += a * in_mm(one.middle);
        let half = in_mm(if one.law == Law::Read { Stack::LIMIT } else { one.half });
        let divisor = match one.law {
            Law::Exact => f64::INFINITY,
            Law::Normal => 9.0,
            Law::Rectangular | Law::Read => 3.0,
            Law::Triangular => 6.0,
        };
        variance += a * a * half * half / divisor;
        zero += if one.law == Law::Read { a } else { 0.0 };
    }
    let shared = zero * in_mm(Stack::ZERO);
    (mean, variance + shared * shared / 3.0)
}

fn sd_of_first(model: &Model) -> f64 {
    exact_of(&model.gaps[0].start, &model.columns).unwrap().sd_mm()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn worst_case_holds_every_sample(
        (stack, order) in stack(BOUNDED),
        points in proptest::collection::vec(proptest::collection::vec(-1.0..=1.0_f64, 7), 20),
    ) {
        let model = model_of(&stack.document(&order, 1));
        let gap = &model.gaps[0];
        let worst = worst_case(&gap.start, gap, &model.columns);
        let holds = |y: f64| y >= worst.low_mm - ROUNDING_MM && y <= worst.high_mm + ROUNDING_MM;
        for point in &points {
            prop_assert!(holds(sample(&stack, &point[..6], point[6])));
        }
        // Every corner, and the ends are attained at one of them.
        let count = stack.dimensions.len();
        let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in 0..1_u32 << (count + 1) {
            let share = |bit: usize| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
            let shares: Vec<f64> = (0..count).map(share).collect();
            let y = sample(&stack, &shares, share(count));
            prop_assert!(holds(y));
            (least, greatest) = (least.min(y), greatest.max(y));
        }
        prop_assert!((least - worst.low_mm).abs() <= ROUNDING_MM, "{least} {}", worst.low_mm);
        prop_assert!((greatest - worst.high_mm).abs() <= ROUNDING_MM, "{greatest} {}", worst.high_mm);
        // And the exact distribution gives nothing beyond them.
        let exact = exact_of(&gap.start, &model.columns).unwrap();
        prop_assert!(exact.below(worst.low_mm - 1e-9).value == 0.0 && exact.above(worst.high_mm + 1e-9).value == 0.0);
    }

    #[test]
    fn exact_moments_are_those_of_the_linear_map((stack, order) in stack(ALL)) {
        let model = model_of(&stack.document(&order, 1));
        let forms = [model.gaps[0].start.clone()];
        let exact = exact_of(&forms[0], &model.columns).unwrap();
        let (mean, variance) = (model.means(&forms)[0], model.covariance(&forms).unwrap()[(0, 0)]);
        prop_assert!((exact.mean_mm() - mean).abs() <= ROUNDING_MM);
        // Relative: variances are sums of positive terms.
        prop_assert!((exact.sd_mm().powi(2) - variance).abs() <= 1e-12 * variance, "{} {variance}", exact.sd_mm().powi(2));
        let by_hand = moments(&stack);
        prop_assert!((mean - by_hand.0).abs() <= ROUNDING_MM);
        // Half-ranges of 0.001 mm between limits of 60 mm are known to 1e-11.
        prop_assert!((variance - by_hand.1).abs() <= 1e-10 * by_hand.1, "{variance} {}", by_hand.1);
        let rough = gap_of(&stack.document(&order, 1)).root_sum_square.unwrap();
        prop_assert!((rough.sd_mm - exact.sd_mm()).abs() <= 1e-12 * rough.sd_mm);
    }

    #[test]
    fn the_order_of_the_dimensions_changes_nothing((stack, order) in stack(ALL)) {
        let (one, other) = (gap_of(&stack.document(&stack.order(), 1)), gap_of(&stack.document(&order, 1)));
        // Relative to the scale of the lengths, 360 mm at most.
        prop_assert!((one.exact.mean_mm - other.exact.mean_mm).abs() <= ROUNDING_MM);
        prop_assert!((one.worst_case.low_mm - other.worst_case.low_mm).abs() <= ROUNDING_MM);
        prop_assert!((one.worst_case.high_mm - other.worst_case.high_mm).abs() <= ROUNDING_MM);
        prop_assert!((one.exact.sd_mm - other.exact.sd_mm).abs() <= 1e-12 * one.exact.sd_mm);
        let (a, b) = (one.exact.chances.unwrap(), other.exact.chances.unwrap());
        // The rounding of the mean over the spread is a probability too: 2e-13/5e-4, at a density of 0.5 at most.
        let allowed = 1e-12 + ROUNDING_MM / one.exact.sd_mm.max(1e-3);
        prop_assert!((a.below - b.below).abs() <= allowed, "{a:?} {b:?}");
        prop_assert!((a.above - b.above).abs() <= allowed, "{a:?} {b:?}");
        prop_assert_eq!(one.verdict, other.verdict);
    }

    #[test]
    fn lengths_ten_times_as_large_give_answers_ten_times_as_large((stack, order) in stack(ALL), factor in 2_i64..=10) {
        let (one, other) = (gap_of(&stack.document(&order, 1)), gap_of(&stack.document(&order, factor)));
        let scale = factor as f64;
        let length = |one: f64, other: f64| (scale * one - other).abs() <= scale * ROUNDING_MM;
        prop_assert!(length(one.exact.mean_mm, other.exact.mean_mm));
        prop_assert!(length(one.worst_case.low_mm, other.worst_case.low_mm));
        prop_assert!(length(one.worst_case.high_mm, other.worst_case.high_mm));
        prop_assert!(length(one.exact.sd_mm, other.exact.sd_mm));
        for ((coverage, low, high), (_, other_low, other_high)) in one.exact.intervals.iter().zip(&other.exact.intervals) {
            // Quantiles stand where a probability good to 1e-12 says.
            let near = |a: f64, b: f64| (scale * a - b).abs() <= scale * (ROUNDING_MM + 1e-8 * one.exact.sd_mm);
            prop_assert!(near(*low, *other_low) && near(*high, *other_high), "{coverage}");
        }
        let (a, b) = (one.exact.chances.unwrap(), other.exact.chances.unwrap());
        let allowed = 2e-12 + ROUNDING_MM / one.exact.sd_mm.max(1e-3);
        prop_assert!((a.below - b.below).abs() <= allowed && (a.above - b.above).abs() <= allowed, "{a:?} {b:?}");
        prop_assert_eq!(one.verdict, other.verdict);
    }

    #[test]
    fn a_shared_zero_cancels_in_a_difference_and_doubles_in_a_sum(
        first in 10_000_i64..90_000,
        second in 10_000_i64..90_000,
        zero in 1_i64..50,
        limit in 0_i64..50,
    ) {
        let um = |um: i64| um as f64 / 1000.0;
        let of = |sign: char| model_of(&format!(
            "
instruments: {{ gauge: {{ zero_error: {}, limit_of_error: {} }} }}
dimensions:
  first: {{ readings: [{}], instrument: gauge }}
  second: {{ readings: [{}], instrument: gauge }}
gaps: {{ y: {{ chain: first {sign} second }} }}
",
            um(zero), um(limit), um(first), um(second)
        ));
        // Each reading has its own limit of error; the zero is one variable with a coefficient of 0 or 2.
        let own = 2.0 * um(limit).powi(2) / 3.0;
        let sum = (own + (2.0 * um(zero)).powi(2) / 3.0).sqrt();
        prop_assert!((sd_of_first(&of('+')) - sum).abs() <= 1e-12 * sum);
        prop_assert!((sd_of_first(&of('-')) - own.sqrt()).abs() <= 1e-12 * own.sqrt());
        let difference = of('-');
        prop_assert!(difference.gaps[0].start.terms().len() == 2);
        let sum = of('+');
        let worst = worst_case(&sum.gaps[0].start, &sum.gaps[0], &sum.columns);
        let half = 2.0 * um(limit) + 2.0 * um(zero);
        prop_assert!(((worst.high_mm - worst.low_mm) / 2.0 - half).abs() <= ROUNDING_MM);
    }
}
