//! The gaps: from chains of names to forms of the model's variables.

use super::Builder;
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::resolved::{Gap as Written, Linear, Summand, What};
use crate::model::form::Form;
use crate::model::gap::{Basis, Face, Found, Gap, Heat};
use crate::model::pack::Pack;
use crate::standards::material::{Expansion, REFERENCE_CELSIUS};

/// More terms than this, in all gaps together, are not worked: gaps made of gaps repeat the terms of those.
const MOST_TERMS: usize = 5_000_000;

/// A gap as a sum, positive when open.
#[derive(Clone)]
struct Sum {
    paper: Form,
    start: Form,
    packs: Vec<f64>,
}

impl Sum {
    fn add(&mut self, other: &Sum, factor: f64) {
        self.paper.add(&other.paper, factor);
        self.start.add(&other.start, factor);
        for (coefficient, there) in self.packs.iter_mut().zip(&other.packs) {
            *coefficient += factor * there;
        }
    }

    fn terms(&self) -> usize {
        self.paper.terms().len() + self.start.terms().len()
    }
}

/// A gap worked as play.
struct Play {
    /// With the whole chain at 20 °C.
    at_20: Sum,
    /// At the temperature of its own, or else at those of the gaps in its chain; none: that is 20 °C.
    elsewhere: Option<Sum>,
    /// What the chain grows by for a kelvin, the packs apart.
    growth: Form,
    basis: Basis,
    has_dimensions: bool,
    found: Option<(Form, f64)>,
}

impl Play {
    fn sum(&self) -> &Sum {
        self.elsewhere.as_ref().unwrap_or(&self.at_20)
    }
}

/// Dimensions as forms, and what each grows by for a kelvin.
struct Parts<'a> {
    dimensions: &'a [Form],
    growths: Vec<Form>,
    packs: &'a [Pack],
}

pub(super) fn build(builder: &mut Builder<'_>, dimensions: &[Form], packs: &[Pack]) -> Vec<Gap> {
    let document = builder.document;
    let parts = Parts { dimensions, growths: builder.growths(dimensions), packs };
    let mut plays: Vec<Option<Play>> = document.gaps.iter().map(|_| None).collect();
    let mut terms = 0;
    for &index in &document.gap_order {
        let play = play(builder, &document.gaps[index], &parts, &plays);
        terms += play.at_20.terms() + play.growth.terms().len() + play.elsewhere.as_ref().map_or(0, Sum::terms);
        if terms > MOST_TERMS {
            let message =
                format!("with `{}` the gaps have more than {MOST_TERMS} terms in all", document.gaps[index].name);
            let fault = Diagnostic::error(Code::TooLarge, message).at(document.gaps[index].at);
            builder.diagnostics.push(fault.path(format!("gaps.{}", document.gaps[index].name)));
            return Vec::new();
        }
        plays[index] = Some(play);
    }
    document
        .gaps
        .iter()
        .zip(plays)
        .map(|(written, play)| {
            let play = play.expect("the order of the gaps names each of them once");
            let gap = finish(builder, written, play, dimensions);
            builder.say_what_aims_outside(written, &gap);
            gap
        })
        .collect()
}

