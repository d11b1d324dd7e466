//! Parts and tools at other temperatures than 20 °C (ISO 1): readings, gaps, and the doubt of what they grow by.
//!
//! The coefficients are those of Callister, Fundamentals of Materials Science and Engineering, 3rd edition, Table B.6.

use shimwright_engine::analyse::{ContributionKind, GapOptions, report};
use shimwright_engine::model::Model;
use shimwright_engine::standards::material::materials;
use shimwright_tests::{close, gap_of, model_of};

/// Sums of a few lengths of a hundred millimetres are off by rounding alone.
const ROUNDING_MM: f64 = 1e-12;

fn gap_named(text: &str, name: &str) -> shimwright_engine::analyse::GapFigures {
    let all = report(&model_of(text), &GapOptions::default()).unwrap();
    all.gaps.into_iter().find(|gap| gap.name == name).unwrap()
}

fn mean_of(text: &str) -> f64 {
    gap_of(text).exact.mean_mm
}

#[test]
fn the_figures_are_those_of_the_table() {
    let expected = [
        ("steel", 11.7),
        ("cast iron", 11.4),
        ("stainless", 17.2),
        ("aluminium", 23.6),
        ("cast aluminium", 21.5),
        ("magnesium", 26.0),
        ("bronze", 18.0),
        ("brass", 19.9),
        ("copper", 17.0),
        ("titanium", 8.6),
    ];
    let shipped: Vec<(&str, f64)> = materials().iter().map(|one| (one.name, one.per_million)).collect();
    assert_eq!(shipped, expected);
}

/// Aluminium around steel, both 100 mm at 20 °C.
fn aluminium_on_steel(at: f64) -> String {
    format!(
        "
dimensions:
  case: {{ size: 100, tolerance: 0, material: aluminium }}
  shaft: {{ size: 100, tolerance: 0, material: steel }}
gaps: {{ hot: {{ chain: case - shaft, at: {at} }} }}
"
    )
}

#[test]
fn aluminium_in_steel_forty_kelvin_up() {
    // 100 mm × (23.6 - 11.7)e-6 × 40 = 0.0476 mm.
    let gap = gap_of(&aluminium_on_steel(60.0));
    close(gap.exact.mean_mm, 0.047_6, ROUNDING_MM);
    // 10 % of 0.0944 and of 0.0468, rectangular.
    let (aluminium, steel) = (0.009_44 / 3f64.sqrt(), 0.004_68 / 3f64.sqrt());
    close(gap.exact.sd_mm, aluminium.hypot(steel), ROUNDING_MM);
    close(gap.worst_case.low_mm, 0.047_6 - 0.014_12, ROUNDING_MM);
    let rows: Vec<(&str, &str, f64)> =
        gap.contributions.iter().map(|one| (one.kind.word(), one.name.as_str(), one.coefficient)).collect();
    // Metres times kelvins.
    assert_eq!(rows[0].0, "dimension");
    assert_eq!((rows[0].1, rows[1].1), ("expansion of aluminium", "expansion of steel"));
    close(rows[0].2, 4.0, 1e-14);
    close(rows[1].2, -4.0, 1e-14);
    assert_eq!(gap.contributions[0].kind, ContributionKind::Expansion);
    // Nothing was measured: a doubt of a coefficient is none of a reading.
    assert!(!gap.measured);
    // At 20 °C there is nothing of it, and below the sign turns.
    assert_eq!(mean_of(&aluminium_on_steel(20.0)), 0.0);
    assert_eq!(gap_of(&aluminium_on_steel(20.0)).exact.sd_mm, 0.0);
    close(mean_of(&aluminium_on_steel(-20.0)), -0.047_6, ROUNDING_MM);
}

