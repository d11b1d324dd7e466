//! Simulated jobs whose truth is known: how often the stated 95 % interval of the gap holds it.
//!
//! Each job has parts of known size, an instrument whose zero and whose error at each part are drawn from the limits that
//! the document states, and readings that scatter; the document is written from the readings, as someone at the bench
//! would. Where readings are plenty the interval must hold the truth in 94 to 96 of 100 jobs; with two or three readings
//! in 93 at least (it may well be more: few readings are reckoned wide). Seeded: the same jobs every time.

use std::fmt::Write;

use rand::rngs::ChaCha8Rng;
use rand::{Rng, RngExt, SeedableRng};
use shimwright_tests::gap_of;
use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, Normal};

/// Jobs of the short form; `SHIMWRIGHT_JOBS=10000` asks for the long one.
const JOBS: u64 = 2_000;

fn jobs() -> u64 {
    std::env::var("SHIMWRIGHT_JOBS").ok().and_then(|jobs| jobs.parse().ok()).unwrap_or(JOBS)
}

/// What is measured, and with what.
#[derive(Clone, Copy)]
struct Bench {
    /// The coefficient of each part in the chain.
    parts: &'static [f64],
    /// The least and the most readings of a part.
    readings: (usize, usize),
    /// The scatter of one reading, mm.
    sd: f64,
    /// The limit of error and the zero error, mm.
    limit: f64,
    zero: f64,
    /// Whether the repeatability is known.
    stated: bool,
}

/// How many of so many jobs have the truth in their interval.
fn hits(bench: Bench, seed: u64, jobs: u64) -> u64 {
    (0..jobs).filter(|job| holds(bench, &mut ChaCha8Rng::seed_from_u64(seed << 32 | job))).count() as u64
}

fn uniform(generator: &mut impl Rng, half: f64) -> f64 {
    half * (2.0 * generator.random::<f64>() - 1.0)
}

fn holds(bench: Bench, generator: &mut impl Rng) -> bool {
    let standard = Normal::standard();
    let zero = uniform(generator, bench.zero);
    let (mut truth, mut chain, mut dimensions) = (0.0, String::new(), String::new());
    for (part, &coefficient) in bench.parts.iter().enumerate() {
        let size = 30.0 + uniform(generator, 5.0);
        truth += coefficient * size;
        let off = zero + uniform(generator, bench.limit);
        let count = generator.random_range(bench.readings.0..=bench.readings.1);
        let readings: Vec<String> = (0..count)
            // A uniform number in the open interval, through the quantile of the normal law.
            .map(|_| standard.inverse_cdf((generator.random::<f64>() * 0.999_999_999_999).max(1e-15)))
            .map(|scatter| format!("{:.7}", size + off + bench.sd * scatter))
            .collect();
        writeln!(dimensions, "  p{part}: {{ readings: [{}], instrument: gauge }}", readings.join(", ")).unwrap();
        write!(chain, " + {coefficient} * p{part}").unwrap();
    }
    let repeatability = if bench.stated { format!(", repeatability: {}", bench.sd) } else { String::new() };
    let text = format!(
        "instruments:\n  gauge: {{ limit_of_error: {}, zero_error: {}{repeatability} }}\ndimensions:\n{dimensions}gaps:\n  y: {{ chain: 0{chain}, target: 1 }}\n",
        bench.limit, bench.zero
    );
    let (coverage, low, high) = gap_of(&text.replace("+ -", "- ")).exact.intervals[0];
    assert_eq!(coverage, 0.95);
    (low..=high).contains(&truth)
}

/// A right program fails one of these checks in a million changes of the seed.
const LEAST_TAIL: f64 = 1e-6;

/// That the share of hits is not below `least`, nor above `most`: in the long form as it is, in the short form within
/// what chance does to so few jobs.
fn share_is_between(hits: u64, jobs: u64, least: f64, most: f64) {
    let share = hits as f64 / jobs as f64;
    if jobs >= 10_000 {
        assert!((least..=most).contains(&share), "{hits} of {jobs}");
        return;
    }
    let law = |p: f64| Binomial::new(p, jobs).expect("a probability and a number of jobs");
    let too_few = law(least).cdf(hits);
    assert!(too_few >= LEAST_TAIL, "{hits} of {jobs} is below {least} by more than chance");
    if most < 1.0 && hits > 0 {
        let too_many = law(most).sf(hits - 1);
        assert!(too_many >= LEAST_TAIL, "{hits} of {jobs} is above {most} by more than chance");
    }
}

const PLENTY: Bench =
    Bench { parts: &[1.0, -1.0, -1.0], readings: (10, 10), sd: 0.012, limit: 0.010, zero: 0.010, stated: false };

#[test]
fn with_ten_readings_the_interval_holds_the_truth_as_often_as_it_says() {
    let jobs = jobs();
    share_is_between(hits(PLENTY, 1, jobs), jobs, 0.94, 0.96);
    let scatter_alone = Bench { parts: &[1.0, -1.0], sd: 0.02, limit: 0.001, zero: 0.0, ..PLENTY };
    share_is_between(hits(scatter_alone, 2, jobs), jobs, 0.94, 0.96);
}

#[test]
fn with_two_or_three_readings_it_never_holds_it_less_than_ninety_three_times_in_a_hundred() {
    let jobs = jobs();
    let few = Bench { readings: (2, 3), ..PLENTY };
    for (seed, bench) in [
        // One part alone, read twice: the widest rule.
        (3, Bench { parts: &[1.0], readings: (2, 2), limit: 0.001, zero: 0.0, ..few }),
        (4, Bench { parts: &[1.0], ..few }),
        (5, Bench { parts: &[1.0, -1.0], limit: 0.001, zero: 0.0, ..few }),
        (6, few),
        // The repeatability is known, and is what it is said to be.
        (7, Bench { parts: &[1.0, 1.0], stated: true, ..few }),
    ] {
        let hits = hits(bench, seed, jobs);
        share_is_between(hits, jobs, 0.93, 1.0);
    }
}

#[test]
fn an_interval_that_is_too_narrow_would_be_found() {
    // The bench is worse than the document says: the scatter is known, and wrong by half.
    let wrong = Bench { parts: &[1.0], readings: (1, 1), sd: 0.012, limit: 0.0001, zero: 0.0, stated: true };
    let jobs = 400;
    let share = |narrower: f64| {
        let held = (0..jobs).filter(|job| {
            let mut generator = ChaCha8Rng::seed_from_u64(99 << 32 | job);
            let size = 30.0;
            let scatter = Normal::standard().inverse_cdf(generator.random::<f64>().max(1e-15));
            let text = format!(
                "instruments: {{ gauge: {{ repeatability: {} }} }}\ndimensions: {{ p: {{ readings: [{:.7}], instrument: gauge }} }}\ngaps: {{ y: {{ chain: p, target: 1 }} }}\n",
                wrong.sd * narrower,
                size + wrong.sd * scatter
            );
            let (_, low, high) = gap_of(&text).exact.intervals[0];
            (low..=high).contains(&size)
        });
        held.count() as f64 / jobs as f64
    };
    assert!(share(1.0) > 0.92, "{}", share(1.0));
    assert!(share(0.5) < 0.80, "{}", share(0.5));
}
