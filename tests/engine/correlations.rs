//! Dimensions that go together: published cases, the copula against an outside table, and what must not change.

use shimwright_engine::analyse::monte_carlo::{MonteCarloOptions, draw};
use shimwright_engine::analyse::{
    Banded, ContributionKind, GapOptions, GapReport, JointError, JointSource, Source, Verdict, report,
};
use shimwright_engine::model::{Form, Model};
use shimwright_engine::number::bivariate_normal::rectangle;
use shimwright_engine::select::{PickOptions, pick};
use shimwright_tests::binomial::likely;
use shimwright_tests::{close, codes_of, gap_of, model_of};

const COPULA: &str = include_str!("../data/joint/copula.csv");
/// P(|Z| > 6.2) = 5.6e-10.
const STANDARD_ERRORS: f64 = 6.2;

fn with_samples(text: &str, samples: u64) -> GapReport {
    let monte_carlo = Some(MonteCarloOptions { samples, ..MonteCarloOptions::default() });
    report(&model_of(text), &GapOptions { monte_carlo, ..GapOptions::default() }).expect("it can be worked")
}

/// Two dimensions with these laws that go together by `factor`, their sum and their difference.
fn two(first: &str, second: &str, factor: &str) -> String {
    let law = |word: &str| if word == "normal" { String::new() } else { format!(", distribution: {word}") };
    format!(
        "
dimensions:
  a: {{ size: 20, tolerance: 0.30{} }}
  b: {{ size: 10, tolerance: 0.15{} }}
gaps:
  sum: {{ chain: a + b, accept: [29.8, 30.2] }}
  difference: {{ chain: a - b, accept: [9.85, 10.15] }}
correlations: [[b, a, {factor}]]
",
        law(first),
        law(second)
    )
}

#[test]
fn ten_resistors_of_one_standard() {
    // JCGM 100:2008, 5.2.2, example (from memory): ten resistors of 1000 Ω, each compared with one standard of u = 100 mΩ,
    // in series: u_c = 10 × 100 mΩ = 1 Ω, and not the 0.32 Ω of a sum of squares. Ohms as millimetres here.
    let mut text = String::from("dimensions:\n");
    let names: Vec<String> = (1..=10).map(|index| format!("r{index}")).collect();
    names.iter().for_each(|name| text.push_str(&format!("  {name}: {{ size: 1000, sd: 0.1 }}\n")));
    text.push_str(&format!("gaps: {{ series: {{ chain: {}, accept: [9998, 10001] }} }}\n", names.join(" + ")));
    let independent = gap_of(&text);
    text.push_str("correlations:\n");
    for (index, one) in names.iter().enumerate() {
        names[index + 1..].iter().for_each(|other| text.push_str(&format!("  - [{one}, {other}, 1]\n")));
    }
    let report = with_samples(&text, 200_000);
    let gap = &report.gaps[0];
    close(gap.exact.sd_mm, 1.0, 1e-14);
    close(gap.root_sum_square.unwrap().sd_mm, 1.0, 1e-14);
    close(independent.exact.sd_mm, 0.1 * 10.0_f64.sqrt(), 1e-14);
    assert_eq!(format!("{:.2}", independent.exact.sd_mm), "0.32");
    // The law is still normal: from −2 to +1 standard deviations.
    let chances = gap.exact.chances.unwrap();
    close(chances.within, 0.818_594_614_120_364, 1e-13);
    likely(gap.monte_carlo.as_ref().unwrap().shares.unwrap().within.count, 200_000, chances.within);
    assert_eq!(gap.source, Source::Exact);
}

#[test]
fn a_multivariate_normal_law_is_drawn_by_its_cholesky_factor() {
    // JCGM 101:2008, 6.4.8: the covariance of what is drawn is the one that was written.
    let text = two("normal", "normal", "-0.7");
    let report = with_samples(&text, 400_000);
    let (a, b, r) = (0.1_f64, 0.05_f64, -0.7_f64);
    for (gap, sign) in report.gaps.iter().zip([1.0, -1.0]) {
        let variance = a * a + b * b + sign * 2.0 * r * a * b;
        close(gap.exact.sd_mm, variance.sqrt(), 1e-15);
        let drawn = gap.monte_carlo.as_ref().unwrap();
        close(drawn.sd_mm, variance.sqrt(), STANDARD_ERRORS * drawn.sd_error_mm.unwrap());
        likely(drawn.shares.unwrap().within.count, 400_000, gap.exact.chances.unwrap().within);
    }
    // Cov(a + b, a − b) = σ_a² − σ_b².
    close(report.covariance_mm2.unwrap()[(0, 1)], a * a - b * b, 1e-16);
}

