//! The answer of `verify` in words.

use shimwright_engine::analyse::{PackChange, RestsOn, Slip, Verdict, Verified, VerifyReport};
use shimwright_engine::document::diagnostic::Diagnostic;

use super::heat;
use super::number::{place_of, signed, to_place};
use super::screw;
use super::settle;
use super::sum::typed_readings;
use super::text::{Align, hanging, table, table_within};
use super::view::{View, together};

/// The first line: whether reading and sum agree, and what to do.
#[must_use]
pub fn headline(view: &View<'_>, report: &VerifyReport) -> String {
    let said: Vec<String> = report
        .gaps
        .iter()
        .enumerate()
        .filter(|(index, gap)| gap.found_mm.is_some() || is_warmed(view, *index) || is_unsure(gap))
        .map(|(index, gap)| in_short(view, index, gap))
        .collect();
    let lead = match report.verdict {
        _ if !report.agrees => "FIND OUT WHY FIRST: ",
        Some(Verdict::Out) => "CHANGE IT: ",
        Some(Verdict::CannotTell | Verdict::SomeWill) => "NOT SURE YET: ",
        Some(Verdict::In) => "LEAVE IT: ",
        // Without a band there is nothing to leave or to change it by.
        None => "",
    };
    hanging("", &format!("{lead}{}", said.join("; ")), view.width)
}

/// Whether a gap is not surely in band, so that it has a part in the verdict, whether or not it was read.
fn is_unsure(gap: &Verified) -> bool {
    gap.verdict.is_some_and(|verdict| verdict != Verdict::In)
}

/// Whether a gap is one that was read, at another temperature.
fn is_warmed(view: &View<'_>, index: usize) -> bool {
    let heat = view.model.gaps[index].heat.as_ref();
    heat.and_then(|heat| heat.cold).is_some_and(|cold| view.model.gaps[cold].found.is_some())
}

fn in_short(view: &View<'_>, index: usize, gap: &Verified) -> String {
    let u = gap.best_mm.or(gap.found_mm).map_or(0.0, |(_, u)| u);
    let places = view.decimals(u);
    match (gap.agrees, gap.predicted_mm, gap.found_mm) {
        (Some(false), Some((sum, _)), Some((read, _))) => {
            format!("{} is {} on paper and reads {}", gap.name, view.length(sum, places), view.length(read, places))
        }
        _ => {
            let value = gap.best_mm.or(gap.found_mm).map_or(0.0, |(value, _)| value);
            let follows =
                view.model.gaps[index].heat.as_ref().and_then(|heat| heat.cold).is_some_and(|cold| cold < index);
            let mut text = heat::with_figure(view, index, value, u, follows);
            if gap.found_mm.is_none() && gap.rests_on == RestsOn::Parts {
                text.push_str(" by the sum");
            }
            let says_so = gap.name.to_lowercase().contains("preload") || text.contains(" none, ");
            if view.model.gaps[index].preload && !says_so {
                text.push_str(" of preload");
            }
            if let (Some(verdict), Some(number), Some(chances)) = (gap.verdict, gap.by_number, &gap.chances) {
                let miss = view.miss(number.misses_by_mm(value, gap.accept_mm), u);
                text.push_str(&format!(", {}", view.sure(verdict, number, chances, true, &miss)));
            }
            text
        }
    }
}

