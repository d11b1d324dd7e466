//! Terms of a weighted sum.

use proptest::prelude::*;
use shimwright_engine::analyse::exact::Term;
use shimwright_engine::law::{Law, Normal, Rectangular, StudentT, Triangular};

/// A law of any kind; spreads over three decades, so that one term may rule the sum.
fn a_law() -> impl Strategy<Value = Law> {
    let place = -50.0..50.0f64;
    let spread = (-3.0..0.0f64).prop_map(|decades| 10.0f64.powf(decades));
    let freedom = prop_oneof![Just(3.0), Just(4.0), Just(5.0), Just(12.0), Just(60.0), 2.4..40.0f64];
    (0..4u8, place, spread, freedom).prop_map(|(kind, place, spread, freedom)| match kind {
        0 => Law::Normal(Normal::new(place, spread).expect("a valid law")),
        1 => Law::Rectangular(Rectangular::new(place - spread, place + spread).expect("a valid law")),
        2 => Law::Triangular(Triangular::symmetric(place - spread, place + spread).expect("a valid law")),
        _ => Law::StudentT(StudentT::new(place, spread, freedom).expect("a valid law")),
    })
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
