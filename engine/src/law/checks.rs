//! What every law must pass, whatever its shape: its parts agree with one another.

use super::Law;
use rand::SeedableRng;
use rand::rngs::Xoshiro256PlusPlus;

/// Runs every shared check.
pub(super) fn law(law: &Law) {
    law_with_breaks(law, &[]);
}

/// Runs every shared check on a law whose density has a jump or a corner at each of `breaks`.
pub(super) fn law_with_breaks(law: &Law, breaks: &[f64]) {
    tails_sum_to_one(law);
    density_integrates_to_the_distribution(law, breaks);
    moments_are_integrals(law, breaks);
    quantiles_come_back(law);
    intervals_hold_their_coverage(law);
    characteristic_is_the_integral(law, breaks);
    envelope_covers_and_falls(law);
    samples_follow_the_law(law);
}

/// Half-width of the middle that holds all but 2e-3; a length to measure the law by.
fn size(law: &Law) -> f64 {
    law.half_width(0.998)
}

/// Runs every check that a law of single values must pass, against its values and weights.
pub(super) fn atoms(law: &Law, weighted: &[(f64, f64)]) {
    let total: f64 = weighted.iter().map(|one| one.1).sum();
    let mut atoms: Vec<(f64, f64)> = Vec::new();
    let mut sorted = weighted.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (value, weight) in sorted {
        match atoms.last_mut() {
            Some(last) if last.0 == value => last.1 += weight / total,
            _ => atoms.push((value, weight / total)),
        }
    }
    atoms_are_the_steps(law, &atoms);
    atoms_are_the_quantiles(law, &atoms);
    moments_are_sums(law, &atoms);
    widths_hold_no_less_than_asked(law, &atoms);
    characteristic_is_the_sum(law, &atoms);
    envelope_covers_and_falls(law);
    samples_follow_the_law(law);
}

/// Rounding of sums of so many shares, each below one.
fn rounding(atoms: &[(f64, f64)]) -> f64 {
    f64::EPSILON * (atoms.len() as f64 + 4.0)
}

/// P(X ≤ x) takes its step at the value itself, and P(X > x) is what is left of one.
fn atoms_are_the_steps(law: &Law, atoms: &[(f64, f64)]) {
    let near = rounding(atoms);
    let mut sum = 0.0;
    for &(value, share) in atoms {
        for (x, below) in [(value.next_down(), sum), (value, sum + share)] {
            assert!((law.below(x) - below).abs() < near, "{law:?} at {x}: {} is not {below}", law.below(x));
            assert!((law.above(x) - (1.0 - below)).abs() < near, "{law:?} at {x}");
        }
        sum += share;
    }
    let (first, last) = (atoms[0].0, atoms[atoms.len() - 1].0);
    // Outside there is nothing at all, and inside nothing is missing.
    assert_eq!((law.below(first.next_down()), law.above(last)), (0.0, 0.0));
    assert!((law.below(last) - 1.0).abs() < near && (law.above(first.next_down()) - 1.0).abs() < near);
    assert_eq!(law.support(), Some((first, last)));
}

/// The quantile is the least x with P(X ≤ x) ≥ p.
fn atoms_are_the_quantiles(law: &Law, atoms: &[(f64, f64)]) {
    for p in [1e-12, 1e-3, 0.05, 0.2, 0.5, 0.75, 0.949, 0.999_99] {
        let x = law.quantile(p).expect("p is inside (0, 1)");
        assert!(atoms.iter().any(|&(value, _)| value == x), "{law:?} at {p}: {x} is none of its values");
        assert!(law.below(x) >= p - rounding(atoms) && law.below(x.next_down()) < p, "{law:?} at {p}: {x}");
    }
    for p in [0.0, 1.0, -1.0, f64::NAN] {
        assert_eq!(law.quantile(p), None);
    }
}

