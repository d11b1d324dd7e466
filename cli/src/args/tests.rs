use std::ffi::OsString;
use std::path::PathBuf;

use clap::{CommandFactory, Parser};
use shimwright_engine::length::Unit;

use super::*;

fn parse(line: &str) -> Result<Command, String> {
    let words = std::iter::once("shimwright").chain(line.split_whitespace());
    Args::try_parse_from(words).map(|args| args.command).map_err(|fault| fault.to_string())
}

fn gap(line: &str) -> Gap {
    match parse(line) {
        Ok(Command::Gap(gap)) => gap,
        other => panic!("`{line}` is not read as gap: {other:?}"),
    }
}

#[test]
fn the_parser_is_consistent() {
    Args::command().debug_assert();
}

#[test]
fn stacks_are_told_apart() {
    let file = |path: &str| Stack::File(PathBuf::from(path));
    for (word, expected) in [
        ("box.yaml", file("box.yaml")),
        ("box.yml", file("box.yml")),
        ("BOX.YAML", file("BOX.YAML")),
        ("./box", file("./box")),
        ("stacks/a=b", file("stacks/a=b")),
        ("-", Stack::StandardInput),
        ("drive-shaft", Stack::Preset("drive-shaft".to_owned())),
        ("box.json", Stack::Preset("box.json".to_owned())),
        ("yaml", Stack::Preset("yaml".to_owned())),
    ] {
        assert_eq!(Stack::from_word(OsString::from(word)), Ok(expected), "{word}");
    }
    assert!(parse("gap depth=53.97 drive-shaft").unwrap_err().contains("the stack comes first"));
    assert!(Stack::from_word(OsString::new()).is_err());
}

#[test]
fn options_have_their_defaults() {
    let gap = gap("gap box.yaml");
    let common = &gap.ask.common;
    assert_eq!((common.json, common.quiet, common.unit, common.threads, common.seed), (false, false, None, None, 1));
    assert_eq!(
        (common.confidence, common.samples, gap.coverage, gap.inflate, gap.mean_shift),
        (0.95, 1_000_000, 3.0, 1.0, 0.0)
    );
    assert_eq!(gap.ask.values, []);
}

#[test]
fn options_are_read() {
    let line = "gap - --json --unit thou --confidence 99% --seed 7 --threads 2 --samples 0 --coverage 2 --inflate 1.5 \
                --mean-shift 0.25";
    let gap = gap(line);
    let common = &gap.ask.common;
    assert_eq!((common.json, common.unit, common.seed, common.threads), (true, Some(Unit::Thou), 7, Some(2)));
    assert_eq!(
        (common.confidence, common.samples, gap.coverage, gap.inflate, gap.mean_shift),
        (0.99, 0, 2.0, 1.5, 0.25)
    );
}

#[test]
fn confidence_takes_both_forms() {
    for (word, expected) in [("0.95", 0.95), ("95%", 0.95), ("95 %", 0.95), (" 99.73 % ", 0.9973), ("0.999", 0.999)] {
        assert_eq!(word::confidence(word), Ok(expected), "{word}");
    }
    for (word, expected) in [
        ("95", "write 95%, or 0.95"),
        ("0.5", "between 0.5 and 1"),
        ("1", "between 0.5 and 1"),
        ("100%", "between 0.5 and 1"),
        ("50 %", "between 0.5 and 1"),
        ("-0.9", "between 0.5 and 1"),
        ("0,95", "use a point"),
        ("nan", "a number is due"),
        ("inf", "a number is due"),
        ("", "a number is due"),
        ("high", "a number is due"),
    ] {
        let fault = word::confidence(word).unwrap_err();
        assert!(fault.contains(expected), "{word}: {fault}");
    }
}

#[test]
fn values_keep_what_was_typed() {
    let gap = gap("gap box.yaml float.found=-0.02 depth=53.97/53.96 --seed 2 gear=30+0.02-0.01 note=a=b empty=");
    let pairs: Vec<(&str, &str)> = gap.ask.values.iter().map(|one| (one.name.as_str(), one.value.as_str())).collect();
    let expected =
        [("float.found", "-0.02"), ("depth", "53.97/53.96"), ("gear", "30+0.02-0.01"), ("note", "a=b"), ("empty", "")];
    assert_eq!(pairs, expected);
    let spaced: Assignment = " inner ring = 2.50 mm".parse().unwrap();
    assert_eq!((spaced.name.as_str(), spaced.value.as_str()), ("inner ring", " 2.50 mm"));
}

#[test]
fn lines_that_cannot_be_read() {
    for (line, expected) in [
        ("", "Usage"),
        ("gap", "STACK"),
        ("pick", "STACK"),
        ("measure box.yaml", "measure"),
        ("gap box.yaml depth", "NAME=VALUE is due"),
        ("gap box.yaml =3", "no name before"),
        ("gap box.yaml --colour", "--colour"),
        ("gap box.yaml --unit furlong", "mm, in, thou, um"),
        ("gap box.yaml --threads 0", "1..=1024"),
        ("gap box.yaml --threads 1025", "1..=1024"),
        ("gap box.yaml --samples -1", "--samples"),
        ("gap box.yaml --coverage 0", "greater than 0"),
        ("gap box.yaml --inflate inf", "a number is due"),
        ("gap box.yaml --mean-shift 1.1", "between 0 and 1"),
        ("pick box.yaml --coverage 2", "--coverage"),
        ("pick box.yaml --quiet --json", "--json"),
        ("preset", "Usage"),
        ("preset show", "NAME"),
    ] {
        let fault = parse(line).unwrap_err();
        assert!(fault.contains(expected), "`{line}`: {fault}");
    }
}

#[test]
fn commands_know_their_names() {
    for (line, name, json) in [
        ("gap a --json", "gap", true),
        ("pick a", "pick", false),
        ("preset list --json", "preset list", true),
        ("preset show a", "preset show", false),
        ("preset expand a b=1 --json", "preset expand", true),
    ] {
        let command = parse(line).unwrap();
        assert_eq!((command.name(), command.json()), (name, json));
    }
}
