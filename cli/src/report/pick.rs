//! The answer of `pick` in words.

use shimwright_engine::analyse::ByNumber;
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::model::Origin;
use shimwright_engine::select::{Expected, Packed, Pick, Shim, Try};

use super::beside::beside;
use super::doubt::doubt;
use super::expect::{decides, deciding, expectation, expectations, is_shown};
use super::heat;
use super::method_figures::of_expected;
use super::plan;
use super::screw::by_spanner;
use super::sum::{PackTerm, sum};
use super::text::hanging;
use super::unsure::not_sure;
use super::view::{View, almost};

/// The first line: the thing to do.
#[must_use]
pub fn headline(view: &View<'_>, pick: &Pick) -> String {
    let line = match &pick.plan {
        None => of_packs(view, pick),
        Some(plan) if plan.stations.len() == pick.packs.len() => plan::headline(view, pick, plan),
        Some(plan) => format!("{}; {}", plan::headline(view, pick, plan), of_packs(view, pick)),
    };
    // The reading counts, but it is not to be believed without a look.
    let at_odds = pick.comparisons.iter().flatten().any(|one| !one.agrees());
    let but = if at_odds { "; but reading and sum do not agree, find out why first" } else { "" };
    hanging("", &format!("{line}{but}"), view.width)
}

/// What to do about the packs that are no stations of a plan.
fn of_packs(view: &View<'_>, pick: &Pick) -> String {
    let pack = to_do(view, pick);
    let expect = expectations(view, pick);
    let untouched = |packed: &Packed| view.model.packs[packed.pack].pitch_mm.is_some();
    if pick.leave && pick.packs.iter().all(untouched) {
        format!("LEAVE IT: {expect}")
    } else if pick.leave {
        let is = if pick.packs.len() > 1 { "are" } else { "is" };
        format!("LEAVE IT: {pack} {is} in, {expect}")
    } else if deciding(view, pick).any(|gap| gap.by_number.is_some_and(|side| side != ByNumber::In)) {
        format!("NOTHING FITS: nearest is {pack}, expect {expect}")
    } else if let Some((first, others)) = pick.tries.split_first().filter(|(_, others)| !others.is_empty()) {
        let one = |one: &Try| format!("{} ({})", view.pack(&one.choice), almost(one.enters));
        let others: Vec<String> = others.iter().map(one).collect();
        let first = format!("{} (enters {})", view.pack(&first.choice), almost(first.enters));
        format!(
            "TRY {first}, then {}: the thickest that enters stays; by the number {pack}, expect {expect}",
            others.join(", then ")
        )
    } else {
        let screws = pick.packs.iter().all(|packed| view.model.packs[packed.pack].pitch_mm.is_some());
        let verb = if screws { "TURN" } else { "FIT" };
        format!("{verb} {pack}, expect {expect}")
    }
}

/// The packs as the thing to do; of several each with its name.
fn to_do(view: &View<'_>, pick: &Pick) -> String {
    let one = |packed: &Packed| {
        let pack = &view.model.packs[packed.pack];
        let own = |shim: &Shim| shim.from == Origin::Fitted && shim.moved_from.is_none();
        let unchanged = packed.choice.shims.len() == pack.fitted_labels.len() && packed.choice.shims.iter().all(own);
        let kept = pack.fitted.is_some() && unchanged;
        if let Some(turns) = pack.turns(packed.choice.thickness_mm) {
            return turned(view, packed, turns);
        }
        let words = if kept { view.pack(&packed.choice) } else { view.pack_to_fit(&packed.choice) };
        match (pick.packs.len(), kept && !pick.leave) {
            (1, _) => words,
            (_, false) => format!("{} {words}", pack.name),
            (_, true) => format!("{} {words} as it is", pack.name),
        }
    };
    pick.packs.iter().filter(|packed| !is_station(pick, packed)).map(one).collect::<Vec<_>>().join(", ")
}

/// Whether a pack is that of a station of the plan.
pub(super) fn is_station(pick: &Pick, packed: &Packed) -> bool {
    pick.plan.iter().flat_map(|plan| &plan.stations).any(|station| station.pack == packed.pack)
}

/// A screw as the thing to do: how far, which way, in degrees and flats of a hexagon.
fn turned(view: &View<'_>, packed: &Packed, turns: f64) -> String {
    let name = &view.model.packs[packed.pack].name;
    if turns == 0.0 {
        return format!("{name} no turn");
    }
    let amount = view.pack(&packed.choice);
    let amount = amount.trim_start_matches('-');
    let gap = view.model.gaps.iter().find(|gap| gap.is_judged() && gap.pack_coefficients[packed.pack] != 0.0);
    let way = gap.map_or(String::new(), |gap| {
        let opens = gap.pack_coefficients[packed.pack] * gap.looser_sign() * turns > 0.0;
        format!(", which {} {}", if opens { "opens" } else { "closes" }, gap.name)
    });
    format!("{name} {amount} ({}){way}", by_spanner(turns))
}

