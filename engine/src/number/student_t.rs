//! Student's t in its standard form: density, tail, quantile, and the power law that bounds the tail.

use super::incomplete_beta::fraction;
use super::{normal, student_mixture};
use std::f64::consts::{PI, SQRT_2};

/// Above this many degrees the continued fraction loses about ν·2⁻⁵² to the rounding of its argument near 1.
const MANY: f64 = 100.0;

/// Γ(a + ½) / Γ(a) for a > 0, to a few units in the last place.
///
/// Upward recurrence to a ≥ 30, then the asymptotic series in 1/a (DLMF 5.11.13 with a = ½, b = 0). The
/// gamma functions themselves would overflow, and their logarithms lose digits for large a.
#[must_use]
pub fn gamma_ratio(a: f64) -> f64 {
    const SERIES: [f64; 10] = [
        1.0,
        -1.0 / 8.0,
        1.0 / 128.0,
        5.0 / 1_024.0,
        -21.0 / 32_768.0,
        -399.0 / 262_144.0,
        869.0 / 4_194_304.0,
        39_325.0 / 33_554_432.0,
        -334_477.0 / 2_147_483_648.0,
        -28_717_403.0 / 17_179_869_184.0,
    ];
    let mut factor = 1.0;
    let mut at = a;
    while at < 30.0 {
        factor *= at / (at + 0.5);
        at += 1.0;
    }
    let series = SERIES.iter().rev().fold(0.0, |sum, &c| sum / at + c);
    factor * at.sqrt() * series
}

/// Density of the standard t with `freedom` degrees at x.
#[must_use]
pub fn density(freedom: f64, x: f64) -> f64 {
    let peak = gamma_ratio(0.5 * freedom) / (freedom * PI).sqrt();
    peak * (-0.5 * (freedom + 1.0) * squared_over(x, freedom).ln_1p()).exp()
}

/// P(T > x) of the standard t with `freedom` degrees, to about 1e-15 relative in the upper tail.
///
/// Half a regularised incomplete beta function (JCGM 100:2008 Annex G tabulates it), by its continued fraction
/// (DLMF 8.17.22); the complement near the centre, where it converges faster.
#[must_use]
pub fn above(freedom: f64, x: f64) -> f64 {
    if x < 0.0 {
        return 1.0 - above(freedom, -x);
    }
    if x == f64::INFINITY {
        return 0.0;
    }
    if freedom > MANY {
        return student_mixture::above(freedom, x);
    }
    let half = 0.5 * freedom;
    let ratio = squared_over(x, freedom);
    // y = freedom / (freedom + x²) and its complement, each without a difference.
    let y = 1.0 / (1.0 + ratio);
    let complement = if ratio.is_finite() { ratio / (1.0 + ratio) } else { 1.0 };
    let power = (-half * ratio.ln_1p()).exp() * complement.sqrt() * gamma_ratio(half) / PI.sqrt();
    if y < (half + 1.0) / (half + 2.5) {
        0.5 * power / half * fraction(half, 0.5, y)
    } else {
        0.5 - power * fraction(0.5, half, complement)
    }
}

/// x² / freedom, without overflow on the way.
fn squared_over(x: f64, freedom: f64) -> f64 {
    let scaled = x / freedom.sqrt();
    scaled * scaled
}

/// The x ≥ 0 with P(T > x) = q, for 0 < q ≤ ½, to about 1e-15 relative.
///
/// Newton's method. In the tail on ln P against ln x, which is concave, so that every step after the first stays
/// on the far side and closes in; near the centre on ½ − q against x, which is concave too.
#[must_use]
pub fn upper_quantile(freedom: f64, q: f64) -> f64 {
    assert!(q > 0.0 && q <= 0.5, "a tail probability lies in (0, 1/2]");
    let central = 0.5 - q;
    let mut x = if q > 0.25 {
        central / density(freedom, 0.0)
    } else {
        let normal_start = -normal::quantile(q).expect("q is inside (0, 1/2]");
        // The power law lies above the tail, so its solution lies beyond the quantile.
        let power_start = power_law_reach(freedom, q);
        power_start.min(normal_start * (1.0 + SQRT_2 * normal_start * normal_start / freedom))
    };
    for _ in 0..100 {
        let tail = above(freedom, x);
        let slope = density(freedom, x);
        let next = if q > 0.25 { x - (q - tail) / slope } else { x * ((tail / q).ln() * tail / (slope * x)).exp() };
        let done = (next - x).abs() <= 1e-9 * next.abs();
        x = next;
        if done || x == 0.0 {
            break;
        }
    }
    x
}

