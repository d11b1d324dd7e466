//! The figures of the methods, as a plain list.

use shimwright_engine::analyse::monte_carlo::Stable;
use shimwright_engine::analyse::{Capability, Chances, Comparison, GapFigures, Joint, JointError, JointSource, Source};
use shimwright_engine::select::Expected;

use super::number::{figures, to_place};
use super::text::{Align, table_within};
use super::view::View;

/// A probability with the digits that mean something.
fn probability(p: f64) -> String {
    // Adding nought turns `-0` into `0`. Beyond seven decimals the assumed laws, not the arithmetic, decide.
    if p > 0.0 && p < 1e-4 { format!("{p:.2e}") } else { format!("{:.6}", p + 0.0) }
}

fn chances(rows: &mut Vec<Vec<String>>, chances: &Chances, source: Source) {
    rows.push(vec!["probability in band".into(), probability(chances.within)]);
    rows.push(vec!["  below, above".into(), format!("{}, {}", probability(chances.below), probability(chances.above))]);
    let error = match source {
        Source::Exact => ["  error of these at most".into(), format!("{:.0e}", chances.error_bound)],
        Source::MonteCarlo => ["  drawn, standard error".into(), format!("{:.6}", chances.error_bound)],
    };
    rows.push(error.into());
}

fn capability(rows: &mut Vec<Vec<String>>, found: &Capability) {
    let index = |value: Option<f64>| value.map(|value| to_place(value, 3));
    match (index(found.cp), index(found.cpk)) {
        (Some(cp), Some(cpk)) => rows.push(vec!["Cp, Cpk".into(), format!("{cp}, {cpk}")]),
        (_, Some(cpk)) => rows.push(vec!["Cpk".into(), cpk]),
        _ => {}
    }
    let ppm = &found.ppm;
    rows.push(vec![
        "ppm below, above, both".into(),
        format!("{}, {}, {}", units(ppm.below), units(ppm.above), units(ppm.outside)),
    ]);
    rows.push(vec!["  if the laws hold so far out".into(), String::new()]);
}

/// Units of a million with three figures; small numbers as powers of ten.
fn units(ppm: f64) -> String {
    if ppm > 0.0 && ppm < 1e-3 {
        return format!("{ppm:.2e}");
    }
    let before_the_point = if ppm >= 1.0 { ppm.log10().floor() as i32 + 1 } else { 1 };
    to_place(ppm, (3 - before_the_point).max(0))
}

/// The list for a gap of `gap`.
#[must_use]
pub fn of_gap(view: &View<'_>, gap: &GapFigures, seed: u64) -> String {
    let places = view.decimals(gap.exact.sd_mm);
    let show = |mm: f64| view.length(mm, places);
    let mut rows: Vec<Vec<String>> = Vec::new();
    rows.push(vec!["nominal".into(), show(gap.nominal_mm)]);
    let worst = &gap.worst_case;
    let fits = match worst.fits {
        Some(true) => ", all of it in band",
        Some(false) => ", not all of it in band",
        None => "",
    };
    rows.push(vec!["worst case".into(), format!("{} to {}{fits}", show(worst.low_mm), show(worst.high_mm))]);
    match &gap.root_sum_square {
        Some(rss) => {
            let half = (rss.high_mm - rss.low_mm) / 2.0;
            let k = shimwright_engine::length::shortest(rss.coverage);
            rows.push(vec![
                "root sum square".into(),
                format!("{} ± {} ({k} standard deviations)", show(rss.mean_mm), show(half)),
            ]);
        }
        None => rows.push(vec!["root sum square".into(), "none: a law has no variance".into()]),
    }
    let exact = figures(gap.exact.mean_mm, gap.exact.sd_mm, view.unit);
    rows.push(vec!["exact mean, standard deviation".into(), pair(&exact)]);
    for (coverage, low, high) in &gap.exact.intervals {
        rows.push(vec![
            format!("  {} interval", super::odds::level(*coverage)),
            format!("{} to {}", show(*low), show(*high)),
        ]);
    }
    if let Some(found) = &gap.exact.chances {
        chances(&mut rows, found, gap.source);
    }
    if let Some(found) = &gap.exact.capability {
        capability(&mut rows, found);
    }
    if let Some(freedom) = gap.exact.effective_freedom {
        rows.push(vec!["effective degrees of freedom".into(), format!("{freedom:.1}")]);
    }
    if let Some(drawn) = &gap.monte_carlo {
        let drawn_figures = figures(drawn.mean_mm, drawn.sd_mm, view.unit);
        let name = format!("Monte Carlo, {} samples, seed {seed}", drawn.samples);
        rows.push(vec![name, pair(&drawn_figures)]);
        if let Some(shares) = &drawn.shares {
            let text = format!("{:.6} ± {:.6}", shares.within.value, shares.within.standard_error);
            rows.push(vec!["  share in band, standard error".into(), text]);
        }
        if let Some(stable) = &drawn.stable {
            stability(view, &mut rows, stable, places);
        }
    }
    if let Some(comparison) = &gap.comparison {
        compared(view, &mut rows, comparison);
    }
    list(view, &rows)
}

