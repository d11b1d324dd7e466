//! Drawing until the figures stand still: the adaptive procedure of JCGM 101:2008, 7.9.

use super::plan::Plan;
use super::sums::Sums;
use super::{BLOCK, MonteCarlo, MonteCarloOptions};
use crate::length::Unit;

/// The coverage of the interval whose ends have to stand still too.
const COVERAGE: f64 = 0.95;

/// How many digits are to be stable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Digits {
    /// So many significant digits of the standard uncertainty.
    pub digits: u32,
    /// In this unit: a digit of inches is not one of millimetres.
    pub unit: Unit,
}

/// What is known of the stability of a gap's figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stable {
    /// Whether they stand still within the tolerance.
    pub is_stable: bool,
    /// The numerical tolerance δ, in millimetres; none where nothing is random.
    pub tolerance_mm: Option<f64>,
    /// The largest of twice the standard deviations of the averages, in millimetres; none with one sequence.
    pub reached_mm: Option<f64>,
    /// The 95 % interval, the averages over all sequences, in millimetres; none where no sequence was whole.
    pub interval_mm: Option<(f64, f64)>,
}

/// The numerical tolerance of a standard uncertainty u that is shown with so many digits, in the unit of u; none for
/// zero.
///
/// Formula: δ = ½·10^ℓ, u ≈ c·10^ℓ with c of so many digits. Source: JCGM 101:2008, 7.9.2.
#[must_use]
pub fn tolerance(u: f64, digits: u32) -> Option<f64> {
    if !(u > 0.0 && u.is_finite()) || digits == 0 {
        return None;
    }
    // Written in figures, so that 0.0996 of two digits is 10 times 0.01.
    let text = format!("{u:.*e}", digits as usize - 1);
    let power: i32 = text.rsplit('e').next()?.parse().ok()?;
    Some(0.5 * 10.0_f64.powi(power - (digits as i32 - 1)))
}

/// Some blocks that are looked at by themselves.
pub(super) struct Sequence {
    pub(super) blocks: Vec<Sums>,
    pub(super) samples: u64,
    /// The ends of each gap's interval; empty where they are not asked for or the sequence is not whole.
    ends: Vec<(f64, f64)>,
}

impl Sequence {
    /// Blocks of a sequence: 12 288 samples, where JCGM 101:2008, 7.9.4 wants 10 000 at least.
    pub(super) const BLOCKS: u64 = 3;
    pub(super) const SAMPLES: u64 = Self::BLOCKS * BLOCK;

    /// Draws the sequence of this number.
    pub(super) fn draw(plan: &Plan, options: MonteCarloOptions, number: u64) -> Sequence {
        let from = number * Self::SAMPLES;
        let samples = (options.samples - from).min(Self::SAMPLES);
        let looked_at = options.digits.is_some() && samples == Self::SAMPLES;
        let mut values = vec![Vec::new(); if looked_at { plan.rows.len() } else { 0 }];
        let mut blocks = Vec::with_capacity(Self::BLOCKS as usize);
        let mut drawn = 0;
        while drawn < samples {
            let count = (samples - drawn).min(BLOCK);
            let block = (from + drawn) / BLOCK;
            let kept = |row: usize, block: &[f64]| {
                if looked_at {
                    values[row].extend_from_slice(block);
                }
            };
            blocks.push(plan.block(options.seed, block, count as usize, kept));
            drawn += count;
        }
        Sequence { blocks, samples, ends: values.into_iter().map(ends).collect() }
    }
}

/// The probabilistically symmetric interval of a sample (JCGM 101:2008, 7.7).
fn ends(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_unstable_by(f64::total_cmp);
    let count = values.len();
    let covered = (COVERAGE * count as f64 + 0.5) as usize;
    // The ranks are counted from one.
    let first = (count - covered).div_ceil(2).max(1);
    (values[first - 1], values[(first + covered).min(count) - 1])
}

/// The average over the sequences and the scatter of one figure.
#[derive(Debug, Clone, Copy, Default)]
struct Average {
    mean: f64,
    squares: f64,
}

impl Average {
    /// Takes in the figure of the `count`-th sequence (B. P. Welford, Technometrics 4 (1962) 419).
    fn add(&mut self, value: f64, count: f64) {
        let off = value - self.mean;
        self.mean += off / count;
        self.squares += off * (value - self.mean);
    }

    /// The standard deviation of the average.
    fn scatter(&self, count: f64) -> f64 {
        (self.squares / (count * (count - 1.0))).sqrt()
    }
}

