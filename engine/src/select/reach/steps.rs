//! How a pack of one pattern of errors is classed, as a function of where its expected gap lies in the band: steps,
//! worked out once, in place of a distribution asked anew for every unit.

use super::intervals::{Intervals, union};
use crate::analyse::{AnalyseError, Confidence, Judge, verdict_on};
use crate::model::{Column, Form, Gap};
use crate::select::search::rank;

/// The class of a pack in the order of choice: the rank of its verdict, and its hundredths with the sign turned.
pub(in crate::select) type Class = (u8, i64);

/// The class of packs that have no chance.
pub(super) const HOPELESS: Class = (2, 0);

/// Nodes for each standard deviation about an end of the band.
const NODES: i32 = 20;
/// So many standard deviations from an end are looked at closely.
const NEAR: i32 = 10;
/// Farther nodes, for laws with heavy tails, in standard deviations.
const FAR: [f64; 8] = [14.0, 20.0, 30.0, 50.0, 80.0, 150.0, 300.0, 1000.0];
/// A step is found to this length, in millimetres.
const STEP_MM: f64 = 1e-9;
/// On the grid a value is on the edge within half a nanometre.
const ON_THE_EDGE_MM: f64 = 0.5e-6;

/// Classes by where the expected gap is, measured from the lower end of the band, or from the upper one where there is no
/// lower one.
#[derive(Debug, Clone)]
pub(in crate::select) struct Steps {
    /// Where the class changes, ascending.
    at: Vec<f64>,
    /// The class before each change, and after the last one.
    classes: Vec<Class>,
}

impl Steps {
    /// For a whole gap with a pack in it. `all` hundredths are told apart; else only whether it is in.
    pub(in crate::select) fn of(
        gap: &Gap,
        whole: &Form,
        columns: &[Column],
        confidence: Confidence,
        all: bool,
    ) -> Result<Steps, AnalyseError> {
        let judge = Judge::new(whole, gap, columns)?;
        let (low, high) = judge.band_mm();
        let origin = low.or(high).unwrap_or(0.0);
        let mean = whole.mean_mm(columns);
        let within = |u: f64| judge.at(origin + u - mean).within;
        let class = |p: f64| {
            let verdict = verdict_on(gap, whole, columns, p, confidence);
            let rank = rank(verdict);
            // As a judgement of the choice counts them.
            (rank, if rank == 0 { -100 } else { -((p * 100.0 + 1e-9).floor() as i64) })
        };
        let ends: Vec<(f64, f64)> = [(low, &gap.low), (high, &gap.high)]
            .into_iter()
            .filter_map(|(end, form)| {
                let form = form.as_ref()?;
                let sd = whole.plus(form, -1.0).variance_mm2(columns).map_or(0.0, f64::sqrt);
                Some((end? - origin, sd))
            })
            .collect();
        let mut at: Vec<f64> = Vec::new();
        if ends.iter().all(|&(_, sd)| sd == 0.0) {
            at.extend(low.map(|low| low - origin - ON_THE_EDGE_MM));
            at.extend(high.map(|high| high - origin + ON_THE_EDGE_MM));
        } else {
            let thresholds = thresholds(confidence, all);
            let mut nodes: Vec<(f64, f64)> = nodes(&ends).into_iter().map(|u| (u, within(u))).collect();
            nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
            for pair in nodes.windows(2) {
                let (from, to) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
                for &wanted in thresholds.iter().filter(|&&wanted| from < wanted && wanted <= to) {
                    at.push(crossing(pair[0], pair[1], wanted, &within));
                }
            }
            at.sort_by(f64::total_cmp);
        }
        let outer = |index: usize, by: f64| at.get(index).map_or(by, |&at| at + by);
        let middle = |index: usize| match (index.checked_sub(1).and_then(|before| at.get(before)), at.get(index)) {
            (Some(&before), Some(&next)) => f64::midpoint(before, next),
            (None, _) => outer(0, -1e-3),
            (_, None) => outer(index - 1, 1e-3),
        };
        let classes = (0..=at.len()).map(|index| class(within(middle(index)))).collect();
        Ok(Steps { at, classes })
    }

    /// The class of an expected gap.
    pub(super) fn class(&self, u: f64) -> Class {
        self.classes[self.at.partition_point(|&at| at <= u)]
    }

    /// Between which values any class is better than none.
    pub(super) fn hopeful(&self) -> (f64, f64) {
        let good = |class: &Class| *class < HOPELESS;
        let first = self.classes.iter().position(good);
        let last = self.classes.iter().rposition(good);
        match (first, last) {
            (Some(first), Some(last)) => (
                first.checked_sub(1).map_or(f64::NEG_INFINITY, |before| self.at[before]),
                self.at.get(last).copied().unwrap_or(f64::INFINITY),
            ),
            _ => (f64::INFINITY, f64::NEG_INFINITY),
        }
    }

    /// Where the verdict is in.
    pub(super) fn sure(&self) -> Intervals {
        let piece = |(index, class): (usize, &Class)| {
            let low = index.checked_sub(1).map_or(f64::NEG_INFINITY, |before| self.at[before]);
            (class.0 == 0).then(|| (low, self.at.get(index).copied().unwrap_or(f64::INFINITY)))
        };
        union(self.classes.iter().enumerate().filter_map(piece).collect())
    }
}

/// The probabilities at which a class changes.
fn thresholds(confidence: Confidence, all: bool) -> Vec<f64> {
    // A hair below, as the verdict and the hundredths take them.
    let mut found = vec![confidence.probability() - 1e-12];
    if all {
        found.push(1.0 - confidence.probability() + 1e-12);
        found.extend((1..=100).map(|hundredth| f64::from(hundredth) / 100.0 - 1e-11));
    }
    found
}

/// Where the probability is looked at, about the ends of the band with the standard deviation there.
fn nodes(ends: &[(f64, f64)]) -> Vec<f64> {
    let mut nodes = Vec::new();
    for &(end, sd) in ends {
        nodes.extend((-NEAR * NODES..=NEAR * NODES).map(|step| end + sd * f64::from(step) / f64::from(NODES)));
        nodes.extend(FAR.iter().flat_map(|far| [end - far * sd, end + far * sd]));
    }
    if let [(low, _), (high, _)] = *ends {
        nodes.push(f64::midpoint(low, high));
    }
    nodes
}

/// Where the probability passes a value between two nodes: false position, halved where it sticks.
fn crossing(mut a: (f64, f64), mut b: (f64, f64), wanted: f64, within: &impl Fn(f64) -> f64) -> f64 {
    let mut halve = false;
    while b.0 - a.0 > STEP_MM {
        let straight = a.0 + (b.0 - a.0) * (wanted - a.1) / (b.1 - a.1);
        let inside = straight > a.0 && straight < b.0;
        // Every second step halves, so that a bend cannot hold it on one side.
        let u = if halve || !inside { f64::midpoint(a.0, b.0) } else { straight };
        halve = !halve;
        let p = within(u);
        if (p - wanted).abs() < 1e-14 {
            return u;
        }
        if (p < wanted) == (a.1 < wanted) { a = (u, p) } else { b = (u, p) }
    }
    f64::midpoint(a.0, b.0)
}
