//! Notes: what a reader should know beside an answer, and that it does not stand in the way of one.

use crate::tool::run_with;

/// A gap of two parts, and what is said beside its answer.
fn notes(dimensions: &str, gap: &str) -> Vec<String> {
    let text = format!(
        "instruments:\n  dial: {{ limit_of_error: 0.01, repeatability: 0.002 }}\n  plain dial: {{ limit_of_error: 0.01 }}\n\
         dimensions:\n{dimensions}gaps:\n  float: {{ {gap} }}\n"
    );
    let said = run_with(&["gap", "-", "--json", "--samples", "0"], &text);
    assert!(said.err.is_empty(), "{}", said.err);
    let answer: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    let all = answer["notes"].as_array().unwrap();
    for note in all {
        assert_eq!(note["severity"], "note", "{note}");
        assert_eq!(note["file"], "standard input", "{note}");
        assert!(note["line"].as_u64().unwrap() >= 1, "{note}");
    }
    all.iter().map(|note| note["code"].as_str().unwrap().to_owned()).collect()
}

const BAND: &str = "chain: bore - wheel, accept: [0.10, 0.30]";

#[test]
fn nothing_is_said_where_nothing_is_to_be_known() {
    let dimensions = "  bore: { size: 42.50, tolerance: 0.03 }\n  wheel: { readings: [42.30], instrument: dial }\n";
    assert_eq!(notes(dimensions, BAND), [""; 0]);
    let agree = ["42.30"; 12].join(", ");
    for wheel in [
        // Readings that all agree show no scatter, and are none the worse for it.
        &format!("readings: [{agree}], instrument: dial"),
        // One step of the last digit is nothing to take again.
        &format!("readings: [{agree}, 42.31], instrument: dial"),
        // A runout is read at places, and may be ten times as large at one of them.
        "readings: { top: 0.02, foot: 0.20 }, instrument: dial",
        "goes: 0.15, stops: 0.20, instrument: feelers",
        "readings: { top: { goes: 0.15, stops: 0.20 }, foot: { goes: 0.15, stops: 0.20 } }, instrument: feelers",
    ] {
        let dimensions = format!("  bore: {{ size: 42.50, tolerance: 0.03 }}\n  wheel: {{ {wheel} }}\n");
        assert_eq!(notes(&dimensions, BAND), [""; 0], "{wheel}");
    }
}

#[test]
fn a_face_that_is_not_flat_has_both_spots_named_and_what_to_do() {
    let text = "dimensions:\n  bore: { size: 42.50, tolerance: 0.03 }\n  \
                wheel: { readings: { top: 42.30, foot: 42.38 }, allow_spread: 0.02, instrument: calliper }\n\
                gaps:\n  float: { chain: bore - wheel, accept: [0.10, 0.30] }\n";
    let said = run_with(&["gap", "-", "--samples", "0"], text).out.replace("\n      ", " ");
    for phrase in [
        "reads least at top (42.3 mm) and most at foot (42.38 mm), 0.08 mm apart where 0.02 is allowed",
        "foot is the high spot and top the low one; of a depth, the other way round",
        "look for a burr or dirt",
    ] {
        assert!(said.contains(phrase), "{phrase}: {said}");
    }
}

#[test]
fn each_note_is_told() {
    let bore = "  bore: { size: 42.50, tolerance: 0.03 }\n";
    for (dimensions, gap, code) in [
        ("  wheel: { readings: [42.30, 42.31, 42.30, 42.29] }\n", BAND, "assumed"),
        ("  wheel: { readings: [42.30], instrument: plain dial }\n", BAND, "no-scatter"),
        ("  wheel: { readings: [42.30, 42.31], instrument: plain dial }\n", BAND, "few-repeats"),
        (
            "  wheel: { readings: { top: 42.30, foot: 42.38 }, allow_spread: 0.02, instrument: dial }\n",
            BAND,
            "not-flat",
        ),
        ("  wheel: { size: 42.10, tolerance: 0.01, readings: 42.30, instrument: dial }\n", BAND, "contradicts"),
        ("  wheel: { readings: [42.30, 42.31, 42.36, 42.30, 42.31, 42.30], instrument: dial }\n", BAND, "odd-reading"),
        ("  wheel: { readings: [42.30, 42.31, 42.90, 42.29], instrument: dial }\n", BAND, "odd-reading"),
        ("  wheel: { readings: [42.30, 42.31, 42.38], instrument: dial }\n", BAND, "odd-reading"),
        ("  wheel: { readings: [42.30, 42.38], instrument: dial }\n", BAND, "odd-reading"),
        ("  wheel: { readings: { top: [42.30, 42.30, 42.35], foot: 42.31 }, instrument: dial }\n", BAND, "odd-reading"),
        ("  wheel: { readings: { top: 42.30, left: 42.31, foot: 42.81 }, instrument: dial }\n", BAND, "odd-reading"),
        (
            "  wheel: { size: 42.10, tolerance: 0.01, readings: 0.20, instrument: dial }\n  \
             cap: { size: 0.20, tolerance: 0.01, readings: 42.10, instrument: dial }\n",
            "chain: bore - wheel - cap, accept: [0.10, 0.30]",
            "swapped",
        ),
        ("  wheel: { readings: [{ blades: [0.5, 0.1, 0.05] }], instrument: feelers }\n", BAND, "stacked-blades"),
        ("  wheel: { goes: 0.15, stops: 0.20 }\n", BAND, "assumed"),
        ("  wheel: 42.30\n", "chain: bore - wheel", "unjudged"),
        ("  wheel: 42.30\n  spare: 3\n", BAND, "unused"),
    ] {
        assert_eq!(notes(&format!("{bore}{dimensions}"), gap), [code], "{dimensions}");
    }
}

