//! How likely a count of hits is, by the exact binomial tails.

use statrs::distribution::{Binomial, DiscreteCDF};

/// The least two-sided tail probability that a count may have. With a new seed a right program fails one check in a
/// billion.
pub const LEAST_TAIL: f64 = 1e-9;

/// The two-sided tail probability of `hits` in `draws` of probability `p`: twice the smaller tail, each with the count
/// itself in it.
///
/// A rule of so many standard errors would raise false alarms where few hits are expected; this does not.
///
/// # Panics
/// If `p` is not a probability.
#[must_use]
pub fn two_sided_tail(hits: u64, draws: u64, p: f64) -> f64 {
    let law = Binomial::new(p, draws).expect("a probability and a number of draws");
    let at_most = law.cdf(hits);
    // sf is P(X > k).
    let at_least = if hits == 0 { 1.0 } else { law.sf(hits - 1) };
    (2.0 * at_most.min(at_least)).min(1.0)
}

/// Asserts that a count of hits is a likely one.
///
/// # Panics
/// If it is not.
#[track_caller]
pub fn likely(hits: u64, draws: u64, p: f64) {
    let tail = two_sided_tail(hits, draws, p);
    assert!(tail >= LEAST_TAIL, "{hits} of {draws} at probability {p}: two-sided tail {tail}");
}

#[cfg(test)]
mod tests {
    use super::two_sided_tail;

    #[test]
    fn small_cases_by_hand() {
        // Ten throws of a coin: no head 1/1024; at most one 11/1024.
        assert!((two_sided_tail(0, 10, 0.5) - 2.0 / 1024.0).abs() < 1e-15);
        assert!((two_sided_tail(9, 10, 0.5) - 22.0 / 1024.0).abs() < 1e-14);
        assert_eq!(two_sided_tail(5, 10, 0.5), 1.0);
        // One hit where 4.17e-7 were expected: 1 - exp(-4.17e-7), twice.
        assert!((two_sided_tail(1, 1_000_000, 4.17e-13) / 8.34e-7 - 1.0).abs() < 1e-6);
        assert_eq!(two_sided_tail(0, 1_000_000, 0.0), 1.0);
        assert!(two_sided_tail(1, 1_000_000, 0.0) < 1e-12);
    }

    #[test]
    fn seven_standard_errors_are_not_likely() {
        // 500,000 expected, standard error 500.
        assert!(two_sided_tail(503_500, 1_000_000, 0.5) < 1e-11);
        assert!(two_sided_tail(501_000, 1_000_000, 0.5) > 0.01);
    }
}
