//! The characteristic function of Student's t.
//!
//! With z = √ν |t| it is φ(t) = K_{ν/2}(z) z^{ν/2} / (Γ(ν/2) 2^{ν/2−1}), K the modified Bessel function of the
//! second kind. Three ways, none of which meets an overflow:
//! odd ν, a polynomial (reverse Bessel) times e^−z; even ν, K₀ and K₁ and the same upward recurrence, all of whose
//! terms are positive; any other ν, the mixture of normal laws that a t is.
//!
//! Source: S. Hurst, "The characteristic function of the Student t distribution" (Australian National University,
//! 1995), from memory; the recurrences are DLMF 10.29.1, the integral of K is DLMF 10.32.9.

use super::student_mixture;
use std::sync::LazyLock;

/// Above this many degrees the recurrence is longer than the integral.
const LONGEST_RECURRENCE: f64 = 100.0;

/// For z beyond this (and at most [`LONGEST_RECURRENCE`] degrees) the function is below 1e-200.
const FAR: f64 = 700.0;

/// φ(t) of the standard t with `freedom` > 0 degrees: real, even, 1 at zero, falling.
///
/// Relative error about 1e-15·(1 + z·10⁻²) where φ is not below 1e-200; there it may be 0.
#[must_use]
pub fn characteristic(freedom: f64, t: f64) -> f64 {
    let z = freedom.sqrt() * t.abs();
    if z == 0.0 {
        return 1.0;
    }
    let whole = freedom.fract() == 0.0 && freedom <= LONGEST_RECURRENCE;
    if whole && z > FAR {
        return 0.0;
    }
    if whole && freedom % 2.0 == 1.0 {
        odd(freedom, z)
    } else if whole {
        even(freedom, z)
    } else {
        student_mixture::characteristic(freedom, t)
    }
}

/// ν = 2m + 1: e^−z f_m with f₀ = 1, f₁ = 1 + z, f_m = f_{m−1} + z² f_{m−2} / ((2m−1)(2m−3)).
fn odd(freedom: f64, z: f64) -> f64 {
    let (mut before, mut now) = (1.0, 1.0 + z);
    if freedom == 1.0 {
        now = 1.0;
    }
    let squared = z * z;
    let mut order = 5.0;
    while order <= freedom {
        // order = 2m + 1, so 2m − 1 = order − 2 and 2m − 3 = order − 4.
        (before, now) = (now, now + squared / ((order - 2.0) * (order - 4.0)) * before);
        order += 2.0;
    }
    now * (-z).exp()
}

/// ν = 2n: f₁ = z K₁, f₂ = z K₁ + z² K₀ / 2, f_{n+1} = f_n + z² f_{n−1} / (4n(n−1)).
fn even(freedom: f64, z: f64) -> f64 {
    let (first, zeroth) = scaled_bessel(z);
    let squared = z * z;
    let (mut before, mut now) = (first, first + 0.5 * squared * zeroth);
    if freedom == 2.0 {
        now = first;
    }
    let mut order = 2.0;
    while order + order < freedom {
        (before, now) = (now, now + squared / (4.0 * order * (order - 1.0)) * before);
        order += 1.0;
    }
    now * (-z).exp()
}

/// e^z z K₁(z) and e^z K₀(z), by the trapezoid of K_n(z) = ∫ e^{−z cosh u} cosh(n u) du over u ≥ 0.
///
/// The integrand is analytic in a strip of half-width π/2, so the error falls as exp(−π²/step); for large z the
/// peak narrows as 1/√z and the step with it.
fn scaled_bessel(z: f64) -> (f64, f64) {
    // Below this z K₁ = 1 and z² K₀ = 0 to double precision, and the range of u would grow without need.
    if z < 1e-10 {
        return (1.0, 0.0);
    }
    let mut zeroth = 0.5;
    let mut first = 0.5;
    let mut add = |excess: f64| {
        let term = (-z * excess).exp();
        zeroth += term;
        first += term * (1.0 + excess);
        term * (1.0 + excess) > 1e-18 * first
    };
    let step = if z < 12.0 {
        for &excess in COSH_LESS_ONE.iter() {
            if !add(excess) {
                break;
            }
        }
        TABLE_STEP
    } else {
        let step = 0.7 / z.sqrt();
        let mut node = 1.0;
        loop {
            let half = (0.5 * node * step).sinh();
            if !add(2.0 * half * half) {
                break;
            }
            node += 1.0;
        }
        step
    };
    (z * first * step, zeroth * step)
}

