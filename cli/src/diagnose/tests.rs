//! Reports as they look, with texts of our own.

use shimwright_engine::document;
use shimwright_engine::document::assign::COMMAND_LINE;
use shimwright_engine::document::diagnostic::{Code, Diagnostic, Diagnostics};
use shimwright_engine::document::source::{Sources, Span};

use super::{human, json, notes};

/// What `human` says, as it reaches a pipe.
fn plain(diagnostics: &Diagnostics, sources: &Sources, width: usize) -> String {
    anstream::adapter::strip_str(&human(diagnostics, sources, width)).to_string()
}

fn faults(text: &str) -> (Diagnostics, Sources) {
    let mut sources = Sources::new();
    let id = sources.add("box.yaml", text);
    let diagnostics = document::load(&sources, id).expect_err("the text has a fault");
    (diagnostics, sources)
}

/// The span of the first piece of a new source that reads `piece`.
fn span(sources: &mut Sources, text: &str, piece: &str) -> Span {
    let source = sources.add("box.yaml", text);
    let start = text.find(piece).expect("the piece is in the text");
    Span { source, start, end: start + piece.len() }
}

const SEVERAL: &str = "\
title: Layshaft float
dimensions:
  pocket: { size: 53.97, tolerence: 0.02, tolerance: 0.02 }
  gear: 30.00
  gear: 30.01
gaps:
  float: { chain: pocket - gearr, accept: [0.05, 0.20] }
";

#[test]
fn all_faults_of_a_file_are_in_one_report() {
    let (diagnostics, sources) = faults(SEVERAL);
    let expected = "\
box.yaml, line 3, column 26
      pocket: { size: 53.97, tolerence: 0.02, tolerance: 0.02 }
                             =========
  a dimension has no key `tolerence`
  advice: did you mean `tolerance`?

box.yaml, line 5, column 3
      gear: 30.01
      ====
  `gear` is given twice (lines 4 and 5)
  first given here, line 4:
      gear: 30.00
      ====
  advice: keep one of them

box.yaml, line 7, column 28
      float: { chain: pocket - gearr, accept: [0.05, 0.20] }
                               =====
  nothing is called `gearr`
  advice: did you mean `gear`?

3 faults; nothing was worked out
";
    assert_eq!(plain(&diagnostics, &sources, 80), expected);
}

#[test]
fn the_same_as_json() {
    let (diagnostics, sources) = faults(SEVERAL);
    let text = json(&diagnostics, &sources, Some("gap"));
    let expected = r#"{
  "format": 1,
  "command": "gap",
  "errors": [
    {
      "code": "unknown-key",
      "severity": "error",
      "message": "a dimension has no key `tolerence`",
      "file": "box.yaml",
      "line": 3,
      "column": 26,
      "path": "dimensions.pocket",
      "help": "did you mean `tolerance`?"
    },
    {
      "code": "double-key",
      "severity": "error",
      "message": "`gear` is given twice (lines 4 and 5) (first given here: box.yaml:4:3)",
      "file": "box.yaml",
      "line": 5,
      "column": 3,
      "path": "dimensions",
      "help": "keep one of them"
    },
"#;
    assert!(text.starts_with(expected), "{text}");
    let read: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(read["errors"].as_array().unwrap().len(), 3);
}

#[test]
fn a_file_that_is_not_yaml_has_its_first_fault_shown() {
    let (diagnostics, sources) = faults("title: box: two\n");
    let expected = "\
box.yaml, line 1, column 11
    title: box: two
              =
  a `: ` in a text is read as a key
  advice: put the text in quotes, or leave the space behind the colon out; a key
          of its own goes on its own line; the rest of the file was not read

1 fault; nothing was worked out
";
    assert_eq!(plain(&diagnostics, &sources, 80), expected);
}

#[test]
fn long_words_are_wrapped_and_long_lines_are_cut_to_the_width() {
    let mut sources = Sources::new();
    let text = format!("title: {} fault {}\n", "a b ".repeat(60), "c d ".repeat(60));
    let at = span(&mut sources, &text, "fault");
    let fault = Diagnostic::error(Code::Order, "the lower figure of a pair has to come first, and here it does not")
        .at(at)
        .help("turn the two round, or write the tolerance with its sign before it, as on the drawing");
    let expected = "\
box.yaml, line 1, column 249
    ...b a b a b a b a b a b  fault c d c d c d c d c d c...
                              =====
  the lower figure of a pair has to come first, and here it
  does not
  advice: turn the two round, or write the tolerance with
          its sign before it, as on the drawing

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.into(), &sources, 60), expected);
}

