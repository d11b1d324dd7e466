//! What a gap's doubt consists of, term by term, and its probabilities.

use std::collections::{BTreeMap, HashMap};

use shimwright_engine::analyse::exact::{Exact, ExactOptions, Term};
use shimwright_engine::law::{Law, Normal, Rectangular, StudentT};
use shimwright_tests::strategies::{Choice, Start};

use super::kinds::Kind;
use super::whole;

/// What a doubt belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Doubt {
    Drawn,
    ReadBody,
    Repeated,
    Found,
    Micrometer,
    Size(usize),
    Measured(usize),
}

/// The sum of the coefficients of each doubt, in hundredths.
pub(super) fn of(choice: &Choice, kinds: &[Kind], counts: &[usize]) -> BTreeMap<Doubt, i64> {
    let mut doubts: BTreeMap<Doubt, i64> = BTreeMap::new();
    let mut add = |doubt, more| *doubts.entry(doubt).or_default() += more;
    match choice.start {
        Start::Exact(_) => {}
        Start::Drawn(..) => add(Doubt::Drawn, 100),
        Start::Read(_) => {
            add(Doubt::ReadBody, 100);
            add(Doubt::Micrometer, 100);
        }
        Start::Repeated(..) => add(Doubt::Repeated, 100),
        Start::Found(_) => add(Doubt::Found, 100),
    }
    for (index, (kind, &count)) in kinds.iter().zip(counts).enumerate() {
        // From a reading, what was in then comes out first.
        let before = if matches!(choice.start, Start::Found(_)) { kind.fitted } else { 0 };
        let more = choice.hundredths * (whole(count) - whole(before));
        match kind.size {
            Some(size) if !kind.measured && choice.tolerance.is_some() => add(Doubt::Size(size), more),
            _ if kind.measured => {
                add(Doubt::Measured(index), more);
                add(Doubt::Micrometer, more);
            }
            _ => {}
        }
    }
    doubts.retain(|_, coefficient| *coefficient != 0);
    doubts
}

/// Distributions by the list of their laws.
#[derive(Default)]
pub(super) struct Doubts {
    distributions: HashMap<Vec<(u8, u64)>, Exact>,
}

impl Doubts {
    /// The probability of being in the band and the standard deviation.
    pub(super) fn within(&mut self, choice: &Choice, expected: i64, doubts: &BTreeMap<Doubt, i64>) -> (f64, f64) {
        let mut list: Vec<(u8, u64)> = Vec::new();
        let mut terms = Vec::new();
        for (doubt, &hundredths) in doubts {
            for (number, law) in laws(choice, *doubt) {
                list.push((number, hundredths.unsigned_abs()));
                terms.push(Term { coefficient: hundredths as f64 / 100.0, law });
            }
        }
        // All laws are symmetric about zero: packs with the same list of them have the same distribution.
        list.sort_unstable();
        let exact = self
            .distributions
            .entry(list)
            .or_insert_with(|| Exact::new(0.0, &terms, ExactOptions::default()).expect("laws with a variance"));
        let off = |end: i64| (end - expected) as f64 / 1e6;
        let below = choice.aim.low.map_or(0.0, |low| exact.below(off(low)).value);
        let above = choice.aim.high.map_or(0.0, |high| exact.above(off(high)).value);
        (1.0 - below - above, exact.sd_mm())
    }
}

/// The laws of a doubt, each with a number of its own. The figures of shipped instruments are those of design and
/// data: micrometer 0.004, zero 0.002, repeatability 0.002; indicator 0.009, repeatability 0.003.
fn laws(choice: &Choice, doubt: Doubt) -> Vec<(u8, Law)> {
    let box_of = |half: f64| Law::Rectangular(Rectangular::new(-half, half).expect("a width"));
    let normal = |sd: f64| Law::Normal(Normal::new(0.0, sd).expect("a width"));
    match (doubt, choice.start) {
        (Doubt::Drawn, Start::Drawn(_, tolerance, true)) => vec![(0, box_of(tolerance as f64 / 1e6))],
        (Doubt::Drawn, Start::Drawn(_, tolerance, false)) => vec![(1, normal(tolerance as f64 / 3e6))],
        (Doubt::Repeated, Start::Repeated(_, off)) => {
            // s² = 2 off²/3, over four readings.
            let scale = off as f64 / 1e6 * (2.0_f64 / 12.0).sqrt();
            vec![(2, Law::StudentT(StudentT::new(0.0, scale, 3.0).expect("a scale")))]
        }
        (Doubt::Found, _) => vec![(3, box_of(0.009)), (4, normal(0.003))],
        (Doubt::ReadBody | Doubt::Measured(_), _) => vec![(5, box_of(0.004)), (6, normal(0.002))],
        (Doubt::Micrometer, _) => vec![(7, box_of(0.002))],
        (Doubt::Size(_), _) => {
            vec![(8, box_of(choice.tolerance.expect("a tolerance") as f64 / 1e6))]
        }
        (Doubt::Drawn | Doubt::Repeated, _) => panic!("a doubt of another start"),
    }
}
