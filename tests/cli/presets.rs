//! The shipped presets: every worked example is a test, and what `expand` prints gives the same answer.

use shimwright_engine::document::load_tree;
use shimwright_engine::document::source::Sources;
use shimwright_engine::length::on_grid;
use shimwright_engine::model::{Model, build};
use shimwright_engine::select::{Pick, PickOptions, pick};
use shimwright_presets::{Example, Expectation, Preset, catalogue};
use shimwright_tests::close;

use crate::tool::{run, run_with};

fn answer(preset: &Preset, example: &Example, sources: &Sources) -> (Model, Pick) {
    let title = &example.title;
    let tree = preset.compile_example(sources, example).unwrap_or_else(|faults| panic!("{title}: {faults:?}"));
    let (document, _) = load_tree(sources, &tree).unwrap_or_else(|faults| panic!("{title}: {faults:?}"));
    let (model, _) = build(&document).unwrap_or_else(|faults| panic!("{title}: {faults:?}"));
    let answer = pick(&model, &PickOptions::default()).unwrap_or_else(|fault| panic!("{title}: {fault}"));
    (model, answer)
}

#[test]
fn every_worked_example_comes_out_as_it_says() {
    let mut examples = 0;
    for entry in catalogue() {
        let mut sources = Sources::new();
        let preset = Preset::read(&mut sources, entry).unwrap();
        for example in &preset.examples {
            let (model, answer) = answer(&preset, example, &sources);
            for expected in &example.expect {
                holds(entry.name, example, expected, &model, &answer);
            }
            examples += 1;
        }
    }
    assert!(examples >= 10, "the library has worked examples; {examples} were run");
}

fn holds(preset: &str, example: &Example, expected: &Expectation, model: &Model, answer: &Pick) {
    let place = format!("{preset}, {}", example.title);
    match expected {
        Expectation::Pack { name, sizes } => {
            let packed = answer.packs.iter().find(|packed| &model.packs[packed.pack].name == name);
            let packed = packed.unwrap_or_else(|| panic!("{place}: {name}"));
            let mut wanted: Vec<i64> = sizes.iter().map(|size| on_grid(size.mm(model.unit))).collect();
            let mut fitted: Vec<i64> = packed.choice.shims.iter().map(|shim| on_grid(shim.size_mm)).collect();
            wanted.sort_unstable();
            fitted.sort_unstable();
            assert_eq!(fitted, wanted, "{place}: the pack, in nanometres");
        }
        Expectation::Gap { name, is, within } => {
            let gap = answer.gaps.iter().find(|gap| &gap.name == name).unwrap_or_else(|| panic!("{place}: {name}"));
            close(gap.expected_mm, is.mm(model.unit), within.mm(model.unit));
        }
        Expectation::Verdict(word) => {
            assert_eq!(answer.verdict.map(|verdict| verdict.words()), Some(*word), "{place}");
        }
    }
}

#[test]
fn an_expanded_preset_gives_the_same_answer() {
    let cases: &[&[&str]] = &[
        &["drive-shaft", "depth=96.42/96.40/96.43", "length=93.05/93.06", "lug=4.20"],
        &["valve-lash", "lash=0.11/0.10", "old=2.60", "wanted=0.12..0.18"],
        &[
            "end-play",
            "trial=0.287+0.351",
            "play=0.41/0.42",
            "wanted=0.06..0.12",
            "count=3",
            "stay=all",
            "box=0.29/0.32",
        ],
    ];
    for case in cases {
        let expanded = run(&[&["preset", "expand"], *case].concat());
        assert_eq!(expanded.status, 0, "{}", expanded.err);
        let direct = run(&[&["pick"], *case].concat());
        let fed_back = run_with(&["pick", "-"], &expanded.out);
        assert_eq!(fed_back.out, direct.out, "{case:?}");
        assert_eq!(fed_back.status, direct.status, "{case:?}");
    }
}
