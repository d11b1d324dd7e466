//! Running the tool in the project's folder.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

/// What a run gave.
pub(crate) struct Run {
    pub(crate) out: String,
    pub(crate) err: String,
    pub(crate) status: i32,
}

/// The project's folder.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

pub(crate) fn tool() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tool-under-test"));
    command.current_dir(root()).env_remove("NO_COLOR").stdin(Stdio::null());
    command
}

pub(crate) fn run(words: &[&str]) -> Run {
    finish(tool().args(words))
}

/// Runs the tool with a text on standard input.
pub(crate) fn run_with(words: &[&str], input: &str) -> Run {
    let mut child = start(tool().args(words));
    // A tool that refuses early may close its input; that is no fault of the test.
    drop(child.stdin.take().expect("the input is a pipe").write_all(input.as_bytes()));
    read(child.wait_with_output().expect("the tool ends"))
}

/// Starts a command whose input, answer and report are pipes to this test.
fn start(command: &mut Command) -> Child {
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the tool starts")
}

/// The longest that a run may take before it is ended.
const LIMIT: Duration = Duration::from_secs(30);
/// The most memory that a run may have, in KiB, where the shell can bound it: twenty times what a text of the largest
/// size that is read, 8 MiB, takes as it is.
const MEMORY: &str = "1000000";

/// Runs the tool with a text on standard input, within bounds of time and memory.
///
/// # Panics
/// If it has not ended in time; it is ended then.
pub(crate) fn run_bounded(words: &[&str], input: &[u8]) -> Run {
    let mut child = start(bounded_in_memory().args(words));
    let mut to = child.stdin.take().expect("the input is a pipe");
    let mut pipes: [Box<dyn Read + Send>; 2] = [
        Box::new(child.stdout.take().expect("the answer is a pipe")),
        Box::new(child.stderr.take().expect("the report is a pipe")),
    ];
    let mut said = [Vec::new(), Vec::new()];
    let status = thread::scope(|scope| {
        // A tool that refuses early may close its input; that is no fault of the test.
        scope.spawn(move || drop(to.write_all(input)));
        for (pipe, said) in pipes.iter_mut().zip(&mut said) {
            scope.spawn(|| pipe.read_to_end(said).expect("what the tool says can be read"));
        }
        let begun = Instant::now();
        loop {
            if let Some(status) = child.try_wait().expect("the tool can be waited for") {
                return Some(status);
            }
            if begun.elapsed() > LIMIT {
                child.kill().expect("the tool can be ended");
                child.wait().expect("the tool has ended");
                return None;
            }
            thread::sleep(Duration::from_millis(5));
        }
    });
    let [out, err] = said.map(|said| String::from_utf8(said).expect("what the tool says is UTF-8"));
    let status = status.unwrap_or_else(|| panic!("{words:?} did not end in {LIMIT:?}"));
    let status = status.code().unwrap_or_else(|| panic!("{words:?} was stopped: {status}\n{err}"));
    Run { out, err, status }
}

#[cfg(unix)]
fn bounded_in_memory() -> Command {
    let tool = tool();
    let mut shell = Command::new("sh");
    shell.current_dir(root()).env_remove("NO_COLOR").args(["-c", "ulimit -v \"$1\"; shift; exec \"$0\" \"$@\""]);
    shell.arg(tool.get_program()).arg(MEMORY);
    shell
}

#[cfg(not(unix))]
fn bounded_in_memory() -> Command {
    tool()
}

fn finish(command: &mut Command) -> Run {
    read(command.output().expect("the tool starts"))
}

fn read(output: std::process::Output) -> Run {
    Run {
        out: String::from_utf8(output.stdout).expect("the answer is UTF-8"),
        err: String::from_utf8(output.stderr).expect("the report is UTF-8"),
        status: output.status.code().expect("the tool ends by itself"),
    }
}

/// The answer as JSON.
pub(crate) fn json(words: &[&str]) -> serde_json::Value {
    let run = run(words);
    serde_json::from_str(&run.out).unwrap_or_else(|fault| panic!("{fault}\n{}\n{}", run.out, run.err))
}

/// Cuts a line into words as a shell does, double quotes holding a word together.
pub(crate) fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let (mut quoted, mut started) = (false, false);
    for c in line.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                started = true;
            }
            ' ' if !quoted => {
                if started {
                    words.push(std::mem::take(&mut word));
                }
                started = false;
            }
            _ => {
                word.push(c);
                started = true;
            }
        }
    }
    if started {
        words.push(word);
    }
    words
}
