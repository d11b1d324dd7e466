//! Monte Carlo: the gaps drawn at random, jointly, as the independent check of the exact method.
//!
//! Every part of every variable is drawn by itself; nothing is merged. Variables that go together are quantiles of
//! correlated normal ones. The samples come in blocks, each with a generator of its own keyed by seed and block, and the
//! blocks' sums are added in order: the answer is the same for any number of threads, and the memory does not grow with
//! the number of samples.

mod plan;
mod stable;
mod sums;

use std::ops::Range;

use rayon::prelude::*;

use super::joint::Banded;
use crate::model::Column;
use plan::Plan;
use stable::{Sequence, Stability};
use sums::Sums;

pub use stable::{Digits, Stable, tolerance};

/// Samples of one block.
const BLOCK: u64 = 4096;
/// Blocks that are drawn at a time before they are added up: enough for every thread, few enough that a word from
/// outside is heard soon.
const AT_A_TIME: u64 = 96;

/// How much is drawn, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MonteCarloOptions {
    /// How many samples; with `digits` the most.
    pub samples: u64,
    /// The seed.
    pub seed: u64,
    /// How many threads; none: one for each core.
    pub threads: Option<usize>,
    /// Draw until so many digits are stable; none: draw all samples.
    pub digits: Option<Digits>,
}

impl Default for MonteCarloOptions {
    fn default() -> Self {
        Self { samples: 1_000_000, seed: 1, threads: None, digits: None }
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
    /// What is known of its stability, where digits were asked for.
    pub stable: Option<Stable>,
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
    /// How many samples.
    pub samples: u64,
    /// Why there were no more.
    pub ended: Ended,
}

/// Why drawing ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// All that was asked for was drawn.
    Whole,
    /// The digits that were asked for are stable.
    Stable,
    /// The most that was allowed was drawn, and the digits are not stable.
    NotStable,
    /// It was told to end.
    Stopped,
}

impl Ended {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Ended::Whole => "all drawn",
            Ended::Stable => "stable",
            Ended::NotStable => "not stable",
            Ended::Stopped => "stopped",
        }
    }
}

/// Draws some gaps jointly; those at the places `together` are also counted as in band at once.
///
/// None where the pool of threads cannot be made.
#[must_use]
pub fn draw(gaps: &[Banded<'_>], together: &[usize], columns: &[Column], options: MonteCarloOptions) -> Option<Drawn> {
    draw_watched(gaps, together, columns, options, &mut |_| true)
}

/// As [`draw`]; `watch` is told now and then how many samples there are, and says whether to go on. What there is when it
/// says no is what is returned; none where that is nothing.
#[must_use]
pub fn draw_watched(
    gaps: &[Banded<'_>],
    together: &[usize],
    columns: &[Column],
    options: MonteCarloOptions,
    watch: &mut dyn FnMut(u64) -> bool,
) -> Option<Drawn> {
    let pool = match options.threads {
        None => None,
        Some(threads) => Some(rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok()?),
    };
    let plan = Plan::new(gaps, together, columns);
    let draw = |numbers: Range<u64>| -> Vec<Sequence> {
        let work = || numbers.into_par_iter().map(|number| Sequence::draw(&plan, options, number)).collect();
        match &pool {
            None => work(),
            Some(pool) => pool.install(work),
        }
    };
    let mut total = Sums::new(plan.rows.len());
    let mut stability = options.digits.map(|digits| Stability::new(&plan, digits));
    let sequences = options.samples.div_ceil(Sequence::SAMPLES);
    let at_a_time = AT_A_TIME / Sequence::BLOCKS;
    let mut samples = 0;
    let mut ended = if stability.is_some() { Ended::NotStable } else { Ended::Whole };
    let mut next = 0;
    'drawing: while next < sequences {
        let end = (next + at_a_time).min(sequences);
        for sequence in draw(next..end) {
            sequence.blocks.iter().for_each(|block| total.add(block));
            samples += sequence.samples;
            // What was drawn beyond the end is left out, so that the number of threads does not matter.
            if let Some(stability) = &mut stability
                && stability.add(&sequence, &total, samples)
            {
                ended = Ended::Stable;
                break 'drawing;
            }
        }
        next = end;
        if !watch(samples) && next < sequences {
            ended = Ended::Stopped;
            break;
        }
    }
    if samples == 0 {
        return None;
    }
    let mut drawn = plan.figures(&total, samples, ended);
    if let Some(stability) = &stability {
        stability.tell(&mut drawn.gaps);
    }
    Some(drawn)
}
