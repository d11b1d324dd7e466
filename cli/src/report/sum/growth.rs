//! What a chain grows by, as lines of the sum.

use shimwright_engine::document::resolved::{Linear, What};
use shimwright_engine::length::shortest;
use shimwright_engine::standards::material::REFERENCE_CELSIUS;

use super::super::view::View;
use super::Term;

/// A growth below this is that of no part: rounding alone.
const NOTHING_MM: f64 = 1e-9;

/// Adds the growth of a gap at another temperature to the terms of its sum at 20 °C, so that they add up to `total_mm`:
/// a line for each part of its chain that grows, and one for the rest, the shims.
pub(super) fn add(view: &View<'_>, index: usize, total_mm: f64, terms: &mut Vec<Term>) {
    let Some(heat) = &view.model.gaps[index].heat else { return };
    let kelvin = heat.celsius - REFERENCE_CELSIUS;
    let written = &view.document.gaps[index];
    // Read assembled when hot: nothing of it grows from there.
    let read_hot = written.found.is_some();
    let chain: &Linear = heat.cold.map_or(&written.chain, |cold| &view.document.gaps[cold].chain);
    for one in &chain.summands {
        let What::Dimension(dimension) = one.what else { continue };
        let part = &view.document.dimensions[dimension];
        let Some(expansion) = part.expansion.as_ref().filter(|_| !read_hot) else { continue };
        let length_mm = part.span_mm.unwrap_or_else(|| view.model.dimensions[dimension].mean_mm(&view.model.columns));
        let length = shortest((view.unit.from_mm(length_mm) * 1e3).round() / 1e3);
        terms.push(Term {
            name: format!("{} grows", part.name),
            typed: format!("{}e-6 x {length} x {}", shortest(expansion.per_million), shortest(kelvin)),
            value_mm: one.coefficient * length_mm * expansion.per_kelvin() * kelvin,
            step_mm: None,
        });
    }
    let rest_mm = total_mm - terms.iter().map(|term| term.value_mm).sum::<f64>();
    if rest_mm.abs() > NOTHING_MM {
        let names_gaps = chain.summands.iter().any(|one| matches!(one.what, What::Gap(_)));
        let name = if names_gaps { "the rest grows" } else { "shims grow" };
        let typed = format!("to {} °C", shortest(heat.celsius));
        terms.push(Term { name: name.to_owned(), typed, value_mm: rest_mm, step_mm: None });
    }
}