#[test]
fn the_correlation_of_the_normal_variables_is_solved() {
    let mut compared = 0;
    for row in COPULA.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let [first, second, normal, factor] = cells[..] else { panic!("{row}") };
        let model = model_of(&two(first, second, factor));
        let link = model.columns[0].links[0];
        assert_eq!((link.column, link.factor), (1, factor.parse().unwrap()));
        // The table ends at 1e-12; the kink of a triangle leaves 5e-12 at 0.97.
        close(link.normal, normal.parse().unwrap(), 1e-11);
        compared += 1;
    }
    assert_eq!(compared, 45);
}

#[test]
fn what_is_drawn_has_the_product_moment_correlation_that_was_written() {
    let pairs = [
        ("rectangular", "rectangular", 0.6),
        ("rectangular", "triangular", -0.8),
        ("normal", "rectangular", 0.9),
        ("triangular", "triangular", 1.0),
    ];
    for (first, second, factor) in pairs {
        let text = two(first, second, &factor.to_string());
        let report = with_samples(&text, 400_000);
        for gap in &report.gaps {
            let drawn = gap.monte_carlo.as_ref().unwrap();
            // The standard deviation of sum and difference is the linear map's, whatever the laws.
            close(drawn.sd_mm, gap.exact.sd_mm, STANDARD_ERRORS * drawn.sd_error_mm.unwrap());
            close(drawn.mean_mm, gap.exact.mean_mm, STANDARD_ERRORS * drawn.mean_error_mm);
            assert_eq!(gap.source, Source::MonteCarlo);
            assert!(gap.exact.intervals.is_empty());
            let (chances, shares) = (gap.exact.chances.unwrap(), drawn.shares.unwrap());
            assert_eq!((chances.within, chances.error_bound), (shares.within.value, shares.within.standard_error));
            assert!(gap.verdict.is_some());
        }
        let joint = report.joint_within.unwrap();
        assert!(joint.source == JointSource::MonteCarlo && matches!(joint.error, JointError::Standard(_)));
    }
    // Two equal laws that go together wholly: a − 2b is one length.
    let text = two("triangular", "triangular", "1").replace("chain: a - b, accept: [9.85, 10.15]", "chain: a - 2 * b");
    let apart = &with_samples(&text, 4096).gaps[1];
    close(apart.monte_carlo.as_ref().unwrap().sd_mm, 0.0, 1e-9);
    // √ of a rounding of 1e-18.
    close(apart.exact.sd_mm, 0.0, 1e-8);
}

#[test]
fn two_rectangles_by_hand() {
    // a − b for rectangles of half-widths 0.3 and 0.15 that go together wholly is a rectangle of 0.15.
    let report = with_samples(&two("rectangular", "rectangular", "1"), 400_000);
    let shares = report.gaps[1].monte_carlo.as_ref().unwrap().shares.unwrap();
    assert_eq!(shares.within.count, 400_000);
    let narrow = two("rectangular", "rectangular", "1").replace("[9.85, 10.15]", "[9.90, 10.02]");
    likely(
        with_samples(&narrow, 400_000).gaps[1].monte_carlo.as_ref().unwrap().shares.unwrap().within.count,
        400_000,
        0.4,
    );
    // And the sum one of 0.45.
    likely(report.gaps[0].monte_carlo.as_ref().unwrap().shares.unwrap().within.count, 400_000, 0.2 / 0.45);
}

