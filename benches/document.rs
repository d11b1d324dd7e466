//! From text to a model: reading, resolving, building, and a preset on top.

use divan::{Bencher, black_box};
use shimwright_benches::{LAYSHAFT, SMALL, document_of, long, model_of, source, ten};
use shimwright_engine::document::{load, load_tree, source::Sources};
use shimwright_engine::model::build;
use shimwright_presets::{Preset, find};

fn main() {
    divan::main();
}

const CASES: [&str; 4] = ["five", "layshaft", "ten", "two hundred"];

fn text(case: &str) -> String {
    match case {
        "five" => SMALL.to_owned(),
        "layshaft" => LAYSHAFT.to_owned(),
        "ten" => ten(),
        _ => long(),
    }
}

/// Text to resolved document.
#[divan::bench(args = CASES)]
fn resolve(bencher: Bencher<'_, '_>, case: &str) {
    let (sources, id) = source(&text(case));
    bencher.bench_local(|| load(black_box(&sources), id).is_ok());
}

/// Resolved document to model.
#[divan::bench(args = CASES)]
fn to_model(bencher: Bencher<'_, '_>, case: &str) {
    let document = document_of(&text(case));
    bencher.bench_local(|| build(black_box(&document)));
}

/// Text to model.
#[divan::bench(args = CASES)]
fn whole(bencher: Bencher<'_, '_>, case: &str) {
    let text = text(case);
    bencher.bench_local(|| model_of(black_box(&text)));
}

/// A preset's file and its first worked example, to a model.
#[divan::bench(args = ["drive-shaft", "end-play", "valve-lash"])]
fn preset(bencher: Bencher<'_, '_>, name: &str) {
    let entry = find(name).expect("a preset of this name is shipped");
    bencher.bench_local(|| {
        let mut sources = Sources::new();
        let preset = Preset::read(&mut sources, black_box(entry)).expect("a shipped preset can be read");
        let example = preset.examples.first().expect("a shipped preset has an example");
        let tree = preset.compile_example(&sources, example).expect("the example is complete");
        let (document, _) = load_tree(&sources, &tree).expect("the example is a document");
        build(&document).expect("the document is a model")
    });
}
