//! What holds for the exact distribution of any sum, on sums drawn at random.

use proptest::prelude::*;
use shimwright_engine::analyse::exact::{Exact, ExactOptions, Probability, Term};
use shimwright_tests::strategies::{a_deviate, some_terms};

fn exact(terms: &[Term], options: ExactOptions) -> Exact {
    Exact::new(0.25, terms, options).expect("every term has a variance")
}

/// Few enough terms for a quick test; the bound tells where they do not suffice.
fn quick() -> ExactOptions {
    ExactOptions { most_terms: 1 << 14, ..ExactOptions::default() }
}

fn same(one: Probability, other: Probability, allowed: f64) -> bool {
    (one.value - other.value).abs() <= one.error_bound + other.error_bound + allowed
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_tails_sum_to_one(terms in some_terms(), deviate in a_deviate()) {
        let sum = exact(&terms, quick());
        let x = sum.mean_mm() + deviate * sum.sd_mm();
        let (below, above) = (sum.below(x), sum.above(x));
        prop_assert!(same(below, above.complement(), 0.0), "{below:?} {above:?}");
        prop_assert!((0.0..=1.0).contains(&below.value) && below.error_bound >= 0.0);
    }

    #[test]
    fn the_distribution_never_falls(terms in some_terms(), deviate in a_deviate(), further in 0.0..3.0f64) {
        let sum = exact(&terms, quick());
        let x = sum.mean_mm() + deviate * sum.sd_mm();
        let (near, far) = (sum.below(x), sum.below(x + further * sum.sd_mm()));
        prop_assert!(far.value >= near.value - near.error_bound - far.error_bound, "{near:?} {far:?}");
    }

    #[test]
    fn a_finer_answer_keeps_within_the_bound(terms in some_terms(), deviate in a_deviate(), decades in 2.0..11.0f64) {
        let coarse = exact(&terms, ExactOptions { tolerance: 10.0f64.powf(-decades), ..quick() });
        let fine = exact(&terms, ExactOptions { tolerance: 1e-13, ..quick() });
        let x = fine.mean_mm() + deviate * fine.sd_mm();
        prop_assert!(same(coarse.below(x), fine.below(x), 0.0), "{:?} {:?}", coarse.below(x), fine.below(x));
        prop_assert!(same(coarse.above(x), fine.above(x), 0.0), "{:?} {:?}", coarse.above(x), fine.above(x));
    }

    #[test]
    fn the_order_of_the_terms_changes_nothing(terms in some_terms(), deviate in a_deviate()) {
        let mut turned = terms.clone();
        turned.reverse();
        let (one, other) = (exact(&terms, quick()), exact(&turned, quick()));
        let x = one.mean_mm() + deviate * one.sd_mm();
        prop_assert!((one.below(x).value - other.below(x).value).abs() < 1e-12);
    }

    #[test]
    fn the_unit_changes_nothing(terms in some_terms(), deviate in a_deviate(), factor in 1e-3..1e3f64) {
        let scaled: Vec<Term> = terms
            .iter()
            .map(|term| Term { coefficient: factor * term.coefficient, law: term.law.clone() })
            .collect();
        let one = exact(&terms, quick());
        let other = Exact::new(0.25 * factor, &scaled, quick()).expect("every term has a variance");
        let x = one.mean_mm() + deviate * one.sd_mm();
        // The factor rounds every product, here of sizes up to 300 and spreads from 1e-4 up: 1e-9 of a deviate.
        prop_assert!(same(one.below(x), other.below(x * factor), 1e-9), "{:?} {:?}", one.below(x), other.below(x * factor));
        prop_assert!((one.sd_mm() * factor / other.sd_mm() - 1.0).abs() < 1e-13);
    }

    #[test]
    fn the_mirror_image_swaps_the_tails(terms in some_terms(), deviate in a_deviate()) {
        let mirrored: Vec<Term> = terms
            .iter()
            .map(|term| Term { coefficient: -term.coefficient, law: term.law.clone() })
            .collect();
        let one = exact(&terms, quick());
        let other = Exact::new(-0.25, &mirrored, quick()).expect("every term has a variance");
        let x = one.mean_mm() + deviate * one.sd_mm();
        prop_assert!((one.below(x).value - other.above(-x).value).abs() < 1e-12);
    }

    #[test]
    fn a_quantile_comes_back(terms in some_terms(), p in 1e-6..1.0f64) {
        let sum = exact(&terms, quick());
        let x = sum.quantile(p).expect("p is inside (0, 1)");
        let back = sum.below(x);
        let rounding = 4.0 * f64::EPSILON * sum.density(x) * x.abs().max(sum.sd_mm());
        prop_assert!((back.value - p).abs() <= 2.0 * back.error_bound + rounding + 1e-14, "{p} {back:?}");
        let (low, high) = sum.interval(0.9).expect("a coverage inside (0, 1)");
        prop_assert!(low < high);
    }
}
