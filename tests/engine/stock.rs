//! `stock` against the world outside it: a mixed-integer solver, the binomial law, and every choice of sizes.

use shimwright_engine::analyse::monte_carlo::MonteCarloOptions;
use shimwright_engine::document::resolved::Document;
use shimwright_engine::select::reach::{ReachOptions, reach};
use shimwright_engine::select::stock::{Bound, Stock, StockError, StockOptions, stock};
use shimwright_tests::{close, document_of};

const COVERAGE: &str = include_str!("../data/reach/coverage.csv");
const QUANTITIES: &str = include_str!("../data/reach/quantities.csv");

/// A sum of up to fifty shares, each with a bound of 1e-12; the solver's own gap is 1e-12 too.
const SHARE: f64 = 1e-9;

fn options() -> StockOptions {
    StockOptions {
        confidence: Default::default(),
        sizes: None,
        candidates: None,
        builds: 0,
        service: 0.95,
        monte_carlo: MonteCarloOptions::default(),
    }
}

fn planned(document: &Document, options: &StockOptions) -> Stock {
    stock(document, options).expect("there is one pack with a band")
}

fn document(space: (&str, &str), band: (&str, &str), count: &str, sizes: &str) -> Document {
    document_of(&format!(
        "
dimensions: {{ space: {{ size: {}, sd: {} }} }}
gaps: {{ play: {{ chain: space - shims, accept: [{}, {}] }} }}
packs: {{ shims: {{ kit: box, count: {count} }} }}
kits: {{ box: {{ sizes: {sizes} }} }}
",
        space.0, space.1, band.0, band.1
    ))
}

#[test]
fn coverage_is_that_of_a_mixed_integer_solver() {
    for line in COVERAGE.lines().skip(1) {
        let [mean, sd, low, high, first, last, step, most, expected] =
            line.split(',').collect::<Vec<_>>().try_into().expect("nine columns");
        let um = |text: &str| text.parse::<i64>().expect("a whole number");
        let (first, last, step) = (um(first), um(last), um(step));
        let candidates: Vec<(f64, String)> = (0..=(last - first) / step)
            .map(|index| ((first + index * step) as f64 / 1000.0, format!("{}", first + index * step)))
            .collect();
        let asked = StockOptions { sizes: most.parse().ok(), candidates: Some(candidates), ..options() };
        let found = planned(&document((mean, sd), (low, high), "1", "[0.50]"), &asked);
        close(found.reached, expected.parse().expect("a number"), SHARE);
        assert!(found.proven_best && found.bounded_by == Bound::Proof && found.sizes.len() <= asked.sizes.unwrap());
    }
}

#[test]
fn one_size_is_needed_as_the_binomial_law_says() {
    for line in QUANTITIES.lines().skip(1) {
        let [mean, sd, low, high, size, builds, service, quantity, there, _, use_per_100] =
            line.split(',').collect::<Vec<_>>().try_into().expect("eleven columns");
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let asked = StockOptions { builds: builds.parse().unwrap(), service: number(service), ..options() };
        let found = planned(&document((mean, sd), (low, high), "1", &format!("[{size}]")), &asked);
        assert_eq!(found.sizes[0].quantity, quantity.parse().ok(), "{line}");
        let tried = found.service.expect("builds were asked for");
        // Five standard errors of a share of 2,000 batches, one in two million; of 80,000 builds for the use.
        close(tried.service, number(there), 5.0 * (0.25 / tried.batches as f64).sqrt());
        close(found.sizes[0].use_per_100.unwrap(), number(use_per_100), 5.0 * 50.0 / (24_000_f64).sqrt());
        let beyond = tried.builds as f64 * (1.0 - number(use_per_100) / 100.0);
        close(tried.beyond_reach, beyond, 0.3);
        assert!(tried.interval.0 <= tried.service && tried.service <= tried.interval.1);
    }
}

/// What sizes serve, asked of `reach`.
fn reached(sizes: &[&str], band: (&str, &str), count: &str) -> f64 {
    let monte_carlo = MonteCarloOptions { samples: 0, ..MonteCarloOptions::default() };
    let asked = ReachOptions { monte_carlo, ..ReachOptions::default() };
    let document = document(("0.95", "0.18"), band, count, &format!("[{}]", sizes.join(", ")));
    reach(&document, &asked).map_or(0.0, |found| found.reached.probability)
}

/// The most that any choice of so many serves.
fn most_of_all(sizes: &[&str], most: usize, band: (&str, &str), count: &str) -> f64 {
    let sets = (1_u32..1 << sizes.len()).filter(|set| set.count_ones() as usize <= most);
    let of = |set: u32| {
        let chosen: Vec<&str> =
            (0..sizes.len()).filter(|index| set & (1 << index) != 0).map(|index| sizes[index]).collect();
        reached(&chosen, band, count)
    };
    sets.map(of).fold(0.0, f64::max)
}

