//! Files with something wrong in them: each of `tests/data/bad` holds one fault in an otherwise sound document, named
//! by its first line, and the report of it stands beside it as it is printed. With SHIMWRIGHT_BLESS=1 the reports are
//! written anew; read them before they are kept.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use shimwright_engine::document::diagnostic::Code;

use crate::tool::{root, run};

/// The one file that holds many faults.
const MANY: &str = "many-faults";

/// Codes that no stack file can bring about by what is wrong with it, with the place where they are tested.
const ELSEWHERE: &[(Code, &str)] = &[
    (Code::NoFile, "what is no text at all, in hostile.rs; files that are not there, in commands.rs"),
    (Code::UnknownPreset, "the command line, in values.rs"),
    (Code::MissingInput, "the command line, in values.rs"),
    (Code::BadValue, "the command line, in values.rs"),
    (Code::Line, "the command line, in lines.rs"),
    (Code::BadInput, "presets, which come with the tool: presets/src/tests/faults.rs"),
    (Code::NoBand, "of `reach` alone, in reach.rs"),
    (Code::NoPopulation, "of `reach` alone, in reach.rs"),
    (Code::Assumed, "a note, in notes.rs"),
    (Code::NoScatter, "a note, in notes.rs"),
    (Code::FewRepeats, "a note, in notes.rs"),
    (Code::AtTwenty, "a note, in notes.rs"),
    (Code::NoMaterial, "a note, in notes.rs"),
    (Code::NotFlat, "a note, in notes.rs"),
    (Code::Stacked, "a note, in notes.rs"),
    (Code::OddReading, "a note, in notes.rs"),
    (Code::Swapped, "a note, in notes.rs"),
    (Code::Contradicts, "a note, in notes.rs"),
    (Code::TargetOutside, "a note, in notes.rs"),
    (Code::CorrelationUnused, "a note, in notes.rs"),
    (Code::Unjudged, "a note, in notes.rs"),
    (Code::Unused, "a note, in notes.rs"),
    (Code::Tail, "said by no command of this version"),
];

/// A file of `tests/data/bad`.
struct Bad {
    /// Its name without the folder and the end.
    name: String,
    /// Its path from the project's folder, as the tool is given it.
    path: String,
    /// The code that its first line names.
    code: String,
}

impl Bad {
    fn report(&self) -> PathBuf {
        root().join(&self.path).with_extension("txt")
    }
}

fn all() -> Vec<Bad> {
    let folder = root().join("tests/data/bad");
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| Some(entry.unwrap().file_name().to_str()?.strip_suffix(".yaml")?.to_owned()))
        .collect();
    names.sort_unstable();
    names
        .into_iter()
        .map(|name| {
            let path = format!("tests/data/bad/{name}.yaml");
            let text = fs::read_to_string(root().join(&path)).unwrap();
            let first = text.lines().next().and_then(|line| line.strip_prefix("# code: "));
            let code = first.unwrap_or_else(|| panic!("{path} begins with `# code: ` and a code")).to_owned();
            Bad { name, path, code }
        })
        .collect()
}

/// The errors of a report as JSON.
fn errors(path: &str) -> Vec<Value> {
    let said = run(&["pick", path, "--json"]);
    assert_eq!(said.out, "", "{path}");
    let report: Value = serde_json::from_str(&said.err).unwrap_or_else(|fault| panic!("{path}: {fault}\n{}", said.err));
    assert_eq!((&report["format"], &report["command"]), (&1.into(), &"pick".into()), "{path}");
    report["errors"].as_array().unwrap().clone()
}

fn codes(errors: &[Value]) -> Vec<&str> {
    errors.iter().map(|one| one["code"].as_str().unwrap()).collect()
}

#[test]
fn every_bad_file_gets_the_report_beside_it() {
    let bless = std::env::var_os("SHIMWRIGHT_BLESS").is_some();
    let mut differ = Vec::new();
    for bad in all() {
        let said = run(&["pick", &bad.path]);
        let not_done = ["not-computed", "several-packs", "too-many-packs"].contains(&bad.code.as_str());
        assert_eq!((said.status, said.out.as_str()), (if not_done { 4 } else { 3 }, ""), "{}\n{}", bad.path, said.err);
        assert!(said.err.lines().all(|line| line.chars().count() <= 80 && !line.contains('\u{1b}')), "{}", said.err);
        if bless {
            fs::write(bad.report(), said.err).unwrap();
        } else if fs::read_to_string(bad.report()).ok().as_ref() != Some(&said.err) {
            differ.push(format!("{}:\n{}", bad.path, said.err));
        }
    }
    assert!(differ.is_empty(), "other reports than those in the folder:\n{}", differ.join("\n"));
}

#[test]
fn no_report_is_left_without_its_file() {
    let names: BTreeSet<String> = all().into_iter().map(|bad| bad.name).collect();
    for entry in fs::read_dir(root().join("tests/data/bad")).unwrap() {
        let file = entry.unwrap().file_name().into_string().unwrap();
        let name = file.strip_suffix(".txt").or(file.strip_suffix(".yaml"));
        assert!(name.is_some_and(|name| names.contains(name)), "{file}");
    }
}

#[test]
fn the_report_as_json_says_the_same_and_where() {
    for bad in all() {
        let errors = errors(&bad.path);
        let codes = codes(&errors);
        let report = fs::read_to_string(bad.report()).unwrap();
        // A fault in a table that the file names is said where it stands.
        let file = |one: &Value| one["file"].as_str().unwrap().to_owned();
        let shown: Vec<&str> =
            report.lines().filter(|line| line.starts_with(&bad.path) || line.contains(".csv, line ")).collect();
        let places = errors.iter().map(|one| format!("{}, line {}, column {}", file(one), one["line"], one["column"]));
        assert_eq!(places.collect::<Vec<String>>(), shown, "{}", bad.path);
        assert!(codes.contains(&bad.code.as_str()), "{}: {codes:?}", bad.path);
        for one in &errors {
            let file = file(one);
            assert!(one["severity"] == "error" && (file == bad.path || file.ends_with(".csv")), "{one}");
            let lines = fs::read_to_string(root().join(&file)).unwrap().lines().count() as u64;
            let (line, column) = (one["line"].as_u64().unwrap(), one["column"].as_u64().unwrap());
            assert!((1..=lines).contains(&line) && column >= 1, "{one}");
        }
    }
}

#[test]
fn one_fault_is_one_error_and_many_are_in_one_report() {
    for bad in all() {
        let errors = errors(&bad.path);
        if bad.name == MANY {
            let kinds: BTreeSet<&str> = codes(&errors).into_iter().collect();
            assert!(kinds.len() >= 12, "{kinds:?}");
        } else {
            assert_eq!(errors.len(), 1, "{}: {errors:#?}", bad.path);
        }
    }
}

#[test]
fn every_code_is_tested() {
    let here: BTreeSet<String> = all().into_iter().map(|bad| bad.code).collect();
    for &code in Code::ALL {
        let elsewhere = ELSEWHERE.iter().any(|(other, _)| *other == code);
        assert!(here.contains(code.name()) != elsewhere, "{}: a file in the folder or a place, not both", code.name());
    }
    for code in here {
        assert!(Code::ALL.iter().any(|one| one.name() == code), "no code is called {code}");
    }
}
