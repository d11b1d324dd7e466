//! Random draws of a model's variables, in blocks with a generator of their own each, so that what comes out is the same
//! for any number of threads.

use nalgebra::DMatrix;
use rand::rngs::{ChaCha8Rng, Xoshiro256PlusPlus};
use rand::{Rng, RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rayon::prelude::*;

use super::monte_carlo::MonteCarloOptions;
use crate::law::Law;
use crate::length::SAME_WITHIN_MM;
use crate::model::{Column, Form, linked, normal_correlation};
use crate::number::cholesky;

/// Samples of one block.
const BLOCK: usize = 4096;
/// Blocks that are held at a time before they are added up.
const AT_A_TIME: u64 = 1024;

/// Works all blocks of a draw, and passes what each gives to `take` in the order of the blocks.
///
/// None where the pool of threads cannot be made.
pub(crate) fn blocks<T: Send>(
    options: MonteCarloOptions,
    work: &(impl Fn(u64, usize) -> T + Sync),
    take: &mut (impl FnMut(T) + Send),
) -> Option<()> {
    let blocks = options.samples.div_ceil(BLOCK as u64);
    let mut all = || {
        let mut next = 0;
        while next < blocks {
            let end = (next + AT_A_TIME).min(blocks);
            let drawn: Vec<T> = (next..end)
                .into_par_iter()
                .map(|block| {
                    let left = options.samples - block * BLOCK as u64;
                    work(block, usize::try_from(left).unwrap_or(BLOCK).min(BLOCK))
                })
                .collect();
            drawn.into_iter().for_each(&mut *take);
            next = end;
        }
    };
    match options.threads {
        None => all(),
        Some(threads) => rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok()?.install(all),
    }
    Some(())
}

/// The generator of a block: xoshiro256++ draws, seeded from the block's own stream of ChaCha8, for ChaCha8 alone
/// costs more than twice as much.
pub(crate) fn generator(seed: u64, block: u64) -> Xoshiro256PlusPlus {
    let mut key = ChaCha8Rng::seed_from_u64(seed);
    key.set_stream(block);
    let mut bytes = [0; 32];
    key.fill_bytes(&mut bytes);
    Xoshiro256PlusPlus::from_seed(bytes)
}

/// The variables of some forms, as they are gathered.
pub(crate) struct Variables<'a> {
    columns: &'a [Column],
    /// The place of each column among the variables; none: it is in no form.
    places: Vec<Option<usize>>,
    used: Vec<usize>,
}

/// Variables ready to be drawn.
pub(crate) struct Drawing {
    /// Their value and the laws of their parts, none for one that is drawn with others.
    variables: Vec<(f64, Vec<Law>)>,
    together: Vec<Together>,
}

/// Variables that go together, drawn from correlated normal ones.
struct Together {
    /// Each by its place among the variables, with its law.
    laws: Vec<(usize, Law)>,
    /// L with L·Lᵀ the correlation of the normal variables.
    lower: DMatrix<f64>,
}

impl<'a> Variables<'a> {
    /// Of no form yet.
    pub(crate) fn new(columns: &'a [Column]) -> Self {
        Variables { columns, places: vec![None; columns.len()], used: Vec::new() }
    }

    /// A form over the variables, which are added to where it needs more.
    pub(crate) fn line(&mut self, form: &Form) -> Line {
        let mut terms = Vec::with_capacity(form.terms().len());
        for &(column, coefficient) in form.terms() {
            let place = *self.places[column].get_or_insert_with(|| {
                self.used.push(column);
                self.used.len() - 1
            });
            terms.push((place, coefficient));
        }
        Line { constant: form.constant_mm, terms, edge_mm: edge_mm(form, self.columns) }
    }

    /// All that was gathered.
    pub(crate) fn ready(self) -> Drawing {
        let of = |&column: &usize| {
            let column = &self.columns[column];
            (column.value_mm, column.parts.iter().map(|part| part.law.clone()).collect::<Vec<Law>>())
        };
        let mut variables: Vec<(f64, Vec<Law>)> = self.used.iter().map(of).collect();
        let mut ascending = self.used.clone();
        ascending.sort_unstable();
        let place = |column: usize| self.places[column].expect("what goes together was gathered");
        let together = linked(&ascending, self.columns)
            .into_iter()
            .map(|set| Together {
                lower: cholesky::factor_of_part(&normal_correlation(&set, self.columns)),
                // A variable that goes together with others has one part, its drawing.
                laws: set.iter().map(|&column| (place(column), variables[place(column)].1.remove(0))).collect(),
            })
            .collect();
        Drawing { variables, together }
    }
}

impl Drawing {
    /// Draws every variable so often. Shape: variables × count.
    pub(crate) fn draw<R: Rng>(&self, rng: &mut R, count: usize) -> Vec<Vec<f64>> {
        let mut one = vec![0.0; count];
        let mut column = |(value, laws): &(f64, Vec<Law>)| {
            let mut sum = vec![*value; count];
            for law in laws {
                law.fill(rng, &mut one);
                sum.iter_mut().zip(&one).for_each(|(sum, one)| *sum += one);
            }
            sum
        };
        let mut values = self.variables.iter().map(&mut column).collect::<Vec<_>>();
        self.together.iter().for_each(|together| together.add(rng, count, &mut values));
        values
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

/// A form over drawn variables.
pub(crate) struct Line {
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

impl Line {
    /// The form's value in each sample.
    pub(crate) fn evaluate(&self, values: &[Vec<f64>], into: &mut [f64]) {
        into.fill(self.constant);
        for &(variable, coefficient) in &self.terms {
            into.iter_mut().zip(&values[variable]).for_each(|(sum, value)| *sum += coefficient * value);
        }
    }

    /// The same as a list of its own.
    pub(crate) fn values(&self, values: &[Vec<f64>], count: usize) -> Vec<f64> {
        let mut into = vec![0.0; count];
        self.evaluate(values, &mut into);
        into
    }

    /// How far beyond nought a value of it still counts as nought, in millimetres.
    pub(crate) fn edge_mm(&self) -> f64 {
        self.edge_mm
    }
}
