//! Monte Carlo against the exact distribution, and its figures against themselves.
//!
//! Counts are judged by the exact binomial tail (two-sided, 1e-9 at least), means and standard deviations by their
//! standard errors. The seed is fixed, so a test that passes once goes on passing; with a new seed the whole file would
//! raise a false alarm less than once in thirty million times (see tests/README.md).

use shimwright_engine::analyse::monte_carlo::{MonteCarlo, MonteCarloOptions};
use shimwright_engine::analyse::{GapFigures, GapOptions, report};
use shimwright_tests::binomial::likely;
use shimwright_tests::{close, model_of, shouldered_screw};

/// P(|Z| > 6.2) = 5.6e-10.
const STANDARD_ERRORS: f64 = 6.2;

fn screw(distribution: &str) -> String {
    shouldered_screw(distribution, "[0.003 in, 0.009 in]")
}

const DOMINANT: &str = "
dimensions:
  x1: { limits: [-1.7320508, 1.7320508], distribution: rectangular }
  x2: { limits: [-1.7320508, 1.7320508], distribution: rectangular }
  x3: { limits: [-1.7320508, 1.7320508], distribution: rectangular }
  x4: { limits: [-17.320508, 17.320508], distribution: rectangular }
gaps: { y: { chain: x1 + x2 + x3 + x4, accept: [-17, 19.5] } }
";

const FAR: &str = "
dimensions:
  envelope: { size: 4.976, tolerance: 0.003 }
  first: { size: 1.240, tolerance: 0.003 }
  second: { size: 1.240, tolerance: 0.003 }
  third: { size: 1.240, tolerance: 0.003 }
  fourth: { size: 1.240, tolerance: 0.003 }
gaps: { room: { chain: envelope - first - second - third - fourth, accept: [0, 0.026] } }
";

/// Readings with three degrees of freedom, a zero that three of them share, a coefficient, shims, ends in doubt.
const MEASURED: &str = "
instruments:
  depth gauge: { limit_of_error: 0.02, zero_error: 0.015 }
dimensions:
  pocket: { readings: [41.30, 41.31, 41.29, 41.32], instrument: depth gauge }
  spigot: { readings: [38.12], instrument: depth gauge }
  lug: { readings: [4.20], instrument: depth gauge }
  gasket: { limits: [0.45, 0.55], distribution: triangular }
  cover: { size: 1.10, tolerance: [0, 0.04] }
gaps:
  float: { chain: pocket - spigot + 80 % of gasket - 0.5 * cover - shims, accept: [0.15, 0.25] }
  drawn: { chain: float + 1.88, target: lug / 2, accept: [lug / 2 - 0.06, lug / 2 + 0.06] }
packs:
  shims: { kit: box, fitted: [1.00, 1.00, 0.80] }
kits:
  box: { sizes: [0.80, 1.00], tolerance: 0.02 }
";

fn drawn(text: &str, monte_carlo: MonteCarloOptions) -> (Vec<GapFigures>, Option<f64>) {
    let options = GapOptions { monte_carlo: Some(monte_carlo), ..GapOptions::default() };
    let report = report(&model_of(text), &options).unwrap();
    (report.gaps, report.joint_within.map(|joint| joint.within))
}

fn monte_carlo(text: &str, options: MonteCarloOptions) -> Vec<MonteCarlo> {
    drawn(text, options).0.into_iter().map(|gap| gap.monte_carlo.unwrap()).collect()
}