#[test]
fn gaps_that_share_nothing_but_a_correlation_are_a_rectangle_of_it() {
    let text = "
dimensions:
  a: { size: 5, tolerance: 0.03 }
  b: { size: 7, tolerance: 0.06 }
gaps:
  one: { chain: a, accept: [4.99, 5.015] }
  two: { chain: b, accept: [6.97, 7.01] }
correlations: [[a, b, 0.8]]
";
    let report = with_samples(text, 400_000);
    let joint = report.joint_within.unwrap();
    assert_eq!(joint.source, JointSource::BivariateNormal);
    let by_hand = rectangle((-1.0, 1.5), (-1.5, 0.5), 0.8, 0.6);
    // Lengths of 7 mm are known to 1e-15 mm, a ten-billionth of a micrometre.
    close(joint.within, by_hand, 1e-12);
    let JointError::Bound(bound) = joint.error else { panic!("{joint:?}") };
    assert!(bound < 1e-12, "{bound}");
    let model = model_of(text);
    let forms: Vec<Form> = model.gaps.iter().map(|gap| gap.start.clone()).collect();
    let banded: Vec<Banded<'_>> = forms.iter().zip(&model.gaps).map(|(form, gap)| Banded::new(form, gap)).collect();
    let options = MonteCarloOptions { samples: 400_000, seed: 5, threads: None, digits: None };
    let drawn = draw(&banded, &[0, 1], &model.columns, options).unwrap();
    likely(drawn.joint_within.unwrap().count, 400_000, joint.within);
}

#[test]
fn worst_case_does_not_know_of_correlations() {
    let (with, without) = (gap_of(&two("normal", "normal", "0.9")), gap_of(&two("normal", "normal", "0")));
    assert_eq!(with.worst_case, without.worst_case);
    assert_ne!(with.exact.sd_mm, without.exact.sd_mm);
}

#[test]
fn the_covariance_part_stands_apart_and_the_shares_sum_to_one() {
    for (factor, gap) in [("0.5", 0), ("0.5", 1), ("-0.9", 0)] {
        let found = &with_samples(&two("normal", "rectangular", factor), 4096).gaps[gap];
        let shares: Vec<f64> = found.contributions.iter().map(|one| one.variance_share).collect();
        close(shares.iter().sum(), 1.0, 1e-14);
        let apart = found.contributions.last().unwrap();
        assert_eq!((apart.kind, apart.name.as_str()), (ContributionKind::Correlation, "a with b"));
        let sign = if gap == 0 { 1.0 } else { -1.0 };
        let r: f64 = factor.parse().unwrap();
        // σ_a = 0.1, σ_b = 0.15/√3.
        let covariance = sign * 2.0 * r * 0.1 * 0.15 / 3.0_f64.sqrt();
        close(apart.variance_share * found.exact.sd_mm.powi(2), covariance, 1e-15);
        close(apart.u_mm, covariance.abs().sqrt(), 1e-14);
        assert!(found.contributions[..2].iter().all(|one| one.kind == ContributionKind::Dimension));
    }
}

#[test]
fn what_touches_no_gap_changes_nothing_and_no_correlation_is_none() {
    let stack = "
dimensions:
  bore: { size: 40, tolerance: 0.03, distribution: rectangular }
  pin: { size: 39.9, tolerance: 0.02, distribution: triangular }
  other: { size: 12, tolerance: 0.1, distribution: rectangular }
  another: { size: 13, tolerance: 0.1 }
gaps:
  play: { chain: bore - pin, accept: [0.07, 0.12] }
";
    let plain = with_samples(stack, 50_000);
    for more in ["[[other, another, 0.9]]", "[[bore, other, 0.9]]", "[[bore, pin, 0]]", "[]"] {
        assert_eq!(with_samples(&format!("{stack}correlations: {more}\n"), 50_000), plain, "{more}");
    }
    assert_ne!(with_samples(&format!("{stack}correlations: [[bore, pin, 0.1]]\n"), 50_000), plain);
    // Tied by way of a third one that is in no gap: given nothing of it, the two are independent.
    let by_way = format!("{stack}correlations: [[bore, other, 0.5], [other, pin, 0.5]]\n");
    assert_eq!(with_samples(&by_way, 50_000), plain);
}

