use super::*;
use crate::document::tree::Value;
use crate::document::{load_tree, yaml};

/// A node as one line of text, for comparing.
fn shown(node: &Node) -> String {
    match &node.value {
        Value::Null => "~".to_owned(),
        Value::Scalar(scalar) => scalar.text.clone(),
        Value::List(items) => format!("[{}]", items.iter().map(shown).collect::<Vec<_>>().join(", ")),
        Value::Map(entries) => {
            let one = |entry: &crate::document::tree::Entry| format!("{}: {}", entry.key.text, shown(&entry.value));
            format!("{{{}}}", entries.iter().map(one).collect::<Vec<_>>().join(", "))
        }
    }
}

fn assignment(argument: &str) -> Assignment {
    parse(&mut Sources::new(), argument).unwrap()
}

fn fault_of<T: std::fmt::Debug>(result: Result<T, Fault>) -> (Code, String) {
    let fault = result.unwrap_err();
    assert!(fault.at.is_some(), "every fault has a place: {}", fault.message);
    (fault.code, format!("{}; {}", fault.message, fault.help.as_deref().unwrap_or("")))
}

fn readings(value: &str) -> Result<String, Fault> {
    let list = parse(&mut Sources::new(), &format!("a={value}"))?.readings()?;
    Ok(list.iter().map(shown).collect::<Vec<_>>().join(" | "))
}

#[test]
fn an_argument_falls_into_its_parts() {
    let mut sources = Sources::new();
    let one = parse(&mut sources, "end play.found = 0.43/0.42 mm @ my dial").unwrap();
    assert_eq!((one.name.text.as_str(), one.part), ("end play", Some(Part::Found)));
    assert_eq!((one.value.text.as_str(), one.instrument.as_ref().unwrap().text.as_str()), ("0.43/0.42 mm", "my dial"));
    assert_eq!(sources.text(one.value.at), "0.43/0.42 mm");
    assert_eq!(sources.text(one.name.at), "end play");
    assert_eq!(sources.get(one.at.source).name, COMMAND_LINE);
    let list = one.readings().unwrap();
    assert_eq!((shown(&list[1]), sources.text(list[1].at)), ("0.42 mm".to_owned(), "0.42 mm"));
    assert_eq!((shown(&list[0]), sources.text(list[0].at)), ("0.43 mm".to_owned(), "0.43"));
}

#[test]
fn arguments_that_cannot_be_split() {
    let split = |argument: &str| fault_of(parse(&mut Sources::new(), argument));
    assert!(split("pocket").1.contains("is not NAME=VALUE"));
    assert!(split("=3").1.contains("no name"));
    assert_eq!(split("gap.=3").0, Code::UnknownName);
    let put = |argument: &str| {
        let (_, _, result) = applied(&[argument]);
        let faults = result.unwrap_err();
        let fault = faults.iter().next().expect("a fault");
        (fault.code, format!("{}; {}", fault.message, fault.help.as_deref().unwrap_or("")))
    };
    assert_eq!(put("gap.fuond=3").0, Code::UnknownName);
    assert!(put("gap.fuond=3").1.contains("`.found`"));
    assert!(put("gap.wide=3").1.contains("`found` or `target`"));
    assert!(split("a=3@").1.contains("nothing behind the `@`"));
    assert!(split("a=units.CSV").1.contains("is a table"));
}

#[test]
fn readings_are_separated_by_slash_blank_or_pointed_comma() {
    for (value, expected) in [
        ("53.97/53.96/53.99", "53.97 | 53.96 | 53.99"),
        ("53.970 53.96", "53.970 | 53.96"),
        ("53.97,53.96", "53.97 | 53.96"),
        ("53.97, 53.96 mm", "53.97 mm | 53.96 mm"),
        ("0.010/0.012 in", "0.010 in | 0.012 in"),
        ("0.5mm/20um", "0.5 mm | 20 um"),
        ("+0.01/-0.02", "0.01 | -0.02"),
        ("-0", "0"),
        ("1e-2", "1e-2"),
        ("3", "3"),
    ] {
        assert_eq!(readings(value).unwrap(), expected, "{value}");
    }
}

