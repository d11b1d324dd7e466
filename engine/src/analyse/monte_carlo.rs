//! Monte Carlo: the gaps drawn at random, jointly, as the independent check of the exact method.
//!
//! Every part of every variable is drawn by itself; nothing is merged. The samples come in blocks, each with a
//! generator of its own keyed by seed and block, and the blocks' sums are added in order: the answer is the same for
//! any number of threads, and the memory does not grow with the number of samples.

use rand::rngs::{ChaCha8Rng, Xoshiro256PlusPlus};
use rand::{Rng, SeedableRng};
use rayon::prelude::*;

use crate::law::Law;
use crate::length::SAME_WITHIN_MM;
use crate::model::{Column, Form, Gap};

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
    /// The share in which every gap that has a band was in it; none where no gap has one.
    pub joint_within: Option<Share>,
}

/// Draws the forms of some gaps jointly. Shape: one form a gap.
///
/// None where the pool of threads cannot be made.
#[must_use]
pub fn draw(forms: &[Form], gaps: &[&Gap], columns: &[Column], options: MonteCarloOptions) -> Option<Drawn> {
    assert_eq!(forms.len(), gaps.len(), "each gap is drawn with one form");
    let plan = Plan::new(forms, gaps, columns);
    let blocks = options.samples.div_ceil(BLOCK as u64);
    let mut total = Sums::new(forms.len());
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
}

/// A form over the plan's variables.
struct Line {
    constant: f64,
    terms: Vec<(usize, f64)>,
    edge_mm: f64,
}

/// What sums of millimetres round, with room to spare; no probability is seen in so short a length.
const ROUNDING_MM: f64 = 1e-10;

/// How far beyond an end of the band a value still is on it, which binary rounding must not undo: half a step of the
/// grid where a form has nothing but single values, and nothing where no single value has a probability of its own.
fn edge_mm(form: &Form, columns: &[Column]) -> f64 {
    let laws = || form.terms().iter().flat_map(|&(column, _)| columns[column].parts.iter().map(|part| &part.law));
    if laws().all(|law| law.atoms().is_some()) {
        SAME_WITHIN_MM
    } else if laws().all(Law::has_atoms) {
        ROUNDING_MM
    } else {
        0.0
    }
}

impl Plan {
    fn new(forms: &[Form], gaps: &[&Gap], columns: &[Column]) -> Plan {
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
            Line { constant: form.constant_mm, terms, edge_mm: edge_mm(form, columns) }
        };
        let rows = forms
            .iter()
            .zip(gaps)
            .map(|(form, gap)| Row {
                centre: form.mean_mm(columns),
                scale: form.variance_mm2(columns).filter(|&variance| variance > 0.0).map_or(1.0, f64::sqrt),
                fourth_moment: form
                    .terms()
                    .iter()
                    .all(|&(column, _)| columns[column].parts.iter().all(|part| part.law.has_fourth_moment())),
                gap: line(form),
                low: gap.low.as_ref().map(|end| line(&form.plus(end, -1.0))),
                high: gap.high.as_ref().map(|end| line(&form.plus(end, -1.0))),
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
        let mut inside = vec![true; count];
        let mut line_values = vec![0.0; count];
        for (row, into) in self.rows.iter().zip(&mut sums.gaps) {
            row.gap.evaluate(&values, &mut line_values);
            into.moments(&line_values, row.centre, row.scale);
            if let Some(low) = &row.low {
                low.evaluate(&values, &mut line_values);
                into.below = low.count(&line_values, -1.0, &mut inside);
            }
            if let Some(high) = &row.high {
                high.evaluate(&values, &mut line_values);
                into.above = high.count(&line_values, 1.0, &mut inside);
            }
        }
        sums.inside = inside.iter().filter(|inside| **inside).count() as u64;
        sums
    }

    fn figures(&self, total: &Sums, samples: u64) -> Drawn {
        let banded = |row: &Row| row.low.is_some() || row.high.is_some();
        let gaps =
            self.rows.iter().zip(&total.gaps).map(|(row, sums)| sums.figures(row, samples, banded(row))).collect();
        let joint_within = self.rows.iter().any(banded).then(|| Share::new(total.inside, samples));
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
            if value * sign > self.edge_mm {
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