#[test]
fn a_million_samples_agree_with_the_exact_distribution() {
    let samples = 1_000_000;
    let stacks =
        [&screw("normal"), &screw("rectangular"), &screw("triangular"), DOMINANT, FAR, MEASURED].map(ToOwned::to_owned);
    let mut compared = 0;
    for text in stacks {
        let (gaps, _) = drawn(&text, MonteCarloOptions { samples, ..MonteCarloOptions::default() });
        for gap in gaps {
            let drawn = gap.monte_carlo.unwrap();
            let (shares, exact) = (drawn.shares.unwrap(), gap.exact.chances.unwrap());
            assert_eq!(drawn.samples, samples);
            assert_eq!(shares.below.count + shares.within.count + shares.above.count, samples);
            for (share, p) in [(shares.below, exact.below), (shares.within, exact.within), (shares.above, exact.above)]
            {
                likely(share.count, samples, p);
                assert_eq!(share.value, share.count as f64 / samples as f64);
                compared += 1;
            }
            close(drawn.mean_mm, gap.exact.mean_mm, STANDARD_ERRORS * drawn.mean_error_mm);
            // Without a fourth moment one far sample may make the drawn standard deviation anything.
            if let Some(error) = drawn.sd_error_mm {
                close(drawn.mean_error_mm, gap.exact.sd_mm / 1000.0, STANDARD_ERRORS * error / 1000.0);
                close(drawn.sd_mm, gap.exact.sd_mm, STANDARD_ERRORS * error);
            }
        }
    }
    assert_eq!(compared, 21);
    // A Student t with three degrees of freedom has no fourth moment, so its standard deviation has no standard error.
    assert!(
        monte_carlo(MEASURED, MonteCarloOptions { samples: 10, ..MonteCarloOptions::default() })[0]
            .sd_error_mm
            .is_none()
    );
}

#[test]
fn gaps_that_share_dimensions_are_in_band_together_more_often_than_by_chance() {
    let options = MonteCarloOptions { samples: 200_000, ..MonteCarloOptions::default() };
    let (gaps, joint) = drawn(MEASURED, options);
    let alone: Vec<f64> = gaps.iter().map(|gap| gap.exact.chances.unwrap().within).collect();
    let joint = joint.unwrap();
    assert!(joint > alone[0] * alone[1] + 0.01, "{joint} of {alone:?}");
    assert!(joint <= alone[0].min(alone[1]) + 0.01, "{joint} of {alone:?}");
}

#[test]
fn a_wrong_distribution_would_be_found() {
    // The test above can fail: the shares of one law are nowhere near those of another.
    let options = MonteCarloOptions { samples: 100_000, ..MonteCarloOptions::default() };
    let (gaps, _) = drawn(&screw("triangular"), options);
    let below = gaps[0].monte_carlo.as_ref().unwrap().shares.unwrap().below.count;
    let (others, _) = drawn(&screw("normal"), options);
    let other = others[0].exact.chances.unwrap().below;
    assert!(shimwright_tests::binomial::two_sided_tail(below, 100_000, other) < 1e-9);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    // Seven whole blocks and a part of one.
    let options = MonteCarloOptions { samples: 30_001, ..MonteCarloOptions::default() };
    let threads = |threads| MonteCarloOptions { threads: Some(threads), ..options };
    let one = monte_carlo(MEASURED, threads(1));
    // Equality of doubles: bit for bit, for none of them is zero or not a number.
    assert_eq!(one, monte_carlo(MEASURED, threads(2)));
    assert_eq!(one, monte_carlo(MEASURED, threads(3)));
    assert_eq!(one, monte_carlo(MEASURED, options));
    assert_ne!(one, monte_carlo(MEASURED, MonteCarloOptions { seed: 2, ..options }));
}

#[test]
fn the_figures_of_a_seed_stay_the_same() {
    // What this version draws with seed 1; another order of drawing or another generator shows here, and is then said
    // in the changelog.
    let found = &monte_carlo(MEASURED, MonteCarloOptions { samples: 100_000, ..MonteCarloOptions::default() })[0];
    let shares = found.shares.unwrap();
    assert_eq!((shares.below.count, shares.within.count, shares.above.count), (3491, 69_150, 27_359));
    close(found.mean_mm, 0.225_094_305_835_495_78, 1e-12);
    close(found.sd_mm, 0.043_321_729_061_485_14, 1e-12);
}
