//! Inversion of the characteristic function, with a proven bound of the error.
//!
//! F(x) = ½ − (1/π) Σ_{k<K} Im[φ((k+½)h) e^{−i(k+½)hx}] / (k+½), about the location and in the unit of the sum.
//! By Poisson summation the midpoint rule errs by an alternating sum of tails at multiples of the period 2π/h from
//! x (nothing at all for a bounded sum and a period that covers it), and the terms left out are at most
//! (1/π) ∫ E(t)/t dt ≤ (ln 2/π) Σ_{j≥0} E(2ʲ (K−½)h), E a falling bound of |φ|.
//!
//! Sources: J. Gil-Pelaez, "Note on the inversion theorem", Biometrika 38 (1951) 481–482; R. B. Davies, "Numerical
//! inversion of a characteristic function", Biometrika 60 (1973) 415–417 (both from memory).

use super::Probability;
use super::aliasing::Aliasing;
use super::heavy::Heavy;
use super::parts::Parts;
use super::spectrum::Spectrum;
use nalgebra::Complex;
use std::f64::consts::{LN_2, PI, TAU};

/// Terms between two fresh computations of sine and cosine; in between one complex product a term.
const BLOCK: usize = 64;

/// Terms summed side by side, so that the products do not wait for each other.
const LANES: usize = 4;

/// Error of the characteristic function of a law that has no closed part here, its angle apart; tests/engine/laws.rs holds
/// every law to less.
const OTHER_ROUNDING: f64 = 4e-15;

/// Sums are prepared for |x| up to this many standard deviations, where the tails do not end before.
const USUAL_REACH: f64 = 30.0;

/// Where a tolerance cannot be kept with the terms allowed it is loosened by this factor.
const LOOSEN: f64 = 4.0;

/// The characteristic function of a sum at the points of the rule, ready to be summed for any x within reach.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inversion {
    step: f64,
    /// φ((k+½)h) / (π(k+½)), real and imaginary parts, filled up with zeros to whole lanes.
    real: Vec<f64>,
    imaginary: Vec<f64>,
    aliasing: Aliasing,
    reach: f64,
    /// Bound of what the period and the number of terms neglect.
    neglected: f64,
    /// Bound of the rounding at x = 0, and its growth with |x|.
    rounding: (f64, f64),
}

/// A number of terms and a step, with what they neglect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    step: f64,
    pub(super) terms: usize,
    reach: f64,
    corrected: bool,
    neglected: f64,
}

impl Plan {
    /// The cheapest rule within `tolerance` for |x| ≤ `reach` (if not given, what is usual); with more than
    /// `most_terms` it is loosened until it fits.
    pub(super) fn new(parts: &Parts, heavy: &Heavy, reach: Option<f64>, tolerance: f64, most_terms: usize) -> Self {
        let spectrum = Spectrum::new(parts);
        let mut allowed = tolerance;
        loop {
            let plan = Self::within(parts, heavy, &spectrum, reach, allowed);
            if plan.terms <= most_terms {
                return plan;
            }
            if allowed >= 0.1 {
                let truncation = left_out(&spectrum, (most_terms as f64 - 0.5) * plan.step);
                return Self { terms: most_terms, neglected: plan.neglected + truncation, ..plan };
            }
            allowed *= LOOSEN;
        }
    }

    /// A quarter of the tolerance each for aliasing and truncation; the rest is for rounding.
    fn within(parts: &Parts, heavy: &Heavy, spectrum: &Spectrum, asked: Option<f64>, tolerance: f64) -> Self {
        let share = 0.25 * tolerance;
        let tail = heavy.reach(share);
        let usual = tail.distance.min(USUAL_REACH * parts.sd);
        let reach = asked.unwrap_or(usual).min(heavy.furthest_limit());
        let step = TAU / (reach + tail.distance.max(reach));
        let (cut, truncation) = truncation_point(spectrum, parts.sd, share);
        let terms = (cut / step + 0.5).ceil();
        Self {
            step,
            terms: if terms < 1e15 { (terms as usize).max(1) } else { usize::MAX },
            reach,
            corrected: tail.corrected,
            neglected: truncation + if heavy.is_covered(tail.distance) { 0.0 } else { share },
        }
    }
}

