//! What the gaps will be, and how sure that is.

use shimwright_engine::analyse::monte_carlo::{Digits, Ended, MonteCarloOptions};
use shimwright_engine::analyse::{
    AnalyseError, Confidence, GapOptions, GapReport, RootSumSquareOptions, report, report_watched,
};
use shimwright_engine::document::diagnostic::{Code, Diagnostic};

use super::{Job, drawing, not_computed, say, stop, width};
use crate::args::Gap;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::interrupt::Interrupt;
use crate::progress::Progress;
use crate::report::{answer_json, gap as words};
use crate::terminal::Terminal;

/// Runs `gap`.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn gap(args: &Gap, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.ask.common;
    let job = Job::new(&args.ask)?;
    if args.digits.is_some() && common.samples == 0 {
        let said = "`--digits` tries out random assemblies, and `--samples 0` allows none";
        return Err(stop(Diagnostic::error(Code::BadValue, said).into(), job.loaded.sources));
    }
    let drawn =
        MonteCarloOptions { digits: args.digits.map(|digits| Digits { digits, unit: job.unit }), ..drawing(common) };
    let options = GapOptions {
        confidence: job.confidence,
        root_sum_square: RootSumSquareOptions {
            coverage: args.coverage,
            inflate: args.inflate,
            mean_shift: args.mean_shift,
        },
        // The first line shows nothing of it, unless nothing else can say how sure it is.
        monte_carlo: (common.samples > 0 && (!common.quiet || job.model.has_links())).then_some(drawn),
        guard: args.guard,
        // The option's own reader has refused what is no share. The first line shows nothing of it.
        tolerances_for: args.tolerances.filter(|_| !common.quiet).and_then(Confidence::new),
    };
    let answer = match watched(&job, &options, terminal, common.quiet) {
        Ok(answer) => answer,
        Err(fault) => return Err(not_computed(job, &fault)),
    };
    let view = job.view(width(common, terminal));
    let notes = &job.loaded.notes;
    say(
        terminal,
        common,
        || answer_json::gap(&view, &answer, args.guard, common.seed, notes, &job.loaded.sources),
        || words::headline(&view, &answer),
        || words::text(&view, &answer, notes, &options.monte_carlo.unwrap_or_default()),
    )?;
    Ok(if answer.ended == Some(Ended::Stopped) { Outcome::Interrupted } else { of_verdict(answer.verdict) })
}

/// The report, with a line on the terminal that says how far it is; Ctrl-C ends the drawing.
fn watched(job: &Job, options: &GapOptions, terminal: &mut Terminal, quiet: bool) -> Result<GapReport, AnalyseError> {
    let Some(drawn) = options.monte_carlo else { return report(&job.model, options) };
    // Where the system lets nobody watch, Ctrl-C ends the process, as ever.
    let interrupt = Interrupt::watch().ok();
    let mut progress = Progress::new(terminal, drawn.samples);
    report_watched(&job.model, options, &mut |samples| {
        if !quiet {
            progress.at(samples);
        }
        !interrupt.as_ref().is_some_and(Interrupt::came)
    })
}
