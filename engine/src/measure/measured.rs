//! A measured value with the parts of its doubt.

use super::reading::Reading;
use super::scatter::{Scatter, ScatterRule, law};
use crate::document::resolved::{Instrument, InstrumentRef, Readings};
use crate::law::{ExactRole, Law, LawError, Rectangular};
use crate::length::on_grid;

/// Where a part of a doubt comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// The spread of production, by the drawing.
    Drawing,
    /// The scatter of readings.
    Scatter,
    /// What the instrument may be off by, its zero apart.
    Instrument,
    /// An instrument's zero, shared by all readings made with it.
    Zero,
    /// The step between the blade that goes in and the one that stops.
    Step,
    /// Oil and air between stacked blades, shared by all stacks of a set.
    Stack,
    /// The form of a face.
    Form,
    /// A shim's thickness.
    Shim,
    /// What a material grows by.
    Expansion,
}

/// One part of the doubt of a value.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Where it comes from.
    pub role: Role,
    /// Its law.
    pub law: Law,
    /// The least value for worst case.
    pub low_mm: f64,
    /// The greatest value for worst case.
    pub high_mm: f64,
    /// Degrees of freedom behind its standard uncertainty; none: as good as infinite.
    pub freedom: Option<f64>,
}

/// The coverage that stands for the limits of a law without bounds: ± 3 standard deviations of a normal.
const UNBOUNDED_COVERAGE: f64 = 0.9973;

impl Part {
    /// A part whose limits for worst case are its law's support, or its 99.73 % half-width where it has none.
    #[must_use]
    pub fn new(role: Role, law: Law) -> Part {
        let (low_mm, high_mm) = law.support().unwrap_or_else(|| {
            let half = law.half_width(UNBOUNDED_COVERAGE);
            (law.centre() - half, law.centre() + half)
        });
        let freedom = match law.exact_role() {
            ExactRole::StudentT { freedom, .. } => Some(freedom),
            _ => None,
        };
        Part { role, law, low_mm, high_mm, freedom }
    }

    /// A part with stated limits, which need not be the law's.
    #[must_use]
    pub fn with_limits(mut self, limits: (f64, f64)) -> Part {
        (self.low_mm, self.high_mm) = limits;
        self
    }

    pub(super) fn rectangular(role: Role, half_mm: f64) -> Result<Option<Part>, LawError> {
        if half_mm <= 0.0 {
            return Ok(None);
        }
        Rectangular::new(-half_mm, half_mm).map(|law| Some(Part::new(role, Law::Rectangular(law))))
    }
}

/// The places of a face that read least and most.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The place that reads least, and its mean.
    pub least: (String, f64),
    /// The place that reads most, and its mean.
    pub most: (String, f64),
    /// Whether they differ by more than is allowed.
    pub not_flat: bool,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The value.
    pub value_mm: f64,
    /// The parts of its doubt, each about zero, what it shares with other readings apart.
    pub parts: Vec<Part>,
    /// The instrument whose zero it shares with other readings.
    pub zero_of: Option<usize>,
    /// The instrument whose stacked blades it was felt with, and how many blades count in the value.
    pub stack_of: Option<(usize, f64)>,
    /// The face, where more than one place was read.
    pub face: Option<Face>,
    /// The rule that gave the scatter.
    pub scatter: ScatterRule,
    /// How it was read.
    pub reading: Reading,
}

/// Works the value of some readings and the parts of its doubt.
///
/// # Errors
/// A figure that is too large or too small to be used as a law.
pub fn measure(readings: &Readings, instruments: &[Instrument], scatter: &Scatter) -> Result<Measured, LawError> {
    let blades = readings.weighted(|place| place.stacked_blades);
    let face = face(readings);
    let reading = Reading {
        instrument: readings.instrument,
        places: readings.weights().into_iter().zip(readings.places.iter().map(|place| place.values_mm.len())).collect(),
        pooled: scatter.pooled(readings),
        // The step between two blades counts by itself, and of a stack the shared error in place of the limit.
        step_mm: if readings.felt { 0.0 } else { readings.step_mm },
        limit_share: 1.0 - readings.weighted(|place| place.stacked_share),
        half_step_mm: readings.weighted(|place| place.half_step_mm),
        form_mm: face.as_ref().map_or(0.0, |face| (face.most.1 - face.least.1) / 2.0),
    };
    Ok(Measured {
        value_mm: readings.value_mm(),
        parts: reading.parts(instruments)?,
        zero_of: zero_of(readings.instrument, instruments),
        stack_of: readings.instrument.index().filter(|_| blades > 0.0).map(|index| (index, blades)),
        face,
        scatter: reading.rule(instruments),
        reading,
    })
}

/// The doubt of a shim measured once: its instrument's, and its repeatability as scatter.
///
/// # Errors
/// A figure that is too large or too small to be used as a law.
pub fn shim(
    made_with: InstrumentRef,
    step_mm: f64,
    instruments: &[Instrument],
) -> Result<(Vec<Part>, Option<usize>), LawError> {
    let instrument = made_with.index().map(|index| &instruments[index]);
    let scattered = law(None, instrument.and_then(|one| one.repeatability_mm), 1.0)?;
    let mut parts: Vec<Part> = scattered.map(|law| Part::new(Role::Shim, law)).into_iter().collect();
    parts.extend(Part::rectangular(Role::Shim, limit_mm(made_with, instrument, step_mm))?);
    Ok((parts, zero_of(made_with, instruments)))
}

/// The half-width of what an instrument may be off by, its zero apart.
pub(super) fn limit_mm(made_with: InstrumentRef, instrument: Option<&Instrument>, step_mm: f64) -> f64 {
    let Some(instrument) = instrument else { return 0.0 };
    let stated = match (instrument.limit_of_error_mm, instrument.resolution_mm) {
        // The limit contains the digital step.
        (Some(limit), _) => limit,
        (None, Some(step)) => step / 2.0,
        (None, None) => 0.0,
    };
    match made_with {
        InstrumentRef::Assumed(_) => stated.max(step_mm / 2.0),
        _ => stated,
    }
}

/// How much thicker than its mark each blade of a stack of this set may read.
#[must_use]
pub fn stack_error_mm(instrument: &Instrument) -> f64 {
    instrument.stack_error_mm.or(instrument.limit_of_error_mm).unwrap_or(0.0)
}

/// The instrument whose zero counts for what was read with it.
#[must_use]
pub fn zero_of(made_with: InstrumentRef, instruments: &[Instrument]) -> Option<usize> {
    made_with.index().filter(|&index| {
        let instrument = &instruments[index];
        !instrument.difference && instrument.zero_error_mm.is_some_and(|zero| zero > 0.0)
    })
}

fn face(readings: &Readings) -> Option<Face> {
    if readings.places.len() < 2 {
        return None;
    }
    let named: Vec<(String, f64)> =
        readings.places.iter().map(|place| (place.name.clone().unwrap_or_default(), place.mean_mm())).collect();
    let least = named.iter().min_by(|a, b| a.1.total_cmp(&b.1))?.clone();
    let most = named.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.clone();
    let not_flat = readings.allow_spread_mm.is_some_and(|allowed| on_grid(most.1 - least.1) > on_grid(allowed));
    Some(Face { least, most, not_flat })
}