/// A bound of the sum of all terms from the point t = (K − ½)h on.
fn left_out(spectrum: &Spectrum, t: f64) -> f64 {
    let mut sum = 0.0;
    let mut at = t;
    loop {
        let (envelope, fall) = spectrum.envelope(at);
        sum += envelope;
        // The rest is at most a geometric series, where there is one.
        let rest = if envelope == 0.0 { 0.0 } else { envelope * fall / (1.0 - fall) };
        if rest <= 0.02 * sum {
            return LN_2 / PI * (sum + rest);
        }
        at *= 2.0;
        if !at.is_finite() {
            return f64::INFINITY;
        }
    }
}

/// A t from which on at most `allowed` is left out (within about 2 %), and the bound there.
fn truncation_point(spectrum: &Spectrum, sd: f64, allowed: f64) -> (f64, f64) {
    let mut high = 1.0 / sd;
    let mut bound = left_out(spectrum, high);
    let mut low = high;
    while bound > allowed && high.is_finite() {
        low = high;
        high *= 2.0;
        bound = left_out(spectrum, high);
    }
    for _ in 0..4 {
        let middle = 0.5 * (low + high);
        let there = left_out(spectrum, middle);
        if there <= allowed {
            (high, bound) = (middle, there);
        } else {
            low = middle;
        }
    }
    (high, bound)
}

impl Inversion {
    /// Computes the terms of a plan.
    pub(super) fn new(parts: &Parts, heavy: &Heavy, plan: Plan) -> Self {
        let spectrum = Spectrum::new(parts);
        let padded = plan.terms.div_ceil(LANES) * LANES;
        let (mut real, mut imaginary) = (vec![0.0; padded], vec![0.0; padded]);
        let (mut size, mut turning) = (0.0, 0.0);
        for (index, (re, im)) in real.iter_mut().zip(&mut imaginary).take(plan.terms).enumerate() {
            let place = index as f64 + 0.5;
            let value = spectrum.at(place * plan.step);
            size += value.re.abs() + value.im.abs();
            turning += spectrum.turning(place * plan.step);
            let weight = 1.0 / (PI * place);
            (*re, *im) = (value.re * weight, value.im * weight);
        }
        let aliasing =
            if plan.corrected { Aliasing::new(&heavy.students, TAU / plan.step, plan.reach) } else { Aliasing::none() };
        // Σ 1/(π(k+½)) over the terms is at most (2 + ln K)/π. A term errs by some ulp for each factor of φ and by
        // those of up to BLOCK/LANES products; its angle by 1.5 ulp, which counts with |φ| alone.
        let weights = (2.0 + (plan.terms as f64).ln()) / PI;
        let ulps = 6.0 * spectrum.factors() as f64 + 3.0 * (BLOCK / LANES) as f64 + 8.0;
        let angles = f64::EPSILON * plan.step * size / PI;
        // A law with nothing but its characteristic function is known to so much, and to the rounding of its own angle.
        let others = OTHER_ROUNDING * parts.others.len() as f64 * weights;
        let still = parts.others.iter().filter(|other| other.turns_about == 0.0);
        let widths = still.filter_map(|other| other.half_range).sum::<f64>() + parts.off_middle.abs();
        let turning = f64::EPSILON * plan.step * turning / PI;
        Self {
            step: plan.step,
            real,
            imaginary,
            aliasing,
            reach: plan.reach,
            neglected: plan.neglected,
            rounding: (0.5 * f64::EPSILON * ulps * weights + others + angles * widths + turning, angles),
        }
    }

    /// How far from the location the answers hold.
    pub(super) fn reach(&self) -> f64 {
        self.reach
    }