#[test]
fn a_span_is_its_growth_and_nothing_else() {
    let text = "
dimensions:
  case: { span: 100, material: aluminium }
  shaft: { span: 100, expansion: 11.7 }
  play: { size: 0.2, tolerance: 0.01 }
gaps:
  cold: { chain: play + case - shaft }
  hot: { chain: cold, at: 60 }
  change: { chain: hot - cold }
";
    assert_eq!(gap_named(text, "cold").exact.mean_mm, 0.2);
    assert_eq!(gap_named(text, "cold").contributions.len(), 1);
    close(gap_named(text, "hot").exact.mean_mm, 0.247_6, ROUNDING_MM);
    // A gap that takes gaps as they are, each at its own temperature: the play cancels.
    let change = gap_named(text, "change");
    close(change.exact.mean_mm, 0.047_6, ROUNDING_MM);
    assert_eq!(change.contributions.len(), 2);
}

/// One part as read at a temperature with a tool, and what it is at 20 °C.
fn read(part: &str, tool: &str, temperature: f64) -> Model {
    model_of(&format!(
        "
temperature: {temperature}
instruments: {{ gauge: {{ limit_of_error: 0.01, repeatability: 0.002{tool} }} }}
dimensions: {{ part: {{ readings: [100.02, 100.04], instrument: gauge{part} }} }}
gaps: {{ length: {{ chain: part }} }}
"
    ))
}

#[test]
fn steel_read_with_steel_needs_nothing() {
    let plain = read("", "", 20.0);
    for part in [", material: steel", ", expansion: 11.7", ""] {
        for tool in ["", ", expansion: steel", ", expansion: 11.7"] {
            // To the last bit: there is nothing to reckon.
            let warm = read(part, tool, 35.0);
            assert_eq!((&warm.gaps, &warm.columns), (&plain.gaps, &plain.columns), "{part} {tool}");
        }
    }
    let both = read(", material: aluminium", ", expansion: aluminium", 35.0);
    assert_eq!(both.gaps, plain.gaps);
}

#[test]
fn a_reading_is_brought_to_twenty() {
    // L = R·(1 + (a_tool - a_part)·(T - 20)).
    let figures = |model: &Model| {
        let gap = &model.gaps[0].start;
        (gap.mean_mm(&model.columns), gap.variance_mm2(&model.columns).unwrap())
    };
    let at_20 = figures(&read("", "", 20.0));
    for (part, tool, difference, doubts) in [
        (", material: aluminium", "", 11.7 - 23.6, [11.7, 23.6]),
        (", material: titanium", "", 11.7 - 8.6, [11.7, 8.6]),
        (", material: steel", ", expansion: brass", 19.9 - 11.7, [19.9, 11.7]),
    ] {
        let factor = 1.0 + difference * 1e-6 * 15.0;
        let (mean, variance) = figures(&read(part, tool, 35.0));
        close(mean, 100.03 * factor, ROUNDING_MM);
        // The doubt of the two coefficients, ± 10 % each, rectangular.
        let expansion: f64 = doubts.iter().map(|one| (0.1 * one * 1e-6 * 15.0 * 100.03_f64).powi(2) / 3.0).sum();
        close(variance, at_20.1 * factor * factor + expansion, 1e-15);
    }
    // The part alone is warm, the tool is not: L = R·(1 - a_part·(T - 20)).
    let (mean, _) = figures(&read(", material: steel, temperature: 60", "", 20.0));
    close(mean, 100.03 * (1.0 - 11.7e-6 * 40.0), ROUNDING_MM);
}

#[test]
fn one_material_has_one_doubt() {
    let gap = |first: &str, second: &str| {
        gap_of(&format!(
            "
dimensions: {{ outer: {{ span: 80, {first} }}, inner: {{ span: 80, {second} }} }}
gaps: {{ hot: {{ chain: outer - inner, at: 90 }} }}
"
        ))
    };
    // Equal spans of one material: nothing is left, to the last bit.
    let same = gap("material: bronze", "material: bronze");
    assert_eq!((same.exact.mean_mm, same.exact.sd_mm, same.contributions.len()), (0.0, 0.0, 0));
    // A figure of the table is its material.
    assert_eq!(gap("material: bronze", "expansion: 18").exact.sd_mm, 0.0);
    let two = gap("material: bronze", "expansion: 18.5");
    assert_eq!(two.contributions.len(), 2);
    // In a sum the doubts of one material add up: twice that of one.
    let sum = |count: f64| {
        let text = format!(
            "
dimensions: {{ first: {{ span: 80, material: bronze }}, second: {{ span: {}, material: bronze }} }}
gaps: {{ hot: {{ chain: first + second, at: 90 }} }}
",
            80.0 * (count - 1.0)
        );
        gap_of(&text).exact.sd_mm
    };
    close(sum(2.0), 80.0 * 2.0 * 1.8e-6 * 70.0 / 3f64.sqrt(), 1e-15);
    close(sum(3.0) / sum(2.0), 1.5, 1e-12);
}