#[test]
fn what_was_warm_is_said() {
    let about = |wheel: &str, at: &str| {
        let dimensions = format!(
            "  bore: {{ size: 42.50, tolerance: 0.03, material: aluminium }}\n  wheel: {{ readings: [42.30], instrument: dial{wheel} }}\n"
        );
        notes(&dimensions, &format!("{BAND}{at}"))
    };
    assert_eq!(about("", ", at: 85"), ["no-material"]);
    assert_eq!(about(", material: steel", ", at: 85"), [""; 0]);
    assert_eq!(about(", material: steel, temperature: 60", ""), ["brought-to-20"]);
    assert_eq!(about(", temperature: 60", ""), ["no-material"]);
    // Less than the readings can tell.
    assert_eq!(about(", temperature: 22", ""), [""; 0]);
}

#[test]
fn a_report_of_faults_has_no_notes_in_it() {
    let text = "dimensions:\n  bore: { readings: [42.50, 42.51] }\n  spare: 3\n\
                gaps:\n  float: { chain: bore - shims, accept: [0.10, 0.30], found: 0.00 }\n\
                packs:\n  shims: { kit: tray, fitted: [0.20] }\nkits:\n  tray: { sizes: [0.20] }\n";
    let said = run_with(&["gap", "-"], text);
    assert_eq!((said.status, said.out.as_str()), (3, ""));
    assert!(said.err.starts_with("standard input, line 5") && !said.err.contains("note:"), "{}", said.err);
}

#[test]
fn a_target_outside_its_band_is_pointed_out() {
    let dimensions =
        "  bore: { size: 42.50, tolerance: 0.03 }\n  wheel: { size: 42.30, tolerance: 0.03 }\n  half: 0.05\n";
    let about = |rest: &str| {
        let all = notes(dimensions, &format!("chain: bore - wheel, {rest}"));
        all.into_iter().filter(|code| code != "unused").collect::<Vec<_>>()
    };
    for outside in [
        "accept: [0.10, 0.30], target: 0.31",
        "accept: [0.10, 0.30], target: half",
        "accept: at least 0.10, target: 0.02",
        "accept: [half * 3, 0.30], target: 0.10",
        "accept: at most -0.10, target: 0.12, as: preload",
    ] {
        assert_eq!(about(outside), ["target-outside"], "{outside}");
    }
    // An end of the band is in it.
    for inside in
        ["accept: [0.10, 0.30], target: 0.30", "accept: [0.10, 0.30]", "target: 3", "accept: at least 0.10, target: 2"]
    {
        assert_eq!(about(inside), [""; 0], "{inside}");
    }
    let text = format!(
        "dimensions:\n{dimensions}gaps:\n  float: {{ chain: bore - wheel, accept: [0.10, 0.30], target: 0.40 }}\n"
    );
    let said = run_with(&["gap", "-", "--samples", "0"], &text).out;
    assert!(said.contains("\nmind: the target of `float`, 0.40, is above its band"), "{said}");
}

#[test]
fn a_correlation_of_what_was_measured_or_is_exact_is_of_no_use() {
    let text = |wheel: &str| {
        format!("  bore: {{ size: 42.50, tolerance: 0.03 }}\n  wheel: {wheel}\ncorrelations: [[bore, wheel, 0.5]]\n")
    };
    assert_eq!(notes(&text("{ size: 42.30, tolerance: 0.03 }"), BAND), [""; 0]);
    for wheel in ["42.30", "{ readings: [42.30], instrument: dial }"] {
        assert_eq!(notes(&text(wheel), BAND), ["correlation-unused"], "{wheel}");
    }
}
