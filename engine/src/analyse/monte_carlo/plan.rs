//! What is drawn: the variables of the gaps, block by block.

use nalgebra::DMatrix;
use rand::rngs::{ChaCha8Rng, Xoshiro256PlusPlus};
use rand::{Rng, RngExt, SeedableRng};
use rand_distr::StandardNormal;

use super::sums::Sums;
use super::{Drawn, Ended, Share};
use crate::analyse::joint::Banded;
use crate::law::Law;
use crate::length::SAME_WITHIN_MM;
use crate::model::{Column, Form, linked, normal_correlation};
use crate::number::cholesky;

/// What has to be drawn.
pub(super) struct Plan {
    /// The variables: their value and the laws of their parts, none for one that is drawn with others.
    variables: Vec<(f64, Vec<Law>)>,
    together: Vec<Together>,
    pub(super) rows: Vec<Row>,
}

/// Variables that go together, drawn from correlated normal ones.
struct Together {
    /// Each by its place among the plan's variables, with its law.
    laws: Vec<(usize, Law)>,
    /// L with L·Lᵀ the correlation of the normal variables.
    lower: DMatrix<f64>,
}

/// One gap with its band.
pub(super) struct Row {
    /// The expected gap and the scale on which moments are summed.
    pub(super) centre: f64,
    pub(super) scale: f64,
    pub(super) fourth_moment: bool,
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
    pub(super) fn new(gaps: &[Banded<'_>], together: &[usize], columns: &[Column]) -> Plan {
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
        let mut variables: Vec<(f64, Vec<Law>)> = used
            .iter()
            .map(|&column| {
                let column = &columns[column];
                (column.value_mm, column.parts.iter().map(|part| part.law.clone()).collect())
            })
            .collect();
        let mut ascending = used.clone();
        ascending.sort_unstable();
        let together = linked(&ascending, columns)
            .into_iter()
            .map(|set| Together {
                lower: cholesky::factor_of_part(&normal_correlation(&set, columns)),
                // A variable that goes together with others has one part, its drawing.
                laws: set.iter().map(|&column| (places[column], variables[places[column]].1.remove(0))).collect(),
            })
            .collect();
        Plan { variables, together, rows }
    }

    /// Draws a block. What a gap's values are is passed to `told`, in the order of the rows.
    pub(super) fn block(&self, seed: u64, block: u64, count: usize, mut told: impl FnMut(usize, &[f64])) -> Sums {
        let mut rng = generator(seed, block);
        let mut one = vec![0.0; count];
        let mut values: Vec<Vec<f64>> = self
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
        self.together.iter().for_each(|together| together.add(&mut rng, count, &mut values));
        let mut sums = Sums::new(self.rows.len());
        let mut all_inside = vec![true; count];
        let mut inside = vec![true; count];
        let mut line_values = vec![0.0; count];
        for (index, (row, into)) in self.rows.iter().zip(&mut sums.gaps).enumerate() {
            row.gap.evaluate(&values, &mut line_values);
            told(index, &line_values);
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

    pub(super) fn figures(&self, total: &Sums, samples: u64, ended: Ended) -> Drawn {
        let banded = |row: &Row| row.low.is_some() || row.high.is_some();
        let gaps =
            self.rows.iter().zip(&total.gaps).map(|(row, sums)| sums.figures(row, samples, banded(row))).collect();
        let together = self.rows.iter().any(|row| row.together);
        let joint_within = together.then(|| Share::new(total.inside, samples));
        Drawn { gaps, joint_within, samples, ended }
    }
}

impl Together {
    /// Adds a draw of the variables to their values.
    fn add<R: Rng>(&self, rng: &mut R, count: usize, values: &mut [Vec<f64>]) {
        let mut normal = || (0..count).map(|_| rng.sample(StandardNormal)).collect();
        let drawn: Vec<Vec<f64>> = self.laws.iter().map(|_| normal()).collect();
        for (row, (variable, law)) in self.laws.iter().enumerate() {
            for (index, value) in values[*variable].iter_mut().enumerate() {
                let z: f64 = (0..=row).map(|column| self.lower[(row, column)] * drawn[column][index]).sum();
                *value += law.at_normal(z);
            }
        }
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
