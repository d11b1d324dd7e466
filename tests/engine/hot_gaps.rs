//! Gaps at another temperature than 20 °C: the same chain cold and hot, and what is read assembled.

use shimwright_engine::analyse::{GapOptions, Verdict, report, verify};
use shimwright_engine::select::{PickOptions, pick};
use shimwright_tests::{close, model_of};

/// Sums of a few lengths of a hundred millimetres are off by rounding alone.
const ROUNDING_MM: f64 = 1e-12;

/// A gearbox in a case of aluminium. `hot` is the chain of the hot gap.
fn gearbox(hot: &str) -> String {
    format!(
        "
dimensions:
  case: {{ size: 210.40, tolerance: 0.01, material: cast aluminium }}
  shaft: {{ size: 208.80, tolerance: 0.01, material: steel }}
gaps:
  cold: {{ chain: case - shaft - shims }}
  hot: {{ chain: {hot}, at: 85, accept: [0.20, 0.30] }}
packs: {{ shims: {{ kit: box, count: 1 }} }}
kits: {{ box: {{ sizes: {{ from: 1.40, to: 1.60, step: 0.01 }} }} }}
"
    )
}

#[test]
fn a_hot_gap_by_reference_or_in_full_is_one_gap() {
    let reference = report(&model_of(&gearbox("cold")), &GapOptions::default()).unwrap();
    let full = report(&model_of(&gearbox("case - shaft - shims")), &GapOptions::default()).unwrap();
    let turned = report(&model_of(&gearbox("0 - shims + case - shaft")), &GapOptions::default()).unwrap();
    assert_eq!(reference, full);
    // By hand: 1.60 + 65 × (21.5 × 210.40 - 11.7 × 208.80)e-6.
    let hot = 1.60 + 65e-6 * (21.5 * 210.40 - 11.7 * 208.80);
    for gaps in [&reference.gaps, &turned.gaps] {
        close(gaps[0].exact.mean_mm, 1.60, ROUNDING_MM);
        close(gaps[1].exact.mean_mm, hot, ROUNDING_MM);
    }
}

#[test]
fn the_cold_figure_gives_the_hot_one() {
    let model = model_of(&gearbox("cold"));
    let pick = pick(&model, &PickOptions::default()).unwrap();
    let cold = pick.gaps[1].cold.clone().unwrap();
    // 0.25 less what the case outgrows the shaft by, and the shim that makes 0.25 grows with it.
    let growth = 65e-6 * (21.5 * 210.40 - 11.7 * 208.80);
    let shim = (1.60 + growth - 0.25) / (1.0 + 11.7e-6 * 65.0);
    close(pick.packs[0].wanted.thickness_mm, shim, ROUNDING_MM);
    close(cold.target_mm.unwrap(), 1.60 - shim, ROUNDING_MM);
    // Set to that when cold, it is right when hot.
    let hot = cold.target_mm.unwrap() + growth - shim * 11.7e-6 * 65.0;
    close(hot, 0.25, ROUNDING_MM);
    let (low, high) = (cold.accept_mm.0.unwrap(), cold.accept_mm.1.unwrap());
    close(high - low, 0.10 / (1.0 + 11.7e-6 * 65.0), ROUNDING_MM);
    assert_eq!((cold.gap, cold.celsius), (Some(0), 85.0));
    // A gap at 20 °C has none.
    assert_eq!(pick.gaps[0].cold, None);
}