fn moments_are_sums(law: &Law, atoms: &[(f64, f64)]) {
    let half = 0.5 * (atoms[atoms.len() - 1].0 - atoms[0].0);
    let average =
        |f: &dyn Fn(f64) -> f64| atoms.iter().map(|&(value, share)| share * f(value - law.centre())).sum::<f64>();
    let off = average(&|d| d);
    let (mean, variance) = (law.mean().expect("it has one"), law.variance().expect("it has one"));
    let near = rounding(atoms) * (half + law.centre().abs() * f64::EPSILON);
    assert!((mean - (law.centre() + off)).abs() <= near + law.centre().abs() * f64::EPSILON, "{law:?}");
    assert!((variance - (average(&|d| d * d) - off * off)).abs() <= 2.0 * near * (half + near), "{law:?}");
    assert!(law.has_fourth_moment());
}

fn widths_hold_no_less_than_asked(law: &Law, atoms: &[(f64, f64)]) {
    // The centre and the distances from it round by an ulp of the lengths.
    let ulps = 4.0 * f64::EPSILON * atoms.iter().map(|one| one.0.abs()).fold(0.0, f64::max);
    let inside = |w: f64| {
        let held = atoms.iter().filter(|(value, _)| (value - law.centre()).abs() <= w);
        held.map(|one| one.1).sum::<f64>()
    };
    for coverage in [0.0, 0.1, 0.5, 0.6827, 0.95, 0.9973, 1.0] {
        let half = law.half_width(coverage);
        assert!(inside(half + ulps) >= coverage - rounding(atoms), "{law:?} at {coverage}: {half}");
        assert!(half <= ulps || inside(half - ulps) < coverage, "{law:?} at {coverage}: {half}");
    }
    assert!((law.tail_half_width(1e-12) - law.half_width(1.0)).abs() <= ulps);
}

fn characteristic_is_the_sum(law: &Law, atoms: &[(f64, f64)]) {
    assert_eq!(law.characteristic(0.0), 1.0.into());
    let scale = law.half_width(1.0).max(1e-3);
    for turns in [0.05, 0.4, 1.3, 30.0] {
        let t = turns / scale;
        let part = |f: fn(f64) -> f64| atoms.iter().map(|&(x, share)| share * f(t * (x - law.centre()))).sum::<f64>();
        let found = law.characteristic(t);
        let near = rounding(atoms) + turns * f64::EPSILON * law.centre().abs() / scale;
        assert!((found.re - part(f64::cos)).abs() < near && (found.im - part(f64::sin)).abs() < near, "{law:?} at {t}");
        assert!((law.characteristic(-t) - found.conj()).norm() < near);
    }
}

fn tails_sum_to_one(law: &Law) {
    for step in -30..=30 {
        let x = law.centre() + size(law) * f64::from(step) / 20.0;
        // Each tail within 2e-15.
        assert!((law.below(x) + law.above(x) - 1.0).abs() < 4e-15, "{law:?} at {x}");
    }
    assert_eq!((law.below(f64::NEG_INFINITY), law.above(f64::INFINITY)), (0.0, 0.0));
}

fn density_integrates_to_the_distribution(law: &Law, breaks: &[f64]) {
    for step in -12..12 {
        let at = |step: i32| law.centre() + size(law) * f64::from(step) / 8.0;
        let (low, high) = inside(law, at(step), at(step + 1));
        let strips = if law.support().is_some() { 4000 } else { 400 };
        let integral = pieces(law, breaks, low, high, strips, |x| law.density(x));
        let rise = law.below(high) - law.below(low);
        // So many strips over an eighth of the size: error below 1e-10 for these densities.
        assert!((integral - rise).abs() < 1e-10 + at_the_limits(law), "{law:?}: {integral} is not {rise}");
    }
}

