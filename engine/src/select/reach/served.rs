//! How much of the population is served: exactly where it comes down to one sum for each part, else by random units.

use super::intervals::{Intervals, SAME_MM, union};
use super::parts::{Ends, Part};
use crate::analyse::drawing::{Line, Variables, blocks, generator};
use crate::analyse::exact::{Exact, ExactError};
use crate::analyse::exact_of;
use crate::analyse::monte_carlo::{MonteCarloOptions, Share};
use crate::model::{Column, Form};

/// A part as one sum that has to be in one of some intervals.
#[derive(Debug, Clone)]
pub(in crate::select) struct OneSum {
    pub(in crate::select) sum: Form,
    law: Exact,
    /// What the lower and the upper end of each gap are beyond the sum.
    ends: Vec<(Option<f64>, Option<f64>)>,
    intervals: Intervals,
}

impl OneSum {
    /// None where the part is not one sum.
    pub(in crate::select) fn of(part: &Part, columns: &[Column]) -> Result<Option<OneSum>, ExactError> {
        let Some(sum) = part.ends.iter().flat_map(Ends::forms).next().cloned() else { return Ok(None) };
        // What each end is beyond the sum; where that is in doubt it is another sum.
        let beyond = |form: &Option<Form>| match form {
            None => Some(None),
            Some(form) => {
                let rest = form.plus(&sum, -1.0);
                (!rest.is_random(columns)).then(|| Some(rest.mean_mm(columns)))
            }
        };
        let mut ends = Vec::with_capacity(part.ends.len());
        for end in &part.ends {
            let (Some(low), Some(high)) = (beyond(&end.low), beyond(&end.high)) else { return Ok(None) };
            ends.push((low, high));
        }
        let intervals = union(part.moves.iter().map(|moves| served(&ends, moves)).collect());
        Ok(Some(OneSum { law: exact_of(&sum, columns)?, sum, ends, intervals }))
    }

    /// The share below what packs that move the gaps so serve, and the share up to its end. None where it serves nothing.
    pub(in crate::select) fn window(&self, moves: &[f64]) -> Option<(f64, f64)> {
        let (low, high) = served(&self.ends, moves);
        (low <= high + SAME_MM).then(|| (self.law.below(low).value, self.law.at_or_below(high).value))
    }

    /// The sums that packs which move the gaps so serve.
    pub(in crate::select) fn serves(&self, moves: &[f64]) -> (f64, f64) {
        served(&self.ends, moves)
    }

    /// The probability with the sum moved by so much, and a bound of its error.
    ///
    /// Formula: Σ 1 − P(X < a) − P(X > b) over the intervals [a, b].
    pub(in crate::select) fn probability(&self, moved_mm: f64) -> (f64, f64) {
        self.intervals.iter().fold((0.0, 0.0), |(sum, error), &(low, high)| {
            let (below, above) = (self.law.below(low - moved_mm), self.law.above(high - moved_mm));
            (sum + (1.0 - below.value - above.value).max(0.0), error + below.error_bound + above.error_bound)
        })
    }
}

/// The sums that are served with the gaps moved so.
fn served(ends: &[(Option<f64>, Option<f64>)], moves: &[f64]) -> (f64, f64) {
    ends.iter().zip(moves).fold((f64::NEG_INFINITY, f64::INFINITY), |(a, b), (&(low, high), moved)| {
        (a.max(low.map_or(a, |low| -low - moved)), b.min(high.map_or(b, |high| -high - moved)))
    })
}

/// All parts as sums that share nothing; none where it has to be drawn.
pub(super) fn exactly(parts: &[Part], columns: &[Column]) -> Option<Vec<OneSum>> {
    let sums: Vec<OneSum> =
        parts.iter().map(|part| OneSum::of(part, columns).ok().flatten()).collect::<Option<Vec<_>>>()?;
    // Which sum has each variable, and which goes together with one of its own.
    let mut owner: Vec<Option<usize>> = vec![None; columns.len()];
    for (index, one) in sums.iter().enumerate() {
        for column in one.sum.columns().filter(|&column| !columns[column].parts.is_empty()) {
            let tied = columns[column].links.iter().map(|link| link.column);
            for column in tied.chain([column]) {
                if owner[column].replace(index).is_some_and(|other| other != index) {
                    return None;
                }
            }
        }
    }
    Some(sums)
}

/// A part for random units: its ends, and the moves in order of the first end's.
struct Plan {
    ends: Vec<(Option<Line>, Option<Line>)>,
    moves: Vec<Vec<f64>>,
}

impl Plan {
    fn inside(&self, ends: &[(Option<f64>, Option<f64>)]) -> bool {
        let inside = |moves: &[f64]| {
            ends.iter().zip(moves).all(|(&(low, high), moved)| {
                low.is_none_or(|low| low + moved >= 0.0) && high.is_none_or(|high| high + moved <= 0.0)
            })
        };
        let (low, high) = ends[0];
        let first = low.map_or(0, |low| self.moves.partition_point(|moves| low + moves[0] < 0.0));
        let candidates = self.moves[first..].iter();
        candidates.take_while(|moves| high.is_none_or(|high| high + moves[0] <= 0.0)).any(|moves| inside(moves))
    }
}

/// The share of random units that are served. None where the pool of threads cannot be made.
pub(super) fn drawn(parts: &[Part], columns: &[Column], options: MonteCarloOptions) -> Option<Share> {
    let mut variables = Variables::new(columns);
    let mut plans = Vec::with_capacity(parts.len());
    for part in parts {
        let mut line = |form: &Option<Form>| form.as_ref().map(|form| variables.line(form));
        let ends = part.ends.iter().map(|end| (line(&end.low), line(&end.high))).collect();
        let mut moves = part.moves.clone();
        moves.sort_by(|a, b| a[0].total_cmp(&b[0]));
        plans.push(Plan { ends, moves });
    }
    let drawing = variables.ready();
    let mut inside = 0;
    let work = |block: u64, count: usize| {
        let values = drawing.draw(&mut generator(options.seed, block), count);
        let mut all = vec![true; count];
        for plan in &plans {
            let of = |line: &Option<Line>, sign: f64| {
                line.as_ref().map(|line| {
                    let more = sign * line.edge_mm();
                    line.values(&values, count).into_iter().map(|value| value + more).collect::<Vec<f64>>()
                })
            };
            let ends: Vec<_> = plan.ends.iter().map(|(low, high)| (of(low, 1.0), of(high, -1.0))).collect();
            let mut one = Vec::with_capacity(ends.len());
            for (index, all) in all.iter_mut().enumerate().filter(|(_, all)| **all) {
                one.clear();
                one.extend(ends.iter().map(|(low, high)| {
                    (low.as_ref().map(|values| values[index]), high.as_ref().map(|values| values[index]))
                }));
                *all = plan.inside(&one);
            }
        }
        all.into_iter().filter(|all| *all).count() as u64
    };
    blocks(options, &work, &mut |count| inside += count)?;
    Some(Share::new(inside, options.samples))
}
