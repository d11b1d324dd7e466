//! Does the fitted gap agree with the sum; what to change.

use shimwright_engine::analyse::verify as check;
use shimwright_engine::document::diagnostic::Code;

use super::{Job, not_computed};
use crate::args::Verify;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::report::{answer_json, json, verify as words};
use crate::terminal::Terminal;

/// Runs `verify`.
///
/// # Errors
/// What is wrong with the document, that no gap was read, or that the answer could not be computed or written.
pub fn verify(args: &Verify, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.common;
    let job = Job::new(&args.stack, &args.values, common)?;
    if job.model.gaps.iter().all(|gap| gap.found.is_none()) {
        let first = job.model.gaps.first().map_or("GAP", |gap| gap.name.as_str());
        let message = format!("no gap was read after assembly; give the reading as {first}.found=...");
        return Err(job.stop(Code::MissingInput, message));
    }
    let answer = match check(&job.model, job.confidence) {
        Ok(answer) => answer,
        Err(fault) => return Err(not_computed(job, &fault)),
    };
    let view = job.view(terminal.text_width());
    let notes = &job.loaded.notes;
    if common.json {
        let value = answer_json::verify(&view, &answer, common.seed, notes, &job.loaded.sources);
        terminal.print(&json::pretty(&value))?;
    } else if common.quiet {
        terminal.print(&words::headline(&view, &answer))?;
    } else {
        terminal.print(&words::text(&view, &answer, notes))?;
    }
    Ok(if answer.agrees { of_verdict(answer.verdict) } else { Outcome::Out })
}
