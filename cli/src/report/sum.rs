//! The sum as one would do it in pencil: one line a term, and the printed terms add up to the printed gap.

mod growth;

use shimwright_engine::document::resolved::{Dimension, Gap as Written, Place, Readings, What};
use shimwright_engine::length::on_grid;
use shimwright_engine::model::{Basis, Gap, Pack};
use shimwright_engine::select::Choice;
use shimwright_engine::standards::material::{Expansion, REFERENCE_CELSIUS};

use super::number::{decimals_as_typed, to_place, usual_decimals};
use super::text::{Align, columns_of, hanging, table_within};
use super::view::{View, together};

/// A pack in a sum: what is shown for it, and its thickness.
#[derive(Debug, Clone)]
pub struct PackTerm {
    /// Its shims in words.
    pub shims: String,
    /// Its thickness, in millimetres; none: the pack is left out of the sum.
    pub thickness_mm: Option<f64>,
    /// Whether it is the pack that is in now, so that a reading made with it needs no sum.
    pub unchanged: bool,
}

impl PackTerm {
    /// The pack of an answer.
    #[must_use]
    pub fn of(view: &View<'_>, choice: &Choice) -> PackTerm {
        PackTerm { shims: view.pack(choice), thickness_mm: Some(choice.thickness_mm), unchanged: false }
    }

    /// A pack that stays as it is; none fitted: it is left out.
    #[must_use]
    pub fn fitted(pack: &Pack) -> PackTerm {
        PackTerm {
            shims: together(&pack.fitted_labels),
            thickness_mm: pack.fitted.as_ref().map(|fitted| fitted.thickness_mm),
            unchanged: true,
        }
    }
}

struct Term {
    name: String,
    typed: String,
    /// The signed value, coefficient and all, in millimetres.
    value_mm: f64,
    /// The finest step that was typed for it, in millimetres.
    step_mm: Option<f64>,
}

/// The sum of one gap. `packs` has a term for each pack of the document.
#[must_use]
pub fn sum(view: &View<'_>, index: usize, packs: &[PackTerm]) -> String {
    let written = &view.document.gaps[index];
    let gap = &view.model.gaps[index];
    let cold = gap.heat.as_ref().and_then(|heat| heat.cold);
    let mut terms = match (gap.basis, &written.found, cold) {
        (Basis::Found, Some(found), _) => from_found(view, index, gap, found, packs),
        // It starts from what the same chain is at 20 °C, not from its parts.
        (Basis::Found, None, Some(cold)) => vec![of_gap(view, cold, packs, 1.0)],
        _ => from_parts(view, written, packs),
    };
    growth::add(view, index, play_of(view, index, packs), &mut terms);
    set(view, written, &terms)
}

fn from_parts(view: &View<'_>, written: &Written, packs: &[PackTerm]) -> Vec<Term> {
    let mut terms = Vec::new();
    if written.chain.constant_mm != 0.0 {
        terms.push(Term {
            name: "constant".into(),
            typed: String::new(),
            value_mm: written.chain.constant_mm,
            step_mm: None,
        });
    }
    for one in &written.chain.summands {
        let (name, typed, value_mm, step_mm) = match one.what {
            What::Dimension(index) => {
                let dimension = &view.document.dimensions[index];
                if dimension.span_mm.is_some() {
                    continue;
                }
                let (mut typed, step) = as_typed(dimension);
                let value = view.model.dimensions[index].mean_mm(&view.model.columns);
                typed.push_str(at_20(dimension.readings.as_ref(), value));
                (dimension.name.clone(), typed, value, step)
            }
            What::Pack(index) => match packs[index].thickness_mm {
                Some(mm) => (view.document.packs[index].name.clone(), packs[index].shims.clone(), mm, None),
                None => continue,
            },
            What::Gap(index) => {
                terms.push(of_gap(view, index, packs, one.coefficient));
                continue;
            }
        };
        let (name, typed) = scaled(name, typed, one.coefficient);
        terms.push(Term { name, typed, value_mm: one.coefficient * value_mm, step_mm });
    }
    terms
}

