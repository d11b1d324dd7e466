//! What a document says of how production spreads: the mean, the standard deviation and the limits that each form gives.
//!
//! Source: the closed moments of each law (JCGM 101:2008, 6.4, where it has it), worked by hand beside each case; the
//! truncated normal's by mpmath (`data/laws`).

use shimwright_tests::{close, gap_of};

/// The figures of a gap that is one dimension.
fn figures(dimension: &str) -> shimwright_engine::analyse::GapFigures {
    gap_of(&format!("dimensions: {{ part: {dimension} }}\ngaps: {{ space: {{ chain: part }} }}"))
}

/// Mean and standard deviation, which the exact method and root sum square must share.
#[track_caller]
fn spreads(dimension: &str, mean: f64, variance: f64) {
    let gap = figures(dimension);
    let plain = gap.root_sum_square.expect("every law here has a variance");
    for (found, expected) in [
        (gap.exact.mean_mm, mean),
        (gap.exact.sd_mm, variance.sqrt()),
        (plain.mean_mm, mean),
        (plain.sd_mm, variance.sqrt()),
    ] {
        // Limits typed with two decimals, some from a size and a tolerance: a few roundings of the size.
        close(found, expected, 1e-14);
    }
}

#[test]
fn each_distribution_has_its_moments() {
    spreads("{ limits: [4.97, 5.03], distribution: rectangular }", 5.0, 0.06 * 0.06 / 12.0);
    spreads("{ size: 5, tolerance: 0.03, distribution: triangular }", 5.0, 0.06 * 0.06 / 24.0);
    spreads("{ size: 5, tolerance: 0.03, distribution: arcsine }", 5.0, 0.06 * 0.06 / 8.0);
    // (a + b + c)/3; (a² + b² + c² − ab − ac − bc)/18 of 0, 4 and 9 hundredths.
    spreads(
        "{ limits: [2.96, 3.05], distribution: { triangular: { mode: 3.00 } } }",
        3.0 + 0.01 / 3.0,
        (16.0 + 81.0 - 36.0) * 1e-4 / 18.0,
    );
    // (b − a)²(1 + β²)/24, β = ½.
    spreads(
        "{ limits: [5.96, 6.04], distribution: { trapezoidal: { top: [5.98, 6.02] } } }",
        6.0,
        0.08 * 0.08 * 1.25 / 24.0,
    );
    // a/(a + b); ab/((a + b)²(a + b + 1)), times the width.
    spreads(
        "{ limits: [3.95, 4.05], distribution: { beta: { a: 2, b: 3.5 } } }",
        3.95 + 0.1 * 2.0 / 5.5,
        0.01 * 7.0 / (5.5 * 5.5 * 6.5),
    );
    spreads(
        "{ limits: [1.47, 1.54], distribution: { truncated normal: { mean: 1.50, sd: 0.015 } } }",
        1.500_656_371_395_432_1,
        1.925_855_077_357_309_2e-4,
    );
    // scale² ν/(ν − 2).
    spreads("{ distribution: { student t: { mean: 1.0, scale: 0.006, freedom: 5 } } }", 1.0, 36e-6 * 5.0 / 3.0);
}

#[test]
fn the_keys_of_the_normal_distribution_set_its_standard_deviation() {
    let sd = |tolerance: f64, level: f64| (tolerance / level).powi(2);
    spreads("{ size: 5, tolerance: 0.03 }", 5.0, sd(0.03, 3.0));
    spreads("{ size: 5, tolerance: 0.03, sigma_level: 4 }", 5.0, sd(0.03, 4.0));
    spreads("{ size: 5, tolerance: 0.03, cpk: 1.25 }", 5.0, sd(0.03, 3.75));
    spreads("{ size: 5, tolerance: 0.03, shift: -0.01 }", 4.99, sd(0.03, 3.0));
    spreads("{ size: 5, tolerance: 0.03, shift: 0.01, sigma_level: 4.5 }", 5.01, sd(0.03, 4.5));
    // Cpk is the distance to the nearer limit over 3 sd: 0.02/(3 × 1.25).
    spreads("{ size: 5, tolerance: 0.03, shift: 0.01, cpk: 1.25 }", 5.01, sd(0.02, 3.75));
    // Deviations that are not even: the middle is 4.985.
    spreads("{ size: 5, tolerance: [-0.05, 0.02], shift: 0.005 }", 4.99, sd(0.035, 3.0));
}

#[test]
fn the_cpk_asked_for_is_the_cpk_shown() {
    let gap = gap_of(
        "dimensions: { part: { size: 5, tolerance: 0.03, shift: 0.01, cpk: 1.25 } }\n\
         gaps: { space: { chain: part, accept: [4.97, 5.03] } }",
    );
    let capability = gap.exact.capability.expect("nothing was measured");
    close(capability.cpk.expect("production has one"), 1.25, 1e-12);
    close(capability.cp.expect("a band with two ends"), 1.25 * 1.5, 1e-12);
}

#[test]
fn worst_case_and_nominal_are_by_the_limits_and_not_by_the_mean() {
    for distribution in
        ["{ triangular: { mode: 2.97 } }", "{ beta: { a: 1, b: 6 } }", "{ truncated normal: { mean: 2.90, sd: 0.03 } }"]
    {
        let gap = figures(&format!("{{ limits: [2.96, 3.06], distribution: {distribution} }}"));
        close(gap.nominal_mm, 3.01, 1e-15);
        assert_eq!((gap.worst_case.low_mm, gap.worst_case.high_mm), (2.96, 3.06));
        assert!(gap.exact.mean_mm < 3.0, "{distribution}");
        // The interval leaves as much on each side, and is not centred.
        let (_, low, high) = gap.exact.intervals[0];
        assert!(low > 2.96 && high < 3.06 && gap.exact.mean_mm - low < high - gap.exact.mean_mm, "{distribution}");
    }
    // 99.73 % of a t of five degrees: 5.507 scales (JCGM 100:2008, Table G.2).
    let gap = figures("{ distribution: { student t: { mean: 1.0, scale: 0.006, freedom: 5 } } }");
    close(gap.worst_case.high_mm, 1.0 + 5.507 * 0.006, 0.000_5 * 0.006);
    close(gap.worst_case.low_mm, 1.0 - 5.507 * 0.006, 0.000_5 * 0.006);
}

#[test]
fn a_figure_on_a_limit_is_the_limit_in_any_unit() {
    // 2.97 + 0.03 and 0.1 in are not 3.00 and 2.54 in binary.
    let gap = figures("{ size: 2.97, tolerance: 0.03, distribution: { triangular: { mode: 3.00 } } }");
    close(gap.exact.mean_mm, (2.94 + 3.0 + 3.0) / 3.0, 1e-14);
    let gap = figures("{ limits: [2.50, 2.54], distribution: { trapezoidal: { top: [2.50, 0.1 in] } } }");
    close(gap.exact.sd_mm, 0.04 / 12.0f64.sqrt(), 1e-14);
}