/// The whole answer.
#[must_use]
pub fn text(view: &View<'_>, pick: &Pick, notes: &[Diagnostic]) -> String {
    let mut text = headline(view, pick);
    if let Some(plan) = &pick.plan {
        text.push_str(&plan::under_headline(view, pick, plan));
    }
    let of_plan = |index: usize| plan::is_of_plan(pick, index);
    for (index, gap) in pick.gaps.iter().enumerate().filter(|(index, _)| !of_plan(*index)) {
        text.push_str(&under_headline(view, pick, index, gap));
    }
    if let Some((least, most)) = pick.joint_within {
        let judged = pick.gaps.iter().filter(|gap| gap.verdict.is_some()).count();
        let all = if judged == 2 { "both" } else { "all" };
        // Where only bounds are known they mostly say the same in words.
        let (least, most) = (almost(least), almost(most));
        let at_least = if least == most { "" } else { " at least" };
        text.push_str(&hanging("  ", &format!("{all} at once: {least}{at_least}"), view.width));
    }
    text.push_str(&view.mind(notes));
    text.push_str(&not_sure(view, pick));
    for (gap, expected) in view.model.gaps.iter().zip(&pick.gaps) {
        text.push_str(&view.spots(gap, expected.expected_mm, expected.u_mm));
    }
    let packs = pack_terms(view, pick);
    for (index, gap) in view.model.gaps.iter().enumerate() {
        if of_plan(index) {
            continue;
        }
        if gap.is_judged() || is_shown(view, pick, index) || pick.gaps.len() == 1 {
            text.push_str(&sum(view, index, &packs));
        }
    }
    text.push_str(&beside(view, pick));
    let doubted = |index: usize| is_shown(view, pick, index) && !of_plan(index);
    for (_, gap) in pick.gaps.iter().enumerate().filter(|(index, _)| doubted(*index)) {
        text.push_str(&doubt(view, &gap.name, gap.u_mm, Some(gap.interval_mm), &gap.contributions));
    }
    text.push_str("\nFigures\n");
    for (index, gap) in pick.gaps.iter().enumerate() {
        let best = pick.best_possible.filter(|_| decides(view, pick, index) && !of_plan(index));
        text.push_str(&of_expected(view, gap, best, pick.comparisons[index].as_ref()));
    }
    let other = view.notes(notes);
    if !other.is_empty() {
        text.push('\n');
        text.push_str(&other);
    }
    text.push_str(&view.list("Fitting, in this order", &view.document.fitting, true));
    text.push_str(&view.list("Take care", &view.document.cautions, false));
    text
}

fn pack_terms(view: &View<'_>, pick: &Pick) -> Vec<PackTerm> {
    (0..view.model.packs.len())
        .map(|index| match pick.packs.iter().find(|packed| packed.pack == index && !packed.leave) {
            Some(packed) => PackTerm::of(view, &packed.choice),
            None => PackTerm::fitted(&view.model.packs[index]),
        })
        .collect()
}

/// The band and the likely range; for a gap that is only shown, its value.
fn under_headline(view: &View<'_>, pick: &Pick, index: usize, gap: &Expected) -> String {
    let places = view.decimals(gap.u_mm);
    let (low, high) = gap.interval_mm;
    let likely = if gap.u_mm > 0.0 {
        format!("19 times in 20 between {} and {}", view.length(low, places), view.length(high, places))
    } else {
        "exact".to_owned()
    };
    let written = &view.document.gaps[index];
    let band = view.band(written, gap.accept_mm, gap.target_mm);
    let decides = decides(view, pick, index);
    let mut line = if decides { String::new() } else { format!("{}, ", expectation(view, index, gap, false)) };
    if decides && pick.gaps.len() > 1 {
        line.push_str(&format!("{}: ", gap.name));
    }
    if !band.is_empty() {
        line.push_str(&format!("{band}; "));
    }
    line.push_str(&likely);
    if let Some(limit) = view.model.gaps[index].wear_limit_mm {
        line.push_str(&format!("; limit of wear {}", view.plain(limit)));
    }
    let tail = gap.chances.as_ref().map_or(String::new(), |chances| view.law_tail(chances, gap.measured));
    hanging("  ", &line, view.width) + &tail + &heat::wanted_cold(view, index, gap.u_mm, gap.cold.as_ref())
}

/// The decimal place of thicknesses: that of the gap in most doubt.
pub(super) fn places(view: &View<'_>, pick: &Pick) -> i32 {
    view.decimals(pick.gaps.iter().map(|gap| gap.u_mm).fold(0.0, f64::max))
}
