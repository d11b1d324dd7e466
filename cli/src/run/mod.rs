//! The commands, one file each: what to load, what to ask, what to print.

mod gap;
mod pick;
mod preset;
mod reach;
mod stock;
mod verify;

pub use gap::gap;
pub use pick::pick;
pub use preset::preset;
pub use reach::reach;
pub use stock::stock;
pub use verify::verify;

use serde_json::Value;
use shimwright_engine::analyse::exact::ExactError;
use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::analyse::{AnalyseError, Confidence};
use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::resolved::{Document, Gap};
use shimwright_engine::document::source::Sources;
use shimwright_engine::length::Unit;
use shimwright_engine::model::{Model, build};

use crate::args::{Ask, Common};
use crate::exit::Stop;
use crate::load::{Loaded, load};
use crate::report::json;
use crate::report::view::View;
use crate::terminal::Terminal;

/// A document that is ready to be asked.
struct Job {
    loaded: Loaded,
    model: Model,
    unit: Unit,
    confidence: Confidence,
}

impl Job {
    fn new(ask: &Ask) -> Result<Job, Stop> {
        let common = &ask.common;
        let mut loaded = load(&ask.stack, &ask.values, common.instruments.as_deref())?;
        let (model, notes) = match build(&loaded.document) {
            Ok(built) => built,
            Err(diagnostics) => return Err(Stop::Wrong { diagnostics, sources: loaded.sources }),
        };
        loaded.notes.extend(notes.into_notes());
        let unit = common.unit.unwrap_or(loaded.document.unit);
        // The option's own reader has refused what is no confidence.
        let confidence = Confidence::new(common.confidence).unwrap_or_default();
        Ok(Job { loaded, model, unit, confidence })
    }

    fn view(&self, width: usize) -> View<'_> {
        View::new(&self.loaded.document, &self.model, self.unit, width)
    }
}

/// The width for the answer: the first line alone is one line, whatever its length.
fn width(common: &Common, terminal: &Terminal) -> usize {
    if common.quiet { usize::MAX } else { terminal.text_width() }
}

fn stop(diagnostics: Diagnostics, sources: Sources) -> Stop {
    Stop::Wrong { diagnostics, sources }
}

fn not_computed(job: Job, fault: &AnalyseError) -> Stop {
    let diagnostic = of_analysis(&job.loaded.document, fault);
    stop(diagnostic.into(), job.loaded.sources)
}

/// Why a gap could not be computed, with its place in the document.
fn of_analysis(document: &Document, fault: &AnalyseError) -> Diagnostic {
    let said = Diagnostic::error(Code::NotComputed, fault.to_string());
    let (gap, help) = match fault {
        AnalyseError::Exact { gap, fault: ExactError::Correlated } => {
            (gap, Some("`gap` tries random assemblies; or give those parts normal laws"))
        }
        AnalyseError::Exact { gap, .. } => (gap, None),
        AnalyseError::NoFourthMoment { gap } => (gap, Some("leave out `--digits`, or read that part more often")),
    };
    let said = match help {
        Some(help) => said.help(help),
        None => said,
    };
    at_gap(said, document.gaps.iter().find(|one| &one.name == gap))
}

fn at_gap(diagnostic: Diagnostic, gap: Option<&Gap>) -> Diagnostic {
    match gap {
        Some(gap) => diagnostic.at(gap.at).path(format!("gaps.{}", gap.name)),
        None => diagnostic,
    }
}

/// How much is drawn at random, and how, as the line says.
fn drawing(common: &Common) -> MonteCarloOptions {
    MonteCarloOptions {
        samples: common.samples,
        seed: common.seed,
        threads: common.threads.map(usize::from),
        digits: None,
    }
}

/// Prints an answer in the form that was asked for: for a program, its first line alone, or whole.
fn say(
    terminal: &mut Terminal,
    common: &Common,
    as_json: impl FnOnce() -> Value,
    headline: impl FnOnce() -> String,
    text: impl FnOnce() -> String,
) -> Result<(), Stop> {
    let said = if common.json {
        json::pretty(&as_json())
    } else if common.quiet {
        headline()
    } else {
        text()
    };
    terminal.print(&said)?;
    Ok(())
}