fn stability(view: &View<'_>, rows: &mut Vec<Vec<String>>, stable: &Stable, places: i32) {
    if let Some((low, high)) = stable.interval_mm {
        let interval = format!("{} to {}", view.length(low, places), view.length(high, places));
        rows.push(vec!["  95 % interval, drawn".into(), interval]);
    }
    if let (Some(tolerance), Some(reached)) = (stable.tolerance_mm, stable.reached_mm) {
        let length = |mm: f64| format!("{:.1e}", view.unit.from_mm(mm));
        let word = if stable.is_stable { "stable" } else { "not stable" };
        rows.push(vec![
            "  stands still within, wanted".into(),
            format!("{}, {}: {word}", length(reached), length(tolerance)),
        ]);
    }
}

/// The list for a gap of `pick`.
#[must_use]
pub fn of_expected(
    view: &View<'_>,
    gap: &Expected,
    best_possible: Option<f64>,
    comparison: Option<&Comparison>,
) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let shown = figures(gap.expected_mm, gap.u_mm, view.unit);
    rows.push(vec![format!("{}: expected, standard uncertainty", gap.name), pair(&shown)]);
    let (low, high) = gap.interval_mm;
    let interval = format!("{} to {}", view.length(low, shown.decimals), view.length(high, shown.decimals));
    rows.push(vec!["  95 % interval".into(), interval]);
    if let Some(found) = &gap.chances {
        chances(&mut rows, found, Source::Exact);
    }
    if let Some(best) = best_possible {
        rows.push(vec!["best probability of any thickness".into(), probability(best)]);
    }
    if let Some(comparison) = comparison {
        compared(view, &mut rows, comparison);
    }
    list(view, &rows)
}

/// The list for several gaps at once.
#[must_use]
pub fn of_joint(view: &View<'_>, joint: &Joint) -> String {
    let by = match joint.source {
        JointSource::Alone => "the one gap with a band",
        JointSource::Independent => "independent: one times the other",
        JointSource::OneSum => "the gaps are one sum, asked once",
        JointSource::BivariateNormal => "two normal sums, bivariate normal law",
        JointSource::MonteCarlo => "Monte Carlo",
    };
    let error = match joint.error {
        JointError::Bound(bound) => ("  error of this at most", format!("{bound:.0e}")),
        JointError::Standard(error) => ("  standard error", format!("{error:.6}")),
    };
    list(
        view,
        &[
            vec!["probability in band at once".into(), probability(joint.within)],
            vec!["  worked by".into(), by.into()],
            vec![error.0.into(), error.1],
        ],
    )
}

fn compared(view: &View<'_>, rows: &mut Vec<Vec<String>>, comparison: &Comparison) {
    let paper = figures(comparison.predicted_mm, comparison.predicted_u_mm, view.unit);
    let found = figures(comparison.found_mm, comparison.found_u_mm, view.unit);
    rows.push(vec!["sum of the parts, with u".into(), pair(&paper)]);
    rows.push(vec!["as found, with u".into(), pair(&found)]);
    if let Some(error) = comparison.normalised_error {
        rows.push(vec!["normalised error E_n".into(), to_place(error, 2)]);
    }
}

fn pair(figures: &super::number::Figures) -> String {
    match &figures.uncertainty {
        Some(uncertainty) => format!("{}, {uncertainty}", figures.value),
        None => format!("{}, exact", figures.value),
    }
}

fn list(view: &View<'_>, rows: &[Vec<String>]) -> String {
    table_within(view.width, rows, &[Align::Left, Align::Left], 2)
}