#[test]
fn the_order_of_the_parts_does_not_matter() {
    let parts = [
        ("case", "{ readings: [210.41, 210.40], instrument: gauge, material: aluminium }"),
        ("shaft", "{ size: 120.20, tolerance: 0.02, material: steel }"),
        ("sleeve", "{ size: 88.60, tolerance: 0.02, expansion: 18.5 }"),
        ("ring", "{ readings: [1.20, 1.21], instrument: gauge, material: bronze }"),
    ];
    let text = |order: [usize; 4]| {
        let dimensions: String =
            order.iter().map(|&index| format!("  {}: {}\n", parts[index].0, parts[index].1)).collect();
        let chain: String = order
            .iter()
            .map(|&index| format!(" {} {}", if parts[index].0 == "case" { "+" } else { "-" }, parts[index].0))
            .collect();
        format!(
            "
temperature: 31
instruments: {{ gauge: {{ limit_of_error: 0.01, zero_error: 0.004 }} }}
dimensions:
{dimensions}gaps: {{ hot: {{ chain: 0{chain}, at: 90, accept: [0.2, 1.0] }} }}
"
        )
    };
    let first = gap_of(&text([0, 1, 2, 3]));
    for order in [[3, 2, 1, 0], [1, 3, 0, 2], [2, 0, 3, 1]] {
        let other = gap_of(&text(order));
        close(other.exact.mean_mm, first.exact.mean_mm, ROUNDING_MM);
        close(other.exact.sd_mm, first.exact.sd_mm, ROUNDING_MM);
        close(other.exact.chances.unwrap().within, first.exact.chances.unwrap().within, 1e-9);
    }
}

#[test]
fn inches_grow_as_millimetres_do() {
    let text = |unit: &str, scale: f64| {
        format!(
            "
unit: {unit}
temperature: 30
instruments: {{ gauge: {{ limit_of_error: {} }} }}
dimensions:
  case: {{ readings: [{}], instrument: gauge, material: aluminium }}
  shaft: {{ size: {}, tolerance: {}, material: steel }}
  rod: {{ span: {}, material: titanium }}
gaps: {{ hot: {{ chain: case - shaft + rod, at: 85, accept: [{}, {}] }} }}
",
            0.0254 / scale,
            254.508 / scale,
            254.0 / scale,
            0.0508 / scale,
            508.0 / scale,
            0.254 / scale,
            1.27 / scale
        )
    };
    let (inch, mm) = (gap_of(&text("in", 25.4)), gap_of(&text("mm", 1.0)));
    close(inch.exact.mean_mm, mm.exact.mean_mm, ROUNDING_MM);
    close(inch.exact.sd_mm, mm.exact.sd_mm, ROUNDING_MM);
    close(inch.exact.chances.unwrap().within, mm.exact.chances.unwrap().within, 1e-9);
    for (one, other) in inch.contributions.iter().zip(&mm.contributions) {
        assert_eq!(one.name, other.name);
        close(one.coefficient, other.coefficient, 1e-12);
    }
}

#[test]
fn a_document_at_twenty_has_no_column_for_what_grows() {
    let plain = "dimensions: { bore: { size: 42.5, tolerance: 0.03 } }\ngaps: { y: { chain: bore } }";
    let named = plain.replace("0.03 }", "0.03, material: aluminium }");
    assert_eq!(model_of(plain).columns, model_of(&named).columns);
}