fn moments_are_integrals(law: &Law, breaks: &[f64]) {
    let (Some(mean), Some(variance)) = (law.mean(), law.variance()) else {
        return;
    };
    if !law.has_fourth_moment() {
        return;
    }
    let (first, second) = match law.support() {
        Some((low, high)) => {
            let about_mean = |power| pieces(law, breaks, low, high, 4000, |x| (x - mean).powi(power) * law.density(x));
            (about_mean(1), about_mean(2))
        }
        // Over the quantile: E g(X) = ∫ g(Q(p)) dp, with p = ½ + ½ tanh s, which tames the ends of symmetric laws.
        None => {
            let about_mean = |power| {
                simpson(-17.0, 17.0, 4000, |s: f64| {
                    let upper = 1.0 / (1.0 + (-2.0 * s.abs()).exp());
                    let tail = 1.0 - upper;
                    law.half_width(1.0 - 2.0 * tail).copysign(s).powi(power) * 2.0 * upper * tail
                })
            };
            (about_mean(1), about_mean(2))
        }
    };
    assert!(first.abs() < (1e-9 + at_the_limits(law)) * size(law), "{law:?}: {mean} is off by {first}");
    // The part cut off beyond tail e^−34 matters only for a t with few degrees.
    let allowed = if law.support().is_some() { 1e-8 + 10.0 * at_the_limits(law) } else { 2e-3 };
    assert!((second / variance - 1.0).abs() < allowed, "{law:?}: {second} is not {variance}");
}

fn quantiles_come_back(law: &Law) {
    for p in [1e-12, 1e-9, 1e-4, 0.01, 0.2, 0.5, 0.7, 0.975, 0.999_99] {
        let x = law.quantile(p).expect("p is inside (0, 1)");
        // Rounding of x moves the probability by density × half a unit in its last place.
        let allowed = law.density(x) * x.abs() * f64::EPSILON + 1e-12 * p;
        assert!((law.below(x) - p).abs() <= allowed, "{law:?} at {p}: {}", law.below(x));
    }
    for p in [0.0, 1.0, -1.0, f64::NAN] {
        assert_eq!(law.quantile(p), None);
    }
}

fn intervals_hold_their_coverage(law: &Law) {
    for coverage in [0.1, 0.5, 0.6827, 0.95, 0.9973] {
        let half = law.half_width(coverage);
        let outside = law.below(law.centre() - half) + law.above(law.centre() + half);
        // Rounding of the centre against the size: at most 1e-13 here.
        assert!((outside - (1.0 - coverage)).abs() < 1e-11, "{law:?} at {coverage}");
        assert!(law.half_width(0.0).abs() < 1e-15 * size(law).max(1.0));
    }
    for p in [1e-12, 1e-3, 0.5] {
        let half = law.tail_half_width(p);
        let outside = law.below(law.centre() - half) + law.above(law.centre() + half);
        assert!(outside <= p * (1.0 + 1e-9), "{law:?} beyond {half}");
    }
    match law.support() {
        Some((low, high)) => assert!((law.half_width(1.0) - 0.5 * (high - low)).abs() < 1e-15 * high.abs().max(1.0)),
        None => assert_eq!(law.half_width(1.0), f64::INFINITY),
    }
}

fn characteristic_is_the_integral(law: &Law, breaks: &[f64]) {
    assert_eq!(law.characteristic(0.0), 1.0.into());
    let scale = law.half_width(0.5);
    for turns in [0.05, 0.4, 1.3, 3.0] {
        let t = turns / scale;
        // The integral of the density over what holds all but p; the rest can add at most p.
        let p = 1e-4;
        let half = law.tail_half_width(p).min(2e3 * scale);
        let left = law.below(law.centre() - half) + law.above(law.centre() + half);
        let strips = if law.support().is_some() { 4000 } else { 40_000 };
        let (low, high) = inside(law, law.centre() - half, law.centre() + half);
        let real = pieces(law, breaks, low, high, strips, |x| law.density(x) * (t * (x - law.centre())).cos());
        let imaginary = pieces(law, breaks, low, high, strips, |x| law.density(x) * (t * (x - law.centre())).sin());
        let found = law.characteristic(t);
        assert!((found.re - real).abs() < left + 1e-8 + at_the_limits(law), "{law:?} at {t}: {found} is not {real}");
        assert!(
            (found.im - imaginary).abs() < left + 1e-8 + at_the_limits(law),
            "{law:?} at {t}: {found} is not {imaginary}"
        );
        assert!((law.characteristic(-t) - found.conj()).norm() < 1e-15);
    }
}

