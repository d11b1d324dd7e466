//! A play that was read with trial rings in, and a preload.

use shimwright_engine::analyse::Verdict;
use shimwright_engine::model::{Basis, Origin};
use shimwright_engine::select::{Pick, PickError, PickOptions, pick};
use shimwright_tests::{close, codes_of, model_of};

/// Sums of a few figures with three decimals are off by rounding alone.
const ROUNDING_MM: f64 = 1e-12;

fn chosen(text: &str) -> Result<Pick, PickError> {
    pick(&model_of(text), &PickOptions::default())
}

/// Trial rings of 0.318 and 0.326 are in and stay; the third is chosen. Common practice, no source.
fn rings(found: &str, count: &str) -> String {
    format!(
        "
gaps:
  play: {{ chain: 0 - rings, found: {found}, target: 0.10, accept: [0.07, 0.13] }}
packs:
  rings: {{ kit: thrust rings, count: {count}, fitted: [0.318, 0.326], stay: all }}
kits:
  thrust rings: {{ sizes: [0.22, 0.26, 0.28, 0.31, 0.33, 0.37] }}
"
    )
}

#[test]
fn the_third_ring() {
    for found in ["[0.43]", "[0.43, 0.42, 0.44, 0.43, 0.43]"] {
        let pick = chosen(&rings(found, "3")).unwrap();
        let shims: Vec<(&str, Origin, bool)> =
            pick.packs[0].choice.shims.iter().map(|shim| (shim.label.as_str(), shim.from, shim.stays)).collect();
        let expected = [("0.318", Origin::Fitted, true), ("0.326", Origin::Fitted, true), ("0.33", Origin::Kit, false)];
        assert_eq!(shims, expected);
        let play = &pick.gaps[0];
        assert_eq!(play.basis, Basis::Found);
        close(play.expected_mm, 0.100, ROUNDING_MM);
        close(pick.packs[0].choice.thickness_mm, 0.974, ROUNDING_MM);
        assert_eq!(pick.verdict, Some(Verdict::In));
        // What stays is not counted twice: only the indicator's doubt is left, for the kit is taken as exact.
        assert_eq!(play.contributions.len(), 1);
        close(play.contributions[0].variance_share, 1.0, 1e-12);
    }
}

#[test]
fn the_count_counts_what_stays() {
    // Two exactly are in already, and no ring may come out.
    let pick = chosen(&rings("[0.43]", "2")).unwrap();
    close(pick.gaps[0].expected_mm, 0.43, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::Out));
    assert_eq!(codes_of(&rings("[0.43]", "1")), ["count"]);
}

#[test]
fn a_play_that_cannot_be_told_from_none_is_refused() {
    assert_eq!(codes_of(&rings("[0.01]", "3")), ["tight-play"]);
    assert!(codes_of(&rings("[0.43]", "3")).is_empty());
}

#[test]
fn a_preload_from_parts() {
    // 24.00 - 22.60 = 1.40 of room; a preload of 0.08 wants 1.48.
    let pick = chosen(
        "
dimensions:
  housing: 24.00
  bearings: { size: 22.60, tolerance: 0.005 }
gaps:
  bearing preload: { chain: housing - bearings - shims, as: preload, accept: [0.05, 0.11], target: 0.08 }
packs: { shims: { kit: box, count: 1 } }
kits: { box: { sizes: { from: 1.20, to: 1.60, step: 0.05 } } }
",
    )
    .unwrap();
    let preload = &pick.gaps[0];
    close(pick.packs[0].wanted.thickness_mm, 1.48, ROUNDING_MM);
    assert_eq!(pick.packs[0].choice.shims[0].label, "1.50");
    // The parts interfere by 0.10, and the figure is the preload's.
    close(preload.expected_mm, 0.10, ROUNDING_MM);
    assert!(preload.interval_mm.0 > 0.0 && preload.interval_mm.0 < preload.interval_mm.1);
    let play = 24.00 - 22.60 - pick.packs[0].choice.thickness_mm;
    close(play, -preload.expected_mm, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::In));
    // Thicker is more preload; 1.55 gives 0.15, too much.
    close(pick.alternatives[1].gaps[0].expected_mm, 0.15, ROUNDING_MM);
    assert!(pick.alternatives[1].gaps[0].chances.unwrap().above > 0.99);
}

#[test]
fn a_preload_from_a_play_that_was_found() {
    // With 1.30 in there is a play of 0.12; a preload of 0.05 to 0.11, 0.08 wanted: 1.30 + 0.12 + 0.08 = 1.50.
    let pick = chosen(
        "
gaps:
  preload: { chain: 0 - shims, as: preload, found: [0.12], accept: [0.05, 0.11] }
packs: { shims: { kit: box, count: 1, fitted: [1.30] } }
kits: { box: { sizes: { from: 1.20, to: 1.60, step: 0.02 } } }
",
    )
    .unwrap();
    close(pick.packs[0].wanted.thickness_mm, 1.50, ROUNDING_MM);
    assert_eq!(pick.packs[0].choice.shims[0].label, "1.50");
    close(pick.gaps[0].expected_mm, 0.08, ROUNDING_MM);
    assert_eq!(pick.verdict, Some(Verdict::In));
}

#[test]
fn a_positive_figure_for_what_is_called_a_preload_is_asked_about() {
    let text = "
dimensions: { housing: 24.00 }
gaps: { preload: { chain: housing - shims, accept: [0.05, 0.11] } }
packs: { shims: { kit: box } }
kits: { box: { sizes: [23.90] } }
";
    assert_eq!(codes_of(text), ["preload-sign"]);
    assert!(codes_of(&text.replace("accept", "as: preload, accept")).is_empty());
}