    /// A bound of the error of [`Self::central`]'s first figure at x.
    pub(super) fn error_bound(&self, x: f64) -> f64 {
        self.neglected + self.rounding.0 + self.rounding.1 * x.abs()
    }

    /// The tail beyond the distance `outward` (within reach either way) on the side of `sign`.
    pub(super) fn tail(&self, outward: f64, sign: f64) -> Probability {
        let (central, _) = self.central(sign * outward);
        Probability::new(0.5 - sign * central, self.error_bound(outward))
    }

    /// F(x) − ½ and the density at x, for |x| within reach.
    pub(super) fn central(&self, x: f64) -> (f64, f64) {
        let angle = self.step * x;
        let (mut sum, mut density) = (Compensated::default(), 0.0);
        let stride = turn(LANES as f64 * angle);
        let offsets: [Complex<f64>; LANES] = std::array::from_fn(|lane| turn(lane as f64 * angle));
        let blocks = self.real.chunks(BLOCK).zip(self.imaginary.chunks(BLOCK));
        for (index, (real, imaginary)) in blocks.enumerate() {
            let first = (index * BLOCK) as f64 + 0.5;
            let start = turn(first * angle);
            let (part, slope) = block(real, imaginary, first, offsets.map(|offset| start * offset), stride);
            sum.add(part);
            density += slope;
        }
        let (alias, alias_density) = self.aliasing.at(x);
        (sum.total() - alias, density * self.step - alias_density)
    }
}

/// Σ (re sin − im cos) and Σ (k+½)(re cos + im sin) over a block, in lanes.
fn block(
    real: &[f64],
    imaginary: &[f64],
    first: f64,
    start: [Complex<f64>; LANES],
    stride: Complex<f64>,
) -> (f64, f64) {
    let mut cosine = start.map(|lane| lane.re);
    let mut sine = start.map(|lane| lane.im);
    let mut place: [f64; LANES] = std::array::from_fn(|lane| first + lane as f64);
    let (mut sums, mut densities) = ([0.0; LANES], [0.0; LANES]);
    let (real, _) = real.as_chunks::<LANES>();
    let (imaginary, _) = imaginary.as_chunks::<LANES>();
    for (re, im) in real.iter().zip(imaginary) {
        for lane in 0..LANES {
            let (c, s) = (cosine[lane], sine[lane]);
            sums[lane] += re[lane] * s - im[lane] * c;
            densities[lane] += place[lane] * (re[lane] * c + im[lane] * s);
            cosine[lane] = c * stride.re - s * stride.im;
            sine[lane] = s * stride.re + c * stride.im;
            place[lane] += LANES as f64;
        }
    }
    (sums.iter().sum(), densities.iter().sum())
}

/// e^{iα}.
fn turn(angle: f64) -> Complex<f64> {
    let (sine, cosine) = angle.sin_cos();
    Complex::new(cosine, sine)
}

/// A sum that carries its rounding along, so that its error does not grow with the number of blocks.
#[derive(Debug, Clone, Copy, Default)]
struct Compensated {
    sum: f64,
    lost: f64,
}

impl Compensated {
    fn add(&mut self, value: f64) {
        let next = self.sum + value;
        let value_part = next - self.sum;
        self.lost += (self.sum - (next - value_part)) + (value - value_part);
        self.sum = next;
    }

    fn total(self) -> f64 {
        self.sum + self.lost
    }
}

#[cfg(test)]
mod tests {
    use super::super::parts::Other;
    use super::super::{ExactOptions, Term};
    use super::*;
    use crate::law::{Law, Normal, Rectangular, StudentT, Triangular};

    fn parts(terms: &[(f64, Law)]) -> Parts {
        let terms: Vec<Term> =
            terms.iter().map(|(coefficient, law)| Term { coefficient: *coefficient, law: law.clone() }).collect();
        Parts::sort(0.0, &terms).expect("every term has a variance")
    }