#[test]
fn two_places_have_a_line_each() {
    let mut sources = Sources::new();
    let text = format!("first: 1\n{}second: 2\n", "filler: 0\n".repeat(40));
    let first = span(&mut sources, &text, "first");
    let start = text.find("second").unwrap();
    let at = Span { source: first.source, start, end: start + 6 };
    let fault = Diagnostic::error(Code::NameTwice, "one name for two things").at(at).other(first, "the first one");
    let expected = "\
box.yaml, line 42, column 1
    second: 2
    ======
  one name for two things
  the first one, line 1:
    first: 1
    =====

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.into(), &sources, 80), expected);
}

#[test]
fn two_places_in_one_line_and_in_two_texts() {
    let mut sources = Sources::new();
    let first = span(&mut sources, "{ a: 1, b: 2, a: 3 }\n", "a");
    let at = Span { start: 14, end: 15, ..first };
    let fault = Diagnostic::error(Code::DoubleKey, "`a` is given twice").at(at).other(first, "first given here");
    let expected = "\
box.yaml, line 1, column 15
    { a: 1, b: 2, a: 3 }
                  =
  `a` is given twice
  first given here: column 3

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.into(), &sources, 80), expected);
    let source = sources.add(COMMAND_LINE, "gear=3x");
    let at = Span { source, start: 5, end: 7 };
    let fault = Diagnostic::error(Code::BadValue, "that is not so").at(at).other(first, "the gear");
    let expected = "\
command line, column 6
    gear=3x
         ==
  that is not so
  the gear, box.yaml, line 1, column 3:
    { a: 1, b: 2, a: 3 }
      =

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.into(), &sources, 80), expected);
}

#[test]
fn nothing_of_a_file_can_move_the_cursor() {
    let mut sources = Sources::new();
    let at = span(&mut sources, "a\u{1b}[2J\u{9b}2J\u{202e}é\tfault\r\n", "fault");
    let fault = Diagnostic::error(Code::BadName, "`\u{1b}]0;x\u{7}` is no name").at(at).help("not \u{9b}31m this");
    let expected = "\
box.yaml, line 1, column 12
    a␛[2J�2J�é    fault
                  =====
  `␛]0;x␇` is no name
  advice: not �31m this

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.clone().into(), &sources, 80), expected);
    // Before the styling is taken out, the only escapes are bold and its end.
    let styled = human(&fault.clone().into(), &sources, 80).replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
    assert_eq!(styled, expected);
    let as_json = json(&fault.into(), &sources, Some("gap"));
    assert!(as_json.chars().all(|c| c == '\n' || !c.is_control()), "{as_json}");
}

#[test]
fn a_fault_without_a_place_is_words_alone() {
    let fault = Diagnostic::error(Code::NoFile, "there is no file `box.yaml`").help("did you mean `fox.yaml`?");
    let expected = "\
there is no file `box.yaml`
advice: did you mean `fox.yaml`?

1 fault; nothing was worked out
";
    assert_eq!(plain(&fault.into(), &Sources::new(), 80), expected);
}

#[test]
fn very_many_faults_are_all_listed() {
    let mut sources = Sources::new();
    let source = sources.add("box.yaml", "x: 1\n".repeat(1000));
    let mut diagnostics = Diagnostics::new();
    for line in 0..1000 {
        let at = Span { source, start: line * 5, end: line * 5 + 1 };
        diagnostics.push(Diagnostic::error(Code::UnknownKey, "no such key").at(at));
    }
    let text = plain(&diagnostics, &sources, 80);
    assert_eq!(text.matches("no such key").count(), 1000);
    assert!(text.ends_with("box.yaml, line 1000, column 1: no such key\n1000 faults; nothing was worked out\n"));
}

#[test]
fn a_place_in_a_line_of_megabytes_is_named_without_the_line() {
    let mut sources = Sources::new();
    let source = sources.add("box.yaml", "x".repeat(3 << 20));
    let at = Span { source, start: 1 << 20, end: (1 << 20) + 3 };
    let text = plain(&Diagnostic::error(Code::Yaml, "not so").at(at).help("mend it").into(), &sources, 80);
    let expected = "\
box.yaml, line 1, column 1048577
  not so
  advice: mend it

1 fault; nothing was worked out
";
    assert_eq!(text, expected);
}

#[test]
fn notes_are_sentences() {
    let mut sources = Sources::new();
    let at = span(&mut sources, "unit: mm\npocket: 1\n", "pocket");
    let all = [
        Diagnostic::note(Code::Assumed, "no instrument is named for `pocket`, so ± 0.05 is taken")
            .at(at)
            .help("name the instrument that it was read with"),
        Diagnostic::note(Code::Tail, "this holds if the law holds that far out"),
    ];
    let expected = "\
note: no instrument is named for `pocket`, so ± 0.05 is
      taken (box.yaml, line 2); name the instrument that it
      was read with
note: this holds if the law holds that far out
";
    assert_eq!(notes(&all, &sources, 60), expected);
    // Notes among faults are in the report, but are not counted as faults.
    let report = plain(&Diagnostics::from(all[1].clone()), &sources, 80);
    assert_eq!(report, "note: this holds if the law holds that far out\n\n");
}
