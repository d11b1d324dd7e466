use std::ffi::OsString;
use std::path::PathBuf;

use clap::{CommandFactory, Parser};
use shimwright_engine::length::Unit;

use super::*;

fn parse(line: &str) -> Result<Command, String> {
    let words = std::iter::once("shimwright").chain(line.split_whitespace());
    Args::try_parse_from(words.clone()).map(|args| args.command).map_err(|fault| {
        let line: Vec<OsString> = words.map(OsString::from).collect();
        let BadLine { fault, .. } = BadLine::of(&fault, &line);
        format!("{}; {}", fault.message, fault.help.unwrap_or_default())
    })
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
        ("gap", "the stack is missing"),
        ("pick", "the stack is missing; behind the command name a file"),
        ("measure box.yaml", "there is no command `measure`; the commands are gap, pick, verify, reach, stock, preset"),
        ("pik box.yaml", "did you mean `pick`?"),
        ("preset lst", "there is no command `lst`; did you mean `list`?"),
        ("preset list x", "`x` is one word too many; `shimwright preset list --help`"),
        ("gap box.yaml depth", "NAME=VALUE is due"),
        ("gap box.yaml =3", "no name before"),
        ("gap box.yaml --colour", "there is no option `--colour`; `shimwright gap --help`"),
        ("gap box.yaml --confidnce=1", "there is no option `--confidnce`; did you mean `--confidence`?"),
        ("gap box.yaml -x", "there is no option `-x`"),
        ("gap box.yaml --unit furlong", "`--unit furlong`: that is not one of mm, in, thou, um"),
        ("gap box.yaml --unit", "`--unit` wants something behind it"),
        ("gap box.yaml --seed", "`--seed` wants something behind it"),
        ("gap box.yaml --seed 1 --seed 2", "`--seed` is given twice"),
        ("gap box.yaml --json=yes", "`--json` takes nothing behind it"),
        ("gap box.yaml --threads 0", "`--threads 0`: a whole number from 1 to 1024 is due"),
        ("gap box.yaml --threads 1025", "from 1 to 1024"),
        ("gap box.yaml --samples -1", "`--samples -1`: a whole number is due, 0 or more"),
        ("gap box.yaml --seed 1.5", "`--seed 1.5`: a whole number is due"),
        ("gap box.yaml --coverage 0", "greater than 0"),
        ("gap box.yaml --inflate inf", "a number is due"),
        ("gap box.yaml --mean-shift 1.1", "between 0 and 1"),
        ("pick box.yaml --coverage 2", "`--coverage` is an option of `gap`, not of `pick`"),
        ("pick box.yaml --quiet --json", "`--quiet` and `--json` do not go together"),
        ("--json gap a", "`--json` stands before its command; write it behind `gap`"),
        ("preset show", "the name of a preset is missing"),
    ] {
        let fault = parse(line).unwrap_err();
        assert!(fault.contains(expected), "`{line}`: {fault}");
    }
}

#[test]
fn a_bad_line_knows_its_command_and_whether_json_is_wanted() {
    for (line, command, json) in [
        ("gap", Some("gap"), false),
        ("gap --json", Some("gap"), true),
        ("--json gap a", Some("gap"), true),
        ("preset expand --json", Some("preset expand"), true),
        ("preset lst --json", None, true),
        ("measure -- --json", None, false),
        ("pick a --quiet --json", Some("pick"), true),
    ] {
        let words: Vec<OsString> = std::iter::once("shimwright").chain(line.split(' ')).map(OsString::from).collect();
        let bad = BadLine::of(&Args::try_parse_from(&words).unwrap_err(), &words);
        assert_eq!((bad.command, bad.json), (command, json), "{line}");
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

#[test]
fn steps_go_up_and_down_with_their_unit() {
    let mm = |word: &str| word.parse::<Steps>().unwrap().mm(Unit::Mm);
    assert_eq!(mm("0.10:0.20:0.05"), [0.10, 0.15, 0.20]);
    assert_eq!(mm("0:-0.10:0.05"), [0.0, -0.05, -0.10]);
    assert_eq!(mm("0.10:0.19:0.05"), [0.10, 0.15]);
    assert_eq!(mm("0.001:0.002:0.001 in"), [0.0254, 0.0508]);
    let sweep: Sweep = "case depth=0:-0.50:0.05".parse().unwrap();
    assert_eq!((sweep.name.as_str(), sweep.steps.mm(Unit::Mm).len()), ("case depth", 11));
    let labels: Steps = "0.10:0.8:0.05".parse().unwrap();
    assert_eq!((labels.decimals(), labels.unit(Unit::Inch)), (2, Unit::Inch));
}
