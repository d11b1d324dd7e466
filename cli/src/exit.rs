//! The exit statuses, and the one place that gives them out.

use std::io;

use shimwright_engine::analyse::Verdict;
use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics, Severity};
use shimwright_engine::document::source::Sources;

/// In band, or there was no verdict to give.
pub const GOOD: u8 = 0;
/// Out of band; for a preset's examples: one fails.
pub const OUT: u8 = 1;
/// The line cannot be read: an option, a command, or no STACK.
pub const BAD_LINE: u8 = 2;
/// What the line names or holds is wrong: a file, a preset, a NAME, a VALUE, a missing input.
pub const WRONG: u8 = 3;
/// A result could not be computed or written.
pub const NOT_DONE: u8 = 4;
/// Cannot tell, or some will.
pub const UNSURE: u8 = 5;
/// Ended by Ctrl-C; what was reached was shown.
pub const INTERRUPTED: u8 = 130;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// In band, or no verdict to give.
    Good,
    /// Out of band.
    Out,
    /// The line cannot be read.
    BadLine,
    /// What the line names or holds is wrong.
    Wrong,
    /// A result could not be computed or written.
    NotDone,
    /// Cannot tell, or some will.
    Unsure,
    /// Ended by Ctrl-C.
    Interrupted,
}

impl Outcome {
    /// The exit status for it.
    #[must_use]
    pub fn status(self) -> u8 {
        match self {
            Outcome::Good => GOOD,
            Outcome::Out => OUT,
            Outcome::BadLine => BAD_LINE,
            Outcome::Wrong => WRONG,
            Outcome::NotDone => NOT_DONE,
            Outcome::Unsure => UNSURE,
            Outcome::Interrupted => INTERRUPTED,
        }
    }
}

/// Why a command gave no answer.
#[derive(Debug)]
pub enum Stop {
    /// Something is wrong with what was given, or the answer could not be computed.
    Wrong {
        /// What is wrong.
        diagnostics: Diagnostics,
        /// The texts that the diagnostics point into.
        sources: Sources,
    },
    /// The answer could not be written. A closed pipe is no fault: whoever read it has had enough.
    Write(io::Error),
}

impl From<io::Error> for Stop {
    fn from(fault: io::Error) -> Self {
        Stop::Write(fault)
    }
}

/// How a command ends that gave this verdict.
#[must_use]
pub fn of_verdict(verdict: Option<Verdict>) -> Outcome {
    match verdict {
        None | Some(Verdict::In) => Outcome::Good,
        Some(Verdict::Out) => Outcome::Out,
        Some(Verdict::CannotTell | Verdict::SomeWill) => Outcome::Unsure,
    }
}

/// How a command ends that these faults have stopped.
#[must_use]
pub fn of_faults(diagnostics: &Diagnostics) -> Outcome {
    if diagnostics.iter().any(|one| one.code == Code::Line) {
        return Outcome::BadLine;
    }
    let mut errors = diagnostics.iter().filter(|one| one.severity == Severity::Error);
    let not_done = [Code::NotComputed, Code::SeveralPacks, Code::TooManyPacks];
    let only_not_computed = errors.all(|one| not_done.contains(&one.code));
    if only_not_computed { Outcome::NotDone } else { Outcome::Wrong }
}

/// The report of an answer that could not be written.
pub(crate) fn not_written(fault: &io::Error) -> (Diagnostics, Sources) {
    let diagnostic = Diagnostic::error(Code::NotComputed, format!("the answer could not be written: {fault}"));
    (diagnostic.into(), Sources::new())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statuses_are_those_of_the_documentation() {
        let all = [Outcome::Good, Outcome::Out, Outcome::BadLine, Outcome::Wrong, Outcome::NotDone, Outcome::Unsure];
        assert_eq!(all.map(Outcome::status), [0, 1, 2, 3, 4, 5]);
        assert_eq!(Outcome::Interrupted.status(), 130);
    }

    #[test]
    fn a_fault_of_the_input_outweighs_one_of_the_computation() {
        let mut faults = Diagnostics::from(Diagnostic::error(Code::NotComputed, "no"));
        faults.push(Diagnostic::note(Code::Assumed, "so"));
        assert_eq!(of_faults(&faults), Outcome::NotDone);
        faults.push(Diagnostic::error(Code::Cycle, "round"));
        assert_eq!(of_faults(&faults), Outcome::Wrong);
    }
}