#[test]
fn the_choice_is_the_best_of_all() {
    let sizes = ["0.10", "0.15", "0.25", "0.30", "0.45", "0.60", "0.70"];
    for (band, count) in [
        (("0.20", "0.26"), "1"),
        (("0.20", "0.26"), "[0, 1]"),
        (("0.20", "0.24"), "[1, 2]"),
        (("0.20", "0.23"), "[1, 3]"),
    ] {
        for most in [1, 2, 3] {
            let asked = StockOptions { sizes: Some(most), ..options() };
            let document = document(("0.95", "0.18"), band, count, &format!("[{}]", sizes.join(", ")));
            let found = planned(&document, &asked);
            close(found.reached, most_of_all(&sizes, most, band, count), SHARE);
            let kept: Vec<&str> = found.sizes.iter().map(|kept| kept.label.as_str()).collect();
            assert!(found.proven_best && kept.len() <= most, "{kept:?}");
            if !kept.is_empty() {
                close(found.reached, reached(&kept, band, count), SHARE);
            }
        }
    }
}

#[test]
fn a_search_keeps_between_greed_and_its_bound() {
    // 3 of 40 sizes are 9,880 choices of packs of up to two: too many to look at all.
    let labels: Vec<String> = (0..40).map(|index| format!("{:.3}", 0.10 + 0.025 * f64::from(index))).collect();
    let sizes: Vec<&str> = labels.iter().map(String::as_str).collect();
    let (band, count) = (("0.20", "0.24"), "[1, 2]");
    let document = document(("0.95", "0.18"), band, count, &format!("[{}]", sizes.join(", ")));
    let found = planned(&document, &StockOptions { sizes: Some(3), ..options() });
    let mut greedy: Vec<&str> = Vec::new();
    for _ in 0..3 {
        let with = |one: &&&str| {
            let mut with = greedy.clone();
            with.push(one);
            with.sort_unstable();
            reached(&with, band, count)
        };
        let next = sizes.iter().filter(|one| !greedy.contains(one)).max_by(|a, b| with(a).total_cmp(&with(b)));
        greedy.push(next.unwrap());
        greedy.sort_unstable();
    }
    let by_greed = reached(&greedy, band, count);
    assert!(found.reached >= by_greed - SHARE && found.reached <= found.bound + SHARE, "{found:?} {by_greed}");
    // Three sizes make nine thicknesses of one or two: far less than all forty serve.
    assert_eq!(found.bounded_by, Bound::FreeThicknesses);
    assert!(found.bound < found.reached_by_all && !found.proven_best, "{found:?}");
}

#[test]
fn the_gearmotors_shelf() {
    let text = std::fs::read_to_string("../presets/demos/nettle-gearmotor.yaml").expect("the demo is shipped");
    let found = planned(&document_of(&text), &StockOptions { builds: 40, ..options() });
    assert_eq!(found.sizes.len(), 4);
    let service = found.service.as_ref().expect("builds were asked for");
    assert!(service.interval.1 >= 0.95 && service.beyond_reach < 1e-3, "{service:?}");
    // 0.5 and 0.6 and 0.7 are wanted most, each with 0.5 in it: about one of it a unit, and 0.1 beside it for 0.6.
    let used = |label: &str| found.sizes.iter().find(|kept| kept.label == label).unwrap().use_per_100.unwrap();
    assert!(used("0.50") > 85.0 && used("0.10") > 40.0, "{found:?}");
    // No more than one pack of three a unit, and at least one shim.
    let all: usize = found.sizes.iter().map(|kept| kept.quantity.unwrap()).sum();
    assert!((40..=120).contains(&all), "{found:?}");
    let again = planned(&document_of(&text), &StockOptions { builds: 40, ..options() });
    assert_eq!(found, again);
    let one_thread = MonteCarloOptions { threads: Some(1), ..MonteCarloOptions::default() };
    assert_eq!(found, planned(&document_of(&text), &StockOptions { builds: 40, monte_carlo: one_thread, ..options() }));
}

#[test]
fn what_is_on_hand_is_taken_off() {
    let text = "
dimensions: { space: { size: 0.85, sd: 0.071 } }
gaps: { play: { chain: space - shims, accept: [0.20, 0.30] } }
packs: { shims: { kit: box, count: 1 } }
kits: { box: { sizes: [0.50, 0.60, 0.70], on_hand: { 0.60: 7, 0.70: 100 } } }
";
    let found = planned(&document_of(text), &StockOptions { builds: 40, ..options() });
    let order: Vec<usize> = found.sizes.iter().map(|kept| kept.to_order().unwrap()).collect();
    let quantity: Vec<usize> = found.sizes.iter().map(|kept| kept.quantity.unwrap()).collect();
    assert_eq!(order, [quantity[0], quantity[1] - 7, 0]);
}

#[test]
fn several_packs_are_not_planned_for() {
    let two = "
dimensions: { space: { size: 1.36, sd: 0.30 } }
gaps: { float: { chain: space - left - right, accept: [0.10, 0.25] } }
packs: { left: { kit: list, count: 1 }, right: { kit: list, count: 1 } }
kits: { list: { sizes: [0.40, 0.60, 1.00] } }
";
    assert_eq!(stock(&document_of(two), &options()), Err(StockError::OnePack { packs: 2 }));
}