    fn prepared(parts: &Parts, reach: Option<f64>) -> Inversion {
        let heavy = Heavy::new(parts);
        let options = ExactOptions::default();
        let plan = Plan::new(parts, &heavy, reach, options.tolerance, options.most_terms);
        Inversion::new(parts, &heavy, plan)
    }

    fn normal(sd: f64) -> Law {
        Law::Normal(Normal::new(0.0, sd).expect("a valid law"))
    }

    fn triangular(half: f64) -> Law {
        Law::Triangular(Triangular::symmetric(-half, half).expect("a valid law"))
    }

    #[test]
    fn a_normal_law_is_found_again() {
        let parts = parts(&[(1.0, normal(1.0))]);
        let inversion = prepared(&parts, None);
        for step in -70..=70 {
            let x = 0.1 * f64::from(step);
            let found = inversion.tail(x, 1.0);
            assert!((found.value - crate::number::normal::above(x)).abs() <= found.error_bound);
            let (_, density) = inversion.central(x);
            // The density has no bound of its own; it is as good as the function here.
            assert!((density - crate::number::normal::density(x)).abs() < 1e-11);
        }
    }

    #[test]
    fn a_t_alone_is_found_again_near_and_far() {
        for freedom in [2.5, 3.0, 4.0, 7.5, 40.0] {
            let law = Law::StudentT(StudentT::new(0.0, 1.0, freedom).expect("a valid law"));
            let parts = parts(&[(1.0, law.clone())]);
            for reach in [None, Some(200.0)] {
                let inversion = prepared(&parts, reach);
                for part in [0.0, 0.001, 0.1, 0.4, 1.0] {
                    let x = part * inversion.reach();
                    let found = inversion.tail(x, -1.0);
                    let expected = law.above(x * parts.unit);
                    assert!((found.value - expected).abs() <= found.error_bound, "{freedom} {x}: {found:?} {expected}");
                    assert!(found.error_bound < 1.1e-12, "{freedom} {x}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn a_term_with_only_its_characteristic_function_gives_the_same() {
        // A triangle taken as an unknown bounded law, with the bound of Hoeffding in place of its variance.
        let rectangle = Law::Rectangular(Rectangular::new(-0.4, 0.4).expect("a valid law"));
        let known = parts(&[(1.0, normal(0.25)), (1.0, triangular(1.0)), (-1.0, rectangle.clone())]);
        let mut unknown = parts(&[(1.0, normal(0.25)), (-1.0, rectangle)]);
        let ratio = known.unit / unknown.unit;
        let coefficient = 1.0 / unknown.unit;
        let mut other = Other::new(coefficient, &triangular(1.0)).expect("a law with limits");
        other.proxy_variance = coefficient * coefficient;
        unknown.others.push(other);
        unknown.sd = known.sd * ratio;
        let (one, other) = (prepared(&known, None), prepared(&unknown, None));
        for step in -20..=20 {
            let x = 0.1 * f64::from(step);
            let (a, b) = (one.tail(x, 1.0), other.tail(x * ratio, 1.0));
            assert!((a.value - b.value).abs() <= a.error_bound + b.error_bound, "{x}: {a:?} {b:?}");
        }
    }

    #[test]
    fn a_complex_characteristic_function_is_summed_rightly() {
        // A shifted normal law: φ = exp(iμt − t²/2), put in by hand.
        let parts = parts(&[(1.0, normal(1.0))]);
        let mut inversion = prepared(&parts, None);
        let shift = 0.75;
        for (index, (re, im)) in inversion.real.iter_mut().zip(&mut inversion.imaginary).enumerate() {
            let turned = turn(shift * inversion.step * (index as f64 + 0.5)) * *re;
            (*re, *im) = (turned.re, turned.im);
        }
        for x in [-4.0, -0.5, 0.75, 2.0] {
            let (central, density) = inversion.central(x);
            assert!((0.5 + central - crate::number::normal::below(x - shift)).abs() < 1e-12);
            assert!((density - crate::number::normal::density(x - shift)).abs() < 1e-11);
        }
    }
}
