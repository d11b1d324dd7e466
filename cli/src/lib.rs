//! The command line of shimwright: it reads files, asks the engine, and says what came of it.
//!
//! The way of the data: [`args`] (the line) -> [`load`] (the document, by [`input`] or a preset) -> [`run`] (one file
//! a command) -> [`report`] (words and figures) or [`diagnose`] (what is wrong) -> [`terminal`], the only writer, and
//! [`exit`], the only place that knows exit statuses.

pub mod args;
pub mod diagnose;
pub mod exit;
pub mod input;
pub mod load;
pub mod report;
pub mod run;
pub mod terminal;

use std::ffi::OsString;
use std::io;
use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};
use exit::{Outcome, Stop};
use terminal::Terminal;

/// Reads the process's own line, does what it says and returns the exit status.
///
/// Ctrl-C ends the process by the system's own rule, which a shell shows as 130; nothing half-written is left, since
/// this version writes no files.
#[must_use]
pub fn main_impl() -> ExitCode {
    let mut terminal = Terminal::of_process();
    ExitCode::from(answer(std::env::args_os(), &mut terminal))
}

/// Does what a line says, writes to `terminal` and returns the exit status. The first word is the command's own name.
pub fn answer(line: impl IntoIterator<Item = OsString>, terminal: &mut Terminal) -> u8 {
    match Args::try_parse_from(line) {
        Ok(args) => {
            let (name, json) = (args.command.name(), args.command.json());
            let result = dispatch(&args.command, terminal).and_then(|outcome| {
                terminal.flush()?;
                Ok(outcome)
            });
            finish(result, name, json, terminal)
        }
        Err(help_or_fault) => {
            let text = help_or_fault.render().ansi().to_string();
            let (written, outcome) = if help_or_fault.use_stderr() {
                (terminal.say_styled(&text), Outcome::BadLine)
            } else {
                (terminal.print_styled(&text).and_then(|()| terminal.flush()), Outcome::Good)
            };
            match (outcome, written) {
                (Outcome::Good, Err(fault)) => finish(Err(Stop::Write(fault)), "help", false, terminal),
                (outcome, _) => outcome.status(),
            }
        }
    }
}

fn dispatch(command: &Command, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    match command {
        Command::Gap(gap) => run::gap(gap, terminal),
        Command::Pick(pick) => run::pick(pick, terminal),
        Command::Preset(preset) => run::preset(preset, terminal),
    }
}

/// Says what stopped a command, if anything did, and gives the exit status.
fn finish(result: Result<Outcome, Stop>, command: &str, json: bool, terminal: &mut Terminal) -> u8 {
    let (diagnostics, sources) = match result {
        Ok(outcome) => return outcome.status(),
        Err(Stop::Write(fault)) if fault.kind() == io::ErrorKind::BrokenPipe => return Outcome::Good.status(),
        Err(Stop::Write(fault)) => exit::not_written(&fault),
        Err(Stop::Wrong { diagnostics, sources }) => (diagnostics, sources),
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