/// The factor A of the power law P(T > x) ≤ A (x/√freedom)^−freedom, which is the tail's own limit.
///
/// From (1 + v²)^−q ≤ v^−2q under the integral of the density: A = Γ((freedom+1)/2) / (√π Γ(freedom/2) freedom).
#[must_use]
pub fn power_law_factor(freedom: f64) -> f64 {
    gamma_ratio(0.5 * freedom) / (PI.sqrt() * freedom)
}

/// An x beyond which P(T > x) ≤ q by the power law.
fn power_law_reach(freedom: f64, q: f64) -> f64 {
    freedom.sqrt() * (power_law_factor(freedom) / q).powf(1.0 / freedom)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gamma_ratio_has_its_known_values() {
        // Γ(1)/Γ(½) = 1/√π and Γ(3/2)/Γ(1) = √π/2; doubling a moves it on by the recurrence.
        assert!((gamma_ratio(0.5) * PI.sqrt() - 1.0).abs() < 2e-15);
        assert!((gamma_ratio(1.0) / (0.5 * PI.sqrt()) - 1.0).abs() < 2e-15);
        for a in [0.7, 5.2, 23.9, 24.1, 1e4] {
            let moved = gamma_ratio(a + 1.0) * a / (a + 0.5);
            assert!((gamma_ratio(a) / moved - 1.0).abs() < 1e-15, "a {a}");
        }
    }

    #[test]
    fn one_and_two_degrees_have_closed_forms() {
        for x in [1e-9, 0.1, 1.0, 3.0, 50.0, 1e6] {
            let one = (1.0f64 / x).atan() / PI;
            assert!((above(1.0, x) / one - 1.0).abs() < 3e-15, "x {x}");
            let root = (2.0 + x * x).sqrt();
            let two = 1.0 / (root * (root + x));
            assert!((above(2.0, x) / two - 1.0).abs() < 3e-15, "x {x}");
        }
    }

    #[test]
    fn the_tail_agrees_with_forty_digit_arithmetic() {
        for (freedom, x, tail) in TAILS {
            let found = above(freedom, x);
            assert!((found / tail - 1.0).abs() < 2e-14, "{freedom} {x}: {found} is not {tail}");
        }
    }

    #[test]
    fn the_quantile_undoes_the_tail() {
        for freedom in [0.5, 1.0, 2.5, 3.0, 4.0, 7.0, 30.0, 1e3, 1e6, 1e9] {
            for q in [0.5, 0.499_999, 0.3, 0.25, 0.1, 1e-3, 1e-9, 1e-12] {
                let back = above(freedom, upper_quantile(freedom, q));
                assert!((back / q - 1.0).abs() < 2e-13, "{freedom} {q}: {back}");
            }
        }
    }

    #[test]
    fn the_power_law_lies_above_the_tail_and_meets_it_far_out() {
        for freedom in [0.8, 3.0, 12.0] {
            for x in [0.5, 2.0, 20.0] {
                let law = power_law_factor(freedom) * (x / f64::sqrt(freedom)).powf(-freedom);
                assert!(law >= above(freedom, x));
            }
            let law = power_law_factor(freedom) * (1e6 / f64::sqrt(freedom)).powf(-freedom);
            assert!((law / above(freedom, 1e6) - 1.0).abs() < 1e-9);
        }
    }

    /// Degrees, x and P(T > x), by mpmath (betainc) at 40 digits.
    const TAILS: [(f64, f64, f64); 8] = [
        (1.5, 3.0, 6.677_387_712_745_664e-2),
        (3.0, 0.001, 4.996_324_474_847_304_6e-1),
        (3.0, 5.8409, 5.000_022_354_913_967e-3),
        (5.0, 100.0, 9.480_007_112_311_813e-10),
        (17.3, 1.2, 1.2315760183508011e-1),
        (200.0, 4.5, 5.759_390_631_437_665e-6),
        (2000000.0, 6.0, 9.867_562_631_966_131e-10),
        (4000000000.0, 5.0, 2.866_515_839_587_901_7e-7),
    ];
}
