//! What the gaps will be, and how sure that is.

use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::analyse::{Confidence, GapOptions, RootSumSquareOptions, report};

use super::{Job, not_computed, width};
use crate::args::Gap;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::report::{answer_json, gap as words, json};
use crate::terminal::Terminal;

/// Runs `gap`.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn gap(args: &Gap, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.ask.common;
    let job = Job::new(&args.ask)?;
    let drawn =
        MonteCarloOptions { samples: common.samples, seed: common.seed, threads: common.threads.map(usize::from) };
    let options = GapOptions {
        confidence: job.confidence,
        root_sum_square: RootSumSquareOptions {
            coverage: args.coverage,
            inflate: args.inflate,
            mean_shift: args.mean_shift,
        },
        // The first line shows nothing of it.
        monte_carlo: (common.samples > 0 && !common.quiet).then_some(drawn),
        guard: args.guard,
        // The option's own reader has refused what is no share. The first line shows nothing of it.
        tolerances_for: args.tolerances.filter(|_| !common.quiet).and_then(Confidence::new),
    };
    let answer = match report(&job.model, &options) {
        Ok(answer) => answer,
        Err(fault) => return Err(not_computed(job, &fault)),
    };
    let view = job.view(width(common, terminal));
    let notes = &job.loaded.notes;
    if common.json {
        let value = answer_json::gap(&view, &answer, args.guard, common.seed, notes, &job.loaded.sources);
        terminal.print(&json::pretty(&value))?;
    } else if common.quiet {
        terminal.print(&words::headline(&view, &answer))?;
    } else {
        let drawn = options.monte_carlo.map(|drawn| (drawn.samples, drawn.seed));
        terminal.print(&words::text(&view, &answer, notes, drawn))?;
    }
    Ok(of_verdict(answer.verdict))
}