#[test]
fn a_comma_without_points_is_refused_with_both_meanings() {
    let (code, words) = fault_of(readings("53,97"));
    assert_eq!(code, Code::DecimalComma);
    assert!(words.contains("write 53.97 if") && words.contains("53/97 if"), "{words}");
    let (_, words) = fault_of(readings("53,97/53,96 mm"));
    assert!(words.contains("53.97/53.96 mm") && words.contains("53/97/53/96 mm"), "{words}");
    let (_, words) = fault_of(readings("53,97,53,96"));
    assert!(words.contains("53.97/53.96") && words.contains("53/97/53/96"), "{words}");
    let (_, words) = fault_of(readings("53.97,54"));
    assert!(words.contains("write 53.97/54"), "{words}");
}

#[test]
fn readings_that_are_none() {
    for (value, code, words) in [
        ("", Code::BadValue, "there is no value"),
        ("53.97//53.96", Code::BadValue, "`/` has no meaning here"),
        ("53.97/", Code::BadValue, "ends where a number is due"),
        ("53.97 -0.02", Code::BadValue, "a sign stands between"),
        ("53.97 mm/53.96", Code::BadValue, "does not stand at its end"),
        ("53.97 cm", Code::UnknownUnit, "`cm` is no unit"),
        ("53.97 tou", Code::UnknownUnit, "did you mean `thou`?"),
        ("1.2.3", Code::NotANumber, "`1.2.3` is not a number"),
        ("1e400", Code::NotFinite, "too large"),
        ("wide", Code::BadValue, "`wide` has no meaning here"),
        ("3;4", Code::BadValue, "`;` has no meaning here"),
        (".nan", Code::NotANumber, "`.` is not a number"),
    ] {
        let (found, message) = fault_of(readings(value));
        assert_eq!(found, code, "{value}: {message}");
        assert!(message.contains(words), "{value}: {message}");
    }
}

#[test]
fn a_dimension_is_readings_or_a_drawing() {
    let drawing = |value: &str| match assignment(&format!("a={value}")).of_dimension() {
        Ok(DimensionValue::Drawing(entries)) => Ok(entries
            .iter()
            .map(|one| format!("{} {}", one.key.text, shown(&one.value)))
            .collect::<Vec<_>>()
            .join(", ")),
        Ok(DimensionValue::Readings(list)) => Ok(format!("{} readings", list.len())),
        Err(fault) => Err(fault),
    };
    for (value, expected) in [
        ("30+0.02-0.01", "size 30, tolerance [-0.01, 0.02]"),
        ("30 -0.01 +0.02", "size 30, tolerance [-0.01, 0.02]"),
        ("30-0.020-0.041", "size 30, tolerance [-0.041, -0.020]"),
        ("30+0.02-0", "size 30, tolerance [0, 0.02]"),
        ("30+-0.02", "size 30, tolerance 0.02"),
        ("30±0.02", "size 30, tolerance 0.02"),
        ("30 +/- 0.02 mm", "size 30 mm, tolerance 0.02 mm"),
        ("30 mm ± 20 um", "size 30 mm, tolerance 20 um"),
        ("29.9..30.1", "limits [29.9, 30.1]"),
        ("1.177..1.185 in", "limits [1.177 in, 1.185 in]"),
        ("30", "1 readings"),
        ("30/30.01", "2 readings"),
        ("1e-2/1e+2", "2 readings"),
    ] {
        assert_eq!(drawing(value).unwrap(), expected, "{value}");
    }
    for (value, words) in [
        ("30+0.02", "with both deviations"),
        ("30±-0.02", "`-` has no meaning here"),
        ("30+0.02-0.01-0.03", "`-` has no meaning here"),
        ("30±0.02@calliper", "not read with one"),
        ("at least 3", "leaves one side open"),
        ("29.9..", "ends where a number is due"),
        ("30 -0.01 -0.02", "a sign stands between"),
    ] {
        let (_, message) = fault_of(drawing(value));
        assert!(message.contains(words), "{value}: {message}");
    }
}

