//! Laws of values and of cases, in millimetres: `discrete`, `observed` and `mixture`.

use super::dimension::{Drawing, drawing};
use super::distribution::unusable;
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::source::Span;
use crate::document::written::{Length, MixtureCase, Observed as Written, Reader};
use crate::law::{Discrete, Law, LawError, Mixture, Observed};
use crate::length::{Unit, on_grid};

/// A drawing of such a law: its nominal size is the mean.
fn drawn(
    reader: &mut Reader<'_>,
    at: Span,
    law: Result<Law, LawError>,
    limits_mm: Option<(f64, f64)>,
    typed: String,
) -> Option<Drawing> {
    match law {
        Ok(law) => {
            // A mixture with a Student t of one degree has no mean; it is refused where a sum is made of it.
            let nominal_mm = law.mean().unwrap_or_else(|| law.centre());
            Some(Drawing { nominal_mm, law: Some(law), limits_mm, freedom: None, typed })
        }
        Err(fault) => {
            unusable(reader, at, fault);
            None
        }
    }
}

pub(super) fn discrete(reader: &mut Reader<'_>, unit: Unit, at: Span, weighted: &[(Length, f64)]) -> Option<Drawing> {
    let values: Vec<f64> = weighted.iter().map(|(value, _)| value.mm(unit)).collect();
    for (index, (value, _)) in weighted.iter().enumerate() {
        if let Some(first) = values[..index].iter().position(|&one| on_grid(one) == on_grid(values[index])) {
            let message = format!("the value {} is given twice", value.typed.text());
            let fault = Diagnostic::error(Code::DoubleKey, message).at(value.at);
            reader.push(fault.other(weighted[first].0.at, "first given here").help("keep one of them"));
            return None;
        }
    }
    let texts: Vec<String> = weighted.iter().map(|(value, _)| value.typed.text()).collect();
    let law = Discrete::new(values.iter().copied().zip(weighted.iter().map(|one| one.1)));
    let limits = law.as_ref().ok().and_then(|law| Law::Discrete(law.clone()).support());
    drawn(reader, at, law.map(Law::Discrete), limits, texts.join(" or "))
}

pub(super) fn observed(reader: &mut Reader<'_>, unit: Unit, at: Span, written: &Written) -> Option<Drawing> {
    let values: Vec<f64> = written.values.iter().map(|value| value.mm(unit)).collect();
    let count = values.len();
    let mut typed = format!("observed, {count} value{}", if count == 1 { "" } else { "s" });
    if let Some(file) = &written.file {
        typed = format!("{typed} of {file}");
    }
    // What was observed is no limit to what may come.
    drawn(reader, at, Observed::new(&values).map(Law::Observed), None, typed)
}

pub(super) fn mixture(reader: &mut Reader<'_>, unit: Unit, at: Span, cases: &[MixtureCase]) -> Option<Drawing> {
    let drawings: Vec<Option<Drawing>> =
        cases.iter().map(|case| drawing(reader, unit, &case.between, &case.drawing)).collect();
    let drawings: Vec<Drawing> = drawings.into_iter().collect::<Option<_>>()?;
    let laws = drawings.iter().map(|drawing| match &drawing.law {
        Some(law) => Ok(law.clone()),
        None => {
            Discrete::new([(drawing.limits_mm.map_or(drawing.nominal_mm, |limits| limits.0), 1.0)]).map(Law::Discrete)
        }
    });
    let law = laws.collect::<Result<Vec<Law>, LawError>>().and_then(|laws| {
        let weights = cases.iter().map(|case| case.weight);
        Mixture::new(weights.zip(laws)).map(Law::Mixture)
    });
    let limits = drawings.iter().map(|drawing| drawing.limits_mm);
    let limits =
        limits.reduce(|one, other| one.zip(other).map(|(one, other)| (one.0.min(other.0), one.1.max(other.1))));
    let texts: Vec<&str> = drawings.iter().map(|drawing| drawing.typed.as_str()).collect();
    drawn(reader, at, law, limits.flatten(), texts.join(" or "))
}
