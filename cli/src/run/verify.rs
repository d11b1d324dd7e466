//! Does the fitted gap agree with the sum; what to change.

use shimwright_engine::analyse::verify as check;
use shimwright_engine::document::diagnostic::{Code, Diagnostic};

use super::{Job, at_gap, not_computed, say, stop, width};
use crate::args::Ask;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::report::{verify as words, verify_json};
use crate::terminal::Terminal;

/// Runs `verify`.
///
/// # Errors
/// What is wrong with the document, that no gap was read, or that the answer could not be computed or written.
pub fn verify(args: &Ask, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.common;
    let job = Job::new(args)?;
    if job.model.gaps.iter().all(|gap| gap.found.is_none()) {
        return Err(not_read(job));
    }
    let answer = match check(&job.model, job.confidence) {
        Ok(answer) => answer,
        Err(fault) => return Err(not_computed(job, &fault)),
    };
    let view = job.view(width(common, terminal));
    let notes = &job.loaded.notes;
    say(
        terminal,
        common,
        || verify_json::verify(&view, &answer, common.seed, notes, &job.loaded.sources),
        || words::headline(&view, &answer),
        || words::text(&view, &answer, notes),
    )?;
    Ok(if answer.agrees { of_verdict(answer.verdict) } else { Outcome::Out })
}

/// That no gap was read, at the gap that is to be read, with what to write.
fn not_read(job: Job) -> Stop {
    let document = &job.loaded.document;
    // The gap that has something to be held against comes before one that is only shown.
    let judged = document.gaps.iter().find(|gap| gap.low.is_some() || gap.high.is_some() || gap.target_written);
    let gap = judged.or(document.gaps.first());
    let name = gap.map_or("GAP", |gap| gap.name.as_str());
    let said = Diagnostic::error(Code::MissingInput, "no gap was read after assembly, so there is nothing to verify");
    let words = |name: &str| {
        if name.contains(' ') { format!("\"{name}.found=0.12/0.13\"") } else { format!("{name}.found=0.12/0.13") }
    };
    let help = format!(
        "put it together, read the gap, and give the readings: {}; or write `found: [0.12, 0.13]` under the gap",
        words(name)
    );
    stop(at_gap(said, gap).help(help).into(), job.loaded.sources)
}