#[test]
fn the_other_kinds_of_value() {
    let one = |value: &str| assignment(&format!("a={value}"));
    assert_eq!(shown(&one("0.30 mm").length().unwrap()), "0.30 mm");
    assert_eq!(shown(&one("0.12..0.18").limits().unwrap()), "[0.12, 0.18]");
    assert_eq!(shown(&one("at least 0.05").limits().unwrap()), "at least 0.05");
    assert_eq!(shown(&one("at  most 2 thou").limits().unwrap()), "at most 2 thou");
    assert_eq!(shown(&one("3").count().unwrap()), "3");
    assert_eq!(shown(&one("1..3").count().unwrap()), "[1, 3]");
    assert_eq!(shown(&one("0.22/0.26/0.28 mm").sizes().unwrap()), "[0.22 mm, 0.26 mm, 0.28 mm]");
    assert_eq!(shown(&one("2.00:3.50:0.05").sizes().unwrap()), "{from: 2.00, to: 3.50, step: 0.05}");
    assert_eq!(shown(&one("0.30+0.50").shims().unwrap()), "[0.30, 0.50]");
    assert!(one("").shims().is_err(), "an empty value is no pack");
    assert_eq!(shown(&one("none").shims().unwrap()), "[]");
    assert_eq!(shown(&one("all").shims().unwrap()), "all");
    assert_eq!(shown(&one("2.488@calliper").shims().unwrap()), "[{readings: 2.488, instrument: calliper}]");
    assert_eq!(shown(&one("preload").word().unwrap()), "preload");
}

#[test]
fn the_other_kinds_refuse_what_they_are_not() {
    let one = |value: &str| assignment(&format!("a={value}"));
    let words = |result: Result<Node, Fault>, words: &str| {
        let (_, message) = fault_of(result);
        assert!(message.contains(words), "{message}");
    };
    words(one("0.3/0.4").length(), "a length is one number");
    words(one("0,3").length(), "write 0.3 if");
    words(one("0.3@feelers").length(), "not read with one");
    words(one("0.12/0.18").limits(), "0.05..0.20");
    words(one("at best 3").limits(), "`best` has no meaning");
    words(one("1.5").count(), "`1.5` is not a count");
    words(one("1..2..3").count(), "not a count");
    words(one("3 mm").count(), "not a count");
    words(one("2.00:3.50").sizes(), "from, to and step");
    words(one("2.00:3.50:0.05:1").sizes(), "`:` has no meaning");
    words(one("0.30/0.50").shims(), "joined by `+`");
    words(one("all@calliper").shims(), "not read with one");
    words(one("").word(), "there is no value");
}

#[test]
fn what_a_feeler_says_is_a_reading() {
    let felt = |value: &str| readings(value).unwrap_or_else(|fault| panic!("{value}: {fault:?}"));
    let words = |value: &str, words: &str| {
        let (_, message) = fault_of(readings(value));
        assert!(message.contains(words), "{message}");
    };
    assert_eq!(felt("0.15goes/0.20stops"), "{goes: 0.15, stops: 0.20}");
    assert_eq!(felt("0.15 goes 0.20 stops"), "{goes: 0.15, stops: 0.20}");
    assert_eq!(felt("0.20stops/0.15goes"), "{stops: 0.20, goes: 0.15}");
    assert_eq!(felt("6goes/7stops thou"), "{goes: 6 thou, stops: 7 thou}");
    assert_eq!(felt("0.006in goes/0.007in stops"), "{goes: 0.006 in, stops: 0.007 in}");
    assert_eq!(felt("0.25+0.10goes/0.25+0.15stops"), "{goes: [0.25, 0.10], stops: [0.25, 0.15]}");
    assert_eq!(felt("0.5+0.2blades mm"), "{blades: [0.5 mm, 0.2 mm]}");
    assert_eq!(felt("0.1goes/0.2stops/0.5+0.2blades"), "{goes: 0.1, stops: 0.2} | {blades: [0.5, 0.2]}");
    words("0.15goes", "only one side");
    words("0.15goes/0.20goes", "`goes` stands in the wrong place");
    words("0.15goes/0.20", "ends where a number is due");
    words("0.15goes/0.20stops/0.25", "ends where a number is due");
    words("0.15goes/0.20stops cm", "`cm`");
    words("0,15goes/0,20stops", "comma");
    words("goes", "`goes` has no meaning here");
}

