//! Instruments: the shipped figures, feelers as an interval and in a stack, units, and instruments of a shop.

use shimwright_engine::document::resolved::{Document, shipped_instruments};
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::{load_tree_with, yaml};
use shimwright_engine::model::{self, ColumnKind, Model};
use shimwright_tests::{close, model_of};

/// Sums of a few decimals in binary.
const ROUNDING: f64 = 1e-12;

/// Mean, worst case and standard uncertainty of the gap `float` of a text.
fn float(text: &str) -> (f64, (f64, f64), f64) {
    let model = model_of(text);
    let gap = model.gaps.iter().find(|gap| gap.name == "float").unwrap();
    let ends =
        gap.start.terms().iter().fold((gap.start.constant_mm, gap.start.constant_mm), |(low, high), &(at, k)| {
            let column = &model.columns[at];
            let (a, b) = (k * column.low_mm(), k * column.high_mm());
            (low + a.min(b), high + a.max(b))
        });
    (gap.start.mean_mm(&model.columns), ends, gap.start.variance_mm2(&model.columns).unwrap().sqrt())
}

fn gap(slot: &str) -> String {
    format!("dimensions: {{ slot: {slot} }}\ngaps: {{ float: {{ chain: slot - 0, accept: [0, 9] }} }}\n")
}

#[test]
fn the_figures_of_the_contract_are_shipped() {
    let shipped = shipped_instruments();
    for (name, limit, zero, repeatability, difference) in [
        ("calliper", 0.03, Some(0.01), Some(0.01), false),
        ("depth gauge", 0.05, Some(0.01), Some(0.01), false),
        ("micrometer", 0.004, Some(0.002), Some(0.002), false),
        ("indicator", 0.009, None, Some(0.003), true),
        ("feelers", 0.010, None, None, false),
    ] {
        let one = shipped.iter().find(|one| one.name == name).unwrap();
        assert_eq!(
            (one.limit_of_error_mm, one.zero_error_mm, one.repeatability_mm, one.difference),
            (Some(limit), zero, repeatability, difference),
            "{name}"
        );
    }
}

/// Published: limits of 0.01 mm indicators over parts of their travel, an extract of JIS B 7503; limits of outside
/// micrometers and of callipers, summaries of national standards. Both were seen when the facts of the trade were
/// gathered, not again.
#[test]
fn the_published_limits_are_shipped() {
    let shipped = shipped_instruments();
    for (name, limit_um) in [
        ("indicator over a tenth of a turn", 5.0),
        ("indicator over half a turn", 9.0),
        ("indicator over one turn", 10.0),
        ("indicator over its whole range", 15.0),
        ("thousandth indicator", 5.0),
        ("micrometer 25 to 50", 4.0),
        ("micrometer 50 to 100", 5.0),
        ("micrometer 100 to 150", 6.0),
        ("vernier calliper", 50.0),
        ("inside calliper", 30.0 + 20.0),
        ("depth gauge", 30.0 + 20.0),
        ("vernier depth gauge", 50.0 + 20.0),
    ] {
        let one = shipped.iter().find(|one| one.name == name).unwrap();
        close(one.limit_of_error_mm.unwrap() * 1000.0, limit_um, 1e-9);
    }
    for one in &shipped {
        assert!(one.source.is_some() && one.limit_of_error_mm.is_some(), "{}", one.name);
    }
}

#[test]
fn a_feeler_says_between_which_blades() {
    // The middle; half the step and the blade's limit, each a rectangle: u^2 = (0.025^2 + 0.010^2)/3.
    let expected = ((0.025_f64.powi(2) + 0.010_f64.powi(2)) / 3.0).sqrt();
    for slot in [
        "{ readings: { goes: 0.15, stops: 0.20 }, instrument: feelers }",
        "{ readings: [{ goes: 0.15, stops: 0.20 }] }",
        "{ readings: [{ goes: 0.15, stops: 0.20 }, { goes: 0.15, stops: 0.20 }] }",
        "{ goes: 0.15, stops: 0.20 }",
    ] {
        let (mean, (low, high), u) = float(&gap(slot));
        close(mean, 0.175, ROUNDING);
        close(u, expected, ROUNDING);
        close(low, 0.14, ROUNDING);
        close(high, 0.21, ROUNDING);
    }
    // None goes in: between nothing and the thinnest.
    close(float(&gap("{ goes: 0, stops: 0.05 }")).0, 0.025, ROUNDING);
    // At places: the mean of the middles, and half their spread beside.
    let (mean, _, u) =
        float(&gap("{ readings: { left: { goes: 0.15, stops: 0.20 }, right: { goes: 0.20, stops: 0.25 } } }"));
    close(mean, 0.2, ROUNDING);
    close(u * u, (2.0 * 0.025_f64.powi(2) + 0.010_f64.powi(2)) / 3.0, ROUNDING);
}

