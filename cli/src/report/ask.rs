//! Tolerances to ask for, in words and in JSON.

use serde_json::{Value, json};
use shimwright_engine::analyse::{ByNumber, GapFigures, NoFactor, Tolerances};

use super::number::{place_of, signed, to_place};
use super::odds::share_wanted;
use super::text::{Align, hanging, table_within};
use super::view::{View, almost};

/// The most dimensions that the words list.
const MOST_LINES: usize = 12;

/// How wide the tolerances of a gap may be, and which one to tighten first; empty where that was not asked.
#[must_use]
pub fn words(view: &View<'_>, gap: &GapFigures) -> String {
    let Some(found) = &gap.tolerances else { return String::new() };
    let of = if view.document.gaps.len() > 1 { format!(" for {}", gap.name) } else { String::new() };
    let mut text = format!("\nTolerances to ask for{of}\n");
    text.push_str(&hanging("  ", &how_wide(view, gap, found), view.width));
    text.push_str(&which_first(view, gap, found));
    text
}

fn how_wide(view: &View<'_>, gap: &GapFigures, found: &Tolerances) -> String {
    let wanted = share_wanted(found.wanted, !gap.measured);
    match found.factor {
        // Cut and never rounded up, so that the words never allow more than the figure.
        Ok(factor) if factor >= 1.01 => {
            format!("every tolerance may be {} times as wide and still give {wanted}", cut(factor))
        }
        Ok(factor) if factor >= 1.0 => format!("the tolerances are as wide as {wanted} allow"),
        Ok(factor) => format!("every tolerance must be {} times as wide to give {wanted}", cut(factor)),
        Err(NoFactor::NoBand) => "none: the gap has no band".to_owned(),
        Err(NoFactor::NoPack) => "none: name the shims that are in".to_owned(),
        Err(NoFactor::NoTolerance) => "none: no tolerance of a drawing is in this gap".to_owned(),
        Err(NoFactor::NotExact) => "none: how sure it is comes from random assemblies".to_owned(),
        Err(NoFactor::AnyWidth) => format!("{wanted} would be in band at any width"),
        Err(NoFactor::TooFarOff { at_best }) => match gap.by_number {
            Some(number @ (ByNumber::Below | ByNumber::Above)) => {
                let miss = view.miss(number.misses_by_mm(gap.exact.mean_mm, gap.accept_mm), gap.exact.sd_mm);
                format!("no tolerance is fine enough for {wanted}: the mean is {}{miss}", number.side())
            }
            _ => format!(
                "no tolerance is fine enough for {wanted}: without any it would be {}; bring the mean to the middle, or \
                 take the doubt out of what has no tolerance",
                almost(at_best)
            ),
        },
    }
}

/// Three significant figures of a factor, the rest cut off.
fn cut(factor: f64) -> String {
    let decimals = 2 - factor.log10().floor() as i32;
    let scale = 10_f64.powi(decimals);
    // A factor that is a whole number of places but for its own precision is that number.
    let places = (factor * scale * (1.0 + 2.0 * shimwright_engine::analyse::FACTOR_PRECISION)).floor();
    to_place(places / scale, decimals.max(0))
}

fn which_first(view: &View<'_>, gap: &GapFigures, found: &Tolerances) -> String {
    let Some(first) = found.tighten.first() else { return String::new() };
    if first.gain <= 0.0 {
        let line = "1 % less of any one tolerance brings nothing more into band";
        return hanging("  ", line, view.width);
    }
    let units = if gap.measured { "" } else { " units" };
    let lead = format!(
        "tighten {} first; 1 % less of one tolerance alone brings so many more of a million{units} into band:",
        first.dimension
    );
    let mut rows: Vec<Vec<String>> =
        found.tighten.iter().take(MOST_LINES).map(|one| vec![one.dimension.clone(), more(one.gain)]).collect();
    if found.tighten.len() > MOST_LINES {
        rows.push(vec!["the others each".to_owned(), format!("{} at most", more(found.tighten[MOST_LINES].gain))]);
    }
    hanging("  ", &lead, view.width) + &table_within(view.width, &rows, &[Align::Left, Align::Point], 4)
}

/// A change of a probability as so many of a million, with two significant figures at least.
fn more(gain: f64) -> String {
    let million = 1e6 * gain;
    match place_of(million.abs()) {
        // Less than a thousandth of a unit in a million is nothing that a shop could count.
        Some(place) if place <= 4 => signed(million, place.max(0)),
        _ => "0".to_owned(),
    }
}

/// `{wanted, factor, reason, tighten: [{dimension, gain}]}`; one of factor and reason is null.
#[must_use]
pub fn json(found: &Tolerances) -> Value {
    let tighten: Vec<Value> =
        found.tighten.iter().map(|one| json!({ "dimension": one.dimension, "gain": one.gain })).collect();
    json!({
        "wanted": found.wanted,
        "factor": found.factor.ok(),
        "reason": found.factor.err().map(reason),
        "tighten": tighten,
    })
}

fn reason(why: NoFactor) -> String {
    match why {
        NoFactor::NoBand => "the gap has no band".to_owned(),
        NoFactor::NoPack => "a pack of the gap is neither fitted nor named".to_owned(),
        NoFactor::NoTolerance => "no tolerance of a drawing is in the gap".to_owned(),
        NoFactor::NotExact => "parts that go together are not all normal, so the probability is drawn".to_owned(),
        NoFactor::AnyWidth => "a million times as wide they would still do".to_owned(),
        NoFactor::TooFarOff { at_best } => {
            format!("with hardly any tolerance the probability is {}, less than is wanted", almost(at_best))
        }
    }
}
