//! The tail of a sum that holds Student t terms, and how far the inversion must reach for it.
//!
//! A power-law tail would need a period that grows as tolerance^(−1/ν). But far out such a sum is large because one
//! of its t terms is: P(Y > w) is nearly G(w) = Σ P(Tᵢ > w), and the difference has a proven bound that falls faster by
//! two powers of w. So the aliasing of the inversion, an alternating sum of tails, is computed from G and taken off,
//! and only the difference counts as error.
//!
//! The bound (derived here). Let Z be Y without Tᵢ, of mean zero, and c ≤ ½. Where every part of Z keeps within its share
//! of cw the tail of Tᵢ is Taylor's polynomial of the second order: P(Tᵢ > w − Z) is P(Tᵢ > w), plus the density at w
//! times the mean of Z there, plus at most ½ Var Z · max |slope of the density| over [w − cw, w + cw]. The mean of Z
//! where its parts keep within their shares is zero by symmetry for the t terms, and for a light part R that may be skew
//! it is what lies beyond, at most E(|R|; |R| > share). What is left is the chance that a part exceeds its share: the
//! light one, or two t terms at once.

use super::light::Light;
use super::parts::{Parts, Student};
use crate::number::student_t;

/// Σ j^−4 over j ≥ 2, rounded up: the tails at the further multiples of the period against the first.
const FURTHER_PERIODS: f64 = 0.083;

/// The parts of w at which the rest of the sum is cut off; each gives a bound, the least one counts.
const SPLITS: [f64; 4] = [0.5, 0.33, 0.2, 0.1];

/// The Student t terms of a sum beside its light part.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heavy {
    pub(super) students: Vec<Student>,
    light: Light,
    variance: f64,
    /// Whether the light part may be skew.
    skew: bool,
}

/// How far out a sum has to be followed, and on what ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    /// Beyond it the neglected tail is below the tolerance asked.
    pub(super) distance: f64,
    /// Whether the tails of the t terms are to be computed and taken off.
    pub(super) corrected: bool,
}

impl Heavy {
    pub(super) fn new(parts: &Parts) -> Self {
        Self {
            students: parts.students.clone(),
            light: parts.light(),
            variance: parts.sd * parts.sd,
            skew: !parts.others.is_empty(),
        }
    }

    /// The distance at which what is neglected falls to p, by the shorter of two ways.
    pub(super) fn reach(&self, p: f64) -> Reach {
        if self.students.is_empty() {
            return Reach { distance: self.light.reach(p), corrected: false };
        }
        let (split, corrected) = (self.split_reach(p), self.corrected_reach(p));
        Reach { distance: split.min(corrected), corrected: corrected < split }
    }

    /// A w with P(Y > w) ≤ p: every unbounded part gets its share of p and of w.
    fn split_reach(&self, p: f64) -> f64 {
        let share = 0.5 * p / self.students.len() as f64;
        let students: f64 =
            self.students.iter().map(|student| student.scale * student_t::upper_quantile(student.freedom, share)).sum();
        students + self.light.reach(0.5 * p)
    }

