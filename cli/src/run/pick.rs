//! Which shims to fit.

use shimwright_engine::document::diagnostic::Code;
use shimwright_engine::select::{PickError, PickOptions, pick as choose};

use super::Job;
use crate::args::Pick;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::report::{answer_json, json, pick as words};
use crate::terminal::Terminal;

/// Runs `pick`.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn pick(args: &Pick, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.common;
    let job = Job::new(&args.stack, &args.values, common)?;
    let answer = match choose(&job.model, &PickOptions { confidence: job.confidence }) {
        Ok(answer) => answer,
        Err(fault) => {
            let code = code_of(&fault);
            return Err(job.stop(code, fault.to_string()));
        }
    };
    let view = job.view(terminal.text_width());
    let notes = &job.loaded.notes;
    if common.json {
        let value = answer_json::pick(&view, &answer, common.seed, notes, &job.loaded.sources);
        terminal.print(&json::pretty(&value))?;
    } else if common.quiet {
        terminal.print(&words::headline(&view, &answer))?;
    } else {
        terminal.print(&words::text(&view, &answer, notes))?;
    }
    Ok(of_verdict(answer.verdict))
}

fn code_of(fault: &PickError) -> Code {
    match fault {
        PickError::NothingToChoose | PickError::NoTarget { .. } => Code::NoTarget,
        PickError::SeveralPacks { .. } => Code::SeveralPacks,
        PickError::NoPack { .. } => Code::NoPack,
        PickError::TooMany { .. } => Code::TooManyPacks,
        PickError::Analyse(_) => Code::NotComputed,
    }
}
