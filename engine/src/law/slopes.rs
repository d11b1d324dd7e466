//! A density of straight pieces: up from the lower limit, level, and down to the upper limit. The triangular and the
//! trapezoidal law are such ones.

use super::variation::Variation;
use nalgebra::Complex;
use rand::{Rng, RngExt};

/// Below this angle the characteristic function of a slope is taken from its power series.
const SMALL_ANGLE: f64 = 1.0;

/// The three pieces, by their lengths from the lower limit on. A length may be zero, their sum is not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slopes {
    rise: f64,
    level: f64,
    drop: f64,
    peak: f64,
}

impl Slopes {
    pub(super) fn new(rise: f64, level: f64, drop: f64) -> Self {
        Self { rise, level, drop, peak: 2.0 / (rise + 2.0 * level + drop) }
    }

    fn width(&self) -> f64 {
        self.rise + self.level + self.drop
    }

    fn mirrored(&self) -> Self {
        Self { rise: self.drop, drop: self.rise, ..*self }
    }

    /// The probability, mean and variance of each piece; places are from the lower limit.
    fn pieces(&self) -> [(f64, f64, f64); 3] {
        let Self { rise, level, drop, peak } = *self;
        [
            (0.5 * peak * rise, rise * (2.0 / 3.0), rise * rise / 18.0),
            (peak * level, rise + 0.5 * level, level * level / 12.0),
            (0.5 * peak * drop, rise + level + drop / 3.0, drop * drop / 18.0),
        ]
    }

    /// The mean from the middle of the limits.
    pub(super) fn mean_from_middle(&self) -> f64 {
        0.5 * self.peak * (self.rise - self.drop) * ((self.rise + self.drop) / 6.0 + 0.5 * self.level)
    }

    /// The variance.
    pub(super) fn variance(&self) -> f64 {
        let middle = 0.5 * self.width();
        let mean = self.mean_from_middle();
        self.pieces().iter().map(|&(weight, at, own)| weight * (own + (at - middle - mean).powi(2))).sum()
    }

    /// The density at this distance from the lower limit.
    pub(super) fn density(&self, from_low: f64) -> f64 {
        let to_high = self.width() - from_low;
        if from_low < 0.0 || to_high < 0.0 {
            0.0
        } else if from_low < self.rise {
            self.peak * from_low / self.rise
        } else if to_high < self.drop {
            self.peak * to_high / self.drop
        } else {
            self.peak
        }
    }

    /// The probability of less than this distance from the lower limit.
    pub(super) fn below(&self, from_low: f64) -> f64 {
        let Self { rise, level, drop, peak } = *self;
        if from_low <= 0.0 {
            0.0
        } else if from_low >= self.width() {
            1.0
        } else if from_low < rise {
            0.5 * peak * from_low * from_low / rise
        } else {
            let behind = (from_low - rise - level).max(0.0);
            let sloping = if behind > 0.0 { behind * (1.0 - 0.5 * behind / drop) } else { 0.0 };
            peak * (0.5 * rise + (from_low - rise).min(level) + sloping)
        }
    }

    /// The probability of less than this distance from the upper limit.
    pub(super) fn above(&self, to_high: f64) -> f64 {
        self.mirrored().below(to_high)
    }

    /// The distance from the lower limit below which p in (0, 1) lies.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let Self { rise, level, drop, peak } = *self;
        let up = 0.5 * peak * rise;
        let behind = p - up - peak * level;
        if p < up {
            (2.0 * p * rise / peak).sqrt()
        } else if behind <= 0.0 {
            rise + (p - up) / peak
        } else if p > 0.5 {
            self.width() - (2.0 * (1.0 - p) * drop / peak).sqrt()
        } else {
            let part = behind / (0.5 * peak * drop);
            rise + level + drop * (part / (1.0 + (1.0 - part).sqrt()))
        }
    }

    /// E exp(it(X − middle)): the mean of those of the pieces, each about the end where it is highest.
    pub(super) fn characteristic(&self, t: f64) -> Complex<f64> {
        let [(up, ..), (level, ..), (down, ..)] = self.pieces();
        let middle = 0.5 * self.width();
        let mut sum = Complex::ZERO;
        if up > 0.0 {
            sum += turn(t * (self.rise - middle)) * slope(-t * self.rise) * up;
        }
        if level > 0.0 {
            let angle = 0.5 * self.level * t;
            let one = if angle == 0.0 { 1.0 } else { angle.sin() / angle };
            sum += turn(t * (self.rise + 0.5 * self.level - middle)) * (one * level);
        }
        if down > 0.0 {
            sum += turn(t * (middle - self.drop)) * slope(t * self.drop) * down;
        }
        sum
    }

    /// The variation of the density, and of its slope: infinite where a piece has no length.
    pub(super) fn variation(&self) -> Variation {
        Variation { density: 2.0 * self.peak, slope: 2.0 * self.peak * (1.0 / self.rise + 1.0 / self.drop) }
    }

    /// Fills `out` with independent values from the lower limit `low`.
    pub(super) fn fill<R: Rng + ?Sized>(&self, low: f64, rng: &mut R, out: &mut [f64]) {
        for value in out {
            let u: f64 = rng.random();
            *value = low + self.quantile(u);
        }
    }
}

/// E exp(iaU) for the density 2(1 − u) on [0, 1]: 2(1 + ia − e^{ia})/a².
fn slope(angle: f64) -> Complex<f64> {
    if angle.abs() < SMALL_ANGLE {
        // 2 Σ (ia)^k/(k + 2)!; the terms from the 18th on are below 1e-18.
        let step = Complex::new(0.0, angle);
        return (3..=20u32).rev().fold(Complex::new(1.0, 0.0), |sum, k| sum * step / f64::from(k) + 1.0);
    }
    (Complex::new(1.0, angle) - turn(angle)) * (2.0 / (angle * angle))
}

/// e^{iα}.
fn turn(angle: f64) -> Complex<f64> {
    let (sine, cosine) = angle.sin_cos();
    Complex::new(cosine, sine)
}
