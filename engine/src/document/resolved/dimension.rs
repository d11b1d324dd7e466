//! Dimensions and readings, in millimetres.

use super::Context;
use super::distribution;
use super::instrument::Default as Assumed;
use super::readings::{self, Readings};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::written::{self, Reader, Spread};
use crate::law::{Law, Normal};
use crate::length::{Unit, on_grid};
use crate::standards;
use crate::standards::material::Expansion;

/// A dimension, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// Its name.
    pub name: String,
    /// What the drawing says.
    pub drawing: Option<Drawing>,
    /// What was read.
    pub readings: Option<Readings>,
    /// What it grows by; none: it is taken as it reads, and as not growing.
    pub expansion: Option<Expansion>,
    /// A length of which the growth alone counts, in millimetres.
    pub span_mm: Option<f64>,
    /// Its own temperature when it was read, in °C; none: the document's.
    pub temperature: Option<f64>,
    /// Where the figures come from.
    pub source: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Where its name stands.
    pub at: Span,
}

/// What the drawing says, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The size, or the middle of the limits.
    pub nominal_mm: f64,
    /// The law of production; none for an exact length.
    pub law: Option<Law>,
    /// The stated limits, where there are any.
    pub limits_mm: Option<(f64, f64)>,
    /// The degrees of freedom behind a standard deviation.
    pub freedom: Option<f64>,
    /// The text as typed.
    pub typed: String,
}

pub(super) fn resolve(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    written: &written::Dimension,
) -> Option<Dimension> {
    let drawing = written.drawing.as_ref().map(|one| drawing(reader, context.unit, &written.between, one));
    let readings = written.readings.as_ref().map(|one| readings::resolve(reader, context, one, Assumed::Dimension));
    if matches!(drawing, Some(None)) || matches!(readings, Some(None)) {
        return None;
    }
    if let (Some(Some(drawing)), Some(Some(readings))) = (&drawing, &readings) {
        super::slips::readings_off(reader, &written.name.text, drawing, readings);
    }
    Some(Dimension {
        name: written.name.text.clone(),
        drawing: drawing.flatten(),
        readings: readings.flatten(),
        expansion: written.expansion.clone(),
        span_mm: match &written.drawing {
            Some(written::Drawing::Span(length)) => Some(length.mm(context.unit)),
            _ => None,
        },
        temperature: written.temperature,
        source: written.source.clone(),
        note: written.note.clone(),
        at: written.name.at,
    })
}

pub(super) fn drawing(
    reader: &mut Reader<'_>,
    unit: Unit,
    spread: &written::Between,
    written: &written::Drawing,
) -> Option<Drawing> {
    match written {
        written::Drawing::Exact(length) => Some(exact(length.mm(unit), length.typed.text())),
        // Nothing at 20 °C.
        written::Drawing::Span(length) => Some(exact(0.0, format!("span {}", length.typed.text()))),
        written::Drawing::Alone(alone) => distribution::alone(reader, unit, alone),
        written::Drawing::Limits([low, high]) => {
            let limits = (low.mm(unit), high.mm(unit));
            let typed = format!("{} to {}", low.typed.text(), high.typed.text());
            between(reader, unit, low.at, limits, f64::midpoint(limits.0, limits.1), spread, typed)
        }
        written::Drawing::Size(size, deviations) => {
            let size_mm = size.mm(unit);
            let text = size.typed.text();
            match deviations {
                Spread::PlusMinus(half) => {
                    let half_mm = half.mm(unit);
                    let typed = format!("{text} ± {}", half.typed.text());
                    between(reader, unit, half.at, (size_mm - half_mm, size_mm + half_mm), size_mm, spread, typed)
                }
                Spread::Deviations([lower, upper]) => {
                    let limits = (size_mm + lower.mm(unit), size_mm + upper.mm(unit));
                    let typed = format!("{text} {}/{}", signed(&lower.typed.text()), signed(&upper.typed.text()));
                    between(reader, unit, lower.at, limits, size_mm, spread, typed)
                }
                Spread::Class(class) => match standards::iso286::limits(size_mm, &class.text) {
                    Ok(found) => {
                        let limits = (size_mm + found.lower_um / 1000.0, size_mm + found.upper_um / 1000.0);
                        between(reader, unit, class.at, limits, size_mm, spread, format!("{text} {}", class.text))
                    }
                    Err(fault) => {
                        reader.error(Code::Class, class.at, fault.to_string());
                        None
                    }
                },
                Spread::General(class, named) => match standards::iso2768::linear_mm(size_mm, *class) {
                    Ok(half_mm) => {
                        let typed = format!("{text} ISO 2768-{}", named.text);
                        between(reader, unit, named.at, (size_mm - half_mm, size_mm + half_mm), size_mm, spread, typed)
                    }
                    Err(fault) => {
                        reader.error(Code::Class, named.at, fault.to_string());
                        None
                    }
                },
                Spread::StandardDeviation(sd, freedom) => {
                    let sd_mm = sd.mm(unit);
                    let typed = format!("{text}, sd {}", sd.typed.text());
                    let law = (sd_mm > 0.0).then(|| Normal::new(size_mm, sd_mm).ok().map(Law::Normal));
                    let law = match law {
                        Some(None) => {
                            reader.error(Code::NotFinite, sd.at, "the standard deviation cannot be used");
                            return None;
                        }
                        other => other.flatten(),
                    };
                    Some(Drawing { nominal_mm: size_mm, law, limits_mm: None, freedom: *freedom, typed })
                }
            }
        }
    }
}

fn exact(mm: f64, typed: String) -> Drawing {
    Drawing { nominal_mm: mm, law: None, limits_mm: Some((mm, mm)), freedom: None, typed }
}

fn signed(text: &str) -> String {
    if text.starts_with(['-', '+']) || text.chars().all(|c| c == '0' || c == '.') {
        text.to_owned()
    } else {
        format!("+{text}")
    }
}

/// The law between two limits.
fn between(
    reader: &mut Reader<'_>,
    unit: Unit,
    at: Span,
    limits: (f64, f64),
    nominal_mm: f64,
    spread: &written::Between,
    typed: String,
) -> Option<Drawing> {
    let (low, high) = limits;
    if on_grid(low) > on_grid(high) {
        reader.error(Code::Order, at, "the limits are the wrong way round");
        return None;
    }
    if low >= high {
        return Some(Drawing { nominal_mm, ..exact(f64::midpoint(low, high), typed) });
    }
    match distribution::between(reader, unit, limits, at, spread) {
        Some((law, how)) => {
            let typed = if how.is_empty() { typed } else { format!("{typed}, {how}") };
            Some(Drawing { nominal_mm, law: Some(law), limits_mm: Some(limits), freedom: None, typed })
        }
        None => None,
    }
}