/// Another gap as a term.
fn of_gap(view: &View<'_>, index: usize, packs: &[PackTerm], coefficient: f64) -> Term {
    let other = &view.document.gaps[index];
    let (name, typed) = scaled(other.name.clone(), format!("= {}", other.chain.text), coefficient);
    Term { name, typed, value_mm: coefficient * play_of(view, index, packs), step_mm: None }
}

/// Says that a reading was brought to 20 °C, where that changed it.
fn at_20(readings: Option<&Readings>, value_mm: f64) -> &'static str {
    // One nanometre, the grid of lengths.
    let changed = readings.is_some_and(|readings| (readings.value_mm() - value_mm).abs() > 1e-6);
    if changed { ", at 20 °C" } else { "" }
}

fn from_found(view: &View<'_>, index: usize, gap: &Gap, found: &Readings, packs: &[PackTerm]) -> Vec<Term> {
    let value = gap.found.as_ref().map_or(0.0, |found| found.form.mean_mm(&view.model.columns)) * gap.looser_sign();
    let mut terms = vec![Term {
        name: format!("{} as found", view.document.gaps[index].name),
        typed: typed_readings(found) + at_20(Some(found), value),
        value_mm: value,
        step_mm: Some(found.step_mm),
    }];
    for (pack, (model, &turned)) in view.model.packs.iter().zip(&gap.pack_coefficients).enumerate() {
        if turned == 0.0 || packs[pack].unchanged {
            continue;
        }
        // Without the growth of the shims, which has a line of its own.
        let kelvin = gap.heat.as_ref().map_or(0.0, |heat| heat.celsius - REFERENCE_CELSIUS);
        let coefficient = turned * gap.looser_sign() / (1.0 + Expansion::steel().per_kelvin() * kelvin);
        let fitted = model.fitted.as_ref().map_or(0.0, |fitted| fitted.thickness_mm);
        let shims = if model.fitted_labels.is_empty() { "none".to_owned() } else { together(&model.fitted_labels) };
        let mut push = |name: String, typed: String, mm: f64, coefficient: f64| {
            let (name, typed) = scaled(name, typed, coefficient);
            terms.push(Term { name, typed, value_mm: coefficient * mm, step_mm: None });
        };
        push(format!("{} now in", packs_name(view, pack)), shims, fitted, -coefficient);
        if let Some(mm) = packs[pack].thickness_mm {
            push(format!("{} to fit", packs_name(view, pack)), packs[pack].shims.clone(), mm, coefficient);
        }
    }
    terms
}

fn packs_name(view: &View<'_>, index: usize) -> String {
    view.document.packs[index].name.clone()
}

/// A term's words with its coefficient, where that is not plain plus or minus.
fn scaled(name: String, typed: String, coefficient: f64) -> (String, String) {
    if coefficient.abs() == 1.0 {
        return (name, typed);
    }
    (format!("{} x {name}", shimwright_engine::length::shortest(coefficient.abs())), typed)
}

/// The play of a gap that another one refers to, positive when open.
fn play_of(view: &View<'_>, index: usize, packs: &[PackTerm]) -> f64 {
    let gap = &view.model.gaps[index];
    let start = gap.start.mean_mm(&view.model.columns);
    let with = gap
        .pack_coefficients
        .iter()
        .zip(packs)
        .fold(start, |sum, (coefficient, pack)| sum + coefficient * pack.thickness_mm.unwrap_or(0.0));
    with * gap.looser_sign()
}

fn as_typed(dimension: &Dimension) -> (String, Option<f64>) {
    match (&dimension.readings, &dimension.drawing) {
        (Some(readings), _) => (typed_readings(readings), Some(readings.step_mm)),
        (None, Some(drawing)) => (drawing.typed.clone(), None),
        (None, None) => (String::new(), None),
    }
}

/// Readings as typed: `53.97/53.96`, places with their names.
#[must_use]
pub fn typed_readings(readings: &Readings) -> String {
    // Places that were only counted need no names.
    let named = |place: &Place| place.name.clone().filter(|name| name.parse::<usize>().is_err());
    let between = if readings.places.iter().any(|place| named(place).is_some()) { ", " } else { "/" };
    let words = readings.places.iter().map(|place| {
        let values = place.typed.join("/");
        named(place).map_or(values.clone(), |name| format!("{name} {values}"))
    });
    words.collect::<Vec<_>>().join(between)
}

