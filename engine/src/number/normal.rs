//! The standard normal law: density, both tails, and the quantile.

use super::gauss;
use std::f64::consts::{FRAC_1_SQRT_2, PI};
use std::sync::LazyLock;

/// Density φ(z) = exp(−z²/2) / √(2π).
#[must_use]
pub fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// P(Z ≤ z), by the complementary error function, so that the lower tail keeps its relative precision.
///
/// Relative error at most about (2 + z²)·2⁻⁵² down to z = −37.
#[must_use]
pub fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// P(Z > z), with the relative precision of [`below`] in the upper tail.
#[must_use]
pub fn above(z: f64) -> f64 {
    below(-z)
}

/// P(a < Z ≤ b), zero unless a is below b; relative error about (4 + a² + b²)·2⁻⁵², however near the two are.
///
/// Between far ends a difference of tails, taken on the side where nothing cancels; between near ones Gauss's rule of 20
/// nodes, whose own error is below 1e-20 for |a| < 40.
#[must_use]
pub fn between(a: f64, b: f64) -> f64 {
    if a >= b {
        return 0.0;
    }
    if a > 0.0 {
        return between(-b, -a);
    }
    if b - a > NEAR {
        return below(b) - below(a);
    }
    let (middle, half) = (0.5 * (a + b), 0.5 * (b - a));
    let sum: f64 = LEGENDRE
        .iter()
        .map(|&(node, weight)| {
            let s = half * node;
            weight * (-s * (middle + 0.5 * s)).exp()
        })
        .sum();
    density(middle) * 2.0 * half * sum
}

/// Ends closer than this are taken by quadrature in [`between`].
const NEAR: f64 = 0.5;

/// The rule used by [`between`].
static LEGENDRE: LazyLock<Vec<gauss::Node>> = LazyLock::new(|| gauss::legendre(20));

/// The z with P(Z ≤ z) = p, or `None` when p is not inside (0, 1).
///
/// Relative error about 1e-16 (the algorithm's own statement).
///
/// Source: M. J. Wichura, "Algorithm AS 241: The percentage points of the normal distribution",
/// Applied Statistics 37 (1988) 477–484, routine PPND16.
#[must_use]
pub fn quantile(p: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return Some(q * horner(&CENTRE_ABOVE, r) / horner(&CENTRE_BELOW, r));
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let z = upper_tail_quantile(tail);
    Some(if q < 0.0 { -z } else { z })
}

/// The z ≥ 0 with P(Z > z) = q, for 0 < q ≤ 0.075 (the part of AS 241 outside its centre).
fn upper_tail_quantile(q: f64) -> f64 {
    let r = (-q.ln()).sqrt();
    if r <= 5.0 {
        let r = r - 1.6;
        horner(&MIDDLE_ABOVE, r) / horner(&MIDDLE_BELOW, r)
    } else {
        let r = r - 5.0;
        horner(&FAR_ABOVE, r) / horner(&FAR_BELOW, r)
    }
}

/// The polynomial with these coefficients, lowest power first.
fn horner(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, &coefficient| sum * x + coefficient)
}

