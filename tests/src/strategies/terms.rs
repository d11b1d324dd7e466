//! Terms of a weighted sum.

use proptest::prelude::*;
use shimwright_engine::analyse::exact::Term;
use shimwright_engine::law::{
    Arcsine, Beta, Law, Normal, Rectangular, StudentT, Trapezoidal, Triangular, TruncatedNormal,
};

/// A law of any kind; spreads over three decades, so that one term may rule the sum.
fn a_law() -> impl Strategy<Value = Law> {
    let place = -50.0..50.0f64;
    let spread = (-3.0..0.0f64).prop_map(|decades| 10.0f64.powf(decades));
    let freedom = prop_oneof![Just(3.0), Just(4.0), Just(5.0), Just(12.0), Just(60.0), 2.4..40.0f64];
    prop_oneof![
        (0..4u8, place.clone(), spread.clone(), freedom).prop_map(|(kind, place, spread, freedom)| match kind {
            0 => Law::Normal(Normal::new(place, spread).expect("a valid law")),
            1 => Law::Rectangular(Rectangular::new(place - spread, place + spread).expect("a valid law")),
            2 => Law::Triangular(Triangular::symmetric(place - spread, place + spread).expect("a valid law")),
            _ => Law::StudentT(StudentT::new(place, spread, freedom).expect("a valid law")),
        }),
        (place, spread, a_lean()).prop_map(|(place, spread, lean)| between(place - spread, place + spread, lean)),
    ]
}

/// Which law between limits, and two parts of the way from one limit to the other.
fn a_lean() -> impl Strategy<Value = (u8, f64, f64)> {
    let part = prop_oneof![4 => 0.0..1.0f64, 1 => Just(0.0), 1 => Just(1.0)];
    (0..5u8, part.clone(), part)
}

/// A law between limits, skew or not.
fn between(low: f64, high: f64, (kind, one, other): (u8, f64, f64)) -> Law {
    let at = |part: f64| (low + (high - low) * part).clamp(low, high);
    match kind {
        0 => Law::Triangular(Triangular::new(low, at(one), high).expect("a valid law")),
        1 => {
            let top = (at(one.min(other)), at(one.max(other)));
            Law::Trapezoidal(Trapezoidal::new(low, top, high).expect("a valid law"))
        }
        2 => Law::Arcsine(Arcsine::new(low, high).expect("a valid law")),
        3 => {
            // The mean from one width below the limits to one above, the standard deviation from a fifth to two widths.
            let width = high - low;
            let (mean, sd) = (low + width * (3.0 * one - 1.0), width * (0.2 + 1.8 * other));
            Law::TruncatedNormal(TruncatedNormal::new(mean, sd, low, high).expect("a valid law"))
        }
        _ => Law::Beta(Beta::new(1.0 + 9.0 * one, 1.0 + 9.0 * other, low, high).expect("a valid law")),
    }
}

fn a_term() -> impl Strategy<Value = Term> {
    let coefficient = prop_oneof![Just(1.0), Just(-1.0), Just(0.5), -2.0..2.0f64];
    (coefficient, a_law()).prop_map(|(coefficient, law)| Term { coefficient, law })
}

/// One to six terms of any law.
pub fn some_terms() -> impl Strategy<Value = Vec<Term>> {
    prop::collection::vec(a_term(), 1..7)
}

/// Distances from the mean in standard deviations, the far ones rarer.
pub fn a_deviate() -> impl Strategy<Value = f64> {
    prop_oneof![6 => -6.0..6.0f64, 1 => -60.0..60.0f64, 1 => -1e4..1e4f64]
}
