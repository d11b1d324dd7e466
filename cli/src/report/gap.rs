//! The answer of `gap` in words.

use shimwright_engine::analyse::monte_carlo::{Ended, MonteCarloOptions};
use shimwright_engine::analyse::{Comparison, GapFigures, GapReport, Joint, Source};
use shimwright_engine::document::diagnostic::Diagnostic;

use super::ask;
use super::doubt::doubt;
use super::heat;
use super::method_figures::{of_gap, of_joint};
use super::odds::chance;
use super::settle;
use super::sum::{PackTerm, sum};
use super::text::hanging;
use super::view::View;

/// The first line: each gap in a few words.
#[must_use]
pub fn headline(view: &View<'_>, report: &GapReport) -> String {
    let all: Vec<String> = report.gaps.iter().enumerate().map(|(index, gap)| in_short(view, index, gap)).collect();
    hanging("", &(all.join("; ") + &together(view, report)), view.width)
}

/// What brings all gaps to their targets, where that takes several packs at once.
fn together(view: &View<'_>, report: &GapReport) -> String {
    let spaces: Vec<&GapFigures> = report.gaps.iter().filter(|gap| gap.is_space && gap.target_mm.is_some()).collect();
    let wanted: Vec<_> = report.packs.iter().filter_map(|pack| Some((&pack.name, pack.wanted_mm?))).collect();
    // A gap with one pack has said what it wants of that one.
    if wanted.len() < 2 || spaces.iter().all(|gap| gap.wanted_mm.is_some()) {
        return String::new();
    }
    let places = view.decimals(spaces.iter().map(|gap| gap.exact.sd_mm).fold(0.0, f64::max));
    let each = wanted.iter().map(|(name, wanted)| format!("{name} {}", view.length(*wanted, places)));
    format!("; to target with {}", each.collect::<Vec<_>>().join(", "))
}

fn in_short(view: &View<'_>, index: usize, gap: &GapFigures) -> String {
    // The same chain at 20 °C stands before it, so that the temperature is name enough.
    let cold = view.model.gaps[index].heat.as_ref().and_then(|heat| heat.cold);
    let follows = cold.is_some_and(|cold| cold < index);
    let figure = heat::with_figure(view, index, gap.exact.mean_mm, gap.exact.sd_mm, follows);
    if gap.is_space {
        let mut text = format!("{figure} with no shims in");
        if let Some(wanted) = gap.wanted_mm {
            let thickness = view.length(wanted, view.decimals(gap.exact.sd_mm));
            let target = gap.target_mm.map_or(String::new(), |target| {
                let written =
                    view.document.gaps[index].target.as_ref().filter(|_| view.document.gaps[index].target_written);
                view.end(written, target)
            });
            text.push_str(&format!(", {thickness} of shims brings it to {target}"));
        }
        return text;
    }
    let mut text = figure;
    if let (Some(verdict), Some(number), Some(chances)) = (gap.verdict, gap.by_number, &gap.exact.chances) {
        let miss = view.miss(number.misses_by_mm(gap.exact.mean_mm, gap.accept_mm), gap.exact.sd_mm);
        text.push_str(&format!(", {}", view.sure(verdict, number, chances, gap.measured, &miss)));
    }
    text
}

/// The whole answer. `asked` is what was to be drawn.
#[must_use]
pub fn text(view: &View<'_>, report: &GapReport, notes: &[Diagnostic], asked: &MonteCarloOptions) -> String {
    let mut text = headline(view, report);
    let joint = at_once(report);
    if let Some((all, joint)) = &joint {
        text.push_str(&format!("{all} at once: {}\n", chance(joint.within)));
    }
    text.push_str(&cut_short(view, report, asked));
    text.push_str(&view.mind(notes));
    let packs = fitted(view);
    for (index, gap) in report.gaps.iter().enumerate() {
        if report.gaps.len() > 1 {
            text.push_str(&format!("\n{}\n", gap.name.to_uppercase()));
        }
        text.push_str(&one(view, index, gap, &packs, asked.seed));
    }
    if let Some((all, joint)) = &joint {
        text.push_str(&format!("\n{} AT ONCE\n\nFigures\n{}", all.to_uppercase(), of_joint(view, joint)));
    }
    text.push_str(&view.ending(notes));
    text
}

