//! The example that the file format is explained with, worked by hand beside.

use shimwright_engine::analyse::Verdict;
use shimwright_engine::select::{PickOptions, pick};
use shimwright_tests::{close, model_of};

const LAYSHAFT: &str = "
title: Reduction box, layshaft float
unit: mm
instruments:
  depth gauge: { limit_of_error: 0.03, zero_error: 0.01, resolution: 0.01 }
  micrometer:  { limit_of_error: 0.004, resolution: 0.001 }
dimensions:
  pocket:
    readings: { at 12: 53.97, at 4: 53.96, at 8: 53.99 }
    instrument: depth gauge
    allow_spread: 0.05
  gear:     { size: 30, tolerance: 0.02 }
  collar:   { size: 12, class: h9 }
  spacer:   { size: 8, general: m, readings: [8.004], instrument: micrometer }
  washer:   { size: 2.50, tolerance: [-0.05, 0] }
  circlip:  { limits: [1.14, 1.20], distribution: rectangular }
  seat: 0.02
gaps:
  float:
    chain: pocket - gear - collar - spacer - washer - circlip - seat - shims
    accept: [0.05, 0.20]
    target: 0.10
packs:
  shims: { kit: shop washers, count: [1, 3] }
kits:
  shop washers:
    sizes: [0.10, 0.15, 0.20, 0.30, 0.50]
    tolerance: 0.01
    on_hand: { 0.15: 2, 0.20: 1, 0.30: 4 }
";

#[test]
fn the_example_of_the_file_format() {
    let model = model_of(LAYSHAFT);
    let pick = pick(&model, &PickOptions::default()).unwrap();
    let labels: Vec<&str> = pick.packs[0].choice.shims.iter().map(|shim| shim.label.as_str()).collect();
    assert_eq!(labels, ["0.20"]);
    assert_eq!(pick.verdict, Some(Verdict::In));
    let float = &pick.gaps[0];
    // 53.97333 - 30 - 11.9785 - 8.004 - 2.475 - 1.17 - 0.02 - 0.20, and the root of the sum of the squares of
    // 0.03/√3 0.01/√3 0.015/√3 (pocket), 0.02/3, 0.0215/3, 0.004/√3, 0.025/3, 0.03/√3, 0.01/√3.
    close(float.expected_mm, 0.125_833_333, 1e-9);
    close(float.u_mm, 0.030_203, 5e-7);
    // To the digits that are stated.
    close(float.chances.unwrap().within, 0.991_082, 5e-7);
}
