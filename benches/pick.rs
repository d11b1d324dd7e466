//! The choice of a pack: demos, and kits of many sizes where it is easy, doubtful and hopeless.

use divan::{Bencher, black_box};
use shimwright_benches::{FOUND, Kit, LAYSHAFT, Reach, kit, model_of, partly_measured, stations};
use shimwright_engine::select::plan::{Cost, assign};
use shimwright_engine::select::{PickError, PickOptions, pick};

fn main() {
    divan::main();
}

/// Kits by number of sizes and of shims.
const KITS: [Kit; 9] = [
    Kit { sizes: 10, most: 1 },
    Kit { sizes: 10, most: 2 },
    Kit { sizes: 10, most: 4 },
    Kit { sizes: 60, most: 1 },
    Kit { sizes: 60, most: 2 },
    Kit { sizes: 60, most: 4 },
    Kit { sizes: 200, most: 1 },
    Kit { sizes: 200, most: 2 },
    Kit { sizes: 200, most: 4 },
];

/// From the parts, and from a reading of the assembled gap.
#[divan::bench(args = ["from parts", "from found"])]
fn demo(bencher: Bencher<'_, '_>, case: &str) {
    choose(bencher, if case == "from parts" { LAYSHAFT } else { FOUND });
}

/// Some pack is in band and sure.
#[divan::bench(args = KITS, sample_size = 1, max_time = 5)]
fn easy(bencher: Bencher<'_, '_>, case: Kit) {
    choose(bencher, &kit(case, Reach::Easy));
}

/// No pack is sure.
#[divan::bench(args = KITS, sample_size = 1, max_time = 5)]
fn doubtful(bencher: Bencher<'_, '_>, case: Kit) {
    choose(bencher, &kit(case, Reach::Doubtful));
}

/// No pack is in band at all.
#[divan::bench(args = KITS, sample_size = 1, max_time = 5)]
fn out_of_reach(bencher: Bencher<'_, '_>, case: Kit) {
    choose(bencher, &kit(case, Reach::OutOfReach));
}

/// No pack is sure, and every third size was measured shim by shim.
#[divan::bench(args = KITS, sample_size = 1, max_time = 5)]
fn doubtful_measured(bencher: Bencher<'_, '_>, case: Kit) {
    choose(bencher, &partly_measured(case, Reach::Doubtful));
}

/// The whole plan of stations on one box, most of them sure and hardly any sure.
#[divan::bench(args = [(8, 50, true), (32, 168, true), (32, 168, false)], sample_size = 1, max_time = 5)]
fn plan(bencher: Bencher<'_, '_>, (count, sizes, sharp): (usize, usize, bool)) {
    choose(bencher, &stations(count, sizes, sharp));
}

/// The assignment alone: so many rows, and a column for each shim and each row.
#[divan::bench(args = [(8, 58), (32, 200), (200, 1000)])]
fn assignment(bencher: Bencher<'_, '_>, (rows, shims): (usize, usize)) {
    let cost = |row: usize, column: usize| {
        let off = ((row * 7919 + column * 104_729) % 1_000_003) as i64;
        Some(Cost([i64::from(off > 60_000), i64::from(column >= shims), i64::from(column < rows), off, 0, 0]))
    };
    let costs: Vec<Vec<Option<Cost>>> =
        (0..rows).map(|row| (0..shims + rows).map(|column| cost(row, column)).collect()).collect();
    bencher.bench_local(|| assign(black_box(&costs)));
}

fn choose(bencher: Bencher<'_, '_>, text: &str) {
    let model = model_of(text);
    bencher.bench_local(|| match pick(black_box(&model), &PickOptions::default()) {
        // A kit that can be made up in too many ways is refused, which is an answer too.
        Ok(_) | Err(PickError::TooMany { .. }) => {}
        Err(fault) => panic!("{fault}"),
    });
}