    /// A w beyond which the corrected aliasing is at most p, within about 5 %.
    fn corrected_reach(&self, p: f64) -> f64 {
        let enough = |w: f64| 2.0 * (1.0 + FURTHER_PERIODS) * self.excess(w) <= p;
        let mut high = self.least_distance();
        if enough(high) {
            return high;
        }
        let mut low = high;
        while !enough(high) {
            low = high;
            high *= 2.0;
            if !high.is_finite() {
                return f64::INFINITY;
            }
        }
        for _ in 0..4 {
            let middle = (low * high).sqrt();
            if enough(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// From here on the power series of every tail converges quickly and the slopes fall.
    fn least_distance(&self) -> f64 {
        self.students.iter().map(|student| 4.0 * student.scale * student.freedom.sqrt().max(1.0)).fold(0.0, f64::max)
    }

    /// G(w): the sum of the tails of the t terms.
    pub(super) fn largest_term_tail(&self, w: f64) -> f64 {
        self.students.iter().map(|student| student_t::above(student.freedom, w / student.scale)).sum()
    }

    /// The density that goes with [`Self::largest_term_tail`].
    pub(super) fn largest_term_density(&self, y: f64) -> f64 {
        self.students.iter().map(|student| student_t::density(student.freedom, y / student.scale) / student.scale).sum()
    }

    /// A w with P(Y > w) ≤ p and P(Y < −w) ≤ p, whatever p.
    pub(super) fn furthest(&self, p: f64) -> f64 {
        if self.students.is_empty() { self.light.reach(p) } else { self.split_reach(p) }
    }

    /// The farther limit of the sum; infinite when it is unbounded.
    pub(super) fn furthest_limit(&self) -> f64 {
        self.light.half_range.filter(|_| self.students.is_empty()).unwrap_or(f64::INFINITY)
    }

    /// Whether the sum ends at this distance, so that nothing lies beyond.
    pub(super) fn is_covered(&self, distance: f64) -> bool {
        self.students.is_empty() && self.light.tail(distance) == 0.0
    }

    /// A bound of |P(Y > w) − G(w)| by whichever argument is best at w.
    pub(super) fn far_bound(&self, w: f64) -> f64 {
        if self.students.is_empty() {
            return self.light.tail(w);
        }
        // Where w suffices to leave p outside, both figures are at most p.
        let split = (1..60).map(|tens| 0.1f64.powi(tens)).take_while(|&p| self.split_reach(p) <= w).last();
        self.excess(w).min(split.unwrap_or(1.0))
    }

    /// A bound of |P(Y > w) − G(w)|, falling at least as w^−4; infinite nearer than the bound holds.
    pub(super) fn excess(&self, w: f64) -> f64 {
        if w < self.least_distance() {
            return f64::INFINITY;
        }
        SPLITS.iter().map(|&part| self.excess_split(w, part)).fold(f64::INFINITY, f64::min)
    }

    /// The bound with |Z| cut at `part` × w.
    fn excess_split(&self, w: f64, part: f64) -> f64 {
        // Z has as many parts as there are t terms: the others and the light one.
        let share = part * w / self.students.len() as f64;
        let (mut curved, mut pairs, mut tails) = (0.0, 0.0, 0.0);
        for &student in &self.students {
            let rest = if self.students.len() == 1 {
                self.light.proxy_variance
            } else {
                // A little more than Var Z, whatever the difference lost.
                self.variance * (1.0 + 1e-14) - student.variance()
            };
            curved += 0.5 * rest * density_slope(student, w - part * w);
            if self.skew {
                let density = student_t::density(student.freedom, w / student.scale) / student.scale;
                curved += density * self.light.mean_beyond(share);
            }
            // Two t terms beyond their share at once, each on either side.
            let tail = 2.0 * power_law(student, share);
            pairs += tail * tails;
            tails += tail;
        }
        curved + pairs + 2.0 * self.light.tail(share)
    }
}

/// |f′| of the density of a t about zero, at y beyond its scale, where it falls.
fn density_slope(student: Student, y: f64) -> f64 {
    let x = y / student.scale;
    let density = student_t::density(student.freedom, x) / student.scale;
    density * (student.freedom + 1.0) * x / (student.freedom + x * x) / student.scale
}

/// The power law above P(T > y).
fn power_law(student: Student, y: f64) -> f64 {
    let x = y / (student.scale * student.freedom.sqrt());
    (student_t::power_law_factor(student.freedom) * x.powf(-student.freedom)).min(0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heavy(students: &[(f64, f64)], proxy_variance: f64) -> Heavy {
        let students: Vec<Student> = students.iter().map(|&(scale, freedom)| Student { scale, freedom }).collect();
        let variance = proxy_variance + students.iter().map(|student| student.variance()).sum::<f64>();
        Heavy { students, light: Light { proxy_variance, half_range: None }, variance, skew: false }
    }

    #[test]
    fn the_excess_falls_as_the_fourth_power_at_least() {
        for case in
            [heavy(&[(1.0, 3.0)], 0.5), heavy(&[(1.0, 2.1)], 9.0), heavy(&[(1.0, 3.0), (0.5, 4.0), (2.0, 3.0)], 0.5)]
        {
            for step in 0..40 {
                let w = case.least_distance() * 1.3f64.powi(step);
                let (near, far) = (case.excess(w), case.excess(2.0 * w));
                // Where the bound says next to nothing its fall does not matter.
                assert!(far <= near / 16.0 * (1.0 + 1e-9) || near > 0.5, "{case:?} {w}: {near} {far}");
            }
        }
    }

    #[test]
    fn the_excess_covers_a_normal_beside_a_t() {
        // P(T + R > w) by plain quadrature over R standard normal, T of three degrees.
        let case = heavy(&[(1.0, 3.0)], 1.0);
        for w in [40.0, 80.0, 200.0] {
            let strips = 4000;
            let width = 20.0 / f64::from(strips);
            let tail: f64 = (0..=strips)
                .map(|index| {
                    let r = -10.0 + width * f64::from(index);
                    width * crate::number::normal::density(r) * student_t::above(3.0, w - r)
                })
                .sum();
            let difference = tail - case.largest_term_tail(w);
            assert!(difference > 0.0 && difference <= case.excess(w), "{w}: {difference} {}", case.excess(w));
            // And the bound is no more than a few times too large.
            assert!(case.excess(w) < 5.0 * difference || w < 80.0, "{w}: {difference} {}", case.excess(w));
        }
    }

    #[test]
    fn the_excess_covers_a_skew_part_beside_a_t() {
        // P(T + R > w) by plain quadrature over R = 1 − E, E exponential: skew, and cut at 20 no worse than normal for the
        // proxy given, E exp(sR) ≤ exp(100 s²/2) by Hoeffding.
        let case = Heavy { skew: true, ..heavy(&[(1.0, 3.0)], 100.0) };
        for (w, sign) in [(150.0, 1.0), (150.0, -1.0), (400.0, 1.0), (400.0, -1.0)] {
            let strips = 40_000;
            let width = 20.0 / f64::from(strips);
            let tail: f64 = (0..strips)
                .map(|index| {
                    let e = width * (f64::from(index) + 0.5);
                    width * (-e).exp() * student_t::above(3.0, w - sign * (1.0 - e))
                })
                .sum();
            let difference = tail - case.largest_term_tail(w);
            assert!(difference.abs() <= case.excess(w), "{w}: {difference} {}", case.excess(w));
        }
    }

    #[test]
    fn two_large_terms_at_once_are_counted() {
        // The widest cut gives the least chance of it: both beyond a quarter of w, on either side.
        let case = heavy(&[(1.0, 3.0), (1.0, 3.0)], 1e-6);
        let w = case.least_distance();
        let both = (2.0 * student_t::above(3.0, 0.25 * w)).powi(2);
        assert!(case.excess(w) > both, "{} {both}", case.excess(w));
    }

    #[test]
    fn the_reach_keeps_its_promise() {
        let case = heavy(&[(1.0, 3.0), (1.0, 3.0)], 1.0);
        let reach = case.reach(1e-12);
        assert!(reach.corrected && reach.distance < 1500.0, "{reach:?}");
        assert!(2.2 * case.excess(reach.distance) <= 1.05e-12);
        // Many degrees: the tails are short and nothing needs taking off.
        let short = heavy(&[(1.0, 200.0)], 1.0).reach(1e-12);
        assert!(!short.corrected && short.distance < 20.0);
    }
}
