//! The answer of `reach` in words and as JSON.

use serde_json::{Value, json};
use shimwright_engine::analyse::monte_carlo::Share;
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::document::source::Sources;
use shimwright_engine::select::reach::{Reach, ReachOptions, Reached, Room, Stop};

use super::answer_json::length;
use super::json::{FORMAT, Note};
use super::number::{signed, to_place, usual_decimals};
use super::text::{Align, hanging, table};
use super::view::{View, almost};

/// More intervals than this are not listed in words.
const MOST_LISTED: usize = 12;

/// The first line: how often the box does it.
#[must_use]
pub fn headline(view: &View<'_>, reach: &Reach) -> String {
    let perfect = chances(reach.reached.probability);
    let line = match reach.as_measured {
        Some(share) => format!(
            "THE BOX DOES IT for {perfect} units with perfect tools, for {} with your tools",
            chances(share.value)
        ),
        None => format!("THE BOX DOES IT for {perfect} units with perfect tools"),
    };
    hanging("", &line, view.width)
}

/// Of so many units; only what is certain is all of them.
fn chances(probability: f64) -> String {
    if probability == 0.0 { "none of 100".to_owned() } else { almost(probability).replace(" in ", " of ") }
}

/// The whole answer.
#[must_use]
pub fn text(view: &View<'_>, reach: &Reach, options: &ReachOptions, notes: &[Diagnostic]) -> String {
    let mut text = headline(view, reach);
    for (gap, written) in view.model.gaps.iter().zip(&view.document.gaps) {
        let mean =
            |end: &Option<shimwright_engine::model::Form>| end.as_ref().map(|end| end.mean_mm(&view.model.columns));
        let band = view.band(written, (mean(&gap.low), mean(&gap.high)), mean(&gap.target));
        if !band.is_empty() {
            text.push_str(&hanging("  ", &format!("{}: {band}", gap.name), view.width));
        }
    }
    if !options.on_hand && view.document.kits.iter().any(|kit| kit.counted) {
        text.push_str(&hanging("  ", "with plenty of each size; --on-hand counts with the box as it is", view.width));
    }
    text.push_str(&view.mind(notes));
    text.push_str(&covered(view, reach));
    text.push_str(&room(view, reach));
    text.push_str(&sweep(view, reach, options));
    text.push_str(&figures(reach, options));
    text + &view.ending(notes)
}

fn interval(view: &View<'_>, (low, high): (f64, f64)) -> String {
    let places = usual_decimals(view.unit);
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{} to {}", view.length(low, places), view.length(high, places)),
        (true, false) => format!("{} and more", view.length(low, places)),
        (false, true) => format!("up to {}", view.length(high, places)),
        (false, false) => "any".to_owned(),
    }
}

/// The thicknesses wanted that the sizes cover, and those that they miss.
fn covered(view: &View<'_>, reach: &Reach) -> String {
    let mut text = String::new();
    for pack in &reach.packs {
        let name = &view.model.packs[pack.pack].name;
        let Some(intervals) = &pack.intervals_mm else { continue };
        let list = |all: &[(f64, f64)]| {
            let mut shown: Vec<String> = all.iter().take(MOST_LISTED).map(|&one| interval(view, one)).collect();
            if all.len() > MOST_LISTED {
                shown.push(format!("and {} more", all.len() - MOST_LISTED));
            }
            shown.join(", ")
        };
        text.push_str(&format!("\nThickness of {name} that a unit may want ({})\n", view.unit));
        text.push_str(&hanging("  sizes covered  ", &list(intervals), view.width));
        let holes = pack.holes_mm.as_deref().unwrap_or_default();
        if holes.is_empty() {
            text.push_str("  sizes missing  none between them\n");
        } else {
            text.push_str(&hanging("  sizes missing  ", &list(holes), view.width));
        }
    }
    text
}

/// How far each dimension may still be cut.
fn room(view: &View<'_>, reach: &Reach) -> String {
    let Some(rooms) = &reach.room else {
        let one_each = reach.packs.iter().all(|pack| pack.intervals_mm.is_some());
        let why = if one_each {
            "no pack is sure to be in band as the parts are now, so that there is no room to tell"
        } else {
            "how far a part may be cut is not told where packs are chosen together"
        };
        return format!("\n{}", hanging("", why, view.width));
    };
    let places = usual_decimals(view.unit);
    // Inwards, so that what is shown is still in.
    let end = |end: Option<(f64, Stop)>, lower: bool| match end {
        None => ["any".to_owned(), String::new()],
        Some((mm, stop)) => {
            let word = match stop {
                Stop::Hole => "no size behind it",
                Stop::End => "the kit ends",
            };
            [view.inwards(mm, places, lower), word.to_owned()]
        }
    };
    let mut rows = Vec::new();
    for Room { dimension, now_mm, low, high } in rooms {
        let name = view.document.dimensions[*dimension].name.clone();
        let ([low, below], [high, above]) = (end(*low, true), end(*high, false));
        let stops = if below == above || above.is_empty() { below } else { format!("{below}; {above}") };
        rows.push(vec![name, view.length(*now_mm, places), "from".to_owned(), low, "to".to_owned(), high, stops]);
    }
    if rows.is_empty() {
        return String::new();
    }
    let align = [Align::Left, Align::Point, Align::Left, Align::Point, Align::Left, Align::Point, Align::Left];
    format!("\nMay still be cut to, each alone ({}; size now, then how far)\n{}", view.unit, table(&rows, &align, 2))
}

