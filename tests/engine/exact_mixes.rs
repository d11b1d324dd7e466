//! Sums of any laws drawn at random: the exact distribution against counts of samples, and its bound against the terms
//! that it was allowed.

use proptest::prelude::*;
use rand::SeedableRng;
use rand::rngs::Xoshiro256PlusPlus;
use shimwright_engine::analyse::exact::{Exact, ExactOptions, Probability, Term};
use shimwright_tests::binomial::{LEAST_TAIL, two_sided_tail};
use shimwright_tests::strategies::some_terms;

const SAMPLES: usize = 20_000;

fn exact(terms: &[Term], options: ExactOptions) -> Exact {
    Exact::new(0.0, terms, options).expect("every term has a variance")
}

/// Draws the sum by the samplers of the laws, which share nothing with the characteristic functions.
fn drawn(terms: &[Term], seed: u64) -> Vec<f64> {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let (mut sums, mut values) = (vec![0.0; SAMPLES], vec![0.0; SAMPLES]);
    for term in terms {
        term.law.fill(&mut rng, &mut values);
        sums.iter_mut().zip(&values).for_each(|(sum, value)| *sum += term.coefficient * value);
    }
    sums
}

/// The two-sided tail of a count, at the probability within the bound that suits it best.
fn chance(hits: usize, found: Probability) -> f64 {
    let share = hits as f64 / SAMPLES as f64;
    let p = share.clamp(found.value - found.error_bound, found.value + found.error_bound).clamp(0.0, 1.0);
    two_sided_tail(hits as u64, SAMPLES as u64, p)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn counts_of_samples_are_likely(terms in some_terms(), seed in 0..u64::MAX) {
        let sum = exact(&terms, ExactOptions { most_terms: 1 << 14, ..ExactOptions::default() });
        let sums = drawn(&terms, seed);
        // Six counts a case, each of which a right program fails once in a billion.
        for deviate in [-2.5, -1.0, 0.3] {
            let x = sum.mean_mm() + deviate * sum.sd_mm();
            let (below, above) = (sum.below(x), sum.above(x));
            let hits = sums.iter().filter(|&&one| one < x).count();
            prop_assert!(chance(hits, below) >= LEAST_TAIL, "{deviate}: {hits} below, {below:?}");
            prop_assert!(chance(SAMPLES - hits, above) >= LEAST_TAIL, "{deviate}: {} above, {above:?}", SAMPLES - hits);
        }
    }

    #[test]
    fn a_bound_above_a_billionth_is_for_want_of_terms(terms in some_terms(), deviate in -5.0..5.0f64) {
        let sum = exact(&terms, ExactOptions::default());
        let found = sum.below(sum.mean_mm() + deviate * sum.sd_mm());
        if found.error_bound > 1e-9 {
            // A sum that is stopped by the number of terms does worse with fewer.
            let most_terms = ExactOptions::default().most_terms / 8;
            let fewer = exact(&terms, ExactOptions { most_terms, ..ExactOptions::default() });
            let worse = fewer.below(sum.mean_mm() + deviate * sum.sd_mm());
            prop_assert!(worse.error_bound > 1.5 * found.error_bound, "{found:?} {worse:?}");
            prop_assert!((worse.value - found.value).abs() <= worse.error_bound + found.error_bound);
        }
    }
}