fn envelope_covers_and_falls(law: &Law) {
    let scale = law.half_width(0.5).max(1e-3);
    let (mut before, mut fall) = (law.envelope(0.0), 1.0);
    assert_eq!(before, 1.0);
    for step in 1..2000 {
        let t = 0.02 * f64::from(step) / scale;
        let now = law.envelope(t);
        assert!(now <= before, "{law:?}: the envelope rises at {t}");
        // Rounding of the function against one at zero.
        assert!(
            law.characteristic(t).norm() <= now * (1.0 + 1e-14) + 2e-15,
            "{law:?}: not covered at {t}: {} {now}",
            law.characteristic(t).norm()
        );
        // Below the least normal double nothing is exact any more.
        let most = law.fall(t) * now * (1.0 + 1e-12) + f64::MIN_POSITIVE;
        assert!(law.envelope(2.0 * t) <= most, "{law:?}: no such fall at {t}");
        assert!(law.fall(t) <= fall, "{law:?}: the fall grows worse at {t}");
        fall = law.fall(t);
        before = now;
    }
}

/// One-sample Kolmogorov–Smirnov test with a fixed seed.
///
/// 1.95/√n is the critical value for a false alarm in 1000 (N. Smirnov, "Table for estimating the goodness of fit
/// of empirical distributions", Annals of Mathematical Statistics 19 (1948) 279–281); the seed is fixed.
fn samples_follow_the_law(law: &Law) {
    const COUNT: usize = 40_000;
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(20);
    let mut values = vec![0.0; COUNT];
    law.fill(&mut rng, &mut values);
    values.sort_by(f64::total_cmp);
    let count = COUNT as f64;
    // Both step at a value that comes more than once: compared behind the step, and before it.
    let distance = values
        .chunk_by(|a, b| a == b)
        .scan(0, |up_to, equal| {
            let before = *up_to as f64 / count;
            *up_to += equal.len();
            let x = equal[0];
            let off_before = (law.below(x.next_down()) - before).abs();
            Some(off_before.max((law.below(x) - *up_to as f64 / count).abs()))
        })
        .fold(0.0, f64::max);
    assert!(distance < 1.95 / count.sqrt(), "{law:?}: {distance}");
}

/// The part of an interval that lies inside the support, so that no strip straddles a jump.
fn inside(law: &Law, low: f64, high: f64) -> (f64, f64) {
    match law.support() {
        Some((least, most)) => (low.clamp(least, most), high.clamp(least, most)),
        None => (low, high),
    }
}

/// What lies within a few roundings of a limit: no integral of the density at rounded places knows it.
fn at_the_limits(law: &Law) -> f64 {
    let Some((least, most)) = law.support() else { return 0.0 };
    let near = 4.0 * f64::EPSILON * least.abs().max(most.abs());
    law.below(least + near) + law.above(most - near)
}

/// The integral over an interval: of a bounded law piece by piece between the breaks, each with its ends drawn out, so
/// that a density may be infinite or of a broken power there; of any other by the plain rule.
fn pieces(law: &Law, breaks: &[f64], low: f64, high: f64, strips: u32, f: impl Fn(f64) -> f64) -> f64 {
    let Some((least, most)) = law.support() else { return simpson(low, high, strips, f) };
    if low >= high {
        return 0.0;
    }
    let mut ends = vec![low];
    ends.extend(breaks.iter().copied().filter(|&one| one > low && one < high));
    ends.push(high);
    ends.windows(2)
        .map(|pair| {
            let (low, width) = (pair[0], pair[1] - pair[0]);
            // A smooth step, of the fourth power at either end.
            simpson(0.0, 1.0, strips, |u| {
                let y = u.powi(4) * (35.0 - u * (84.0 - u * (70.0 - u * 20.0)));
                let slope = 140.0 * u.powi(3) * (1.0 - u).powi(3);
                let x = low + width * y;
                if x <= least || x >= most { 0.0 } else { f(x) * slope * width }
            })
        })
        .sum()
}

/// Simpson's rule with an even number of strips.
fn simpson(low: f64, high: f64, strips: u32, f: impl Fn(f64) -> f64) -> f64 {
    let width = (high - low) / f64::from(strips);
    let sum: f64 = (0..=strips)
        .map(|index| {
            let weight = match index {
                0 => 1.0,
                _ if index == strips => 1.0,
                _ if index % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * f(low + f64::from(index) * width)
        })
        .sum();
    sum * width / 3.0
}
