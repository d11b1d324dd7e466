//! Monte Carlo of the ten-term stack on one thread and on two, and the exact answer to the same question beside it.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use shimwright_benches::{first_gap, model_of, ten};
use shimwright_engine::analyse::monte_carlo::{MonteCarloOptions, draw};
use shimwright_engine::analyse::{Banded, Judge};

fn main() {
    divan::main();
}

const SAMPLES: u64 = 1_000_000;

/// Items are samples.
#[divan::bench(args = [1, 2], sample_count = 31, sample_size = 1)]
fn drawn(bencher: Bencher<'_, '_>, threads: usize) {
    let model = model_of(&ten());
    let form = first_gap(&model);
    let gaps = [Banded::new(&form, &model.gaps[0])];
    let options = MonteCarloOptions { samples: SAMPLES, seed: 1, threads: Some(threads), digits: None };
    bencher.counter(ItemsCount::new(SAMPLES)).bench_local(|| draw(black_box(&gaps), &[], &model.columns, options));
}

/// The probability of being in band by the exact method, for the ratio.
#[divan::bench]
fn exact(bencher: Bencher<'_, '_>) {
    let model = model_of(&ten());
    let form = first_gap(&model);
    bencher.bench_local(|| {
        let judge = Judge::new(black_box(&form), &model.gaps[0], &model.columns);
        judge.expect("every law of the case has a variance").at(0.0).within
    });
}
