//! The laws of production, in millimetres.

use super::dimension::Drawing;
use super::weighted;
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::written::{Alone, AloneKind, Between, Length, Reader, Shape};
use crate::law::{
    Arcsine, Beta, Law, LawError, Normal, Rectangular, StudentT, Trapezoidal, Triangular, TruncatedNormal,
};
use crate::length::{Unit, on_grid};

/// The limits are this many standard deviations from the middle where nothing is said.
const SIGMA_LEVEL: f64 = 3.0;

/// A Student t of so many degrees or fewer has no variance.
const LEAST_FREEDOM: f64 = 2.0;

/// The law between two limits, the lower first, and a few words on how it spreads where it is not the usual one. `at` is
/// where the limits stand.
pub(super) fn between(
    reader: &mut Reader<'_>,
    unit: Unit,
    (low, high): (f64, f64),
    at: Span,
    written: &Between,
) -> Option<(Law, String)> {
    let mm = |length: &Length| length.mm(unit);
    // A figure on a limit is that limit, whatever rounding made of either.
    let onto = |length: &Length| {
        let place = mm(length);
        [low, high].into_iter().find(|&end| on_grid(end) == on_grid(place)).unwrap_or(place)
    };
    let text = |length: &Length| length.typed.text();
    let (law, how) = match written.shape.as_ref().unwrap_or(&Shape::Normal) {
        Shape::Normal => return normal(reader, unit, (low, high), at, written),
        Shape::Rectangular => (Rectangular::new(low, high).map(Law::Rectangular), "evenly spread".to_owned()),
        Shape::Triangular(None) => {
            (Triangular::symmetric(low, high).map(Law::Triangular), "mostly in the middle".to_owned())
        }
        Shape::Triangular(Some(mode)) => {
            let law = Triangular::new(low, onto(mode), high).map(Law::Triangular);
            (law, format!("mostly at {}", text(mode)))
        }
        Shape::Trapezoidal([first, second]) => {
            let law = Trapezoidal::new(low, (onto(first), onto(second)), high).map(Law::Trapezoidal);
            (law, format!("mostly {} to {}", text(first), text(second)))
        }
        Shape::Arcsine => (Arcsine::new(low, high).map(Law::Arcsine), "mostly at the ends".to_owned()),
        Shape::TruncatedNormal(mean, sd) => {
            let law = TruncatedNormal::new(mm(mean), mm(sd), low, high).map(Law::TruncatedNormal);
            (law, format!("about {}, sorted", text(mean)))
        }
        &Shape::Beta(a, b) => {
            let leaning = if a == b {
                "mostly in the middle"
            } else if a < b {
                "mostly low"
            } else {
                "mostly high"
            };
            (Beta::new(a, b, low, high).map(Law::Beta), leaning.to_owned())
        }
    };
    match law {
        Ok(law) => Some((law, how)),
        Err(fault) => {
            let at = written.at.unwrap_or(at);
            if matches!(fault, LawError::ModeOutside | LawError::TopOutside | LawError::NothingBetween) {
                let help = format!("the limits are {low:.4} to {high:.4} mm");
                reader.within("distribution", |reader| {
                    reader.error_with_help(Code::Distribution, at, fault.to_string(), help);
                });
            } else {
                unusable(reader, at, fault);
            }
            None
        }
    }
}

/// The normal law: its mean off the middle by `shift`, its standard deviation by `sigma_level` or `cpk`.
///
/// Formula: half-range over the sigma level; or, Cpk being the distance of the mean from the nearer limit over 3 sd,
/// (half-range − |shift|)/(3 Cpk).
fn normal(
    reader: &mut Reader<'_>,
    unit: Unit,
    (low, high): (f64, f64),
    at: Span,
    written: &Between,
) -> Option<(Law, String)> {
    let half = 0.5 * (high - low);
    let mut how = String::new();
    let mut shift = 0.0;
    if let Some(length) = &written.shift {
        shift = length.mm(unit);
        if on_grid(shift.abs()) >= on_grid(half) {
            let message = "`shift` takes the mean out of the limits";
            let help = "it is how far the mean of production is from the middle of the limits";
            reader.within("shift", |reader| reader.error_with_help(Code::Distribution, length.at, message, help));
            return None;
        }
        let text = length.typed.text();
        let size = text.trim_start_matches(['-', '+', '−']);
        if shift != 0.0 {
            how = format!("made {size} {}", if shift < 0.0 { "below the middle" } else { "above the middle" });
        }
    }
    let sd = match written.cpk {
        Some(cpk) => (half - shift.abs()) / (3.0 * cpk),
        None => half / written.sigma_level.unwrap_or(SIGMA_LEVEL),
    };
    match Normal::new(f64::midpoint(low, high) + shift, sd) {
        Ok(law) => Some((Law::Normal(law), how)),
        Err(fault) => {
            unusable(reader, at, fault);
            None
        }
    }
}

/// What a distribution without limits stands for.
pub(super) fn alone(reader: &mut Reader<'_>, unit: Unit, written: &Alone) -> Option<Drawing> {
    match &written.kind {
        AloneKind::Discrete(weighted) => weighted::discrete(reader, unit, written.at, weighted),
        AloneKind::Observed(observed) => weighted::observed(reader, unit, written.at, observed),
        AloneKind::Mixture(cases) => weighted::mixture(reader, unit, written.at, cases),
        AloneKind::StudentT { mean, scale, freedom } => {
            let nominal_mm = mean.mm(unit);
            if *freedom <= LEAST_FREEDOM {
                let message = "a Student t with 2 degrees of freedom or fewer has no standard deviation, so that nothing can be \
                               said of a sum with it";
                let help = "give more than 2: take more readings, or the scatter of other parts with these";
                reader.within("distribution", |reader| {
                    reader.error_with_help(Code::Distribution, written.at, message, help);
                });
                return None;
            }
            let typed = format!("{}, scale {}", mean.typed.text(), scale.typed.text());
            match StudentT::new(nominal_mm, scale.mm(unit), *freedom) {
                Ok(law) => {
                    Some(Drawing { nominal_mm, law: Some(Law::StudentT(law)), limits_mm: None, freedom: None, typed })
                }
                Err(fault) => {
                    unusable(reader, written.at, fault);
                    None
                }
            }
        }
    }
}

pub(super) fn unusable(reader: &mut Reader<'_>, at: Span, fault: LawError) {
    let code = if fault == LawError::NotFinite { Code::NotFinite } else { Code::Distribution };
    reader.within("distribution", |reader| reader.error(code, at, fault.to_string()));
}