/// The whole answer.
#[must_use]
pub fn text(view: &View<'_>, report: &VerifyReport, notes: &[Diagnostic]) -> String {
    let mut text = headline(view, report);
    for (index, gap) in report.gaps.iter().enumerate() {
        let band = view.band(&view.document.gaps[index], gap.accept_mm, gap.target_mm);
        if !band.is_empty() {
            text.push_str(&hanging("  ", &format!("{}: {band}", gap.name), view.width));
        }
    }
    for change in &report.packs {
        text.push_str(&what_to_change(view, report, change));
    }
    for (index, gap) in report.gaps.iter().enumerate() {
        text.push_str(&shared_change(view, report, index, gap));
    }
    text.push_str(&view.mind(notes));
    let several = report.gaps.iter().filter(|gap| gap.settle.is_some()).count() > 1;
    for gap in &report.gaps {
        if let Some(settle) = &gap.settle {
            text.push_str(&settle::sentence(view, several.then_some(gap.name.as_str()), settle));
        }
    }
    for (index, gap) in report.gaps.iter().enumerate() {
        if gap.found_mm.is_some() {
            text.push_str(&side_by_side(view, index, gap));
        }
    }
    for gap in &report.gaps {
        text.push_str(&what_would_be_wrong(view, gap));
    }
    text.push_str(&record(view, report));
    text.push_str("\nFigures\n");
    let mut rows: Vec<Vec<String>> = Vec::new();
    for gap in &report.gaps {
        if let Some(error) = gap.normalised_error {
            rows.push(vec![format!("{}: normalised error E_n", gap.name), to_place(error, 2)]);
        }
        if let Some(chances) = &gap.chances {
            rows.push(vec![format!("{}: probability in band", gap.name), format!("{:.6}", chances.within + 0.0)]);
        }
    }
    text.push_str(&table_within(view.width, &rows, &[Align::Left, Align::Point], 2));
    text.push_str(&view.ending(notes));
    text
}

/// The change of a pack in words, and why that way.
fn what_to_change(view: &View<'_>, report: &VerifyReport, change: &PackChange) -> String {
    let (Some(by), Some(wanted), Some(fitted)) = (change.change_mm, change.wanted_mm, change.fitted_mm) else {
        return String::new();
    };
    let u = report.gaps.iter().filter_map(|gap| gap.best_mm.or(gap.found_mm)).map(|(_, u)| u).fold(0.0, f64::max);
    let places = view.decimals(u);
    let amount = view.length(by.abs(), places);
    if amount.bytes().all(|byte| matches!(byte, b'0' | b'.')) {
        return hanging("  ", &format!("{}: as it is, it is on target", change.name), view.width);
    }
    let thicker = by > 0.0;
    let way = if thicker { "thicker" } else { "thinner" };
    // Of several packs each is there for a gap of its own, or for one that it shares.
    let gap = match &change.thicker_opens {
        Some((gap, _)) if report.packs.len() > 1 => gap,
        _ => "this gap",
    };
    let opens = change.thicker_opens.as_ref().is_some_and(|(_, opens)| *opens);
    let does = if opens == thicker { format!("opens {gap}") } else { format!("closes {gap}") };
    let wait = match (report.agrees, report.verdict) {
        (false, _) => ", but find out why first",
        (true, Some(Verdict::In)) => ", which is not needed",
        (true, _) => "",
    };
    let pack = view.model.packs.iter().find(|pack| pack.name == change.name);
    if let Some(turns) = pack.and_then(|pack| pack.turns(by)) {
        let line = format!(
            "{}: turning it by {} ({}) {does} and brings it to target{wait}",
            change.name,
            screw::turns(turns.abs()),
            screw::by_spanner(turns)
        );
        return hanging("  ", &line, view.width);
    }
    let line = format!(
        "{}: {amount} {way} brings it to target, because {way} {does}: {} in place of {}{wait}",
        change.name,
        view.length(wanted, places),
        view.length(fitted, places)
    );
    hanging("  ", &line, view.width)
}

/// The change that a gap wants where it cannot be said which pack takes it.
fn shared_change(view: &View<'_>, report: &VerifyReport, index: usize, gap: &Verified) -> String {
    let (Some(target), Some((value, u))) = (gap.target_mm, gap.best_mm.or(gap.found_mm)) else { return String::new() };
    let coefficients = &view.model.gaps[index].pack_coefficients;
    let open = |(pack, coefficient): (&PackChange, &f64)| *coefficient != 0.0 && pack.change_mm.is_none();
    if gap.found_mm.is_none() || !report.packs.iter().zip(coefficients).any(open) {
        return String::new();
    }
    let way = if target > value { "larger" } else { "smaller" };
    let line = format!(
        "{}: {} {way} brings it to target; more than one pack is in it, and how much each takes is yours to say",
        gap.name,
        view.length((target - value).abs(), view.decimals(u))
    );
    hanging("  ", &line, view.width)
}

