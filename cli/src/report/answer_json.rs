//! The answers as JSON. Lengths are unrounded, in the unit of the answer; what is not defined is null.

use serde_json::{Value, json};
use shimwright_engine::analyse::monte_carlo::{Ended, MonteCarlo, Share};
use shimwright_engine::analyse::{ByNumber, Contribution, Corner, GapFigures, GapReport, JointError, Source, Verdict};
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::document::source::Sources;
use shimwright_engine::model::Origin;
use shimwright_engine::select::{Choice, Expected, Make, Pick, Wanted};

use super::ask;
use super::heat;
use super::json::{FORMAT, Note};
use super::plan_json;
use super::settle;
use super::view::View;

/// The answer of `gap`.
#[must_use]
pub fn gap(
    view: &View<'_>,
    report: &GapReport,
    guard: bool,
    seed: u64,
    notes: &[Diagnostic],
    sources: &Sources,
) -> Value {
    let packs: Vec<Value> = report
        .packs
        .iter()
        .map(|pack| {
            json!({ "name": pack.name, "fitted": length(view, pack.fitted_mm), "wanted": length(view, pack.wanted_mm) })
        })
        .collect();
    let gaps: Vec<Value> =
        report.gaps.iter().enumerate().map(|(index, gap)| gap_figures(view, index, gap, guard)).collect();
    let (error_bound, standard_error) = match report.joint_within.map(|joint| joint.error) {
        None => (None, None),
        Some(JointError::Bound(bound)) => (Some(bound), None),
        Some(JointError::Standard(error)) => (None, Some(error)),
    };
    json!({
        "format": FORMAT,
        "command": "gap",
        "title": view.document.title,
        "unit": view.unit.word(),
        "seed": seed,
        "verdict": report.verdict.map(Verdict::words),
        "joint_within": report.joint_within.map(|joint| joint.within),
        "joint_source": report.joint_within.map(|joint| joint.source.words()),
        "joint_error_bound": error_bound,
        "joint_standard_error": standard_error,
        "covariance": covariance(view, report),
        "drawing_ended": report.ended.map(Ended::words),
        "gaps": gaps,
        "packs": packs,
        "notes": Note::all(notes, sources),
    })
}

/// The covariance of the gaps, a row for each, in the square of the answer's unit.
fn covariance(view: &View<'_>, report: &GapReport) -> Option<Vec<Vec<f64>>> {
    let squared = |mm2: &f64| view.unit.from_mm(view.unit.from_mm(*mm2));
    report
        .covariance_mm2
        .as_ref()
        .map(|matrix| matrix.row_iter().map(|row| row.iter().map(squared).collect()).collect())
}

fn gap_figures(view: &View<'_>, index: usize, gap: &GapFigures, guard: bool) -> Value {
    let l = |mm: f64| view.unit.from_mm(mm);
    let worst = &gap.worst_case;
    let exact = &gap.exact;
    let chances = exact.chances.as_ref();
    let intervals: Vec<Value> = exact
        .intervals
        .iter()
        .map(|&(coverage, low, high)| json!({ "coverage": coverage, "low": l(low), "high": l(high) }))
        .collect();
    let mut figures = json!({
        "name": gap.name,
        "at": heat::celsius(view, index),
        "cold": heat::cold_json(view, gap.cold.as_ref()),
        "nominal": l(gap.nominal_mm),
        "accept": accept(view, gap.accept_mm),
        "target": length(view, gap.target_mm),
        "verdict": gap.verdict.map(Verdict::words),
        "by_number": gap.by_number.map(ByNumber::words),
        "worst_case": {
            "low": l(worst.low_mm),
            "high": l(worst.high_mm),
            "fits": worst.fits,
            "low_at": corner(view, &worst.low_at),
            "high_at": corner(view, &worst.high_at),
        },
        "root_sum_square": gap.root_sum_square.as_ref().map(|rss| json!({
            "mean": l(rss.mean_mm), "sd": l(rss.sd_mm), "low": l(rss.low_mm), "high": l(rss.high_mm),
            "coverage": rss.coverage,
        })),
        "monte_carlo": gap.monte_carlo.as_ref().map(|drawn| monte_carlo(view, drawn)),
        "exact": (gap.source == Source::Exact).then(|| json!({
            "mean": l(exact.mean_mm),
            "sd": l(exact.sd_mm),
            "below": chances.map(|chances| chances.below),
            "within": chances.map(|chances| chances.within),
            "above": chances.map(|chances| chances.above),
            "error_bound": chances.map(|chances| chances.error_bound),
            "intervals": intervals,
            "cp": exact.capability.and_then(|found| found.cp),
            "cpk": exact.capability.and_then(|found| found.cpk),
            "ppm": exact.capability.map(|found| json!({
                "below": found.ppm.below, "above": found.ppm.above, "outside": found.ppm.outside,
            })),
            "effective_freedom": exact.effective_freedom,
        })),
        "probability_source": chances.map(|_| gap.source.words()),
        "contributions": contributions(&gap.contributions),
        "settle": settle::ways(gap.settle.as_ref()),
        "read_perfectly": settle::read_perfectly(gap.settle.as_ref()),
    });
    if guard {
        figures["guard"] = settle::limits(view, gap.guard.as_ref());
    }
    if let Some(found) = &gap.tolerances {
        figures["tolerances"] = ask::json(found);
    }
    figures
}

