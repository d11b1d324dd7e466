//! A smooth function on [−1, 1] as a sum of Legendre polynomials, for the sake of its Fourier integral:
//! ∫ P_n(x) e^{itx} dx = 2 iⁿ j_n(t), with j_n the spherical Bessel function (DLMF 10.54.2, in this form 18.17.19).

use super::gauss;
use nalgebra::Complex;

/// The most polynomials taken.
const MOST: usize = 128;

/// Nodes of the quadrature that finds the coefficients.
const NODES: usize = 160;

/// Coefficients below this part of the greatest are left off at the end: they are the rounding of the values.
const SMALLEST: f64 = 1e-15;

/// So much further than the last index the ratios of Bessel functions are begun; what is wrong at the beginning is
/// multiplied by a square of a ratio at each step.
const AHEAD: usize = 60;

/// The coefficients of P₀, P₁, …
#[derive(Debug, Clone, PartialEq)]
pub struct LegendreSeries {
    coefficients: Vec<f64>,
}

impl LegendreSeries {
    /// Fits a function that polynomials of degree 127 match to double precision.
    #[must_use]
    pub fn fit(function: impl Fn(f64) -> f64) -> Self {
        let mut coefficients = vec![0.0; MOST];
        for (x, weight) in gauss::legendre(NODES) {
            let value = weight * function(x);
            let (mut before, mut now) = (0.0, 1.0);
            for (index, coefficient) in coefficients.iter_mut().enumerate() {
                let n = index as f64;
                // The weights sum to one, so that half of the integral is there.
                *coefficient += (2.0 * n + 1.0) * value * now;
                (before, now) = (now, ((2.0 * n + 1.0) * x * now - n * before) / (n + 1.0));
            }
        }
        let greatest = coefficients.iter().fold(0.0f64, |greatest, one| greatest.max(one.abs()));
        let kept = coefficients.iter().rposition(|one| one.abs() > SMALLEST * greatest).map_or(0, |last| last + 1);
        coefficients.truncate(kept);
        Self { coefficients }
    }

    /// ∫ f, ∫ x f and ∫ x² f.
    #[must_use]
    pub fn moments(&self) -> [f64; 3] {
        let at = |index: usize| self.coefficients.get(index).copied().unwrap_or(0.0);
        [2.0 * at(0), 2.0 / 3.0 * at(1), 2.0 / 3.0 * at(0) + 4.0 / 15.0 * at(2)]
    }

    /// ∫ f(x) e^{itx} dx, to a few 1e-16 of ∫ |f|, whatever t.
    #[must_use]
    pub fn fourier(&self, t: f64) -> Complex<f64> {
        let size = t.abs();
        let mut bessel = [0.0; MOST];
        spherical_bessel(size, &mut bessel[..self.coefficients.len()]);
        let (mut even, mut odd) = (0.0, 0.0);
        for (index, (coefficient, j)) in self.coefficients.iter().zip(&bessel).enumerate() {
            let signed = if index % 4 < 2 { coefficient * j } else { -coefficient * j };
            if index % 2 == 0 { even += signed } else { odd += signed }
        }
        Complex::new(2.0 * even, 2.0 * odd * t.signum())
    }
}

/// j₀, j₁, … at x ≥ 0: upward to the index ⌊x⌋, where the recurrence is stable, and by ratios beyond, where it is not.
fn spherical_bessel(x: f64, out: &mut [f64]) {
    if x == 0.0 {
        out.iter_mut().enumerate().for_each(|(index, one)| *one = if index == 0 { 1.0 } else { 0.0 });
        return;
    }
    let count = out.len();
    let (sine, cosine) = x.sin_cos();
    let (mut before, mut now) = (cosine / x, sine / x);
    let turning = (x as usize).min(count);
    let mut index = 0;
    while index < count && index <= turning {
        out[index] = now;
        (before, now) = (now, (2.0 * index as f64 + 1.0) / x * now - before);
        index += 1;
    }
    if index == count {
        return;
    }
    // j_n / j_{n−1} = x / (2n + 1 − x j_{n+1}/j_n); no j_n with n ≥ ⌊x⌋ has a zero up to x.
    let mut ratio = 0.0;
    for n in (index..count + AHEAD).rev() {
        ratio = x / (2.0 * n as f64 + 1.0 - x * ratio);
        if n < count {
            out[n] = ratio;
        }
    }
    for n in index..count {
        out[n] *= out[n - 1];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bessel_functions_agree_with_forty_digit_arithmetic() {
        // By mpmath, √(π/2x) J_{n+½}(x) at 40 digits.
        for (n, x, expected) in BESSEL {
            let mut out = [0.0; MOST];
            spherical_bessel(x, &mut out);
            assert!((out[n] - expected).abs() < 4e-16 + 2e-14 * expected.abs(), "{n} {x}: {} {expected}", out[n]);
        }
    }

    #[test]
    fn a_straight_line_has_its_known_transform() {
        // ∫ (1 + x) e^{itx} dx = 2 sin t/t + 2i (sin t − t cos t)/t².
        let series = LegendreSeries::fit(|x| 1.0 + x);
        for t in [-30.0f64, -0.4, 1e-9, 0.7, 3.0, 1000.0] {
            let expected = Complex::new(
                2.0 * t.sin() / t,
                if t.abs() < 1e-3 { 2.0 * t / 3.0 } else { 2.0 * (t.sin() - t * t.cos()) / (t * t) },
            );
            assert!((series.fourier(t) - expected).norm() < 2e-15, "{t}");
        }
        let [mass, first, second] = series.moments();
        assert!((mass - 2.0).abs() < 1e-15 && (first - 2.0 / 3.0).abs() < 1e-15 && (second - 2.0 / 3.0).abs() < 1e-15);
    }

    #[test]
    fn a_steep_bell_is_matched() {
        let series = LegendreSeries::fit(|x| (-0.5 * (9.2 * x).powi(2)).exp());
        let mass = (2.0 * std::f64::consts::PI).sqrt() / 9.2;
        for t in [0.0, 1.0, 20.0, 60.0, 200.0, 5000.0] {
            let expected = mass * (-0.5 * (t / 9.2f64).powi(2)).exp();
            assert!((series.fourier(t) - Complex::from(expected)).norm() < 1e-15, "{t}");
        }
    }

    /// n, x and j_n(x).
    const BESSEL: [(usize, f64, f64); 11] = [
        (0, 0.3, 0.985_067_355_537_798_6),
        (1, 0.001, 0.000_333_333_300_000_001_2),
        (5, 0.25, 9.371_981_123_726_825e-08),
        (12, 3.75, 7.521_247_218_785_88e-07),
        (30, 30.5, 0.032_485_348_958_545_05),
        (64, 20.0, 1.851_870_969_327_450_5e-27),
        (100, 99.0, 0.008_654_297_834_749_533),
        (127, 250.0, 0.003_709_330_516_350_985),
        (90, 1000.0, 0.000_938_194_184_671_565_3),
        (20, 0.01, 7.625_970_137_479_625e-66),
        (127, 127.0, 0.008_990_904_649_442_492),
    ];
}
