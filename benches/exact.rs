//! The exact distribution of a gap: preparing it, and asking it.

use divan::{Bencher, black_box};
use shimwright_benches::{MEASURED, MIXED, SMALL, first_gap, long, model_of, ten};
use shimwright_engine::analyse::Judge;
use shimwright_engine::analyse::exact::Exact;
use shimwright_engine::analyse::exact_of;
use shimwright_engine::model::{Form, Model};

fn main() {
    divan::main();
}

const CASES: [&str; 5] = ["five", "ten", "two hundred", "t of three degrees", "ten of ten kinds"];

fn case(name: &str) -> (Model, Form) {
    let model = match name {
        "five" => model_of(SMALL),
        "ten" => model_of(&ten()),
        "two hundred" => model_of(&long()),
        "ten of ten kinds" => model_of(MIXED),
        _ => model_of(MEASURED),
    };
    let gap = first_gap(&model);
    (model, gap)
}

fn prepare(model: &Model, gap: &Form) -> Exact {
    exact_of(gap, &model.columns).expect("every law of the cases has a variance")
}

/// The distribution function at 16 points over six standard deviations, and four quantiles.
fn ask(exact: &Exact) -> f64 {
    let (mean, sd) = (exact.mean_mm(), exact.sd_mm());
    let points: f64 = (0..16).map(|index| exact.below(mean + sd * (-3.0 + 0.4 * f64::from(index))).value).sum();
    let quantiles: f64 = [0.001_35, 0.025, 0.975, 0.998_65].iter().filter_map(|&p| exact.quantile(p)).sum();
    points + quantiles
}

/// Ready to be asked.
#[divan::bench(args = CASES)]
fn prepared(bencher: Bencher<'_, '_>, name: &str) {
    let (model, gap) = case(name);
    bencher.bench_local(|| prepare(black_box(&model), &gap));
}

/// Prepared, and asked at 16 points and for 4 quantiles.
#[divan::bench(args = CASES)]
fn prepared_and_asked(bencher: Bencher<'_, '_>, name: &str) {
    let (model, gap) = case(name);
    bencher.bench_local(|| ask(&prepare(black_box(&model), &gap)));
}

/// Prepared, and the probability of being in band.
#[divan::bench(args = CASES)]
fn in_band(bencher: Bencher<'_, '_>, name: &str) {
    let (model, gap) = case(name);
    bencher.bench_local(|| {
        let judge = Judge::new(black_box(&gap), &model.gaps[0], &model.columns);
        judge.expect("every law of the cases has a variance").at(0.0).within
    });
}
