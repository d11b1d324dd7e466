//! The scatter of readings: pooled over all repeats made with one instrument, with a rule for when there are few.

use crate::document::resolved::{Document, FittedAs, InstrumentRef, Readings};
use crate::law::{Law, LawError, Normal, StudentT};
use crate::number::summary::{Pooled, pool};

/// Which rule gave the scatter of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScatterRule {
    /// Pooled over three or more degrees of freedom: a Student t.
    Pooled {
        /// The degrees of freedom.
        freedom: usize,
    },
    /// The instrument's repeatability: a normal.
    Repeatability,
    /// Pooled over one or two degrees of freedom: a Student t with three, widened.
    Few {
        /// The degrees of freedom of the repeats.
        freedom: usize,
    },
    /// Nothing is known of it.
    Unknown,
}

/// The pooled scatter of each instrument of a document.
#[derive(Debug, Clone)]
pub struct Scatter {
    by_instrument: Vec<Option<Pooled>>,
}

impl Scatter {
    /// Pools all repeats of a document, instrument by instrument.
    ///
    /// Formula: s_p² = Σ Σ (q − q̄ᵢ)² / ν_p, ν_p = Σ (nᵢ − 1), over every dimension, found gap and fitted shim that was
    /// read with the instrument, place by place. Source: JCGM 100:2008, 4.2.4.
    #[must_use]
    pub fn of(document: &Document) -> Scatter {
        let mut groups: Vec<Vec<&[f64]>> = vec![Vec::new(); document.instruments.len()];
        for readings in all_readings(document) {
            if let Some(index) = readings.instrument.index() {
                groups[index].extend(readings.places.iter().map(|place| place.values_mm.as_slice()));
            }
        }
        Scatter { by_instrument: groups.iter().map(|groups| pool(groups)).collect() }
    }

    /// The pooled scatter that counts for some readings; with `instrument: none` it is their own.
    #[must_use]
    pub fn pooled(&self, readings: &Readings) -> Option<Pooled> {
        match readings.instrument {
            InstrumentRef::None => {
                let own: Vec<&[f64]> = readings.places.iter().map(|place| place.values_mm.as_slice()).collect();
                pool(&own)
            }
            InstrumentRef::Named(index) | InstrumentRef::Assumed(index) => self.by_instrument[index],
        }
    }
}

fn all_readings(document: &Document) -> impl Iterator<Item = &Readings> {
    let dimensions = document.dimensions.iter().filter_map(|one| one.readings.as_ref());
    let found = document.gaps.iter().filter_map(|one| one.found.as_ref());
    let shims =
        document.packs.iter().flat_map(|pack| pack.fitted.iter().flatten()).filter_map(|one| match &one.trust {
            FittedAs::Read(readings) => Some(readings),
            _ => None,
        });
    dimensions.chain(found).chain(shims)
}

/// The degrees of freedom from which a pooled scatter is trusted more than a stated repeatability.
const ENOUGH: usize = 3;

/// Scales of a t with three degrees whose 95 % interval is that of a t with two degrees or one:
/// t(0.975; 2)/t(0.975; 3) = 4.3027/3.1824 and t(0.975; 1)/t(0.975; 3) = 12.7062/3.1824 (JCGM 100:2008, Table G.2).
const WIDER: [f64; 2] = [3.993, 1.352];

/// The rule that gives the scatter.
pub(super) fn rule_of(pooled: Option<Pooled>, repeatability_mm: Option<f64>) -> ScatterRule {
    match (pooled, repeatability_mm) {
        (Some(Pooled { freedom, .. }), _) if freedom >= ENOUGH => ScatterRule::Pooled { freedom },
        (_, Some(_)) => ScatterRule::Repeatability,
        (Some(Pooled { freedom, .. }), None) => ScatterRule::Few { freedom },
        (None, None) => ScatterRule::Unknown,
    }
}

/// The law of a value's scatter about zero.
///
/// Formula: pooled over ν_p ≥ 3: Student t, scale s_p·w, ν_p degrees (JCGM 101:2008, 6.4.9); else normal with standard
/// deviation repeatability·w; else, with ν_p of 2 or 1, Student t with 3 degrees and scale 1.352 or 3.993 times s_p·w;
/// else nothing. `weight` w is 1/√n for a mean of n readings.
///
/// # Errors
/// A scatter that is too large or too small to be used.
pub(super) fn law(pooled: Option<Pooled>, repeatability_mm: Option<f64>, weight: f64) -> Result<Option<Law>, LawError> {
    let scale = pooled.map_or(0.0, |pooled| pooled.sd * weight);
    let student = |scale: f64, freedom: usize| {
        // Readings that all agree to the last digit show no scatter: there is no law to make of it.
        if scale > 0.0 {
            StudentT::new(0.0, scale, freedom as f64).map(|law| Some(Law::StudentT(law)))
        } else {
            Ok(None)
        }
    };
    match rule_of(pooled, repeatability_mm) {
        ScatterRule::Pooled { freedom } => student(scale, freedom),
        ScatterRule::Repeatability => match repeatability_mm.filter(|&sd| sd > 0.0) {
            Some(sd) => Normal::new(0.0, sd * weight).map(|law| Some(Law::Normal(law))),
            None => Ok(None),
        },
        ScatterRule::Few { freedom } => student(scale * WIDER[freedom - 1], ENOUGH),
        ScatterRule::Unknown => Ok(None),
    }
}
