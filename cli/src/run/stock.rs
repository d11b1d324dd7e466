//! Which sizes to keep, and how many of each.

use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::resolved::Document;
use shimwright_engine::select::stock::{StockError, StockOptions, stock as plan};

use super::reach::not_worked;
use super::{Job, drawing, say, stop, width};
use crate::args::{Steps, Stocking};
use crate::exit::{Outcome, Stop};
use crate::report::stock as words;
use crate::terminal::Terminal;

/// Runs `stock`. There is no verdict.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn stock(args: &Stocking, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.ask.common;
    let job = Job::new(&args.ask)?;
    let options = StockOptions {
        confidence: job.confidence,
        sizes: args.sizes,
        candidates: args.candidates.as_ref().map(|steps| labelled(steps, &job.loaded.document)),
        builds: args.builds.unwrap_or(0),
        service: args.service,
        monte_carlo: drawing(common),
    };
    let answer = match plan(&job.loaded.document, &options) {
        Ok(answer) => answer,
        Err(fault) => {
            let faults = not_planned(&job.loaded.document, fault);
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

/// Each size with the label that it gets: the digits of the ends, and their unit where that is not the document's.
fn labelled(steps: &Steps, document: &Document) -> Vec<(f64, String)> {
    let (unit, decimals) = (steps.unit(document.unit), steps.decimals());
    let suffix = if unit == document.unit { String::new() } else { format!(" {unit}") };
    let sizes = steps.mm(document.unit).into_iter().filter(|mm| *mm > 0.0);
    sizes.map(|mm| (mm, format!("{:.decimals$}{suffix}", unit.from_mm(mm)))).collect()
}

fn not_planned(document: &Document, fault: StockError) -> Diagnostics {
    let said = |code| Diagnostic::error(code, fault.to_string());
    match fault {
        StockError::Reach(fault) => not_worked(document, fault),
        StockError::OnePack { .. } => {
            let help = "leave the other packs out, with their thicknesses as dimensions in their place";
            said(Code::SeveralPacks).help(help).into()
        }
        StockError::NotOneSum { .. } => {
            let help = "keep the gap that decides, and leave `accept` and `target` of the others out";
            said(Code::NotComputed).help(help).into()
        }
    }
}
