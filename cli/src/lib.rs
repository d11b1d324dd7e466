//! The command line of shimwright: it reads files, asks the engine, and says what came of it.
//!
//! The way of the data: [`args`] (the line) -> [`load`] (the document, by [`input`] or a preset) -> [`run`] (one file
//! a command) -> [`report`] (words and figures) or [`diagnose`] (what is wrong) -> [`terminal`], the only writer, and
//! [`exit`], the only place that knows exit statuses.

pub mod args;
pub mod diagnose;
pub mod exit;
pub mod input;
pub mod interrupt;
pub mod load;
pub mod progress;
pub mod report;
pub mod run;
pub mod table;
pub mod terminal;

use std::ffi::OsString;
use std::io;
use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;
use shimwright_engine::document::source::Sources;

use args::{Args, BadLine, Command};
use exit::{Outcome, Stop};
use terminal::Terminal;

/// Reads the process's own line, does what it says and returns the exit status.
///
/// Ctrl-C ends the process by the system's own rule, which a shell shows as 130, unless random assemblies are being drawn:
/// then what there is is shown first ([`interrupt`]). Nothing half-written is left, since this version writes no files.
#[must_use]
pub fn main_impl() -> ExitCode {
    let mut terminal = Terminal::of_process();
    ExitCode::from(answer(std::env::args_os(), &mut terminal))
}

/// Does what a line says, writes to `terminal` and returns the exit status. The first word is the command's own name.
pub fn answer(line: impl IntoIterator<Item = OsString>, terminal: &mut Terminal) -> u8 {
    let line: Vec<OsString> = line.into_iter().collect();
    match Args::try_parse_from(&line) {
        Ok(args) => {
            let (name, json) = (args.command.name(), args.command.json());
            let result = dispatch(&args.command, terminal).and_then(|outcome| {
                terminal.flush()?;
                Ok(outcome)
            });
            finish(result, Some(name), json, terminal)
        }
        Err(help) if !help.use_stderr() => {
            let written = terminal.print_styled(&help.render().ansi().to_string()).and_then(|()| terminal.flush());
            finish(written.map(|()| Outcome::Good).map_err(Stop::Write), Some("help"), false, terminal)
        }
        // Who types the tool's name alone wants to know what it can do.
        Err(help) if help.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            // Where standard error is closed, the exit status is all that can still be said.
            drop(terminal.say_styled(&help.render().ansi().to_string()));
            Outcome::BadLine.status()
        }
        Err(fault) => {
            let BadLine { command, json, fault } = BadLine::of(&fault, &line);
            let stop = Stop::Wrong { diagnostics: fault.into(), sources: Sources::new() };
            finish(Err(stop), command, json, terminal)
        }
    }
}

fn dispatch(command: &Command, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    match command {
        Command::Gap(gap) => run::gap(gap, terminal),
        Command::Pick(pick) => run::pick(pick, terminal),
        Command::Verify(verify) => run::verify(verify, terminal),
        Command::Reach(reach) => run::reach(reach, terminal),
        Command::Stock(stock) => run::stock(stock, terminal),
        Command::Preset(preset) => run::preset(preset, terminal),
    }
}

/// Says what stopped a command, if anything did, and gives the exit status.
fn finish(result: Result<Outcome, Stop>, command: Option<&str>, json: bool, terminal: &mut Terminal) -> u8 {
    let (diagnostics, sources) = match result {
        Ok(outcome) => return outcome.status(),
        Err(Stop::Write(fault)) if fault.kind() == io::ErrorKind::BrokenPipe => return Outcome::Good.status(),
        Err(Stop::Write(fault)) => exit::not_written(&fault),
        // What a reader should know beside an answer says nothing where there is none.
        Err(Stop::Wrong { diagnostics, sources }) => (diagnostics.into_errors(), sources),
    };
    let said = if json {
        terminal.say(&diagnose::json(&diagnostics, &sources, command))
    } else {
        terminal.say_styled(&diagnose::human(&diagnostics, &sources, terminal.error_width()))
    };
    // Where standard error is closed as well, the exit status is all that can still be said.
    drop(said);
    exit::of_faults(&diagnostics).status()
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use super::*;
    use crate::terminal::tests::Kept;

    /// Exit status, standard output and standard error of a line.
    fn run(line: &str) -> (u8, String, String) {
        let (out, error) = (Kept::default(), Kept::default());
        let mut terminal = Terminal::of_writers(out.clone(), error.clone());
        let words = std::iter::once("shimwright").chain(line.split_whitespace()).map(OsString::from);
        let status = answer(words, &mut terminal);
        (status, out.take(), error.take())
    }

    #[test]
    fn help_is_an_answer_and_a_wrong_line_is_not() {
        let (status, out, error) = run("--help");
        assert_eq!((status, error.as_str()), (exit::GOOD, ""));
        assert!(out.contains("pick") && !out.contains('\u{1b}'), "{out}");
        let (status, out, error) = run("gap");
        assert_eq!((status, out.as_str()), (exit::BAD_LINE, ""));
        assert!(error.starts_with("the stack is missing\nadvice: ") && !error.contains('\u{1b}'), "{error}");
    }

    #[test]
    fn what_is_wrong_is_said_in_words_or_as_json() {
        let (status, out, error) = run("pick no-such-thing");
        assert_eq!((status, out.as_str()), (exit::WRONG, ""));
        assert!(error.starts_with("no preset is called `no-such-thing`\n"), "{error}");
        let (status, out, error) = run("gap ./nowhere/box.yaml --json");
        assert_eq!((status, out.as_str()), (exit::WRONG, ""));
        let read: serde_json::Value = serde_json::from_str(&error).unwrap();
        assert_eq!((&read["command"], &read["errors"][0]["code"]), (&"gap".into(), &"no-file".into()));
        assert_eq!(run("preset expand no-such-thing").0, exit::WRONG);
    }

    #[test]
    fn a_closed_pipe_is_quiet_success_and_a_full_disk_is_not() {
        /// A writer that always fails in one way.
        struct Failing(io::ErrorKind);
        impl Write for Failing {
            fn write(&mut self, _: &[u8]) -> io::Result<usize> {
                Err(self.0.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Err(self.0.into())
            }
        }
        for (kind, status, words) in [
            (io::ErrorKind::BrokenPipe, exit::GOOD, ""),
            (io::ErrorKind::StorageFull, exit::NOT_DONE, "the answer could not be written"),
        ] {
            let error = Kept::default();
            let mut terminal = Terminal::of_writers(Failing(kind), error.clone());
            let line = ["shimwright", "--help"].map(OsString::from);
            assert_eq!(answer(line, &mut terminal), status);
            let said = error.take();
            assert!(said.starts_with(words) && said.is_empty() == words.is_empty(), "{said}");
        }
    }
}