fn monte_carlo(view: &View<'_>, drawn: &MonteCarlo) -> Value {
    let l = |mm: f64| view.unit.from_mm(mm);
    let share = |pick: fn(&shimwright_engine::analyse::monte_carlo::Shares) -> Share| drawn.shares.as_ref().map(pick);
    let (below, within, above) = (share(|all| all.below), share(|all| all.within), share(|all| all.above));
    json!({
        "samples": drawn.samples,
        "stable": drawn.stable.map(|stable| json!({
            "is_stable": stable.is_stable,
            "tolerance": length(view, stable.tolerance_mm),
            "reached": length(view, stable.reached_mm),
            "low": length(view, stable.interval_mm.map(|(low, _)| low)),
            "high": length(view, stable.interval_mm.map(|(_, high)| high)),
        })),
        "mean": l(drawn.mean_mm),
        "sd": l(drawn.sd_mm),
        "below": below.map(|share| share.value),
        "within": within.map(|share| share.value),
        "above": above.map(|share| share.value),
        "standard_error": {
            "mean": l(drawn.mean_error_mm),
            "sd": drawn.sd_error_mm.map(l),
            "below": below.map(|share| share.standard_error),
            "within": within.map(|share| share.standard_error),
            "above": above.map(|share| share.standard_error),
        },
    })
}

/// The answer of `pick`.
#[must_use]
pub fn pick(view: &View<'_>, pick: &Pick, seed: u64, notes: &[Diagnostic], sources: &Sources) -> Value {
    let all = |choices: &[Choice]| -> Vec<Value> {
        pick.packs.iter().zip(choices).map(|(packed, choice)| pack(view, packed.pack, None, choice)).collect()
    };
    let alternatives: Vec<Value> = pick
        .alternatives
        .iter()
        .map(|one| {
            json!({
                "role": one.role.word(),
                "packs": all(&one.choices),
                "gaps": expected(view, &one.gaps),
                "verdict": one.verdict.map(Verdict::words),
            })
        })
        .collect();
    let mut gaps = expected(view, &pick.gaps);
    for (gap, settle) in gaps.iter_mut().zip(&pick.settle) {
        gap["settle"] = settle::ways(settle.as_ref());
        gap["read_perfectly"] = settle::read_perfectly(settle.as_ref());
    }
    let l = |mm: f64| view.unit.from_mm(mm);
    let make = |make: &Make| {
        let name = &view.model.packs[make.pack].name;
        json!({ "pack": name, "thickness": l(make.thickness_mm), "low": l(make.low_mm), "high": l(make.high_mm) })
    };
    let tries = pick
        .tries
        .iter()
        .map(|one| json!({ "pack": pack(view, pick.packs[one.which].pack, None, &one.choice), "enters": one.enters }));
    let tries: Vec<Value> = tries.collect();
    let packs = pick.packs.iter().map(|one| pack(view, one.pack, Some(&one.wanted), &one.choice));
    json!({
        "format": FORMAT,
        "command": "pick",
        "title": view.document.title,
        "unit": view.unit.word(),
        "seed": seed,
        "verdict": pick.verdict.map(Verdict::words),
        "leave": pick.leave,
        "packs": packs.collect::<Vec<Value>>(),
        "gaps": gaps,
        "joint_within": pick.joint_within.filter(|(least, most)| least == most).map(|(least, _)| least),
        "joint_bounds": pick.joint_within.map(|(least, most)| [least, most]),
        "tries": tries,
        "alternatives": alternatives,
        "make": pick.make.iter().map(make).collect::<Vec<Value>>(),
        "misses_by": length(view, pick.misses_by_mm),
        "best_possible": pick.best_possible,
        "plan": pick.plan.as_ref().map(|plan| plan_json::plan(view, pick, plan)),
        "notes": Note::all(notes, sources),
    })
}

