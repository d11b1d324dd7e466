//! Sums of single values, mixtures and plain laws, and the cases that make them up.

use proptest::collection::vec;
use proptest::prelude::*;
use shimwright_engine::analyse::exact::Term;
use shimwright_engine::law::Law;

use crate::terms::{discrete, mixture, normal, rectangular};

/// Terms of a sum.
#[derive(Debug, Clone)]
pub struct MixedSum {
    /// The terms.
    pub terms: Vec<Term>,
}

/// One case of a sum: a length, a normal law about it and a rectangle beside that.
#[derive(Debug, Clone, Copy)]
pub struct Case {
    /// How likely it is.
    pub share: f64,
    /// What is then added up.
    pub rest: Rest,
}

/// A normal law and a rectangle about a length; zero: there is none.
#[derive(Debug, Clone, Copy)]
pub struct Rest {
    /// The length.
    pub centre: f64,
    /// The standard deviation of the normal law.
    pub sd: f64,
    /// The half-width of the rectangle.
    pub half: f64,
}

impl MixedSum {
    /// Every case, one for each choice of a value or a law in each term.
    ///
    /// # Panics
    /// If a case has two rectangles, which no sum of [`mixed_sum`] has.
    #[must_use]
    pub fn cases(&self) -> Vec<Case> {
        let nothing = Case { share: 1.0, rest: Rest { centre: 0.0, sd: 0.0, half: 0.0 } };
        self.terms.iter().fold(vec![nothing], |cases, term| {
            let more = laws(&term.law, 1.0, term.coefficient);
            cases.iter().flat_map(|case| more.iter().map(|more| case.and(more))).collect()
        })
    }
}

impl Case {
    fn and(&self, more: &Case) -> Case {
        let (a, b) = (self.rest, more.rest);
        assert!(a.half == 0.0 || b.half == 0.0, "one rectangle at most");
        let rest = Rest { centre: a.centre + b.centre, sd: a.sd.hypot(b.sd), half: a.half + b.half };
        Case { share: self.share * more.share, rest }
    }
}

/// The values and plain laws of a law, times a coefficient.
fn laws(law: &Law, share: f64, coefficient: f64) -> Vec<Case> {
    if let Some(atoms) = law.atoms() {
        let one = |(value, part): (f64, f64)| Case {
            share: share * part,
            rest: Rest { centre: coefficient * value, sd: 0.0, half: 0.0 },
        };
        return atoms.atoms().map(one).collect();
    }
    let size = coefficient.abs();
    let (sd, half) = match law {
        Law::Mixture(mixture) => {
            return mixture.cases().iter().flat_map(|case| laws(&case.law, share * case.share, coefficient)).collect();
        }
        Law::Rectangular(_) => (0.0, size * law.half_width(1.0)),
        law => (size * law.variance().expect("a normal law").sqrt(), 0.0),
    };
    vec![Case { share, rest: Rest { centre: coefficient * law.centre(), sd, half } }]
}

fn a_coefficient() -> impl Strategy<Value = f64> {
    prop_oneof![Just(1.0), Just(-1.0), Just(0.5), Just(2.0)]
}

/// Lengths in whole micrometres.
fn a_length() -> impl Strategy<Value = f64> {
    (0..50_000i32).prop_map(|um| f64::from(um) / 1000.0)
}

fn a_spread() -> impl Strategy<Value = f64> {
    (-3.0..-0.5f64).prop_map(|decades| 10.0f64.powf(decades))
}

fn single_values() -> impl Strategy<Value = Vec<(f64, f64)>> {
    (a_length(), vec((0..400i32, 1..9u8), 1..6)).prop_map(|(length, steps)| {
        steps.iter().map(|&(um, weight)| (length + f64::from(um) / 1000.0, f64::from(weight))).collect()
    })
}

/// A mixture of normal laws and exact lengths.
fn some_cases() -> impl Strategy<Value = Vec<(f64, Law)>> {
    let case = (1..9u8, -300..300i32, a_spread(), prop::bool::weighted(0.3));
    (a_length(), vec(case, 1..4)).prop_map(|(length, cases)| {
        let law = |um: i32, sd: f64, exact: bool| {
            let place = length + f64::from(um) / 1000.0;
            if exact { discrete(1.0, &[(place, 1.0)]).law } else { normal(1.0, place, sd).law }
        };
        cases.iter().map(|&(weight, um, sd, exact)| (f64::from(weight), law(um, sd, exact))).collect()
    })
}

/// Up to three discrete terms, three mixtures, two normal terms and one rectangle.
pub fn mixed_sum() -> impl Strategy<Value = MixedSum> {
    let discrete = vec((a_coefficient(), single_values()).prop_map(|(a, values)| discrete(a, &values)), 0..=3);
    let mixtures = vec((a_coefficient(), some_cases()).prop_map(|(a, cases)| mixture(a, &cases)), 0..=3);
    let normals = vec((a_coefficient(), a_length(), a_spread()).prop_map(|(a, place, sd)| normal(a, place, sd)), 0..=2);
    let boxes = vec((a_coefficient(), a_length(), a_spread()).prop_map(|(a, c, half)| rectangular(a, c, half)), 0..=1);
    (discrete, mixtures, normals, boxes).prop_map(|(one, two, three, four)| MixedSum {
        terms: one.into_iter().chain(two).chain(three).chain(four).collect(),
    })
}
