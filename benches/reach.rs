//! How often a kit gets there, by the exact figure alone and with random units, and which sizes to keep.

use divan::{Bencher, black_box};
use shimwright_benches::{GEARMOTOR, Kit, Reach, document_of, kit};
use shimwright_engine::analyse::Confidence;
use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::select::reach::{ReachOptions, reach};
use shimwright_engine::select::stock::{StockOptions, stock};

fn main() {
    divan::main();
}

/// Kits by number of sizes and of shims.
const KITS: [Kit; 4] =
    [Kit { sizes: 60, most: 2 }, Kit { sizes: 60, most: 4 }, Kit { sizes: 200, most: 2 }, Kit { sizes: 200, most: 4 }];

/// The exact figure, the intervals, the holes and the room; nothing is drawn.
#[divan::bench(args = KITS, sample_size = 1, max_time = 5)]
fn exact(bencher: Bencher<'_, '_>, case: Kit) {
    ask(bencher, &kit(case, Reach::Easy), 0);
}

/// The same with 100,000 units drawn, which are also read and chosen for where the document says how.
#[divan::bench(args = ["gearmotor", "200 sizes, up to 4"], sample_size = 1, max_time = 10)]
fn drawn(bencher: Bencher<'_, '_>, case: &str) {
    let large = kit(Kit { sizes: 200, most: 4 }, Reach::Easy);
    ask(bencher, if case == "gearmotor" { GEARMOTOR } else { &large }, 100_000);
}

fn ask(bencher: Bencher<'_, '_>, text: &str, samples: u64) {
    let document = document_of(text);
    let monte_carlo = MonteCarloOptions { samples, ..MonteCarloOptions::default() };
    let options = ReachOptions { monte_carlo, ..ReachOptions::default() };
    bencher.bench_local(|| reach(black_box(&document), &options).expect("the case has a band and a pack"));
}

/// Twelve of 500 sizes, one shim a pack, with proof.
#[divan::bench(sample_size = 1, max_time = 5)]
fn twelve_of_500(bencher: Bencher<'_, '_>) {
    let text = "
dimensions: { space: { size: 4, sd: 0.5 } }
gaps: { play: { chain: space - shims, accept: [0.10, 0.16] } }
packs: { shims: { kit: tray, count: 1 } }
kits: { tray: { sizes: { from: 1.005, to: 3.5, step: 0.005 } } }
";
    plan(bencher, text, Some(12), 0);
}

/// The gearmotor's shelf for forty builds.
#[divan::bench(sample_size = 1, max_time = 5)]
fn forty_builds(bencher: Bencher<'_, '_>) {
    plan(bencher, GEARMOTOR, None, 40);
}

fn plan(bencher: Bencher<'_, '_>, text: &str, sizes: Option<usize>, builds: usize) {
    let document = document_of(text);
    let options = StockOptions {
        confidence: Confidence::default(),
        sizes,
        candidates: None,
        builds,
        service: 0.95,
        monte_carlo: MonteCarloOptions::default(),
    };
    bencher.bench_local(|| {
        let found = stock(black_box(&document), &options).expect("the case has a band and one pack");
        assert!(found.proven_best, "the case is one that is proven");
    });
}
