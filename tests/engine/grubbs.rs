//! Grubbs' test: its critical values, by an independent t distribution and as they are tabulated.

use shimwright_engine::number::grubbs::{SIGNIFICANCE, critical};
use shimwright_tests::close;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Upper 1 % points of Grubbs' test for one outlying value, two-sided. Source: ISO 5725-2, the table of critical values
/// for Grubbs' test, from memory.
const TABULATED: [(usize, f64); 3] = [(4, 1.496), (5, 1.764), (10, 2.482)];

#[test]
fn the_critical_values_are_the_tabulated_ones() {
    for (n, value) in TABULATED {
        // Three decimals are printed.
        close(critical(n).unwrap(), value, 0.0005);
    }
}

#[test]
fn the_critical_values_follow_from_another_t_distribution() {
    for n in [3_usize, 4, 5, 7, 10, 20, 50, 100, 1000] {
        let count = n as f64;
        let t = StudentsT::new(0.0, 1.0, count - 2.0).unwrap();
        let t = t.inverse_cdf(1.0 - SIGNIFICANCE / (2.0 * count));
        let formula = (count - 1.0) / count.sqrt() * (t * t / (count - 2.0 + t * t)).sqrt();
        // The other quantile is found by bisection, good to about nine digits.
        close(critical(n).unwrap(), formula, 1e-6);
    }
    assert_eq!(critical(2), None);
    // No reading of n can be farther from the mean than (n - 1)/sqrt(n) standard deviations.
    for n in 3..40 {
        assert!(critical(n).unwrap() < (n as f64 - 1.0) / (n as f64).sqrt());
    }
}