fn play(builder: &mut Builder<'_>, written: &Written, parts: &Parts<'_>, done: &[Option<Play>]) -> Play {
    let other = |index: usize| done[index].as_ref().expect("a gap that is referred to comes first");
    let constant = Form::constant(written.chain.constant_mm);
    let mut at_20 = Sum { paper: constant.clone(), start: constant, packs: vec![0.0; parts.packs.len()] };
    // A gap with a temperature of its own is at that with all that is in it; another one takes gaps as they are.
    let names_hot = |one: &Summand| matches!(one.what, What::Gap(index) if other(index).elsewhere.is_some());
    let takes_hot = written.celsius.is_none() && written.chain.summands.iter().any(names_hot);
    let mut elsewhere = takes_hot.then(|| at_20.clone());
    let mut growth = Form::default();
    let mut has_dimensions = false;
    let mut basis = Basis::Parts;
    for one in &written.chain.summands {
        let both = std::iter::once(&mut at_20).chain(&mut elsewhere);
        match one.what {
            What::Dimension(index) => {
                both.for_each(|sum| {
                    sum.paper.add(&parts.dimensions[index], one.coefficient);
                    sum.start.add(&parts.dimensions[index], one.coefficient);
                });
                growth.add(&parts.growths[index], one.coefficient);
                // A span says nothing of the gap at 20 °C.
                has_dimensions |= builder.document.dimensions[index].span_mm.is_none();
            }
            What::Pack(index) => both.for_each(|sum| sum.packs[index] += one.coefficient),
            What::Gap(index) => {
                let other = other(index);
                at_20.add(&other.at_20, one.coefficient);
                if let Some(sum) = &mut elsewhere {
                    sum.add(other.sum(), one.coefficient);
                }
                growth.add(&other.growth, one.coefficient);
                has_dimensions |= other.has_dimensions;
                if other.basis == Basis::Found {
                    basis = Basis::Found;
                }
            }
        }
    }
    let mut play = Play { at_20, elsewhere, growth, basis, has_dimensions, found: None };
    let read = read_found(builder, written);
    match (&read, written.cold.map(other)) {
        (Some((reading, _)), _) => start_from(builder, written, parts, reading, &mut play),
        // The same chain was read at 20 °C: this one starts from it, and grows.
        (None, Some(cold)) if cold.basis == Basis::Found => {
            play.at_20.start = cold.at_20.start.clone();
            play.basis = Basis::Found;
        }
        (None, _) => {}
    }
    if let Some(kelvin) = written.celsius.map(|celsius| celsius - REFERENCE_CELSIUS).filter(|&kelvin| kelvin != 0.0) {
        // Shims are steel. Their growth is micrometres at most, so that the doubt of its coefficient is left out: it
        // would be another one for each pack.
        let shims = 1.0 + Expansion::steel().per_kelvin() * kelvin;
        play.elsewhere = Some(Sum {
            paper: play.at_20.paper.plus(&play.growth, kelvin),
            start: play.at_20.start.plus(&play.growth, kelvin),
            packs: play.at_20.packs.iter().map(|coefficient| coefficient * shims).collect(),
        });
    }
    play.found = read.map(|(reading, u)| (as_found(builder, written, parts, &play, reading), u));
    play
}

/// Lets a gap start from its reading: what was read, less what the shims then in did to it, at 20 °C.
fn start_from(builder: &mut Builder<'_>, written: &Written, parts: &Parts<'_>, reading: &Form, play: &mut Play) {
    let kelvin = read_at(builder, written, play);
    let mut start = reading.clone();
    if kelvin != 0.0
        && let Some(readings) = &written.found
    {
        start.add(&builder.tool_growth(reading, readings), 1.0);
    }
    let shims = 1.0 + Expansion::steel().per_kelvin() * kelvin;
    for (pack, &coefficient) in parts.packs.iter().zip(&play.at_20.packs) {
        if let Some(fitted) = pack.fitted.as_ref().filter(|_| coefficient != 0.0) {
            start.add(&fitted.form, -coefficient * shims);
        }
    }
    start.add(&play.growth, -kelvin);
    if let Some(sum) = &mut play.elsewhere {
        sum.start = start.clone();
    }
    play.at_20.start = start;
    play.basis = Basis::Found;
}

/// How far from 20 °C a gap was when it was read: at its own temperature, or else at the document's. Where nothing says
/// what its chain grows by, it is taken as it reads.
fn read_at(builder: &Builder<'_>, written: &Written, play: &Play) -> f64 {
    let grows = play.growth.constant_mm != 0.0 || !play.growth.terms().is_empty();
    if grows { written.celsius.unwrap_or(builder.document.temperature) - REFERENCE_CELSIUS } else { 0.0 }
}