#[test]
fn what_is_exact_or_was_measured_gives_no_nonsense() {
    for b in ["10", "{ size: 10, sd: 0 }", "{ size: 10, tolerance: 0 }", "{ readings: [10.01, 10.02] }"] {
        let text = |more: &str| {
            format!(
                "dimensions:\n  a: {{ size: 20, tolerance: 0.3 }}\n  b: {b}\ngaps:\n  y: {{ chain: a - b, accept: [9, 11] }}\n{more}"
            )
        };
        let found = with_samples(&text("correlations: [[a, b, 0.99]]\n"), 10_000);
        assert_eq!(found, with_samples(&text(""), 10_000), "{b}");
        assert!(found.gaps[0].exact.sd_mm.is_finite() && found.gaps[0].exact.chances.unwrap().within.is_finite());
    }
}

#[test]
fn correlations_on_the_edge_can_be_and_beyond_it_cannot() {
    let three = |factor: f64| {
        format!(
            "
dimensions:
  a: {{ size: 5, tolerance: 0.03 }}
  b: {{ size: 7, tolerance: 0.06 }}
  c: {{ size: 9, tolerance: 0.06 }}
gaps: {{ y: {{ chain: a + b - c, accept: [2.9, 3.1] }} }}
correlations: [[a, b, 0.8], [a, c, 0.6], [b, c, {factor}]]
"
        )
    };
    // 0.48 ± 0.48.
    assert_eq!(codes_of(&three(0.96)), [""; 0]);
    assert_eq!(codes_of(&three(0.0)), [""; 0]);
    assert_eq!(codes_of(&three(0.97)), ["correlation-matrix"]);
    assert_eq!(codes_of(&three(-0.01)), ["correlation-matrix"]);
    let edge = with_samples(&three(0.96), 100_000);
    likely(
        edge.gaps[0].monte_carlo.as_ref().unwrap().shares.unwrap().within.count,
        100_000,
        edge.gaps[0].exact.chances.unwrap().within,
    );
}

#[test]
fn the_reach_of_two_laws_is_told() {
    // A normal and a rectangular law reach √(3/π) = 0.97720: the figure that the quantiles of one variable give.
    assert_eq!(codes_of(&two("normal", "rectangular", "0.977")), [""; 0]);
    assert_eq!(codes_of(&two("normal", "rectangular", "0.978")), ["correlation-reach"]);
    assert_eq!(codes_of(&two("normal", "rectangular", "-0.978")), ["correlation-reach"]);
    assert_eq!(codes_of(&two("rectangular", "rectangular", "-1")), [""; 0]);
    assert_eq!(codes_of(&two("normal", "normal", "1")), [""; 0]);
}

#[test]
fn threads_change_nothing_where_parts_go_together() {
    let model: Model = model_of(&two("rectangular", "triangular", "0.4"));
    let of = |threads| {
        let monte_carlo = Some(MonteCarloOptions { samples: 30_001, seed: 3, threads, digits: None });
        report(&model, &GapOptions { monte_carlo, ..GapOptions::default() }).unwrap()
    };
    assert_eq!(of(Some(1)), of(Some(3)));
    assert_ne!(of(Some(1)).verdict, Some(Verdict::In));
}

#[test]
fn a_pack_is_chosen_by_the_law_that_the_parts_have_together() {
    let text = |factor: &str, fitted: &str| {
        format!(
            "
dimensions:
  housing: {{ size: 30, tolerance: 0.09 }}
  rotor: {{ size: 29, tolerance: 0.09 }}
gaps:
  float: {{ chain: housing - rotor - shims, accept: [0.05, 0.15] }}
packs:
  shims: {{ kit: box, count: [1, 3]{fitted} }}
kits:
  box: {{ sizes: [0.3, 0.5], tolerance: 0.006 }}
correlations: [[housing, rotor, {factor}]]
"
        )
    };
    for (factor, sd) in [("0.8", 0.03 * 0.4_f64.sqrt()), ("-0.5", 0.03 * 3.0_f64.sqrt())] {
        let chosen = pick(&model_of(&text(factor, "")), &PickOptions::default()).unwrap();
        let expected = &chosen.gaps[0];
        // Three shims of 0.3 share one error, 0.006/√3.
        close(expected.u_mm, sd.hypot(3.0 * 0.006 / 3.0_f64.sqrt()), 1e-15);
        let told = gap_of(&text(factor, ", fitted: [0.3, 0.3, 0.3]"));
        close(expected.chances.unwrap().within, told.exact.chances.unwrap().within, 1e-12);
    }
}
