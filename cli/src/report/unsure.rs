//! What would help where an answer of `pick` is not sure.

use shimwright_engine::analyse::Verdict;
use shimwright_engine::select::{Make, Packed, Pick};

use super::pick::{is_station, places};
use super::plan::is_of_plan;
use super::settle;
use super::text::hanging;
use super::view::{View, almost, together};

/// What would help where the answer is not sure.
pub(super) fn not_sure(view: &View<'_>, pick: &Pick) -> String {
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
    let all_stations = pick.packs.iter().all(|packed| is_station(pick, packed));
    if !all_stations {
        text.push_str(&out_of_band(view, pick));
    }
    if let Some(slip) = &pick.slip {
        text.push_str(&hanging("mind: ", slip, view.width));
    }
    let unsure = pick.verdict.is_some_and(|verdict| matches!(verdict, Verdict::CannotTell | Verdict::SomeWill));
    if let (true, Some(best)) = (unsure && !all_stations, pick.best_possible) {
        let uneven = view.model.gaps.iter().any(|gap| !gap.not_flat.is_empty());
        let line = if uneven {
            "no thickness can make it sure while a face is not flat".to_owned()
        } else if best < pick.confidence.probability() {
            format!("no thickness can make it sure, {} at best", almost(best))
        } else if let Some(make) = pick.make.iter().find(|make| make.sure || pick.packs.len() == 1) {
            let places = places(view, pick);
            let (low, high) = (view.length(make.low_mm, places), view.length(make.high_mm, places));
            format!(
                "a shim made {low} to {high} thick{} would make it sure ({})",
                for_pack(view, pick, make),
                almost(best)
            )
        } else {
            format!("a thickness that the rules do not allow would make it sure ({})", almost(best))
        };
        if pick.make.is_empty() || pick.misses_by_mm.is_none() {
            text.push_str(&hanging("mind: ", &line, view.width));
        }
    }
    let several = pick.settle.iter().flatten().count() > 1;
    for (index, (gap, settle)) in pick.gaps.iter().zip(&pick.settle).enumerate() {
        if let Some(settle) = settle.as_ref().filter(|_| !is_of_plan(pick, index)) {
            text.push_str(&settle::sentence(view, several.then_some(gap.name.as_str()), settle));
        }
    }
    text
}

/// What to do where no pack is in band by the number.
fn out_of_band(view: &View<'_>, pick: &Pick) -> String {
    if pick.misses_by_mm.is_none() {
        return String::new();
    }
    let places = places(view, pick);
    let length = |mm: f64| view.length(mm, places);
    if !pick.make.is_empty() {
        let one = |(index, make): (usize, &Make)| {
            let beside =
                if make.beside.is_empty() { String::new() } else { format!(", to go with {}", together(&make.beside)) };
            let by = if make.sure { "" } else { " by the number" };
            let keeps =
                if pick.gaps.len() > 1 && pick.packs.len() > 1 { "keeps all in band" } else { "keeps it in band" };
            let lead = if index == 0 { "HAVE ONE MADE" } else { "or one" };
            let line = format!(
                "{lead} {} thick{}{beside}; from {} to {} {keeps}{by}",
                length(make.thickness_mm),
                for_pack(view, pick, make),
                length(make.low_mm),
                length(make.high_mm)
            );
            hanging("", &line, view.width)
        };
        return pick.make.iter().enumerate().map(one).collect();
    }
    let several = pick.packs.len() > 1;
    if pick.packs.iter().any(|packed| packed.wanted.none_serves) {
        let line = if several {
            "no one shim made for one of these packs brings every gap in band"
        } else {
            "no one thickness serves all of these gaps: they want different ones"
        };
        return hanging("", line, view.width);
    }
    let one = |packed: &Packed| {
        if packed.wanted.thickness_mm > 0.0 {
            return String::new();
        }
        let gap = if several { view.model.packs[packed.pack].name.as_str() } else { "the gap" };
        let line =
            format!("no shim can do it: {gap} wants {} less than no shims at all", length(-packed.wanted.thickness_mm));
        hanging("", &line, view.width)
    };
    pick.packs.iter().map(one).collect()
}

/// Which pack a shim would be made for, where there are several.
fn for_pack(view: &View<'_>, pick: &Pick, make: &Make) -> String {
    if pick.packs.len() > 1 { format!(" for {}", view.model.packs[make.pack].name) } else { String::new() }
}