const STACK: &str = "title: t
dimensions:
  pocket: { readings: { top: 53.97, left: 53.96 }, instrument: depth gauge, allow_spread: 0.05 }
  gear: { size: 30, tolerance: 0.02, distribution: rectangular, source: old drawing }
  old box: { limits: [29.9, 30.1], readings: [30.0], instrument: calliper }
  seat: 0.02
gaps:
  float:
    chain: pocket - gear - seat - shims
    accept: [0.05, 0.20]
    found: { readings: [0.10, 0.11], instrument: feelers }
  play: { chain: pocket - old box - shims, found: 0.4 }
packs:
  shims: { kit: box, fitted: [0.1], stay: all }
kits:
  box: { sizes: [0.1, 0.2] }
";

fn applied(arguments: &[&str]) -> (Node, Sources, Result<(), Diagnostics>) {
    let mut sources = Sources::new();
    let id = sources.add("stack.yaml", STACK);
    let mut tree = yaml::read(&sources, id).unwrap();
    let arguments: Vec<String> = arguments.iter().map(|&one| one.to_owned()).collect();
    let result = apply(&mut tree, &mut sources, &arguments);
    (tree, sources, result)
}

/// The node at a way through the tree after some arguments.
fn after(arguments: &[&str], way: &[&str]) -> String {
    let (tree, sources, result) = applied(arguments);
    assert_eq!(result, Ok(()), "{arguments:?}");
    load_tree(&sources, &tree).unwrap();
    shown(way.iter().fold(&tree, |node, key| node.get(key).unwrap()))
}

#[test]
fn values_are_put_into_a_stack() {
    let dimension = |arguments: &[&str], name: &str| after(arguments, &["dimensions", name]);
    assert_eq!(dimension(&["seat=0.03"], "seat"), "0.03");
    assert_eq!(dimension(&["seat=0.03", "seat=0.04"], "seat"), "{readings: [0.03, 0.04]}");
    assert_eq!(dimension(&["seat=0.03@micrometer"], "seat"), "{readings: [0.03], instrument: micrometer}");
    assert_eq!(dimension(&["seat=0.02±0.01"], "seat"), "{size: 0.02, tolerance: 0.01}");
    assert_eq!(dimension(&["seat=0.05goes/0.10stops"], "seat"), "{readings: [{goes: 0.05, stops: 0.10}]}");
    assert_eq!(
        dimension(&["pocket=53.98/53.99"], "pocket"),
        "{readings: [53.98, 53.99], instrument: depth gauge, allow_spread: 0.05}"
    );
    assert_eq!(
        dimension(&["gear=30.01/30.00@micrometer"], "gear"),
        "{size: 30, tolerance: 0.02, distribution: rectangular, source: old drawing, readings: [30.01, 30.00], \
         instrument: micrometer}"
    );
    assert_eq!(dimension(&["gear=29.9..30.1"], "gear"), "{distribution: rectangular, limits: [29.9, 30.1]}");
    assert_eq!(
        dimension(&["old box=30.00", "old box=30+-0.05"], "old box"),
        "{instrument: calliper, size: 30, tolerance: 0.05, readings: [30.00]}"
    );
    assert_eq!(dimension(&["old box=30+-0.05"], "old box"), "{instrument: calliper, size: 30, tolerance: 0.05}");
    let gap = |arguments: &[&str], name: &str, key: &str| after(arguments, &["gaps", name, key]);
    assert_eq!(gap(&["float.found=0.12"], "float", "found"), "{readings: [0.12], instrument: feelers}");
    assert_eq!(
        gap(&["float.found=0.12@indicator", "float.found=0.13"], "float", "found"),
        "{readings: [0.12, 0.13], instrument: indicator}"
    );
    assert_eq!(gap(&["play.found=0.5/0.6"], "play", "found"), "{readings: [0.5, 0.6]}");
    assert_eq!(gap(&["float.target=0.1 mm"], "float", "target"), "0.1 mm");
    assert_eq!(after(&["shims.fitted=0.1+0.2"], &["packs", "shims", "fitted"]), "[0.1, 0.2]");
}

