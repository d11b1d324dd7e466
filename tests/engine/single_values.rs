//! Documents with discrete and observed laws and mixtures, by every method.

use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::analyse::{Confidence, GapFigures, GapOptions, NoFactor, Verdict};
use shimwright_tests::binomial::likely;
use shimwright_tests::{close, gap_of, gap_with};

/// Two washers of three sizes each in a groove, the band from one end of what can come to the other.
fn washers(accept: &str) -> String {
    format!(
        "
dimensions:
  groove: 1.30
  first: {{ distribution: {{ discrete: {{ 0.45: 30, 0.50: 50, 0.55: 20 }} }} }}
  second: {{ distribution: {{ discrete: {{ 0.45: 3, 0.50: 5, 0.55: 2 }} }} }}
gaps: {{ float: {{ chain: groove - first - second, accept: {accept} }} }}
"
    )
}

fn drawn(text: &str) -> GapFigures {
    let monte_carlo = Some(MonteCarloOptions { samples: 100_000, ..MonteCarloOptions::default() });
    gap_with(text, &GapOptions { monte_carlo, ..GapOptions::default() })
}

#[test]
fn a_value_on_the_edge_of_the_band_is_in() {
    // Floats: 0.40 (0.09), 0.35 (0.30), 0.30 (0.37), 0.25 (0.20), 0.20 (0.04). Sums of doubles miss each by a little.
    for (accept, below, within, above) in [
        ("[0.20, 0.40]", 0.0, 1.0, 0.0),
        ("[0.25, 0.35]", 0.04, 0.87, 0.09),
        ("[0.30, 0.30]", 0.24, 0.37, 0.39),
        ("[0.200001, 0.399999]", 0.04, 0.87, 0.09),
        ("at least 0.35", 0.61, 0.39, 0.0),
    ] {
        let gap = drawn(&washers(accept));
        let chances = gap.exact.chances.expect("a band");
        for (found, by_hand) in [(chances.below, below), (chances.within, within), (chances.above, above)] {
            close(found, by_hand, 1e-15);
        }
        assert!(chances.error_bound < 1e-14);
        let shares = gap.monte_carlo.expect("it was drawn").shares.expect("a band");
        for (share, p) in [(shares.below, below), (shares.within, within), (shares.above, above)] {
            likely(share.count, 100_000, p);
        }
        assert!(within < 1.0 || shares.within.count == 100_000, "a drawn value on the edge is in too");
    }
    assert_eq!(gap_of(&washers("[0.20, 0.40]")).verdict, Some(Verdict::In));
}

#[test]
fn the_limits_of_single_values_are_the_outermost_ones() {
    let gap = gap_of(&washers("[0.20, 0.40]"));
    close(gap.worst_case.low_mm, 0.20, 1e-15);
    close(gap.worst_case.high_mm, 0.40, 1e-15);
    assert_eq!(gap.worst_case.fits, Some(true));
    // Mean 0.495 and variance 0.001225 each, by hand.
    let square = gap.root_sum_square.expect("every law has a variance");
    close(square.mean_mm, 1.30 - 2.0 * 0.495, 1e-15);
    close(square.sd_mm, (2.0 * 0.001_225f64).sqrt(), 1e-16);
    close(gap.nominal_mm, 0.31, 1e-15);
    for one in &gap.contributions {
        close(one.variance_share, 0.5, 1e-14);
        close(one.worst_case_share, 0.5, 1e-14);
    }
    let (coverage, low, high) = gap.exact.intervals[0];
    assert!(coverage == 0.95 && (low - 0.20).abs() < 1e-15 && (high - 0.40).abs() < 1e-15, "{low} {high}");
}

