//! The answer of `pick` in words.

use shimwright_engine::analyse::{ByNumber, Verdict};
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::select::{Alternative, AlternativeRole, Expected, Pick, Rule, Ruled};

use super::doubt::doubt;
use super::expect::{decides, deciding, expectation, expectation_short, expectations, is_shown};
use super::heat;
use super::method_figures::of_expected;
use super::settle;
use super::sum::{PackTerm, sum};
use super::text::{columns_of, hanging, table};
use super::view::{View, almost};

/// The first line: the thing to do.
#[must_use]
pub fn headline(view: &View<'_>, pick: &Pick) -> String {
    let pack = if pick.leave { view.pack(&pick.choice) } else { view.pack_to_fit(&pick.choice) };
    let expect = expectations(view, pick);
    let line = if pick.leave {
        format!("LEAVE IT: {pack} is in, {expect}")
    } else if deciding(view, pick).any(|gap| gap.by_number.is_some_and(|side| side != ByNumber::In)) {
        format!("NOTHING FITS: nearest is {pack}, expect {expect}")
    } else {
        format!("FIT {pack}, expect {expect}")
    };
    hanging("", &line, view.width)
}

/// The whole answer.
#[must_use]
pub fn text(view: &View<'_>, pick: &Pick, notes: &[Diagnostic]) -> String {
    let mut text = headline(view, pick);
    for (index, gap) in pick.gaps.iter().enumerate() {
        text.push_str(&under_headline(view, pick, index, gap));
    }
    text.push_str(&view.mind(notes));
    text.push_str(&not_sure(view, pick));
    for (gap, expected) in view.model.gaps.iter().zip(&pick.gaps) {
        text.push_str(&view.spots(gap, expected.expected_mm, expected.u_mm));
    }
    let packs = pack_terms(view, pick);
    for (index, gap) in view.model.gaps.iter().enumerate() {
        if gap.is_judged() || is_shown(view, pick, index) || pick.gaps.len() == 1 {
            text.push_str(&sum(view, index, &packs));
        }
    }
    text.push_str(&beside(view, pick));
    for (_, gap) in pick.gaps.iter().enumerate().filter(|(index, _)| is_shown(view, pick, *index)) {
        text.push_str(&doubt(view, &gap.name, gap.u_mm, &gap.contributions));
    }
    text.push_str("\nFigures\n");
    for (index, gap) in pick.gaps.iter().enumerate() {
        let best = pick.best_possible.filter(|_| decides(view, pick, index));
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
        .map(|index| {
            if index == pick.pack && !pick.leave {
                PackTerm::of(view, &pick.choice)
            } else {
                PackTerm::fitted(&view.model.packs[index])
            }
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
fn places(view: &View<'_>, pick: &Pick) -> i32 {
    view.decimals(pick.gaps.iter().map(|gap| gap.u_mm).fold(0.0, f64::max))
}

/// What would help where the answer is not sure.
fn not_sure(view: &View<'_>, pick: &Pick) -> String {
    let mut text = String::new();
    for comparison in pick.comparisons.iter().flatten() {
        let places = view.decimals(comparison.predicted_u_mm.max(comparison.found_u_mm));
        let (paper, found) = (view.length(comparison.predicted_mm, places), view.length(comparison.found_mm, places));
        let line = if comparison.agrees() {
            format!(
                "on paper it is {paper} with what is in now, read {found}: they agree within their doubt; the reading counts"
            )
        } else {
            format!("on paper it is {paper} with what is in now, read {found}: they do not agree, find out why first")
        };
        text.push_str(&hanging("mind: ", &line, view.width));
    }
    if let Some(make) = &pick.make
        && pick.misses_by_mm.is_some()
    {
        let places = places(view, pick);
        let beside =
            if make.beside.is_empty() { String::new() } else { format!(", to go with {}", make.beside.join(" + ")) };
        let by = if make.sure { "" } else { " by the number" };
        let line = format!(
            "HAVE ONE MADE {} thick{beside}; from {} to {} keeps it in band{by}",
            view.length(make.thickness_mm, places),
            view.length(make.low_mm, places),
            view.length(make.high_mm, places)
        );
        text.push_str(&hanging("", &line, view.width));
    } else if pick.wanted.none_serves {
        text.push_str(&hanging("", "no one thickness serves all of these gaps: they want different ones", view.width));
    } else if pick.make.is_none() && pick.misses_by_mm.is_some() && pick.wanted.thickness_mm <= 0.0 {
        let places = places(view, pick);
        let line = format!(
            "no shim can do it: the gap wants {} less than no shims at all",
            view.length(-pick.wanted.thickness_mm, places)
        );
        text.push_str(&hanging("", &line, view.width));
    }
    if let Some(slip) = &pick.slip {
        text.push_str(&hanging("mind: ", slip, view.width));
    }
    let unsure = pick.verdict.is_some_and(|verdict| matches!(verdict, Verdict::CannotTell | Verdict::SomeWill));
    if let (true, Some(best)) = (unsure, pick.best_possible) {
        let uneven = view.model.gaps.iter().any(|gap| !gap.not_flat.is_empty());
        let line = if uneven {
            "no thickness can make it sure while a face is not flat".to_owned()
        } else if best < pick.confidence.probability() {
            format!("no thickness can make it sure, {} at best", almost(best))
        } else if let Some(make) = &pick.make {
            let places = places(view, pick);
            let (low, high) = (view.length(make.low_mm, places), view.length(make.high_mm, places));
            format!("a shim made {low} to {high} thick would make it sure ({})", almost(best))
        } else {
            format!("a thickness that the rules do not allow would make it sure ({})", almost(best))
        };
        if !(pick.make.is_some() && pick.misses_by_mm.is_some()) {
            text.push_str(&hanging("mind: ", &line, view.width));
        }
    }
    let several = pick.settle.iter().flatten().count() > 1;
    for (gap, settle) in pick.gaps.iter().zip(&pick.settle) {
        if let Some(settle) = settle {
            text.push_str(&settle::sentence(view, several.then_some(gap.name.as_str()), settle));
        }
    }
    text
}

/// What is next to the pack, and what was ruled out.
fn beside(view: &View<'_>, pick: &Pick) -> String {
    let wanted = &pick.wanted;
    let places = places(view, pick);
    let mut line = format!("wanted {}", view.length(wanted.thickness_mm, places));
    if wanted.none_serves {
        line = "no one thickness keeps all of these gaps in band".to_owned();
    }
    match (wanted.low_mm, wanted.high_mm) {
        (Some(low), Some(high)) => {
            line.push_str(&format!(
                "; in band by the number from {} to {}",
                view.length(low, places),
                view.length(high, places)
            ));
        }
        (Some(low), None) => line.push_str(&format!("; in band by the number from {}", view.length(low, places))),
        (None, Some(high)) => line.push_str(&format!("; in band by the number up to {}", view.length(high, places))),
        (None, None) => {}
    }
    let mut text = format!("\nNext to it\n{}", hanging("  ", &line, view.width));
    let rows: Vec<Vec<String>> = pick.alternatives.iter().map(|one| alternative(view, pick, one)).collect();
    text.push_str(&in_columns(&rows, view.width));
    for ruled in &pick.ruled {
        text.push_str(&hanging("  ", &ruled_out(view, pick, ruled), view.width));
    }
    text
}

/// Rows in columns, or each as a sentence where a row would be too wide.
fn in_columns(rows: &[Vec<String>], width: usize) -> String {
    let set = table(rows, &[], 2);
    if set.lines().all(|line| columns_of(line) <= width) {
        return set;
    }
    rows.iter().map(|row| hanging(&format!("  {}: ", row[0]), &row[1..].join("; "), width)).collect()
}

fn alternative(view: &View<'_>, pick: &Pick, one: &Alternative) -> Vec<String> {
    let role = match one.role {
        AlternativeRole::Thinner => "next thinner",
        AlternativeRole::Thicker => "next thicker",
        AlternativeRole::Next => "if bought",
    };
    vec![role.to_owned(), view.pack(&one.choice), gives(view, pick, &one.gaps)]
}

fn gives(view: &View<'_>, pick: &Pick, gaps: &[Expected]) -> String {
    (0..gaps.len())
        .filter(|&index| decides(view, pick, index))
        .map(|index| expectation_short(view, &gaps[index]))
        .collect::<Vec<_>>()
        .join("; ")
}

fn ruled_out(view: &View<'_>, pick: &Pick, ruled: &Ruled) -> String {
    let pack = &view.model.packs[pick.pack];
    let rule = match ruled.rule {
        Rule::Most => format!("at most {} may be in", pack.count.most),
        Rule::Least => format!("at least {} must be in", pack.count.least),
        Rule::Includes => {
            let sizes: Vec<String> = pack.includes_mm.iter().map(|&mm| view.length(mm, 2)).collect();
            format!("{} must be in", sizes.join(" + "))
        }
        Rule::Thickest => "the pack may not be thicker".to_owned(),
        Rule::Box => "the box has no more".to_owned(),
    };
    format!("but for the rule that {rule}: {}, {}", view.pack(&ruled.choice), gives(view, pick, &ruled.gaps))
}
