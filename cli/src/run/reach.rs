//! How often the kit gets there, and how far a dimension may still go.

use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::resolved::Document;
use shimwright_engine::select::reach::{ReachError, ReachOptions, Sweep, reach as work};

use super::pick::nothing_chosen;
use super::{Job, at_gap, drawing, say, stop, width};
use crate::args::Reach;
use crate::exit::{Outcome, Stop};
use crate::report::reach as words;
use crate::terminal::Terminal;

/// Runs `reach`. There is no verdict.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn reach(args: &Reach, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.ask.common;
    let job = Job::new(&args.ask)?;
    let sweep = args
        .sweep
        .as_ref()
        .map(|sweep| Sweep { dimension: sweep.name.clone(), changes_mm: sweep.steps.mm(job.loaded.document.unit) });
    let options =
        ReachOptions { confidence: job.confidence, monte_carlo: drawing(common), on_hand: args.on_hand, sweep };
    let answer = match work(&job.loaded.document, &options) {
        Ok(answer) => answer,
        Err(fault) => {
            let faults = not_worked(&job.loaded.document, fault);
            return Err(stop(faults, job.loaded.sources));
        }
    };
    let view = job.view(width(common, terminal));
    let notes = &job.loaded.notes;
    say(
        terminal,
        common,
        || words::as_json(&view, &answer, &options, notes, &job.loaded.sources),
        || words::headline(&view, &answer),
        || words::text(&view, &answer, &options, notes),
    )?;
    Ok(Outcome::Good)
}

/// Why there is no answer, with its place in the document and what to do.
pub(super) fn not_worked(document: &Document, fault: ReachError) -> Diagnostics {
    let said = |code| Diagnostic::error(code, fault.to_string());
    match &fault {
        ReachError::Pick(fault) => nothing_chosen(document, fault).into(),
        ReachError::NoBand => at_gap(said(Code::NoBand), document.gaps.first())
            .help("write `accept:` with the band beside the chain")
            .into(),
        ReachError::NoParts { gap } => {
            let help = "write the parts into the chain, each with its drawing; `pick` serves this one unit";
            at_gap(said(Code::NoPopulation), document.gaps.iter().find(|one| &one.name == gap)).help(help).into()
        }
        ReachError::NoDimension { name } => {
            let known = document.dimensions.iter().map(|one| one.name.as_str());
            let help = match nearest(name, known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "name one of the document's dimensions".to_owned(),
            };
            said(Code::UnknownName).help(help).into()
        }
        ReachError::NotDrawn => said(Code::NotComputed).help("leave `--samples 0` out").into(),
        ReachError::Document(faults) => faults.clone(),
    }
}
