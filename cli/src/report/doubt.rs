//! Where the doubt of a gap comes from, and what would help.

use shimwright_engine::analyse::{Contribution, ContributionKind};
use shimwright_engine::law::Law;

use super::number::{figures, place_of, to_place};
use super::text::{Align, hanging, table_within};
use super::view::View;

/// Contributions below this share of the variance are not worth a line.
const LEAST_SHARE: f64 = 0.005;

/// The parts of a doubt, the greatest first; empty where nothing is in doubt.
///
/// The whole is half of the interval that holds the gap 19 times in 20, so that it is the same figure as the interval;
/// the parts are in proportion to their standard uncertainties, and add up to it by their squares.
#[must_use]
pub fn doubt(
    view: &View<'_>,
    name: &str,
    u_mm: f64,
    interval_mm: Option<(f64, f64)>,
    contributions: &[Contribution],
) -> String {
    let half_mm = interval_mm.map_or(2.0 * u_mm, |(low, high)| (high - low) / 2.0);
    let times = if u_mm > 0.0 { half_mm / u_mm } else { 0.0 };
    let whole = figures(0.0, half_mm, view.unit);
    let Some(total) = &whole.uncertainty else { return String::new() };
    let mut sorted: Vec<&Contribution> =
        contributions.iter().filter(|one| one.variance_share.abs() >= LEAST_SHARE).collect();
    sorted.sort_by(|a, b| b.variance_share.abs().total_cmp(&a.variance_share.abs()));
    let decimals = whole.decimals;
    let mut rows: Vec<Vec<String>> = sorted
        .iter()
        .map(|one| vec![words(view, one), format!("{} {}", sign(one), either_way(view, times * one.u_mm, decimals))])
        .collect();
    rows.push(vec![format!("together, on {name}"), format!("± {total}")]);
    let of = if view.document.gaps.len() > 1 { format!(" of {name}") } else { String::new() };
    let heading = format!("Where the doubt{of} comes from ({}, 19 times in 20)", view.unit);
    let table = table_within(view.width, &rows, &[Align::Left, Align::Point], 2);
    format!("\n{}{table}", hanging("", &heading, view.width))
}

/// A part may be smaller than the place of the whole; it then has one figure of its own.
fn either_way(view: &View<'_>, half_mm: f64, decimals: i32) -> String {
    let value = view.unit.from_mm(half_mm);
    let own = place_of(value).map_or(decimals, |place| place - 1);
    to_place(value, decimals.max(own))
}

/// Squares add up; what parts that go together take away from them is less.
fn sign(one: &Contribution) -> char {
    if one.variance_share < 0.0 { '−' } else { '±' }
}

fn words(view: &View<'_>, one: &Contribution) -> String {
    match one.kind {
        ContributionKind::Instrument => format!("the zero of the {}", one.name.trim_end()),
        ContributionKind::Stack => one.name.clone(),
        ContributionKind::Expansion => format!("{} (± 10 %)", one.name),
        ContributionKind::Pack
            if view.model.packs.iter().any(|pack| pack.name == one.name && pack.pitch_mm.is_some()) =>
        {
            format!("{} (as set)", one.name)
        }
        ContributionKind::Pack => format!("{} (thickness)", one.name),
        ContributionKind::Correlation if one.variance_share < 0.0 => {
            format!("{} (going together takes away)", one.name)
        }
        ContributionKind::Correlation => format!("{} (going together)", one.name),
        ContributionKind::Dimension if one.measured => format!("{} (as read)", one.name.replace(".found", " as found")),
        ContributionKind::Dimension => {
            let dimension = view.document.dimensions.iter().find(|dimension| dimension.name == one.name);
            let law = dimension.and_then(|dimension| dimension.drawing.as_ref()?.law.as_ref());
            let from = if matches!(law, Some(Law::Observed(_))) { "as observed" } else { "by its drawing" };
            format!("{} ({from})", one.name)
        }
    }
}
