//! What would settle a gap of which it cannot be told, in words and in JSON; and acceptance limits with a guard band.

use serde_json::{Value, json};
use shimwright_engine::analyse::{Guard, Settle, Step, Way};
use shimwright_engine::model::ColumnKind;

use super::text::hanging;
use super::view::{View, almost};

/// One sentence: which readings to take, or that none will do. `name` is the gap's where there are several.
#[must_use]
pub fn sentence(view: &View<'_>, name: Option<&str>, settle: &Settle) -> String {
    let lead = name.map_or("to settle it: ".to_owned(), |name| format!("to settle {name}: "));
    hanging(&lead, &words(settle), view.width)
}

fn words(settle: &Settle) -> String {
    if !settle.ways.is_empty() {
        let mut ways: Vec<String> = Vec::with_capacity(settle.ways.len());
        for (index, way) in settle.ways.iter().enumerate() {
            ways.push(way_in_words(way, index.checked_sub(1).map(|before| &settle.ways[before])));
        }
        return format!("read {}", ways.join(", or "));
    }
    let greatest = shown(&settle.greatest);
    match &settle.rest {
        Some(rest) => {
            let perfect = settle.read_perfectly.map_or("cannot tell".to_owned(), almost);
            let left = match rest.kind {
                ColumnKind::Dimension => {
                    format!("most of what is left is {}, which was not read: read that too", rest.name)
                }
                ColumnKind::Shim => "most of what is left is the thickness of the shims: measure them".to_owned(),
                ColumnKind::Instrument => format!("most of what is left is the zero of the {}", rest.name.trim_end()),
                ColumnKind::Stack => format!("most of what is left is {}: use a single blade", rest.name),
                ColumnKind::Expansion => {
                    format!("most of what is left is the {}: it has to be known better", rest.name)
                }
            };
            format!("no better reading of what was read will do ({perfect} with perfect ones); {left}")
        }
        None if !settle.greatest_alone => {
            format!("no reading with a tool known here will do; it takes finer ones, for {greatest} first")
        }
        None => format!(
            "no reading with a tool known here will do; most of the doubt is {greatest}: it takes a finer tool for that"
        ),
    }
}

/// `depth 4 more times`; `depth twice with the micrometer`. A value that the way before it names is not named again.
fn way_in_words(way: &Way, before: Option<&Way>) -> String {
    let same = |step: &Step| before.is_some_and(|way| way.steps.len() == 1 && way.steps[0].dimension == step.dimension);
    let steps: Vec<String> = way
        .steps
        .iter()
        .map(|step| {
            let name =
                if way.steps.len() == 1 && same(step) { String::new() } else { format!("{} ", shown(&step.dimension)) };
            let times = times(step);
            let places = if step.places > 1 { " at each place" } else { "" };
            match &step.instrument {
                Some(tool) => format!("{name}{times}{places} with the {tool} or a tool as good"),
                None => format!("{name}{times}{places}"),
            }
        })
        .collect();
    steps.join(" and ")
}

fn times(step: &Step) -> String {
    match (step.readings, step.instrument.is_some()) {
        (1, true) => "once".to_owned(),
        (2, true) => "twice".to_owned(),
        (n, true) => format!("{n} times"),
        (1, false) => "once more".to_owned(),
        (2, false) => "twice more".to_owned(),
        (n, false) => format!("{n} more times"),
    }
}

fn shown(name: &str) -> String {
    name.replace(".found", " as found")
}

/// The ways to settle a gap: null where there is nothing to settle, empty where no reading will. Steps that bear the same
/// `way` are all needed.
#[must_use]
pub fn ways(settle: Option<&Settle>) -> Value {
    let Some(settle) = settle else { return Value::Null };
    let steps = settle.ways.iter().enumerate().flat_map(|(index, way)| {
        way.steps.iter().map(move |step| {
            json!({
                "way": index + 1,
                "dimension": step.dimension,
                "readings": step.readings,
                "instrument": step.instrument,
                "within": way.within,
            })
        })
    });
    Value::Array(steps.collect())
}

/// The probability of being in band with perfect readings; null where there is nothing to settle.
#[must_use]
pub fn read_perfectly(settle: Option<&Settle>) -> Value {
    json!(settle.and_then(|settle| settle.read_perfectly))
}

/// Acceptance limits in words: `read between 0.08 and 0.17 and you are sure`.
#[must_use]
pub fn guard(view: &View<'_>, guard: &Guard, u_mm: f64) -> String {
    let places = view.decimals(u_mm).max(2);
    let line = match guard.limits {
        None => format!(
            "guard band: no value read could make you sure, {} at best; the doubt is too wide for the band",
            almost(guard.best_possible)
        ),
        Some(limits) => {
            // Limits are cut inwards, so that the words never accept what the figure does not.
            let low = limits.low_mm.map(|low| view.inwards(low, places, true));
            let high = limits.high_mm.map(|high| view.inwards(high, places, false));
            match (low, high) {
                (Some(low), Some(high)) => format!("guard band: read between {low} and {high} and you are sure"),
                (Some(low), None) => format!("guard band: read {low} or more and you are sure"),
                (None, Some(high)) => format!("guard band: read {high} or less and you are sure"),
                (None, None) => return String::new(),
            }
        }
    };
    hanging("  ", &line, view.width)
}

/// `{low, high}`, or null where there are none.
#[must_use]
pub fn limits(view: &View<'_>, guard: Option<&Guard>) -> Value {
    let l = |mm: Option<f64>| mm.map(|mm| view.unit.from_mm(mm));
    json!(
        guard
            .and_then(|guard| guard.limits)
            .map(|limits| json!({ "low": l(limits.low_mm), "high": l(limits.high_mm) }))
    )
}