fn side_by_side(view: &View<'_>, index: usize, gap: &Verified) -> String {
    let places = |u: f64| view.decimals(u);
    let mut rows = Vec::new();
    let mut row = |name: &str, (value, u): (f64, f64)| {
        let decimals = places(u);
        rows.push(vec![name.to_owned(), view.length(value, decimals), format!("± {}", view.length(2.0 * u, decimals))]);
    };
    if let Some(sum) = gap.predicted_mm {
        row("sum of the parts", sum);
    }
    if let Some(read) = gap.found_mm {
        row("as read", read);
    }
    if let (Some(best), RestsOn::Both) = (gap.best_mm, gap.rests_on) {
        row("both at once", best);
    }
    let read_with = view.document.gaps[index].found.as_ref().map(typed_readings).unwrap_or_default();
    let heading = format!("{} ({}, with what each is good to; read {read_with})", gap.name, view.unit);
    format!("\n{}", hanging("", &heading, view.width)) + &table(&rows, &[Align::Left, Align::Point, Align::Point], 2)
}

fn what_would_be_wrong(view: &View<'_>, gap: &Verified) -> String {
    let Some((difference, u)) = gap.difference_mm.filter(|_| gap.agrees == Some(false)) else { return String::new() };
    let places = view.decimals(u);
    let heading = format!(
        "{} reads {}: what would have to be larger or smaller, likeliest first",
        gap.name,
        signed(view.unit.from_mm(difference), places)
    );
    let mut text = format!("\n{}", hanging("", &heading, view.width));
    let rows: Vec<Vec<String>> = gap
        .suspects
        .iter()
        .map(|one| {
            let decimals = place_of(view.unit.from_mm(one.by_mm).abs()).map_or(places, |place| place.min(places));
            let times = match one.times_its_u {
                Some(times) => format!("{} times its own doubt", to_place(times / 2.0, 1)),
                None => "taken as exact".to_owned(),
            };
            vec![one.name.replace(".found", " as read"), signed(view.unit.from_mm(one.by_mm), decimals), times]
        })
        .collect();
    text.push_str(&table_within(view.width, &rows, &[Align::Left, Align::Point, Align::Left], 2));
    for slip in &gap.slips {
        let line = match slip {
            Slip::ShimMore(label) => format!("it is as if one shim of {label} more were in than was written down"),
            Slip::ShimFewer(label) => format!("it is as if one shim of {label} fewer were in than was written down"),
            Slip::ShimOther(written, other) => {
                format!("it is as if a shim of {other} were in where {written} was written down")
            }
            Slip::Part(name) => format!("it is as if {name} were left out"),
            Slip::PartTwice(name) => format!("it is as if {name} were in twice"),
            Slip::Digit(mm) => format!("it is as if one digit were misread, by {}", view.plain(*mm)),
        };
        text.push_str(&hanging("  or: ", &line, view.width));
    }
    text
}

/// What to write down.
fn record(view: &View<'_>, report: &VerifyReport) -> String {
    let mut lines = Vec::new();
    for (index, gap) in report.gaps.iter().enumerate() {
        let Some((value, u)) = gap.best_mm.or(gap.found_mm) else { continue };
        let places = view.decimals(u);
        let rests = match gap.rests_on {
            RestsOn::Both => "from the sum and the reading",
            RestsOn::Reading if gap.found_mm.is_none() => "from what was read",
            RestsOn::Reading => "as read",
            RestsOn::Parts => "by the sum of the parts",
        };
        let read = view.document.gaps[index]
            .found
            .as_ref()
            .map_or(String::new(), |found| format!("; read {}", typed_readings(found)));
        let (low, high) = gap.interval_mm;
        lines.push(format!(
            "{} {} {} {rests}, 19 times in 20 between {} and {}{read}",
            gap.name,
            view.length(value, places),
            view.unit,
            view.length(low, places),
            view.length(high, places)
        ));
    }
    for pack in &view.model.packs {
        if pack.fitted.is_some() && pack.pitch_mm.is_none() {
            lines.push(format!(
                "{}: fitted {}",
                pack.name,
                if pack.fitted_labels.is_empty() { "none".to_owned() } else { together(&pack.fitted_labels) }
            ));
        }
    }
    view.list("For the record", &lines, false)
}