#[test]
fn all_that_is_wrong_with_a_line_is_said_at_once() {
    let (_, sources, result) = applied(&[
        "poket=53.97",
        "float=0.1",
        "shims=0.1",
        "box=0.1",
        "flaot.found=0.1",
        "pocket.found=1",
        "gear=1@calliper",
        "gear=2@micrometer",
        "float.target=0.1",
        "float.target=0.2",
        "old box=30±0.1",
        "old box=29..31",
        "shims.fitted=all",
        "wide",
        "entirely other=1",
    ]);
    let faults = result.unwrap_err();
    let helps: Vec<String> =
        faults.iter().map(|one| format!("{}; {}", one.message, one.help.as_deref().unwrap_or(""))).collect();
    for words in [
        "is not NAME=VALUE",
        "`poket`; did you mean `pocket`?",
        "`float.found=` or `float.target=`",
        "`shims.fitted=` for the shims",
        "`box` is a kit",
        "did you mean `float.found`?",
        "`pocket` has no `.found`",
        "with `calliper` and with `micrometer`",
        "`float.target` is given twice",
        "`old box` is given two drawings",
        "`all` does not say which",
        "values can be given to pocket, gear, old box, seat, float.found",
    ] {
        assert_eq!(helps.iter().filter(|help| help.contains(words)).count(), 1, "{words}: {helps:#?}");
    }
    assert_eq!(faults.len(), 12);
    let place = faults.iter().find(|one| one.message.contains("poket")).unwrap().at.unwrap();
    assert_eq!((sources.get(place.source).name.as_str(), sources.text(place)), (COMMAND_LINE, "poket"));
    let twice = faults.iter().find(|one| one.message.contains("given twice")).unwrap();
    assert_eq!((twice.path.as_str(), twice.other.is_some()), ("gaps.float.target", true));
}

#[test]
fn faults_of_the_document_point_at_the_line() {
    let (tree, sources, result) = applied(&["gear=30.1..29.9"]);
    assert_eq!(result, Ok(()));
    let faults = load_tree(&sources, &tree).unwrap_err();
    let one = faults.iter().find(|one| one.code == Code::Order).unwrap();
    assert_eq!(sources.text(one.at.unwrap()), "30.1..29.9");
}

#[test]
fn nothing_on_a_line_breaks_the_reader() {
    let mut sources = Sources::new();
    for argument in [
        "a=..",
        "a=...",
        "a=.",
        "a=@@",
        "a=±",
        "a=+",
        "a=é/ü",
        "a=1±",
        "é.found=1",
        "a=\u{2212}3",
        "=",
        "a.=1",
        ".found=1",
    ] {
        if let Ok(one) = parse(&mut sources, argument) {
            let _ = (one.readings(), one.length(), one.limits(), one.count(), one.sizes(), one.shims(), one.word());
            let _ = one.of_dimension();
        }
    }
}

#[test]
fn what_feelers_said_in_the_file_gives_way() {
    const FELT: &str = "dimensions:
  slit: { goes: 0.10, stops: 0.15, instrument: feelers }
gaps:
  lash: { chain: slit - shims, found: { goes: 0.10, stops: 0.15, instrument: feelers } }
packs:
  shims: { kit: box, fitted: [0.1] }
kits:
  box: { sizes: [0.1, 0.2] }
";
    for (argument, way, expected) in [
        ("slit=0.15", ["dimensions", "slit"].as_slice(), "{instrument: feelers, readings: [0.15]}"),
        ("slit=0.15..0.20", &["dimensions", "slit"], "{instrument: feelers, limits: [0.15, 0.20]}"),
        ("lash.found=0.2", &["gaps", "lash", "found"], "{instrument: feelers, readings: [0.2]}"),
        (
            "lash.found=0.2goes/0.25stops@thin set",
            &["gaps", "lash", "found"],
            "{instrument: thin set, readings: [{goes: 0.2, stops: 0.25}]}",
        ),
    ] {
        let mut sources = Sources::new();
        let id = sources.add("stack.yaml", FELT);
        let mut tree = yaml::read(&sources, id).unwrap();
        apply(&mut tree, &mut sources, &[argument.to_owned()]).unwrap();
        assert_eq!(shown(way.iter().fold(&tree, |node, key| node.get(key).unwrap())), expected, "{argument}");
    }
}