/// Published: ten blades of 0.010 in, measured together, were 0.105 and 0.106 in (a maker of gauge stock; seen when
/// the facts of the trade were gathered, not again).
#[test]
fn a_stack_of_blades_reads_thick() {
    let stack = ["0.010"; 10].join(", ");
    for (instrument, unit) in [("inch feelers", ""), ("feelers", " in")] {
        let blades = stack.replace("0.010", &format!("0.010{unit}"));
        let (mean, (low, high), u) =
            float(&gap(&format!("{{ readings: {{ blades: [{blades}] }}, instrument: {instrument} }}")));
        close(low, 2.54, ROUNDING);
        for measured_in in [0.105, 0.106] {
            let mm = measured_in * 25.4;
            assert!((low..=high + ROUNDING).contains(&mm), "{mm} is not in {low} to {high}");
        }
        // One error shared by all blades: linear in their number, and its middle is in the value.
        close(mean, f64::midpoint(low, high), ROUNDING);
        close(u, (high - low) / 12.0_f64.sqrt(), ROUNDING);
    }
    // Where nothing is said of stacks, the limit of error is taken.
    let text = format!(
        "instruments: {{ own: {{ limit_of_error: 0.004 }} }}\n{}",
        gap("{ blades: [0.5, 0.2], instrument: own }")
    );
    let (mean, (low, high), _) = float(&text);
    close(low, 0.7, ROUNDING);
    close(high, 0.708, ROUNDING);
    close(mean, 0.704, ROUNDING);
    // One blade is no stack; of the two ends each counts by half.
    assert_eq!(float(&gap("{ readings: { blades: 0.25 } }")).0, 0.25);
    let (mean, ..) = float(&gap("{ goes: 0.25, stops: [0.20, 0.10] }"));
    close(mean, 0.275 + 0.008, ROUNDING);
}

#[test]
fn what_is_between_stacked_blades_cancels_in_a_difference() {
    let model = model_of(
        "dimensions: { left: { blades: [0.5, 0.2] }, right: { blades: [0.5, 0.1] } }\n\
         gaps: { float: { chain: left - right, accept: [0, 9] }, both: { chain: left + right } }\n",
    );
    let stack = model.columns.iter().position(|column| column.kind == ColumnKind::Stack).unwrap();
    assert_eq!(model.gaps[0].start.coefficient(stack), 0.0);
    assert_eq!(model.gaps[1].start.coefficient(stack), 4.0);
    close(model.gaps[0].start.mean_mm(&model.columns), 0.1, ROUNDING);
}

#[test]
fn bare_readings_are_in_the_unit_of_their_instrument() {
    for (slot, mm) in [
        ("{ readings: [0.010, 0.011], instrument: inch indicator }", 0.0105 * 25.4),
        ("{ readings: 0.5 mm, instrument: inch indicator }", 0.5),
        ("{ goes: 0.006, stops: 0.007, instrument: inch feelers }", 0.0065 * 25.4),
        ("{ goes: 0.15 mm, stops: 0.20 mm, instrument: inch feelers }", 0.175),
    ] {
        close(float(&gap(slot)).0, mm, ROUNDING);
    }
    // Found gaps too; and a dial's play is a difference, so no zero counts.
    let model = model_of(
        "gaps: { float: { chain: 0 - shims, accept: [0, 9], found: { readings: [0.010, 0.011], instrument: inch indicator } } }\n\
         packs: { shims: { kit: tray, fitted: [] } }\nkits: { tray: { sizes: [0.1] } }\n",
    );
    close(model.gaps[0].start.mean_mm(&model.columns), 0.0105 * 25.4, ROUNDING);
    assert!(model.columns.iter().all(|column| column.kind != ColumnKind::Instrument));
}

fn with_shop(text: &str, shop: &str) -> Document {
    let mut sources = Sources::new();
    let (text, shop) = (sources.add("text", text), sources.add("shop", shop));
    let (tree, shop) = (yaml::read(&sources, text).unwrap(), yaml::read(&sources, shop).unwrap());
    load_tree_with(&sources, &tree, Some(&shop)).unwrap_or_else(|faults| panic!("{faults:?}")).0
}

#[test]
fn instruments_of_the_shop_come_between_the_documents_own_and_the_shipped() {
    let text = "instruments: { calliper: { limit_of_error: 0.1 } }\n\
                dimensions:\n  a: { readings: 10, instrument: calliper }\n  b: { readings: 10, instrument: micrometer }\n  \
                c: { readings: 10, instrument: bench gauge }\n  d: { readings: 10, instrument: depth gauge }\n\
                gaps: { float: { chain: a - b + c - d, accept: [0, 9] } }\n";
    let shop = "unit: thou\ninstruments:\n  calliper: { limit_of_error: 3 }\n  micrometer: { limit_of_error: 1 }\n  \
                bench gauge: { limit_of_error: 0.5, unit: in }\n";
    let document = with_shop(text, shop);
    let limit = |name: &str| {
        let one = document.dimensions.iter().find(|one| one.name == name).unwrap();
        let index = one.readings.as_ref().unwrap().instrument.index().unwrap();
        document.instruments[index].limit_of_error_mm.unwrap()
    };
    close(limit("a"), 0.1, ROUNDING);
    close(limit("b"), 0.0254, ROUNDING);
    close(limit("c"), 12.7, ROUNDING);
    close(limit("d"), 0.05, ROUNDING);
    let model: Model = model::build(&document).unwrap().0;
    // The unit of the file is that of its figures; a reading takes only the instrument's own.
    close(model.dimensions[1].mean_mm(&model.columns), 10.0, ROUNDING);
    close(model.dimensions[2].mean_mm(&model.columns), 254.0, ROUNDING);
}
