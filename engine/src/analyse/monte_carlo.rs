//! Monte Carlo: the gaps drawn at random, jointly, as the independent check of the exact method.
//!
//! Every part of every variable is drawn by itself; nothing is merged. The samples come in blocks, each with a
//! generator of its own keyed by seed and block, and the blocks' sums are added in order: the answer is the same for
//! any number of threads, and the memory does not grow with the number of samples.

use rand::rngs::{ChaCha8Rng, Xoshiro256PlusPlus};
use rand::{Rng, SeedableRng};
use rayon::prelude::*;

use super::joint::Banded;
use crate::law::Law;
use crate::length::on_grid;
use crate::model::{Column, Form};

/// Samples of one block.
const BLOCK: usize = 4096;
/// Blocks that are held at a time before they are added up.
const AT_A_TIME: u64 = 1024;

/// How much is drawn, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MonteCarloOptions {
    /// How many samples.
    pub samples: u64,
    /// The seed.
    pub seed: u64,
    /// How many threads; none: one for each core.
    pub threads: Option<usize>,
}

impl Default for MonteCarloOptions {
    fn default() -> Self {
        Self { samples: 1_000_000, seed: 1, threads: None }
    }
}

/// What was drawn of one gap.
#[derive(Debug, Clone, PartialEq)]
pub struct MonteCarlo {
    /// How many samples.
    pub samples: u64,
    /// The mean, in millimetres.
    pub mean_mm: f64,
    /// The standard deviation, in millimetres.
    pub sd_mm: f64,
    /// The share against the band; none where there is no band.
    pub shares: Option<Shares>,
    /// The standard error of the mean, in millimetres.
    pub mean_error_mm: f64,
    /// The standard error of the standard deviation, in millimetres; none where a law has no fourth moment.
    pub sd_error_mm: Option<f64>,
}

/// Shares of the samples against a band, with their standard errors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// Below the band.
    pub below: Share,
    /// In the band.
    pub within: Share,
    /// Above the band.
    pub above: Share,
}

/// A share of the samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The share.
    pub value: f64,
    /// Its standard error √(p(1 − p)/N); where none or all were hit, the bound 3/N (95 %).
    pub standard_error: f64,
    /// How many samples.
    pub count: u64,
}

/// What was drawn of all gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Each gap, in the order in which they were given.
    pub gaps: Vec<MonteCarlo>,
    /// The share in which every gap that was to be judged together was in its band; none where there was none.
    pub joint_within: Option<Share>,
}