/// Watches whether the figures stand still.
pub(super) struct Stability<'a> {
    plan: &'a Plan,
    digits: Digits,
    /// How many whole sequences there were.
    sequences: u64,
    /// For each gap: mean, standard deviation and the ends of the interval.
    averages: Vec<[Average; 4]>,
    /// For each gap: the tolerance, and what was reached.
    reached: Vec<(Option<f64>, Option<f64>)>,
}

impl<'a> Stability<'a> {
    pub(super) fn new(plan: &'a Plan, digits: Digits) -> Stability<'a> {
        let gaps = plan.rows.len();
        Stability {
            plan,
            digits,
            sequences: 0,
            averages: vec![[Average::default(); 4]; gaps],
            reached: vec![(None, None); gaps],
        }
    }

    /// Takes in a sequence; true where every gap stands still.
    ///
    /// Formula: twice the standard deviation of the average over the sequences, of the mean, of the standard deviation and
    /// of both ends of the interval, against δ of the standard deviation of all samples. Source: JCGM 101:2008, 7.9.4.
    pub(super) fn add(&mut self, sequence: &Sequence, total: &Sums, samples: u64) -> bool {
        if sequence.ends.is_empty() {
            return false;
        }
        self.sequences += 1;
        let count = self.sequences as f64;
        let mut own = Sums::new(self.plan.rows.len());
        sequence.blocks.iter().for_each(|block| own.add(block));
        for (index, row) in self.plan.rows.iter().enumerate() {
            let figures = own.gaps[index].figures(row, sequence.samples, false);
            let ends = sequence.ends[index];
            let values = [figures.mean_mm, figures.sd_mm, ends.0, ends.1];
            let averages = &mut self.averages[index];
            averages.iter_mut().zip(values).for_each(|(average, value)| average.add(value, count));
            let sd_mm = total.gaps[index].figures(row, samples, false).sd_mm;
            let unit_mm = self.digits.unit.to_mm(1.0);
            let tolerance = tolerance(sd_mm / unit_mm, self.digits.digits).map(|tolerance| tolerance * unit_mm);
            let scatter = averages.iter().map(|average| 2.0 * average.scatter(count)).fold(0.0, f64::max);
            self.reached[index] = (tolerance, (count > 1.0).then_some(scatter));
        }
        self.sequences > 1 && self.reached.iter().all(|&reached| stands_still(reached))
    }

    /// Tells each gap what is known of it.
    pub(super) fn tell(&self, gaps: &mut [MonteCarlo]) {
        for (index, gap) in gaps.iter_mut().enumerate() {
            let (tolerance_mm, reached_mm) = self.reached[index];
            let [.., low, high] = &self.averages[index];
            gap.stable = Some(Stable {
                is_stable: self.sequences > 1 && stands_still(self.reached[index]),
                tolerance_mm,
                reached_mm,
                interval_mm: (self.sequences > 0).then_some((low.mean, high.mean)),
            });
        }
    }
}

fn stands_still((tolerance, reached): (Option<f64>, Option<f64>)) -> bool {
    match (tolerance, reached) {
        // Nothing is random.
        (None, _) => true,
        (Some(tolerance), Some(reached)) => reached <= tolerance,
        (Some(_), None) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tolerances_of_the_standard() {
        // JCGM 101:2008, 7.9.2, examples 1 to 3 (from memory): 0.000 35 g of two digits and of one, 2 K of one.
        for (u, digits, expected) in [(0.000_35, 2, 0.000_005), (0.000_35, 1, 0.000_05), (2.0, 1, 0.5)] {
            let found = tolerance(u, digits).expect("it is not zero");
            assert!((found - expected).abs() <= 1e-15 * expected, "{u} {digits}: {found}");
        }
        // 9.96 is 10 with two digits.
        assert_eq!(tolerance(9.96, 2), Some(0.5));
        assert_eq!(tolerance(9.94, 2), Some(0.05));
        assert_eq!((tolerance(0.0, 2), tolerance(1.0, 0), tolerance(f64::NAN, 2)), (None, None, None));
    }

    #[test]
    fn an_interval_leaves_as_many_on_either_side() {
        // 7.7.2: M = 100, q = 95, r = (100 − 95)/2, rounded up to 3: the 3rd and the 98th.
        let values: Vec<f64> = (1..=100).rev().map(f64::from).collect();
        assert_eq!(ends(values), (3.0, 98.0));
    }

    #[test]
    fn averages_and_their_scatter() {
        let mut average = Average::default();
        [2.0, 4.0, 9.0].iter().zip(1..).for_each(|(&value, count)| average.add(value, f64::from(count)));
        assert_eq!(average.mean, 5.0);
        // Squares 9 + 1 + 16 over 3 · 2.
        assert!((average.scatter(3.0) - (26.0_f64 / 6.0).sqrt()).abs() <= 1e-15);
    }
}
