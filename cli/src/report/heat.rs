//! Gaps at another temperature than 20 °C, in words and as JSON.

use serde_json::{Value, json};
use shimwright_engine::analyse::ColdFigures;
use shimwright_engine::length::shortest;

use super::answer_json::{accept, length};
use super::text::hanging;
use super::view::View;

/// A gap and its figure in a first line. Behind the same chain at 20 °C (`follows`) the temperature is name enough:
/// `at 85 °C none, 0.063 loose`.
#[must_use]
pub fn with_figure(view: &View<'_>, index: usize, mm: f64, u_mm: f64, follows: bool) -> String {
    let gap = &view.model.gaps[index];
    let places = view.decimals(u_mm);
    let name = match &gap.heat {
        Some(heat) if follows => format!("at {} °C", shortest(heat.celsius)),
        Some(heat) => format!("{} at {} °C", gap.name, shortest(heat.celsius)),
        // A negative preload is read as a slip of the sign; a negative play is what the pencil gives.
        None if gap.preload => gap.name.clone(),
        None => return format!("{} {}", gap.name, view.length(mm, places)),
    };
    let amount = view.length(mm.abs(), places);
    let is_nothing = amount.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if mm >= 0.0 || is_nothing {
        return format!("{name} {}", view.length(mm, places));
    }
    // What is left of a preload that went loose, or of a play that closed, is nothing.
    let way = if gap.preload { "loose" } else { "tight" };
    format!("{name} none, {amount} {way}")
}

/// What the same chain must be at 20 °C, where the document leaves that open; empty where it does not.
#[must_use]
pub fn wanted_cold(view: &View<'_>, index: usize, u_mm: f64, cold: Option<&ColdFigures>) -> String {
    let Some(cold) = cold.filter(|cold| cold.gap.is_none_or(|gap| !view.model.gaps[gap].is_judged())) else {
        return String::new();
    };
    let places = view.decimals(u_mm).max(2);
    let celsius = shortest(cold.celsius);
    let hot = &view.model.gaps[index];
    let preload = cold.gap.map_or(hot.preload, |gap| view.model.gaps[gap].preload);
    let name = match cold.gap {
        Some(gap) => format!("{} at 20 °C", view.model.gaps[gap].name),
        None => format!("the same {} at 20 °C", if preload { "preload" } else { "gap" }),
    };
    let band = match cold.accept_mm {
        (Some(low), Some(high)) => {
            format!("from {} to {} keeps it in band", view.length(low, places), view.length(high, places))
        }
        (Some(low), None) => format!("{} or more keeps it in band", view.length(low, places)),
        (None, Some(high)) => format!("{} or less keeps it in band", view.length(high, places)),
        (None, None) => String::new(),
    };
    let aim = cold.target_mm.map(|target| format!("aim for {}", view.length(target, places)));
    let figures: Vec<String> = aim.into_iter().chain((!band.is_empty()).then_some(band)).collect();
    hanging("  ", &format!("for {} at {celsius} °C, {name}: {}", hot.name, figures.join("; ")), view.width)
}

/// The temperature that a gap is worked at, in °C, for JSON; null at 20.
#[must_use]
pub fn celsius(view: &View<'_>, index: usize) -> Value {
    json!(view.model.gaps[index].heat.as_ref().map(|heat| heat.celsius))
}

/// What the same chain must be at 20 °C to give the hot gap's aim, for JSON.
#[must_use]
pub fn cold_json(view: &View<'_>, cold: Option<&ColdFigures>) -> Value {
    json!(cold.map(|cold| json!({
        "name": cold.gap.map(|gap| &view.model.gaps[gap].name),
        "target": length(view, cold.target_mm),
        "accept": accept(view, cold.accept_mm),
    })))
}
