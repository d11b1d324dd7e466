//! The gaps: from chains of names to forms of the model's variables.

use super::Builder;
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::resolved::{Gap as Written, Linear, What};
use crate::model::form::Form;
use crate::model::gap::{Basis, Face, Found, Gap};
use crate::model::pack::Pack;

/// More terms than this, in all gaps together, are not worked: gaps made of gaps repeat the terms of those.
const MOST_TERMS: usize = 5_000_000;

/// A gap worked as play, positive when open.
struct Play {
    paper: Form,
    start: Form,
    packs: Vec<f64>,
    basis: Basis,
    has_dimensions: bool,
    found: Option<(Form, f64)>,
}

pub(super) fn build(builder: &mut Builder<'_>, dimensions: &[Form], packs: &[Pack]) -> Vec<Gap> {
    let document = builder.document;
    let mut plays: Vec<Option<Play>> = document.gaps.iter().map(|_| None).collect();
    let mut terms = 0;
    for &index in &document.gap_order {
        let play = play(builder, &document.gaps[index], dimensions, packs, &plays);
        terms += play.paper.terms().len() + play.start.terms().len();
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
            finish(builder, written, play, dimensions)
        })
        .collect()
}

fn play(
    builder: &mut Builder<'_>,
    written: &Written,
    dimensions: &[Form],
    packs: &[Pack],
    done: &[Option<Play>],
) -> Play {
    let mut paper = Form::constant(written.chain.constant_mm);
    let mut start = paper.clone();
    let mut coefficients = vec![0.0; packs.len()];
    let mut has_dimensions = false;
    let mut basis = Basis::Parts;
    for one in &written.chain.summands {
        match one.what {
            What::Dimension(index) => {
                paper.add(&dimensions[index], one.coefficient);
                start.add(&dimensions[index], one.coefficient);
                has_dimensions = true;
            }
            What::Pack(index) => coefficients[index] += one.coefficient,
            What::Gap(index) => {
                let other = done[index].as_ref().expect("a gap that is referred to comes first");
                paper.add(&other.paper, one.coefficient);
                start.add(&other.start, one.coefficient);
                for (coefficient, there) in coefficients.iter_mut().zip(&other.packs) {
                    *coefficient += one.coefficient * there;
                }
                has_dimensions |= other.has_dimensions;
                if other.basis == Basis::Found {
                    basis = Basis::Found;
                }
            }
        }
    }
    let found = read_found(builder, written);
    if let Some((reading, _)) = &found {
        // What was read, less what the shims then in did to it.
        start = reading.clone();
        for (pack, &coefficient) in packs.iter().zip(&coefficients) {
            if let Some(fitted) = pack.fitted.as_ref().filter(|_| coefficient != 0.0) {
                start.add(&fitted.form, -coefficient);
            }
        }
        basis = Basis::Found;
    }
    Play { paper, start, packs: coefficients, basis, has_dimensions, found }
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
        builder.diagnostics.push(fault.help("put in a thinner trial pack and read again"));
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
    let start = play.start.scaled(sign);
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
        paper: play.paper.scaled(sign),
        start,
        basis: play.basis,
        pack_coefficients: play.packs.iter().map(|coefficient| sign * coefficient).collect(),
        low: written.low.as_ref().map(over_dimensions),
        high: written.high.as_ref().map(over_dimensions),
        target: written.target.as_ref().map(over_dimensions),
        target_written: written.target_written,
        lean: written.lean,
        wear_limit_mm: written.wear_limit_mm,
        found: play.found.map(|(form, u_mm)| Found { form: form.scaled(sign), u_mm }),
        has_dimensions: play.has_dimensions,
        not_flat,
        source: written.source.clone(),
        note: written.note.clone(),
    }
}
