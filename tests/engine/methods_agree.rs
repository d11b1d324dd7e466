//! The methods against each other on documents made at random, every law among them.
//!
//! Monte Carlo draws each part by its own sampler; the exact method adds up characteristic functions, closed forms and
//! single values. They share nothing but the figures of the document. Every count is judged by the exact binomial tail;
//! how often a right program would raise a false alarm with another seed is worked out in tests/README.md.

use std::collections::BTreeMap;

use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, RngExt, SeedableRng};
use shimwright_engine::analyse::GapOptions;
use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_tests::binomial::{LEAST_TAIL, two_sided_tail};
use shimwright_tests::{close, gap_of, gap_with};

const DOCUMENTS: u64 = 200;
const SAMPLES: u64 = 20_000;

/// How each kind of dimension is written.
const KINDS: [&str; 16] = [
    "exact",
    "normal",
    "shift",
    "cpk",
    "rectangular",
    "triangular",
    "mode",
    "trapezoidal",
    "arcsine",
    "truncated",
    "beta",
    "student",
    "discrete",
    "observed",
    "mixture",
    "readings",
];

/// A length in micrometres as millimetres.
fn mm(um: i64) -> String {
    format!("{:.3}", um as f64 / 1000.0)
}

/// A dimension of a kind, about `size` micrometres.
fn dimension(kind: &str, size: i64, rng: &mut impl Rng) -> String {
    let mut um = |most: i64| rng.random_range(2..=most);
    let half = um(60);
    let (low, high) = (mm(size - half), mm(size + half));
    let limits = format!("limits: [{low}, {high}]");
    match kind {
        "exact" => mm(size),
        "shift" => format!("{{ {limits}, shift: {} }}", mm(half / 3)),
        "cpk" => format!("{{ {limits}, cpk: 1.{} }}", um(60)),
        "rectangular" | "triangular" | "arcsine" => format!("{{ {limits}, distribution: {kind} }}"),
        "mode" => format!("{{ {limits}, distribution: {{ triangular: {{ mode: {} }} }} }}", mm(size + half * 3 / 5)),
        "trapezoidal" => {
            let top = format!("[{}, {}]", mm(size - half / 2), mm(size + half / 4));
            format!("{{ {limits}, distribution: {{ trapezoidal: {{ top: {top} }} }} }}")
        }
        "truncated" => {
            let figures = format!("mean: {}, sd: {}", mm(size + half / 5), mm(half / 2 + 1));
            format!("{{ {limits}, distribution: {{ truncated normal: {{ {figures} }} }} }}")
        }
        "beta" => format!("{{ {limits}, distribution: {{ beta: {{ a: 1.{}, b: {}.5 }} }} }}", um(50), um(4)),
        "student" => {
            let figures = format!("mean: {}, scale: {}, freedom: {}", mm(size), mm(half / 6 + 1), um(6) + 2);
            format!("{{ distribution: {{ student t: {{ {figures} }} }} }}")
        }
        "discrete" => {
            let values: Vec<String> = (0..3).map(|at| format!("{}: {}", mm(size + at * half), um(9))).collect();
            format!("{{ distribution: {{ discrete: {{ {} }} }} }}", values.join(", "))
        }
        "observed" => {
            let values: Vec<String> = (0..12).map(|_| mm(size + um(60))).collect();
            format!("{{ distribution: {{ observed: [{}] }} }}", values.join(", "))
        }
        "mixture" => {
            let never = format!("{{ weight: 0.7, size: {}, tolerance: {} }}", mm(size), mm(half));
            let once = format!("{{ weight: 0.2, {limits}, distribution: rectangular }}");
            let twice = format!("{{ weight: 0.1, size: {}, tolerance: 0 }}", mm(size - 3 * half));
            format!("{{ distribution: {{ mixture: [ {never}, {once}, {twice} ] }} }}")
        }
        "readings" => {
            let readings: Vec<String> = (0..4).map(|_| mm(size + um(20))).collect();
            format!("{{ readings: [{}], instrument: micrometer }}", readings.join(", "))
        }
        _ => format!("{{ {limits} }}"),
    }
}

