//! Readings, in millimetres, and the value that they stand for.

use super::instrument::{self, Default as Assumed, InstrumentRef};
use super::{Context, UseOfPlaces};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::written::{self, Reader, Reading, Sets};
use crate::length::{Unit, on_grid};
use crate::number::summary::summarise;

/// Readings, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The places, or one without a name for repeats.
    pub places: Vec<Place>,
    /// What they were made with.
    pub instrument: InstrumentRef,
    /// How much the places may differ.
    pub allow_spread_mm: Option<f64>,
    /// Which value of the places counts.
    pub use_of_places: UseOfPlaces,
    /// The coarsest place value of the digits as typed.
    pub step_mm: f64,
    /// Whether all of them were felt with blades: then the step between two blades counts, not the digits'.
    pub felt: bool,
    /// Where they stand.
    pub at: Span,
}

/// One place on a face and what was read there.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name; none for plain repeats.
    pub name: Option<String>,
    /// The figures.
    pub values_mm: Vec<f64>,
    /// The figures as typed.
    pub typed: Vec<String>,
    /// Half the step between the blade that goes and the one that stops, the mean of the readings, in millimetres.
    pub half_step_mm: f64,
    /// How many stacked blades count in a reading, the mean of the readings.
    pub stacked_blades: f64,
    /// The share of the place's mean that comes from stacked blades.
    pub stacked_share: f64,
}

impl Place {
    /// The mean of what was read there, in millimetres.
    #[must_use]
    pub fn mean_mm(&self) -> f64 {
        summarise(&self.values_mm).map_or(0.0, |summary| summary.mean)
    }
}

impl Readings {
    /// The value: the mean of the places, or the one that `use` names, in millimetres.
    #[must_use]
    pub fn value_mm(&self) -> f64 {
        self.weighted(Place::mean_mm)
    }

    /// A figure of the places, weighted as the places are in the value.
    #[must_use]
    pub fn weighted(&self, figure: impl Fn(&Place) -> f64) -> f64 {
        self.weights().iter().zip(&self.places).map(|(weight, place)| weight * figure(place)).sum()
    }

    /// How much each place counts in the value; the weights sum to 1.
    #[must_use]
    pub fn weights(&self) -> Vec<f64> {
        let means: Vec<f64> = self.places.iter().map(Place::mean_mm).collect();
        let least = (0..means.len()).min_by(|&a, &b| means[a].total_cmp(&means[b]));
        let most = (0..means.len()).max_by(|&a, &b| means[a].total_cmp(&means[b]));
        let mut weights = vec![0.0; means.len()];
        let mut add = |place: Option<usize>, weight: f64| {
            if let Some(place) = place {
                weights[place] += weight;
            }
        };
        match self.use_of_places {
            UseOfPlaces::Mean => weights.fill(1.0 / means.len() as f64),
            UseOfPlaces::Least => add(least, 1.0),
            UseOfPlaces::Most => add(most, 1.0),
            UseOfPlaces::Middle => {
                add(least, 0.5);
                add(most, 0.5);
            }
        }
        weights
    }
}

/// Brings readings to millimetres and finds their instrument.
pub(super) fn resolve(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    written: &written::Readings,
    default: Assumed,
) -> Option<Readings> {
    let by_feel = written.sets.all().any(Reading::is_felt);
    let default = if by_feel { Assumed::Felt } else { default };
    let instrument = instrument::find(reader, context.instruments, written.instrument.as_ref(), default)?;
    let unit = instrument.index().and_then(|index| context.instruments[index].unit).unwrap_or(context.unit);
    for one in written.sets.all().filter(|one| one.is_felt()) {
        wrong_way_round(reader, one, unit);
    }
    let place = |name: Option<String>, list: &[Reading]| {
        let mean = |figure: &dyn Fn(&Reading) -> f64| list.iter().map(figure).sum::<f64>() / list.len().max(1) as f64;
        Place {
            name,
            values_mm: list.iter().map(|one| one.mm(unit)).collect(),
            typed: list.iter().map(Reading::text).collect(),
            half_step_mm: mean(&|one| one.half_step_mm(unit)),
            stacked_blades: mean(&|one| one.stacked().0),
            stacked_share: mean(&|one| one.stacked().1),
        }
    };
    let places = match &written.sets {
        Sets::Repeats(list) => vec![place(None, list)],
        Sets::Places(places) => places.iter().map(|one| place(Some(one.name.clone()), &one.readings)).collect(),
    };
    let step_mm = written.sets.all().map(|one| one.step_mm(unit)).fold(0.0, f64::max);
    Some(Readings {
        places,
        instrument,
        allow_spread_mm: written.allow_spread.as_ref().map(|spread| spread.mm(context.unit)),
        use_of_places: written.use_of_places,
        step_mm,
        felt: by_feel && written.sets.all().all(Reading::is_felt),
        at: written.at,
    })
}

/// Complains of a blade that goes in though a thinner one stops.
fn wrong_way_round(reader: &mut Reader<'_>, reading: &Reading, unit: Unit) {
    let Reading::Felt(felt) = reading else { return };
    if !felt.stops.is_empty() && on_grid(reading.half_step_mm(unit)) <= 0 {
        let message = format!("`{}`: what stops must be thicker than what goes in", reading.text());
        reader.error_with_help(Code::Order, felt.at, message, "read again, or change the two round");
    }
}
