//! Running the tool in the project's folder.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

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
    let mut child = tool()
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the tool starts");
    // A tool that refuses early may close its input; that is no fault of the test.
    drop(child.stdin.take().expect("the input is a pipe").write_all(input.as_bytes()));
    read(child.wait_with_output().expect("the tool ends"))
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