/// What a cut does, step by step, and where the shims give out.
fn sweep(view: &View<'_>, reach: &Reach, options: &ReachOptions) -> String {
    let Some(asked) = &options.sweep else { return String::new() };
    let places = usual_decimals(view.unit);
    let change = |mm: f64| signed(view.unit.from_mm(mm), places);
    let rows: Vec<Vec<String>> = reach
        .sweep
        .iter()
        .map(|&(mm, reached)| vec![change(mm), format!("{} units", chances(reached.probability))])
        .collect();
    let mut text = format!("\nWith {} changed by so much ({}), perfect tools\n", asked.dimension, view.unit);
    text.push_str(&table(&rows, &[Align::Point, Align::Left], 2));
    let sure = reach.confidence.probability();
    let line = match gives_out(reach) {
        (Some(mm), none) => {
            let none = none.map_or(String::new(), |mm| format!("; none is served at {}", change(mm)));
            format!(
                "the stock shims first give out at {}: below {} of 100{none}",
                change(mm),
                to_place(sure * 100.0, 0)
            )
        }
        (None, _) => "the stock shims do not give out on the way".to_owned(),
    };
    text + &hanging("  ", &line, view.width)
}

/// A share of units below this counts as none.
const NONE: f64 = 1e-9;

/// The first change with which fewer are served than one wants to be sure of, and the first with which none is.
fn gives_out(reach: &Reach) -> (Option<f64>, Option<f64>) {
    let first = |below: f64| reach.sweep.iter().find(|(_, reached)| reached.probability < below).map(|&(mm, _)| mm);
    (first(reach.confidence.probability()), first(NONE))
}

fn figures(reach: &Reach, options: &ReachOptions) -> String {
    let mut rows = vec![vec!["reached, by the parts alone".to_owned(), format!("{:.6}", reach.reached.probability)]];
    let mut row = |name: &str, value: String| rows.push(vec![name.to_owned(), value]);
    match (reach.reached.error_bound, reach.reached.standard_error) {
        (Some(bound), _) => row("  error at most", format!("{bound:.0e}")),
        (_, Some(error)) => row("  by random units, standard error", format!("{error:.1e}")),
        _ => {}
    }
    let share = |share: Share| format!("{:.6}, {:.1e}", share.value, share.standard_error);
    if let Some(drawn) = reach.monte_carlo.filter(|_| reach.reached.error_bound.is_some()) {
        row("  by random units, standard error", share(drawn));
    }
    if let Some(drawn) = reach.as_measured {
        row("reached as measured, standard error", share(drawn));
    }
    let drawn = &options.monte_carlo;
    if drawn.samples > 0 {
        row("random units, seed", format!("{}, {}", drawn.samples, drawn.seed));
    }
    format!("\nFigures\n{}", table(&rows, &[Align::Left, Align::Left], 2))
}

/// The answer as JSON.
#[must_use]
pub fn as_json(
    view: &View<'_>,
    reach: &Reach,
    options: &ReachOptions,
    notes: &[Diagnostic],
    sources: &Sources,
) -> Value {
    let l = |mm: f64| length(view, mm.is_finite().then_some(mm));
    let list = |all: &Option<Vec<(f64, f64)>>| {
        all.as_ref().map(|all| all.iter().map(|&(low, high)| json!([l(low), l(high)])).collect::<Vec<Value>>())
    };
    let packs: Vec<Value> = reach
        .packs
        .iter()
        .map(|pack| {
            json!({
                "name": view.model.packs[pack.pack].name,
                "intervals": list(&pack.intervals_mm),
                "holes": list(&pack.holes_mm),
            })
        })
        .collect();
    let room = |one: &Room| {
        json!({
            "dimension": view.document.dimensions[one.dimension].name,
            "now": l(one.now_mm),
            "low": length(view, one.low.map(|(mm, _)| mm)),
            "high": length(view, one.high.map(|(mm, _)| mm)),
            "low_stop": one.low.map(|(_, stop)| stop.word()),
            "high_stop": one.high.map(|(_, stop)| stop.word()),
        })
    };
    let value = |share: Option<Share>| share.map(|share| share.value);
    let error = |share: Option<Share>| share.map(|share| share.standard_error);
    let mut answer = json!({
        "format": FORMAT,
        "command": "reach",
        "title": view.document.title,
        "unit": view.unit.word(),
        "seed": options.monte_carlo.seed,
        "samples": options.monte_carlo.samples,
        "reached": reach.reached.probability,
        "source": source(&reach.reached),
        "error_bound": reach.reached.error_bound,
        "reached_as_measured": value(reach.as_measured),
        "monte_carlo_reached": value(reach.monte_carlo),
        "standard_error": {
            "reached": reach.reached.standard_error,
            "reached_as_measured": error(reach.as_measured),
            "monte_carlo_reached": error(reach.monte_carlo),
        },
        "packs": packs,
        "room": reach.room.as_ref().map(|all| all.iter().map(room).collect::<Vec<Value>>()),
    });
    if let Some(asked) = &options.sweep {
        let steps: Vec<Value> = reach
            .sweep
            .iter()
            .map(
                |&(mm, reached)| json!({ "change": l(mm), "reached": reached.probability, "source": source(&reached) }),
            )
            .collect();
        let (below, none) = gives_out(reach);
        answer["sweep"] = json!({
            "dimension": asked.dimension,
            "steps": steps,
            "below_confidence_at": length(view, below),
            "none_at": length(view, none),
        });
    }
    answer["notes"] = json!(Note::all(notes, sources));
    answer
}

fn source(reached: &Reached) -> &'static str {
    if reached.error_bound.is_some() { "exact" } else { "monte carlo" }
}