fn pack(view: &View<'_>, index: usize, wanted: Option<&Wanted>, choice: &Choice) -> Value {
    let l = |mm: f64| view.unit.from_mm(mm);
    let shims: Vec<Value> = choice
        .shims
        .iter()
        .map(|shim| {
            let from = match shim.from {
                Origin::Kit => "kit",
                Origin::Fitted => "fitted",
                Origin::Bought => "bought",
                Origin::Made => "made",
                Origin::Turned => "turned",
                Origin::Lapped => "lapped",
            };
            let moved_from = shim.moved_from.map(|pack| view.model.packs[pack].name.as_str());
            json!({ "size": l(shim.size_mm), "thickness": l(shim.thickness_mm), "from": from, "moved_from": moved_from })
        })
        .collect();
    json!({
        "name": view.model.packs[index].name,
        "wanted": wanted.map(|wanted| json!({
            "thickness": l(wanted.thickness_mm),
            "low": length(view, wanted.low_mm),
            "high": length(view, wanted.high_mm),
        })),
        "thickness": l(choice.thickness_mm),
        "shims": shims,
        "turns": view.model.packs[index].turns(choice.thickness_mm),
    })
}

fn expected(view: &View<'_>, gaps: &[Expected]) -> Vec<Value> {
    let l = |mm: f64| view.unit.from_mm(mm);
    gaps.iter()
        .enumerate()
        .map(|(index, gap)| {
            json!({
                "name": gap.name,
                "at": heat::celsius(view, index),
                "cold": heat::cold_json(view, gap.cold.as_ref()),
                "expected": l(gap.expected_mm),
                "u": l(gap.u_mm),
                "low": l(gap.interval_mm.0),
                "high": l(gap.interval_mm.1),
                "below": gap.chances.map(|chances| chances.below),
                "within": gap.chances.map(|chances| chances.within),
                "above": gap.chances.map(|chances| chances.above),
                "verdict": gap.verdict.map(Verdict::words),
                "by_number": gap.by_number.map(ByNumber::words),
                "contributions": contributions(&gap.contributions),
            })
        })
        .collect()
}

pub(super) fn length(view: &View<'_>, mm: Option<f64>) -> Value {
    json!(mm.map(|mm| view.unit.from_mm(mm)))
}

pub(super) fn accept(view: &View<'_>, ends: (Option<f64>, Option<f64>)) -> Value {
    match ends {
        (None, None) => Value::Null,
        (low, high) => json!([length(view, low), length(view, high)]),
    }
}

fn corner(view: &View<'_>, at: &[Corner]) -> Value {
    at.iter()
        .map(|one| (one.name.trim_end().to_owned(), json!(view.unit.from_mm(one.value_mm))))
        .collect::<serde_json::Map<_, _>>()
        .into()
}

fn contributions(all: &[Contribution]) -> Vec<Value> {
    all.iter()
        .map(|one| {
            json!({
                "kind": one.kind.word(),
                "name": one.name.trim_end(),
                "coefficient": one.coefficient,
                "variance_share": one.variance_share,
                "worst_case_share": one.worst_case_share,
            })
        })
        .collect()
}