#[test]
fn a_mixture_has_the_stated_limits_of_all_its_cases() {
    let gap = gap_of(
        "
dimensions:
  case:
    distribution:
      mixture:
        - { weight: 0.7, size: 52.40, tolerance: 0.05 }
        - { weight: 0.2, size: 52.15, tolerance: [-0.05, 0.03], distribution: rectangular }
        - { weight: 0.1, limits: [51.90, 51.90] }
  gear: 52.00
gaps: { float: { chain: case - gear, accept: [-0.10, 0.45] } }
",
    );
    close(gap.worst_case.low_mm, -0.10, 1e-13);
    close(gap.worst_case.high_mm, 0.45, 1e-13);
    // The mean: 0.7·52.40 + 0.2·52.14 + 0.1·51.90 = 52.298.
    close(gap.exact.mean_mm, 0.298, 1e-13);
    // The variances: (0.05/3)² and 0.04²/3, each with the square of its mean's distance.
    let variance = 0.7 * ((0.05f64 / 3.0).powi(2) + 0.102f64.powi(2))
        + 0.2 * (0.04f64.powi(2) / 3.0 + 0.158f64.powi(2))
        + 0.1 * 0.398f64.powi(2);
    close(gap.exact.sd_mm, variance.sqrt(), 1e-13);
    // All is in but the tail of the first case above 52.45, at three standard deviations; 51.90 is on the edge.
    let out = 0.7 * 0.001_349_898_031_630_094_6;
    close(gap.exact.chances.expect("a band").above, out, 1e-14);
    assert!(gap.exact.chances.expect("a band").below < 1e-100);
}

#[test]
fn what_was_observed_is_the_share_of_its_values() {
    let gap = drawn(
        "
unit: in
dimensions:
  gear: { distribution: { observed: [1.6532, 1.6535, 1.6530, 1.6535, 42.00 mm] } }
  bore: 1.6600
gaps: { float: { chain: bore - gear, accept: [0.0065, 0.0068] } }
",
    );
    // Floats in ten-thousandths: 68, 65, 70, 65, and 64.57 for the one in millimetres; two on the lower edge.
    let chances = gap.exact.chances.expect("a band");
    for (found, by_hand) in [(chances.below, 0.2), (chances.within, 0.6), (chances.above, 0.2)] {
        close(found, by_hand, 1e-15);
    }
    likely(gap.monte_carlo.expect("it was drawn").shares.expect("a band").within.count, 100_000, 0.6);
}

#[test]
fn readings_go_before_what_was_observed() {
    let text = |readings: &str| {
        format!(
            "
dimensions:
  gear: {{ distribution: {{ observed: [29.98, 30.01, 30.02] }}{readings} }}
  bore: 30.10
gaps: {{ float: {{ chain: bore - gear, accept: [0, 0.2] }} }}
"
        )
    };
    let by_history = gap_of(&text(""));
    close(by_history.exact.mean_mm, 0.10 - 0.01 / 3.0, 1e-14);
    assert!(!by_history.measured);
    let as_read = gap_of(&text(", readings: [30.05], instrument: micrometer"));
    close(as_read.exact.mean_mm, 0.05, 1e-14);
    assert!(as_read.measured);
}

#[test]
fn a_tolerance_to_ask_for_leaves_values_and_cases_as_they_are() {
    let ask = |text: &str| {
        let options = GapOptions { tolerances_for: Confidence::new(0.9), ..GapOptions::default() };
        gap_with(text, &options).tolerances.expect("it was asked for")
    };
    assert_eq!(ask(&washers("[0.20, 0.40]")).factor, Err(NoFactor::NoTolerance));
    // A washer of two sizes, 0.1 apart, beside a rectangle of half-width 0.02f: each is 0.05 from one end of the band.
    let asked = ask("
dimensions:
  washer: { distribution: { discrete: { 0.45: 1, 0.55: 1 } } }
  groove: { limits: [0.98, 1.02], distribution: rectangular }
gaps: { float: { chain: groove - washer, accept: [0.40, 0.60] } }
");
    // P(out) = ½(1 − 0.05/h) for h = 0.02f, and 0.1 is allowed, so h = 0.05/0.8.
    close(asked.factor.expect("there is one"), 0.05 / 0.8 / 0.02, 1e-8);
    assert_eq!(asked.tighten.iter().map(|one| one.dimension.as_str()).collect::<Vec<_>>(), ["groove"]);
}