/// A document of one to seven dimensions, with no band yet, and their kinds.
fn document(rng: &mut impl Rng) -> (String, Vec<&'static str>) {
    let count = rng.random_range(1..=7);
    let kinds: Vec<&str> = (0..count).map(|_| KINDS[rng.random_range(0..KINDS.len())]).collect();
    let mut text = String::from("dimensions:\n");
    let mut chain = String::from("0");
    for (index, kind) in kinds.iter().enumerate() {
        let size = rng.random_range(1_000..60_000);
        text += &format!("  part {index}: {}\n", dimension(kind, size, rng));
        let coefficient = ["+ ", "- ", "+ 2 * ", "- 50 % of "][rng.random_range(0..4)];
        chain += &format!(" {coefficient}part {index}");
    }
    (format!("{text}gaps:\n  y: {{ chain: {chain}"), kinds)
}

#[test]
fn two_hundred_documents_of_every_law() {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(401);
    let mut used: BTreeMap<&str, u32> = BTreeMap::new();
    let (mut compared, mut loose) = (0, 0);
    for seed in 1..=DOCUMENTS {
        let (text, kinds) = document(&mut rng);
        for kind in kinds {
            *used.entry(kind).or_default() += 1;
        }
        let bare = gap_of(&format!("{text} }}\n"));
        let mut end = |sign: f64| {
            let place = bare.exact.mean_mm + sign * rng.random_range(0.0..2.5) * bare.exact.sd_mm;
            // On the grid of what was typed, so that a single value may sit on it.
            (place * 1000.0).round() / 1000.0
        };
        let (low, high) = (end(-1.0), end(1.0));
        let text = format!("{text}, accept: [{low:.3}, {high:.3}] }}\n");
        let monte_carlo = Some(MonteCarloOptions { samples: SAMPLES, seed, ..MonteCarloOptions::default() });
        let gap = gap_with(&text, &GapOptions { monte_carlo, ..GapOptions::default() });
        let (exact, drawn) = (gap.exact.chances.expect("a band"), gap.monte_carlo.expect("it was drawn"));
        // A t of few degrees beside skew laws may need more terms than are taken; the bound then says so.
        loose += u32::from(exact.error_bound > 1e-9);
        // Two arcsine laws and nothing else continuous: 2^18 terms reach about 1e-6, and the bound says so.
        assert!(exact.error_bound < 1e-5, "{}\n{text}", exact.error_bound);
        let shares = drawn.shares.expect("a band");
        for (share, p) in [(shares.below, exact.below), (shares.within, exact.within), (shares.above, exact.above)] {
            let near = [p - exact.error_bound, p, p + exact.error_bound].map(|p| p.clamp(0.0, 1.0));
            let tail = near.map(|p| two_sided_tail(share.count, SAMPLES, p)).into_iter().fold(0.0, f64::max);
            assert!(tail >= LEAST_TAIL, "{} of {SAMPLES} at {p}: tail {tail}\n{text}", share.count);
            compared += 1;
        }
        // What the worst case cannot leave is the support where there is one; moments are the same by two ways.
        let square = gap.root_sum_square.expect("every law has a variance");
        close(square.mean_mm, gap.exact.mean_mm, 1e-12 * (1.0 + square.mean_mm.abs()));
        close(square.sd_mm, gap.exact.sd_mm, 1e-10 * (square.sd_mm + 1e-3));
    }
    assert_eq!(compared, 3 * DOCUMENTS);
    assert!(loose <= 4, "{loose} bounds above 1e-9");
    assert_eq!(used.len(), KINDS.len(), "every kind is among them: {used:?}");
    assert!(used.values().all(|&times| times >= 15), "and often enough: {used:?}");
}