/// The reading of a gap at the temperature that the gap is worked at.
fn as_found(builder: &Builder<'_>, written: &Written, parts: &Parts<'_>, play: &Play, reading: Form) -> Form {
    if read_at(builder, written, play) == 0.0 {
        return reading;
    }
    let sum = play.sum();
    let mut found = sum.start.clone();
    for (pack, &coefficient) in parts.packs.iter().zip(&sum.packs) {
        if let Some(fitted) = pack.fitted.as_ref().filter(|_| coefficient != 0.0) {
            found.add(&fitted.form, coefficient);
        }
    }
    found
}

fn read_found(builder: &mut Builder<'_>, written: &Written) -> Option<(Form, f64)> {
    let readings = written.found.as_ref()?;
    let path = format!("gaps.{}.found", written.name);
    let (form, _) = builder.read(&format!("{}.found", written.name), readings, None, readings.at, &path)?;
    let u = form.variance_mm2(&builder.columns).map_or(0.0, f64::sqrt);
    let value = form.mean_mm(&builder.columns);
    // Twice the standard uncertainty, or one step of the digits: below that a play cannot be told from none.
    let least = (2.0 * u).max(readings.step_mm);
    if value <= least {
        let message = format!(
            "`{}` was found as {value:.3} mm, which cannot be told from none: it says that the pack is tight, not by how much",
            written.name
        );
        let fault = Diagnostic::error(Code::TightPlay, message).at(readings.at).path(path);
        let help = if value > 2.0 * u {
            "it is written to one step of its last figure; write all figures that were read, such as 0.10"
        } else {
            "put in a thinner trial pack and read again"
        };
        builder.diagnostics.push(fault.help(help));
        return None;
    }
    Some((form, u))
}

fn finish(builder: &mut Builder<'_>, written: &Written, play: Play, dimensions: &[Form]) -> Gap {
    let sign = if written.preload { -1.0 } else { 1.0 };
    let over_dimensions = |linear: &Linear| {
        linear.summands.iter().fold(Form::constant(linear.constant_mm), |form, one| match one.what {
            What::Dimension(index) => form.plus(&dimensions[index], one.coefficient),
            What::Gap(_) | What::Pack(_) => form,
        })
    };
    let Sum { paper, start, packs } = play.sum();
    let start = start.scaled(sign);
    builder.say_what_stays(written, dimensions);
    let heat = written.celsius.filter(|&celsius| celsius != REFERENCE_CELSIUS).map(|celsius| Heat {
        celsius,
        growth: play.growth.scaled(sign * (celsius - REFERENCE_CELSIUS)),
        cold: written.cold,
    });
    if !written.target_written && written.low.is_none() && written.high.is_none() && builder.document.gaps.len() == 1 {
        let message = format!("`{}` has neither a band nor a target, so it has no verdict", written.name);
        builder.note(Code::Unjudged, written.at, format!("gaps.{}", written.name), message);
    }
    let not_flat = builder
        .faces
        .iter()
        .filter_map(|face| {
            let coefficient = start.coefficient(face.column);
            let change = |at: &(String, f64)| (at.0.clone(), coefficient * (at.1 - face.value_mm));
            (coefficient != 0.0).then(|| Face {
                dimension: face.dimension.clone(),
                least: change(&face.least),
                most: change(&face.most),
            })
        })
        .collect();
    Gap {
        name: written.name.clone(),
        chain_text: written.chain.text.clone(),
        preload: written.preload,
        paper: paper.scaled(sign),
        start,
        basis: play.basis,
        pack_coefficients: packs.iter().map(|coefficient| sign * coefficient).collect(),
        low: written.low.as_ref().map(over_dimensions),
        high: written.high.as_ref().map(over_dimensions),
        target: written.target.as_ref().map(over_dimensions),
        target_written: written.target_written,
        lean: written.lean,
        wear_limit_mm: written.wear_limit_mm,
        heat,
        found: play.found.map(|(form, u_mm)| Found { form: form.scaled(sign), u_mm }),
        has_dimensions: play.has_dimensions,
        not_flat,
        source: written.source.clone(),
        note: written.note.clone(),
    }
}