#[test]
fn pick_obeys_cold_and_hot() {
    let both = |cold: &str, hot: &str| {
        let text = gearbox("cold").replace("- shims }", &format!("- shims, accept: {cold} }}"));
        let text = text.replace("accept: [0.20, 0.30]", &format!("accept: {hot}"));
        pick(&model_of(&text), &PickOptions::default()).unwrap()
    };
    // Cold alone would take 1.52 (0.08); hot, with 0.135 more, wants 1.485 (0.25). Both together: in between.
    let pick = both("[0.03, 0.13]", "[0.20, 0.30]");
    let (cold, hot) = (pick.gaps[0].expected_mm, pick.gaps[1].expected_mm);
    assert!((0.03..=0.13).contains(&cold) && (0.20..=0.30).contains(&hot), "{cold} {hot}");
    assert!(pick.packs[0].choice.thickness_mm > 1.48 && pick.packs[0].choice.thickness_mm < 1.52);
    // A hot band that the cold one rules out: the worse of the two is the verdict.
    let out = both("[0.03, 0.08]", "[0.35, 0.40]");
    assert_ne!(out.verdict, Some(Verdict::In));
}

/// Taper bearings that were read assembled with a trial shim in; spans say what the case and the shaft grow by.
fn tapers(hot: &str, temperature: &str) -> String {
    format!(
        "
{temperature}
dimensions:
  case: {{ span: 210, expansion: 22.7 }}
  shaft: {{ span: 210, material: steel }}
gaps:
  cold: {{ chain: case - shaft - shim, as: preload, accept: [0.05, 0.11], target: 0.08, found: [0.41, 0.42, 0.41] }}
  hot: {{ chain: {hot}, as: preload, at: 85 }}
packs: {{ shim: {{ kit: box, count: 1, fitted: [1.10] }} }}
kits: {{ box: {{ sizes: {{ from: 1.40, to: 1.80, step: 0.02 }} }} }}
"
    )
}

#[test]
fn a_preload_goes_loose_hot() {
    // Common practice, no source, the sum worked by hand: 210 mm, 11e-6/K, 65 K shift the setting by 0.15 mm. With a
    // trial shim of 1.10 the play is 0.41, 0.42, 0.41; 0.08 of preload wants 1.593, and 1.60 gives 0.087 cold.
    for hot in ["cold", "case - shaft - shim", "0 - shim - shaft + case"] {
        let pick = pick(&model_of(&tapers(hot, "")), &PickOptions::default()).unwrap();
        close(pick.packs[0].wanted.thickness_mm, 1.593, 0.000_5);
        assert_eq!(pick.packs[0].choice.shims[0].label, "1.60");
        close(pick.gaps[0].expected_mm, 0.087, 0.000_5);
        // The shim itself grows by a micrometre.
        let expected = 0.086_666_666_7 - 210.0 * 11e-6 * 65.0 + 1.60 * 11.7e-6 * 65.0;
        close(pick.gaps[1].expected_mm, expected, 1e-9);
        close(pick.gaps[1].expected_mm, -0.06, 0.005);
    }
}

#[test]
fn a_reading_of_a_warm_gap_is_brought_to_twenty() {
    // Read at 40 °C: the case had outgrown the shaft by 210 × 11e-6 × 20 = 0.0462, which is not there at 20 °C; the trial
    // shim had grown by 1.10 × 11.7e-6 × 20, which had taken away as much.
    let pick = pick(&model_of(&tapers("cold", "temperature: 40")), &PickOptions::default()).unwrap();
    let play = 1.24 / 3.0 * (1.0 + 11.7e-6 * 20.0) - 210.0 * 11e-6 * 20.0 + 1.10 * 11.7e-6 * 20.0;
    let shim = pick.packs[0].choice.thickness_mm;
    close(pick.gaps[0].expected_mm, shim - 1.10 - play, 1e-9);
    let hot = pick.gaps[0].expected_mm - 210.0 * 11e-6 * 65.0 + shim * 11.7e-6 * 65.0;
    close(pick.gaps[1].expected_mm, hot, 1e-9);
    // What was read hot is worked hot: at its own temperature nothing is added.
    let text = tapers("cold", "").replace("at: 85", "at: 85, found: [0.56]");
    let all = report(&model_of(&text), &GapOptions::default()).unwrap();
    close(all.gaps[1].exact.mean_mm, -0.56, ROUNDING_MM);
}

