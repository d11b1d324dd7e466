//! The answer of `verify` as JSON. Lengths are unrounded, in the unit of the answer; what is not defined is null.

use serde_json::{Value, json};
use shimwright_engine::analyse::{ByNumber, Verdict, Verified, VerifyReport};
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::document::source::Sources;

use super::answer_json::length;
use super::json::{FORMAT, Note};
use super::settle;
use super::view::View;

/// The answer of `verify`.
#[must_use]
pub fn verify(view: &View<'_>, report: &VerifyReport, seed: u64, notes: &[Diagnostic], sources: &Sources) -> Value {
    let gaps: Vec<Value> = report.gaps.iter().map(|gap| verified(view, gap)).collect();
    let packs: Vec<Value> = report
        .packs
        .iter()
        .zip(&view.model.packs)
        .map(|(pack, of_model)| {
            json!({
                "name": pack.name,
                "fitted": length(view, pack.fitted_mm),
                "wanted": length(view, pack.wanted_mm),
                "change": length(view, pack.change_mm),
                "turns": pack.change_mm.and_then(|change| of_model.turns(change)),
            })
        })
        .collect();
    json!({
        "format": FORMAT,
        "command": "verify",
        "title": view.document.title,
        "unit": view.unit.word(),
        "seed": seed,
        "verdict": report.verdict.map(Verdict::words),
        "gaps": gaps,
        "packs": packs,
        "notes": Note::all(notes, sources),
    })
}

fn verified(view: &View<'_>, gap: &Verified) -> Value {
    let value = |pair: Option<(f64, f64)>| length(view, pair.map(|(value, _)| value));
    let u = |pair: Option<(f64, f64)>| length(view, pair.map(|(_, u)| u));
    let best = gap.best_mm.filter(|_| gap.found_mm.is_some());
    let suspects: Vec<Value> =
        gap.suspects.iter().map(|one| json!({ "name": one.name, "by": length(view, Some(one.by_mm)) })).collect();
    json!({
        "name": gap.name,
        "predicted": value(gap.predicted_mm),
        "predicted_u": u(gap.predicted_mm),
        "found": value(gap.found_mm),
        "found_u": u(gap.found_mm),
        "difference": value(gap.difference_mm),
        "difference_u": u(gap.difference_mm),
        "en": gap.normalised_error,
        "agrees": gap.agrees,
        "best_estimate": value(best),
        "best_u": u(best),
        "suspects": suspects,
        "below": gap.chances.map(|chances| chances.below),
        "within": gap.chances.map(|chances| chances.within),
        "above": gap.chances.map(|chances| chances.above),
        "verdict": gap.verdict.map(Verdict::words),
        "by_number": gap.by_number.map(ByNumber::words),
        "settle": settle::ways(gap.settle.as_ref()),
        "read_perfectly": settle::read_perfectly(gap.settle.as_ref()),
    })
}