/// More decimals than these are not tried; at the nanometre the total is that of the printed terms.
const MOST_MORE: i32 = 4;

fn set(view: &View<'_>, written: &Written, terms: &[Term]) -> String {
    let unit = view.unit;
    let exact: f64 = terms.iter().map(|term| unit.from_mm(term.value_mm)).sum();
    // The lines show the digits that were typed, and more only where the printed terms would not add up.
    let typed = terms.iter().filter_map(|term| term.step_mm).map(|step| decimals_as_typed(step, unit)).max();
    let whole = terms.iter().map(|term| decimals_needed(term.value_mm, unit)).max().unwrap_or(0);
    let least = typed.unwrap_or(0).max(whole.min(usual_decimals(unit)));
    let adds_up = |decimals: i32| printed(terms, unit, decimals) == rounded(exact, decimals);
    let decimals = (least..=least + MOST_MORE).find(|&decimals| adds_up(decimals)).unwrap_or(least + MOST_MORE);
    let total = printed(terms, unit, decimals) as f64 / 10_f64.powi(decimals);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (index, term) in terms.iter().enumerate() {
        let value = unit.from_mm(term.value_mm);
        let sign = match (value < 0.0, index) {
            (true, _) => "-",
            (false, 0) => " ",
            (false, _) => "+",
        };
        rows.push(vec![sign.into(), term.name.clone(), term.typed.clone(), to_place(value.abs(), decimals)]);
    }
    rows.push(vec!["=".into(), play_name(written), String::new(), to_place(total, decimals)]);
    if written.preload {
        rows.push(vec!["".into(), format!("that is {} of preload", to_place(-total, decimals))]);
    }
    // What was typed is shown as typed, which is not the unit of the answer where another one was asked for.
    let typed_in = if unit == view.document.unit { String::new() } else { "; beside them as typed".to_owned() };
    // Where there are several gaps, each sum says whose it is.
    let it = if view.document.gaps.len() > 1 { written.name.as_str() } else { "it" };
    fit(&mut rows, view.width);
    let heading = hanging("", &format!("How {it} adds up ({unit}{typed_in})"), view.width);
    let align = [Align::Left, Align::Left, Align::Left, Align::Point];
    format!("\n{heading}{}", table_within(view.width, &rows, &align, 2))
}

/// Typed text that would push the figures off the screen is cut; the document has the whole of it.
fn fit(rows: &mut [Vec<String>], width: usize) {
    let widest = |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|cell| columns_of(cell)).max();
    // The indent, the sign and the gaps between columns take nine more.
    let others = widest(1).unwrap_or(0) + widest(3).unwrap_or(0) + 9;
    let most = width.saturating_sub(others).max(12);
    for typed in rows.iter_mut().filter_map(|row| row.get_mut(2)) {
        if columns_of(typed) > most {
            let kept: String = typed.chars().take(most - 3).collect();
            *typed = format!("{kept}...");
        }
    }
}

fn play_name(written: &Written) -> String {
    if written.preload { format!("{} as play", written.name) } else { written.name.clone() }
}

fn rounded(value: f64, decimals: i32) -> i64 {
    // The text rounds halves away from zero as a pencil does; the total must be rounded in the same way.
    to_place(value, decimals).replace('.', "").parse().unwrap_or(0)
}

fn printed(terms: &[Term], unit: shimwright_engine::length::Unit, decimals: i32) -> i64 {
    terms.iter().map(|term| rounded(unit.from_mm(term.value_mm), decimals)).sum()
}

/// The decimals that show a value whole, on the grid.
fn decimals_needed(mm: f64, unit: shimwright_engine::length::Unit) -> i32 {
    let value = unit.from_mm(mm);
    (0..6)
        .find(|&decimals| on_grid(unit.to_mm(rounded(value, decimals) as f64 / 10_f64.powi(decimals))) == on_grid(mm))
        .unwrap_or(6)
}