#[test]
fn found_and_sum_are_compared_at_one_temperature() {
    let text = "
temperature: 50
dimensions:
  case: { size: 100.50, tolerance: 0.02, material: aluminium }
  shaft: { size: 100.00, tolerance: 0.02, material: steel }
gaps: { float: { chain: case - shaft, found: [0.54], accept: [0.40, 0.60] } }
";
    // At 50 °C the float is 0.50 + 30 × (23.6 × 100.50 - 11.7 × 100.00)e-6 = 0.53605.
    let report = verify(&model_of(text), Default::default()).unwrap();
    let gap = &report.gaps[0];
    close(gap.predicted_mm.unwrap().0, 0.50, ROUNDING_MM);
    let grown = 30e-6 * (23.6 * 100.50 - 11.7 * 100.00);
    close(gap.found_mm.unwrap().0, 0.54 * (1.0 + 11.7e-6 * 30.0) - grown, 1e-9);
    assert_eq!(gap.agrees, Some(true));
    // Without materials it is taken as it reads, and nothing is brought anywhere.
    let plain = text.replace(", material: aluminium", "").replace(", material: steel", "");
    assert_eq!(verify(&model_of(&plain), Default::default()).unwrap().gaps[0].found_mm.unwrap().0, 0.54);
}

#[test]
fn verify_takes_the_reading_to_the_other_temperature() {
    // With 1.58 in, a play of 0.09 is read cold; hot it is 0.15015 more, less the growth of the shim.
    let text = tapers("cold", "")
        .replace("as: preload, accept: [0.05, 0.11], target: 0.08, found: [0.41, 0.42, 0.41]", "found: [0.09]");
    let text = text.replace("as: preload, at", "at").replace("1.10", "1.58");
    let checked = verify(&model_of(&text), Default::default()).unwrap();
    close(checked.gaps[0].best_mm.unwrap().0, 0.09, ROUNDING_MM);
    close(checked.gaps[1].best_mm.unwrap().0, 0.09 + 210.0 * 11e-6 * 65.0 - 1.58 * 11.7e-6 * 65.0, ROUNDING_MM);
    // With sizes in place of spans the sum counts too, and both move together: what was read less the sum, by its weight.
    let sizes = "
dimensions:
  case: { size: 100.50, tolerance: 0.06, material: aluminium }
  shaft: { size: 100.00, tolerance: 0.06, material: steel }
gaps:
  cold: { chain: case - shaft, found: [0.52] }
  hot: { chain: cold, at: 60 }
";
    let checked = verify(&model_of(sizes), Default::default()).unwrap();
    let (cold, hot) = (checked.gaps[0].best_mm.unwrap().0, checked.gaps[1].best_mm.unwrap().0);
    assert!(cold > 0.515 && cold < 0.52, "{cold}");
    // The growth of what the sizes were found to be beyond their nominals is far below a micrometre.
    close(hot - cold, 40e-6 * (23.6 * 100.50 - 11.7 * 100.00), 1e-4);
}

#[test]
fn a_growth_that_would_explain_a_difference_is_a_suspect() {
    let text = "
dimensions:
  case: { size: 100.00, tolerance: 0.001, material: aluminium }
  shaft: { size: 99.90, tolerance: 0.001, material: steel }
gaps: { hot: { chain: case - shaft, at: 120, found: [0.35], accept: [0.1, 0.4] } }
";
    let report = verify(&model_of(text), Default::default()).unwrap();
    let gap = &report.gaps[0];
    assert_eq!(gap.agrees, Some(false));
    let (difference, _) = gap.difference_mm.unwrap();
    let names: Vec<&str> = gap.suspects.iter().map(|one| one.name.as_str()).collect();
    assert!(names[..2].contains(&"the growth of aluminium"), "{names:?}");
    // Reading less sum is positive: aluminium would have to have grown by so much more, steel by so much less.
    let by = |name: &str| gap.suspects.iter().find(|one| one.name == name).unwrap().by_mm;
    close(by("the growth of aluminium"), difference, ROUNDING_MM);
    close(by("the growth of steel"), -difference, ROUNDING_MM);
}
