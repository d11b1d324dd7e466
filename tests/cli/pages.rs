//! The outputs in the pages are real: each console block is run and compared. With SHIMWRIGHT_BLESS=1 the blocks are
//! written anew.

use std::fs;

use crate::tool::{root, run, run_with, tool, words};

const PAGES: &[&str] = &["README.md"];

#[test]
fn every_console_block_is_what_the_tool_prints() {
    let bless = std::env::var_os("SHIMWRIGHT_BLESS").is_some();
    let mut blocks = 0;
    for page in PAGES {
        let path = root().join(page);
        let text = fs::read_to_string(&path).unwrap();
        let fresh = run_blocks(&text, &mut blocks);
        if bless {
            fs::write(&path, fresh).unwrap();
        } else {
            assert_eq!(text, fresh, "{page} shows what the tool does not print; see DEVELOPERS.md on blessing");
        }
    }
    assert!(blocks >= 5, "the pages show the tool at work; {blocks} blocks were found");
}

#[test]
fn every_document_in_the_pages_is_answered() {
    let mut documents = 0;
    for page in PAGES {
        let text = fs::read_to_string(root().join(page)).unwrap();
        for block in text.split("```yaml\n").skip(1) {
            let document = block.split("```").next().unwrap();
            let answer = run_with(&["pick", "-", "--quiet"], document);
            assert_eq!(answer.status, 0, "{page}: {}{}", answer.out, answer.err);
            documents += 1;
        }
    }
    assert!(documents >= 1, "the pages show a document");
}

#[test]
fn every_shipped_demo_is_in_band() {
    for entry in fs::read_dir(root().join("presets/demos")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "yaml") {
            // What is shown as it is drawn has no pack to choose.
            let command = if fs::read_to_string(&path).unwrap().contains("\npacks:") { "pick" } else { "gap" };
            let answer = run(&[command, path.to_str().unwrap(), "--quiet"]);
            assert_eq!(answer.status, 0, "{}: {}{}", path.display(), answer.out, answer.err);
        }
    }
}

/// The page with the output of each block as it is now.
fn run_blocks(text: &str, blocks: &mut usize) -> String {
    let mut fresh = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        fresh.push_str(line);
        fresh.push('\n');
        if line != "```console" {
            continue;
        }
        for line in lines.by_ref().take_while(|line| *line != "```") {
            if let Some(command) = line.strip_prefix("$ shimwright ") {
                *blocks += 1;
                let output = tool().args(words(command)).output().unwrap();
                fresh.push_str(&format!("{line}\n{}", String::from_utf8(output.stdout).unwrap()));
                assert!(output.stderr.is_empty(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
            }
        }
        fresh.push_str("```\n");
    }
    fresh
}