/// Draws some gaps jointly; those at the places `together` are also counted as in band at once.
///
/// None where the pool of threads cannot be made.
#[must_use]
pub fn draw(gaps: &[Banded<'_>], together: &[usize], columns: &[Column], options: MonteCarloOptions) -> Option<Drawn> {
    let plan = Plan::new(gaps, together, columns);
    let blocks = options.samples.div_ceil(BLOCK as u64);
    let mut total = Sums::new(gaps.len());
    let mut work = || {
        let mut next = 0;
        while next < blocks {
            let end = (next + AT_A_TIME).min(blocks);
            let drawn: Vec<Sums> = (next..end)
                .into_par_iter()
                .map(|block| {
                    let left = options.samples - block * BLOCK as u64;
                    plan.block(options.seed, block, usize::try_from(left).unwrap_or(BLOCK).min(BLOCK))
                })
                .collect();
            for one in &drawn {
                total.add(one);
            }
            next = end;
        }
    };
    match options.threads {
        None => work(),
        Some(threads) => rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok()?.install(work),
    }
    Some(plan.figures(&total, options.samples))
}

/// What has to be drawn.
struct Plan {
    /// The variables: their value and the laws of their parts.
    variables: Vec<(f64, Vec<Law>)>,
    rows: Vec<Row>,
}

/// One gap with its band.
struct Row {
    /// The expected gap and the scale on which moments are summed.
    centre: f64,
    scale: f64,
    fourth_moment: bool,
    gap: Line,
    low: Option<Line>,
    high: Option<Line>,
    /// Whether it counts among those that are to be in band at once.
    together: bool,
}

/// A form over the plan's variables.
struct Line {
    constant: f64,
    terms: Vec<(usize, f64)>,
    random: bool,
}

impl Plan {
    fn new(gaps: &[Banded<'_>], together: &[usize], columns: &[Column]) -> Plan {
        let mut used: Vec<usize> = Vec::new();
        let mut places = vec![usize::MAX; columns.len()];
        let mut line = |form: &Form| {
            let mut terms = Vec::with_capacity(form.terms().len());
            for &(column, coefficient) in form.terms() {
                if places[column] == usize::MAX {
                    places[column] = used.len();
                    used.push(column);
                }
                terms.push((places[column], coefficient));
            }
            Line { constant: form.constant_mm, terms, random: form.is_random(columns) }
        };
        let rows = gaps
            .iter()
            .enumerate()
            .map(|(index, gap)| Row {
                centre: gap.form.mean_mm(columns),
                scale: gap.form.variance_mm2(columns).filter(|&variance| variance > 0.0).map_or(1.0, f64::sqrt),
                fourth_moment: gap
                    .form
                    .terms()
                    .iter()
                    .all(|&(column, _)| columns[column].parts.iter().all(|part| part.law.has_fourth_moment())),
                gap: line(gap.form),
                low: gap.low.map(|end| line(&gap.form.plus(end, -1.0))),
                high: gap.high.map(|end| line(&gap.form.plus(end, -1.0))),
                together: together.contains(&index),
            })
            .collect();
        let variables = used
            .iter()
            .map(|&column| {
                let column = &columns[column];
                (column.value_mm, column.parts.iter().map(|part| part.law.clone()).collect())
            })
            .collect();
        Plan { variables, rows }
    }

    fn block(&self, seed: u64, block: u64, count: usize) -> Sums {
        let mut rng = generator(seed, block);
        let mut one = vec![0.0; count];
        let values: Vec<Vec<f64>> = self
            .variables
            .iter()
            .map(|(value, laws)| {
                let mut sum = vec![*value; count];
                for law in laws {
                    law.fill(&mut rng, &mut one);
                    sum.iter_mut().zip(&one).for_each(|(sum, one)| *sum += one);
                }
                sum
            })
            .collect();
        let mut sums = Sums::new(self.rows.len());
        let mut all_inside = vec![true; count];
        let mut inside = vec![true; count];
        let mut line_values = vec![0.0; count];
        for (row, into) in self.rows.iter().zip(&mut sums.gaps) {
            row.gap.evaluate(&values, &mut line_values);
            into.moments(&line_values, row.centre, row.scale);
            inside.fill(true);
            if let Some(low) = &row.low {
                low.evaluate(&values, &mut line_values);
                into.below = low.count(&line_values, -1.0, &mut inside);
            }
            if let Some(high) = &row.high {
                high.evaluate(&values, &mut line_values);
                into.above = high.count(&line_values, 1.0, &mut inside);
            }
            if row.together {
                all_inside.iter_mut().zip(&inside).for_each(|(all, &inside)| *all &= inside);
            }
        }
        sums.inside = all_inside.iter().filter(|inside| **inside).count() as u64;
        sums
    }

    fn figures(&self, total: &Sums, samples: u64) -> Drawn {
        let banded = |row: &Row| row.low.is_some() || row.high.is_some();
        let gaps =
            self.rows.iter().zip(&total.gaps).map(|(row, sums)| sums.figures(row, samples, banded(row))).collect();
        let together = self.rows.iter().any(|row| row.together);
        let joint_within = together.then(|| Share::new(total.inside, samples));
        Drawn { gaps, joint_within }
    }
}

impl Line {
    fn evaluate(&self, values: &[Vec<f64>], into: &mut [f64]) {
        into.fill(self.constant);
        for &(variable, coefficient) in &self.terms {
            into.iter_mut().zip(&values[variable]).for_each(|(sum, value)| *sum += coefficient * value);
        }
    }

    /// Counts the values on the side of `sign`, and marks them as not inside.
    fn count(&self, values: &[f64], sign: f64, inside: &mut [bool]) -> u64 {
        let mut count = 0;
        for (value, inside) in values.iter().zip(inside) {
            // Where nothing is random a value on the edge is in, which binary rounding must not undo.
            let outside = if self.random { value * sign > 0.0 } else { on_grid(value * sign) > 0 };
            if outside {
                count += 1;
                *inside = false;
            }
        }
        count
    }
}

/// The generator of a block: xoshiro256++ draws, seeded from the block's own stream of ChaCha8, for ChaCha8 alone
/// costs more than twice as much.
fn generator(seed: u64, block: u64) -> Xoshiro256PlusPlus {
    let mut key = ChaCha8Rng::seed_from_u64(seed);
    key.set_stream(block);
    let mut bytes = [0; 32];
    key.fill_bytes(&mut bytes);
    Xoshiro256PlusPlus::from_seed(bytes)
}

/// Sums of one block, or of several.
struct Sums {
    gaps: Vec<GapSums>,
    inside: u64,
}

#[derive(Clone, Default)]
struct GapSums {
    /// Sums of d, d², d³ and d⁴, d being (gap − expected)/scale.
    powers: [f64; 4],
    below: u64,
    above: u64,
}

impl Sums {
    fn new(gaps: usize) -> Sums {
        Sums { gaps: vec![GapSums::default(); gaps], inside: 0 }
    }

    fn add(&mut self, other: &Sums) {
        self.inside += other.inside;
        for (mine, theirs) in self.gaps.iter_mut().zip(&other.gaps) {
            mine.powers.iter_mut().zip(theirs.powers).for_each(|(sum, more)| *sum += more);
            mine.below += theirs.below;
            mine.above += theirs.above;
        }
    }
}

impl GapSums {
    fn moments(&mut self, values: &[f64], centre: f64, scale: f64) {
        let mut powers = [0.0; 4];
        for value in values {
            let d = (value - centre) / scale;
            let d2 = d * d;
            powers[0] += d;
            powers[1] += d2;
            powers[2] += d2 * d;
            powers[3] += d2 * d2;
        }
        self.powers = powers;
    }

    fn figures(&self, row: &Row, samples: u64, banded: bool) -> MonteCarlo {
        let n = samples as f64;
        let [a, b, c, d] = self.powers.map(|sum| sum / n);
        let second = (b - a * a).max(0.0);
        let fourth = d - 4.0 * a * c + 6.0 * a * a * b - 3.0 * a.powi(4);
        let sd = if samples > 1 { (second * n / (n - 1.0)).sqrt() } else { 0.0 };
        let sd_error = if sd > 0.0 { ((fourth - second * second).max(0.0) / n).sqrt() / (2.0 * sd) } else { 0.0 };
        let shares = banded.then(|| Shares {
            below: Share::new(self.below, samples),
            within: Share::new(samples - self.below - self.above, samples),
            above: Share::new(self.above, samples),
        });
        MonteCarlo {
            samples,
            mean_mm: row.centre + a * row.scale,
            sd_mm: sd * row.scale,
            shares,
            mean_error_mm: sd * row.scale / n.sqrt(),
            sd_error_mm: row.fourth_moment.then_some(sd_error * row.scale),
        }
    }
}

impl Share {
    fn new(count: u64, samples: u64) -> Share {
        let n = samples as f64;
        let value = count as f64 / n;
        let error = if count == 0 || count == samples { 3.0 / n } else { (value * (1.0 - value) / n).sqrt() };
        Share { value, standard_error: error, count }
    }
}