/// Step of [`COSH_LESS_ONE`]: the error relative to K is exp(z − π²/0.2), below 1e-16 for z < 12.
const TABLE_STEP: f64 = 0.2;

/// cosh(u) − 1 at u = j/5, j = 1 …, far enough for z = 1e-10.
static COSH_LESS_ONE: LazyLock<[f64; 150]> = LazyLock::new(|| {
    std::array::from_fn(|index| {
        let half = (0.5 * TABLE_STEP * (index as f64 + 1.0)).sinh();
        2.0 * half * half
    })
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_agrees_with_forty_digit_arithmetic() {
        for (freedom, t, expected) in POINTS {
            let found = characteristic(freedom, t);
            let z = f64::sqrt(freedom) * t;
            // The stated precision; rounding of z itself moves φ by z·2⁻⁵³ at most.
            let allowed = 4e-15 * (1.0 + 0.01 * z) * expected;
            assert!((found - expected).abs() <= allowed, "{freedom} {t}: {found} is not {expected}");
        }
    }

    #[test]
    fn the_ways_agree_where_they_meet() {
        for freedom in [1.0, 2.0, 3.0, 4.0, 5.0, 8.0, 15.0, 40.0, 99.0, 100.0] {
            for t in [1e-6, 0.01, 0.3, 1.0, 2.5, 6.0] {
                let (one, other) = (characteristic(freedom, t), student_mixture::characteristic(freedom, t));
                assert!((one / other - 1.0).abs() < 2e-14, "{freedom} {t}: {one} {other}");
            }
        }
    }

    #[test]
    fn it_is_one_at_zero_and_nothing_far_out() {
        for freedom in [0.7, 1.0, 2.0, 3.0, 50.0, 1e6] {
            assert_eq!(characteristic(freedom, 0.0), 1.0);
            assert!((characteristic(freedom, 1e-200) - 1.0).abs() < 1e-15);
            assert!(characteristic(freedom, 1e6) < 1e-200);
        }
    }

    /// Degrees, t and φ(t), by mpmath (besselk) at 40 digits.
    const POINTS: [(f64, f64, f64); 19] = [
        (1.0, 2.0, 1.353_352_832_366_127e-1),
        (3.0, 0.001, 9.999_985_017_309_263e-1),
        (3.0, 1.5, 2.677_566_068_644_093_3e-1),
        (3.0, 20.0, 3.217_717_522_545_923e-14),
        (5.0, 4.0, 4.777_084_546_698_494e-3),
        (31.0, 5.0, 3.863_646_518_095_443e-5),
        (99.0, 7.5, 6.026_802_762_816_055e-11),
        (2.0, 0.5, 7.319_144_764_614_628e-1),
        (4.0, 1e-07, 9.9999999999999e-1),
        (4.0, 0.25, 9.437_729_439_051_087e-1),
        (4.0, 3.0, 3.045_541_621_064_926_8e-2),
        (4.0, 15.0, 1.024_646_833_465_121_8e-11),
        (10.0, 5.5, 6.929_757_997_853_724e-5),
        (98.0, 8.0, 4.035_636_003_263_715e-12),
        (2.5, 0.75, 6.056_982_758_440_249e-1),
        (2.5, 20.0, 2.922_520_400_090_471e-13),
        (25.6, 3.25, 8.266_613_431_916_975e-3),
        (1000.0, 4.0, 3.516_535_596_339_254e-4),
        (1000000.0, 5.0, 3.727_142_312_468_618_5e-6),
    ];
}
