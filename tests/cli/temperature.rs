//! Gaps at another temperature, as they are said.

use serde_json::Value;

use crate::tool::{run, run_with};

const DEMO: &str = "presets/demos/harrow-gearbox.yaml";

#[test]
fn a_preload_that_goes_loose_hot_is_said_on_the_first_line() {
    let said = run(&["pick", DEMO]);
    let first = "FIT 1.60, expect cold preload 0.087, in band, more than 999 in 1000; at 85 °C\nnone, 0.062 loose\n";
    assert!(said.out.starts_with(first), "{}", said.out);
    // Each part that grows has its line, and the lines add up as printed: -0.087 + 0.310 - 0.160 - 0.001 = 0.062.
    for line in [
        "  -  cold preload               = case - shaft - shim  0.087",
        "  +  case grows                 22.7e-6 x 210 x 65     0.310",
        "  -  shaft grows                11.7e-6 x 210 x 65     0.160",
        "  -  shims grow                 to 85 °C               0.001",
        "  =  hot preload as play                               0.062",
        "     that is -0.062 of preload",
        "  expansion of steel (± 10 %)      ± 0.017",
    ] {
        assert!(said.out.lines().any(|one| one == line), "{line}\n{}", said.out);
    }
    let gap = run(&["gap", DEMO, "shim.fitted=1.60", "cold preload.found=0.03", "--quiet"]);
    assert!(gap.out.contains("; at 85 °C none, 0.179 loose"), "{}", gap.out);
}

#[test]
fn the_cold_figure_of_a_hot_band_is_said() {
    let text = "\
dimensions:
  case: { size: 210.40, tolerance: 0.01, material: aluminium }
  shaft: { size: 208.80, tolerance: 0.01, material: steel }
gaps:
  cold float: { chain: case - shaft - shim }
  hot float: { chain: cold float, at: 85, accept: [0.20, 0.40] }
packs: { shim: { kit: box, count: 1 } }
kits: { box: { sizes: [1.40, 1.45, 1.50], tolerance: 0.005 } }
";
    // 65 × (23.6 × 210.40 - 11.7 × 208.80)e-6 = 0.16396; the shim of 1.463 grows by 0.0011: 0.300 - 0.1628 = 0.1372.
    let words =
        "  for hot float at 85 °C, cold float at 20 °C: aim for 0.137; from 0.037 to\n  0.237 keeps it in band\n";
    for command in ["pick", "gap"] {
        let said = run_with(&[command, "-"], text);
        assert!(said.out.contains(words), "{}", said.out);
        let answer: Value = serde_json::from_str(&run_with(&[command, "-", "--json"], text).out).unwrap();
        let (cold, hot) = (&answer["gaps"][0], &answer["gaps"][1]);
        assert_eq!((&cold["at"], &cold["cold"]), (&Value::Null, &Value::Null));
        assert_eq!((hot["at"].as_f64(), hot["cold"]["name"].as_str()), (Some(85.0), Some("cold float")));
        let target = hot["cold"]["target"].as_f64().unwrap();
        assert!((target - 0.1372).abs() < 0.000_05, "{target}");
        let kinds = hot["contributions"].as_array().unwrap();
        let expansion = kinds.iter().find(|one| one["name"] == "expansion of aluminium").unwrap();
        assert_eq!(expansion["kind"], "dimension");
    }
    // A cold gap with a target of its own is not told another one.
    let told = text.replace("- shim }", "- shim, target: 0.1, accept: [0.0, 0.2] }");
    assert!(!run_with(&["pick", "-"], &told).out.contains("aim for"));
}

#[test]
fn a_warm_reading_is_said_to_be_brought_to_twenty() {
    let text = "\
temperature: 45
dimensions:
  case: { readings: [210.40, 210.41], instrument: calliper, material: aluminium }
  shaft: { size: 208.80, tolerance: 0.01, material: steel }
gaps: { float: { chain: case - shaft, accept: [1.4, 1.7] } }
";
    let said = run_with(&["gap", "-"], text);
    // 210.405 × (1 + (11.7 - 23.6)e-6 × 25) = 210.3424.
    assert!(said.out.contains("210.40/210.41, at 20 °C  210.342"), "{}", said.out);
    let note = "note: `case` is aluminium and was read at 45 °C with a tool of steel: 210.405 mm\n      as read, 210.3424 mm at 20 °C\n";
    assert!(said.out.contains(note), "{}", said.out);
}
