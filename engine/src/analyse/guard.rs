//! Acceptance limits with a guard band: between which the gap must be read for one to be sure that it is in band.

use super::judge::Judge;
use super::verdict::Confidence;
use crate::number::root::last_where;

/// The acceptance limits of a gap, or why there are none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guard {
    /// The limits; none where no value read, however well placed, could make one sure.
    pub limits: Option<Limits>,
    /// The highest probability of being in band that any value read could give.
    pub best_possible: f64,
}

/// Acceptance limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// The lower one, in millimetres; none where the band has no lower end.
    pub low_mm: Option<f64>,
    /// The upper one, in millimetres; none where the band has no upper end.
    pub high_mm: Option<f64>,
}

/// Values are looked at in so many steps over the band before the best is refined.
const GRID: usize = 60;
/// Each step leaves 62 % of the interval.
const GOLDEN: f64 = 0.618_033_988_749_894_8;
const GOLDEN_STEPS: usize = 60;
/// With one end only, a value so many standard deviations inside is as far as it need be looked: beyond it the
/// probability of any law with a variance is 0.9999 at least (Cantelli's inequality), or the most that there is.
const FAR: f64 = 100.0;

/// The acceptance limits for a gap that is read with the doubt that it has now.
///
/// Formula: the values y with P(in band | y) ≥ C, the doubt staying as it is; for one limit and a normal law the guard
/// band is w = z(C)·u, for two limits both tails count. Source: JCGM 106:2012, 8.3 (guarded acceptance); ISO 14253-1.
/// Precision: that of the exact method. None where there is no band.
#[must_use]
pub(super) fn guard(judge: &Judge, confidence: Confidence) -> Option<Guard> {
    let wanted = confidence.probability();
    let mean = judge.distribution().mean_mm();
    let sd = judge.distribution().sd_mm();
    let (low, high) = judge.band_mm();
    let (from, to) = match (low, high) {
        (Some(low), Some(high)) => (low, high),
        (Some(low), None) => (low, low + FAR * sd),
        (None, Some(high)) => (high - FAR * sd, high),
        (None, None) => return None,
    };
    let within = |value: f64| judge.at(value - mean).within;
    let (best, best_possible) = judge
        .brought_to_an_edge()
        .map(|shift| (mean + shift, within(mean + shift)))
        .fold(top(&within, from, to), |best, other| if other.1 > best.1 { other } else { best });
    if best_possible < wanted {
        return Some(Guard { limits: None, best_possible });
    }
    // An end of the band is never sure where there is doubt, and is itself the limit where there is none.
    let end = |outside: f64| last_where(best, outside, |value| within(value) >= wanted);
    let limits = Limits { low_mm: low.map(&end), high_mm: high.map(&end) };
    Some(Guard { limits: Some(limits), best_possible })
}

/// The value with the highest probability, and that probability.
fn top(within: &impl Fn(f64) -> f64, from: f64, to: f64) -> (f64, f64) {
    let at = |index: usize| from + (to - from) * index as f64 / GRID as f64;
    let values: Vec<f64> = (0..=GRID).map(|index| within(at(index))).collect();
    let most = (0..=GRID).fold(0, |best, index| if values[index] > values[best] { index } else { best });
    // Of a stretch of equal values the middle one is furthest from either end.
    let last = (most..=GRID).take_while(|&index| values[index] >= values[most]).last().unwrap_or(most);
    let middle = usize::midpoint(most, last);
    let (mut a, mut b) = (at(middle.saturating_sub(1)), at((middle + 1).min(GRID)));
    for _ in 0..GOLDEN_STEPS {
        let (c, d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        if within(c) >= within(d) { b = d } else { a = c }
    }
    let refined = f64::midpoint(a, b);
    let candidates = [(refined, within(refined)), (at(middle), values[middle])];
    if candidates[0].1 > candidates[1].1 { candidates[0] } else { candidates[1] }
}