const CENTRE_ABOVE: [f64; 8] = [
    3.387_132_872_796_366_5,
    133.141_667_891_784_38,
    1_971.590_950_306_551_3,
    13_731.693_765_509_46,
    45_921.953_931_549_87,
    67_265.770_927_008_7,
    33_430.575_583_588_13,
    2_509.080_928_730_122_7,
];
const CENTRE_BELOW: [f64; 8] = [
    1.0,
    42.313_330_701_600_91,
    687.187_007_492_057_9,
    5_394.196_021_424_751,
    21_213.794_301_586_597,
    39_307.895_800_092_71,
    28_729.085_735_721_943,
    5_226.495_278_852_545,
];
const MIDDLE_ABOVE: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    0.241_780_725_177_450_6,
    0.022_723_844_989_269_184,
    7.745_450_142_783_414e-4,
];
const MIDDLE_BELOW: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    0.689_767_334_985_1,
    0.148_103_976_427_480_08,
    0.015_198_666_563_616_457,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const FAR_ABOVE: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    0.296_560_571_828_504_87,
    0.026_532_189_526_576_124,
    0.001_242_660_947_388_078_4,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const FAR_BELOW: [f64; 8] = [
    1.0,
    0.599_832_206_555_888,
    0.136_929_880_922_735_8,
    0.014_875_361_290_850_615,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_7e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles from mpmath at 40 digits (erfinv), p and z.
    const POINTS: [(f64, f64); 8] = [
        (1e-300, -37.047_096_299_361_2),
        (1e-20, -9.262_340_089_798_408),
        (1e-12, -7.034_483_825_301_131),
        (1e-9, -5.997_807_015_007_687),
        (0.001_35, -2.999_976_992_703_393_6),
        (0.07, -1.475_791_028_179_171_3),
        (0.3, -0.524_400_512_708_040_8),
        (0.975, 1.959_963_984_540_054),
    ];

    #[test]
    fn the_quantile_agrees_with_forty_digit_arithmetic() {
        for (p, z) in POINTS {
            let found = quantile(p).expect("p is inside (0, 1)");
            // 1e-15 relative: AS 241 states about 1e-16, the printed figures end at 1e-15.
            assert!((found - z).abs() <= 2e-15 * z.abs(), "p {p}: {found} is not {z}");
        }
    }

    #[test]
    fn the_quantile_undoes_both_tails() {
        for step in 1..400 {
            let z = -0.09 * f64::from(step);
            let back = quantile(below(z)).expect("a tail is inside (0, 1)");
            // Error of erfc (2 + z²) ulp, divided by the slope of ln P, about |z|.
            assert!((back - z).abs() <= 2e-15 * (2.0 + z * z) / z.abs(), "{z} came back as {back}");
            assert_eq!(above(-z), below(z));
        }
    }

    #[test]
    fn between_two_places_nothing_cancels() {
        // By mpmath at 60 digits, of the doubles as they are.
        for (a, b, expected) in BETWEEN {
            for (low, high) in [(a, b), (-b, -a)] {
                let found = between(low, high);
                let allowed = (4.0 + a * a + b * b) * f64::EPSILON * expected;
                assert!((found - expected).abs() <= allowed, "{low} {high}: {found} {expected}");
            }
        }
        assert_eq!((between(1.0, 1.0), between(2.0, 1.0)), (0.0, 0.0));
    }

    #[test]
    fn outside_the_open_interval_there_is_no_quantile() {
        for p in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
            assert_eq!(quantile(p), None);
        }
    }

    #[test]
    fn the_density_is_the_slope_of_the_lower_tail() {
        for z in [-3.0, -1.0, 0.0, 0.5, 2.0] {
            let slope = (below(z + 1e-5) - below(z - 1e-5)) / 2e-5;
            // Third derivative over 6 times h² is below 1e-10, rounding 1e-16 / 1e-5.
            assert!((slope - density(z)).abs() < 1e-10);
        }
    }

    /// a, b and P(a < Z ≤ b).
    const BETWEEN: [(f64, f64, f64); 10] = [
        (-2.0, 2.666, 0.973_411_883_403_598_2),
        (0.5, 0.5000001, 3.520_653_177_773_542e-08),
        (-1.0, -0.75, 0.067_972_098_445_411_15),
        (3.0, 30.0, 0.001_349_898_031_630_094_6),
        (8.0, 8.25, 5.428_987_942_807_536e-16),
        (20.0, 21.0, 2.753_624_115_326_955_5e-89),
        (30.0, 30.4, 4.906_686_462_526_918e-198),
        (-0.25, 0.25, 0.197_412_651_365_847_46),
        (0.0, 0.5, 0.191_462_461_274_013_1),
        (-37.0, -36.9, 2.253_268_768_915_372e-298),
    ];
}