/// That fewer random assemblies were tried than were wanted.
fn cut_short(view: &View<'_>, report: &GapReport, asked: &MonteCarloOptions) -> String {
    let samples = report.gaps.iter().find_map(|gap| gap.monte_carlo.as_ref()).map_or(0, |drawn| drawn.samples);
    let words = match report.ended {
        Some(Ended::Stopped) => {
            format!(
                "stopped by Ctrl-C after {samples} of {} random assemblies; the figures are of those",
                asked.samples
            )
        }
        Some(Ended::NotStable) => {
            format!(
                "after {samples} random assemblies the digits asked for do not stand still yet; allow more by --samples"
            )
        }
        _ => return String::new(),
    };
    hanging("mind: ", &words, view.width)
}

/// Several gaps in band at once: what to call them, and the probability; none where fewer than two have a verdict.
fn at_once(report: &GapReport) -> Option<(&'static str, Joint)> {
    let judged = report.gaps.iter().filter(|gap| gap.verdict.is_some()).count();
    let all = if judged == 2 { "both" } else { "all" };
    report.joint_within.filter(|_| judged > 1).map(|joint| (all, joint))
}

fn one(view: &View<'_>, index: usize, gap: &GapFigures, packs: &[PackTerm], seed: u64) -> String {
    let mut text = String::new();
    let band = view.band(&view.document.gaps[index], gap.accept_mm, gap.target_mm);
    if !band.is_empty() {
        text.push_str(&hanging("  ", &band, view.width));
    }
    text.push_str(&heat::wanted_cold(view, index, gap.exact.sd_mm, gap.cold.as_ref()));
    if let Some(limit) = view.model.gaps[index].wear_limit_mm {
        text.push_str(&hanging("  ", &format!("limit of wear {}", view.plain(limit)), view.width));
    }
    if let Some(guard) = &gap.guard {
        text.push_str(&settle::guard(view, guard, gap.exact.sd_mm));
    }
    if let Some(settle) = &gap.settle {
        text.push_str(&settle::sentence(view, None, settle));
    }
    text.push_str(&view.spots(&view.model.gaps[index], gap.exact.mean_mm, gap.exact.sd_mm));
    if let Some(comparison) = &gap.comparison {
        text.push_str(&compared(view, comparison));
    }
    text.push_str(&where_from(view, gap));
    if let Some(chances) = &gap.exact.chances {
        text.push_str(&view.law_tail(chances, gap.measured));
    }
    text.push_str(&sum(view, index, packs));
    let interval = gap.exact.intervals.first().map(|&(_, low, high)| (low, high));
    text.push_str(&doubt(view, &gap.name, gap.exact.sd_mm, interval, &gap.contributions));
    text.push_str(&ask::words(view, gap));
    text.push_str("\nFigures\n");
    text.push_str(&of_gap(view, gap, seed));
    text
}

/// That the answer is not the exact one, and why.
fn where_from(view: &View<'_>, gap: &GapFigures) -> String {
    if gap.source == Source::Exact {
        return String::new();
    }
    let why = "parts that go together are not all normal";
    let words = match &gap.monte_carlo {
        Some(drawn) => format!("{why}: how sure it is comes from {} random assemblies", drawn.samples),
        None => format!("{why}: without random assemblies (--samples) nothing is said of how sure it is"),
    };
    hanging("mind: ", &words, view.width)
}

fn compared(view: &View<'_>, comparison: &Comparison) -> String {
    let places = view.decimals(comparison.predicted_u_mm.max(comparison.found_u_mm));
    let (paper, found) = (view.length(comparison.predicted_mm, places), view.length(comparison.found_mm, places));
    let word = if comparison.agrees() { "agree within their doubt" } else { "do not agree, find out why first" };
    hanging("mind: ", &format!("on paper it is {paper}, read {found}: they {word}"), view.width)
}

fn fitted(view: &View<'_>) -> Vec<PackTerm> {
    view.model.packs.iter().map(PackTerm::fitted).collect()
}
