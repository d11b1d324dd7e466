//! The probability that two correlated standard normal variables are in a rectangle.

use super::gauss_legendre::integral;
use super::normal::{above, below, density};

/// A bound of the absolute error of [`rectangle`], for figures taken as they are.
pub const ERROR_BOUND: f64 = 1e-13;

/// Beyond this a standard normal variable is with a probability below 2.3e-19.
const FAR: f64 = 9.0;
/// The width of a panel, in the scale on which the integrand changes. On half-widths of one scale the rule of 16
/// points leaves less than 1e-16 of either factor.
const PANEL: f64 = 2.0;

/// P(x₀ ≤ X ≤ x₁ and y₀ ≤ Y ≤ y₁) for standard normal X and Y with the correlation ρ.
///
/// `root` is √(1 − ρ²), asked for beside ρ because it is lost in 1 − ρ² where ρ is near one. Ends may be infinite.
///
/// Formula: ∫ φ(t) [Φ((y₁ − ρt)/√(1 − ρ²)) − Φ((y₀ − ρt)/√(1 − ρ²))] dt over [x₀, x₁], by Gauss-Legendre rules of 16
/// points on panels as wide as two scales of what changes there: 1 of the density, √(1 − ρ²)/|ρ| about y₀/ρ and y₁/ρ.
/// Precision: [`ERROR_BOUND`]; where |ρ| is one it is that of the normal law.
#[must_use]
pub fn rectangle(x: (f64, f64), y: (f64, f64), correlation: f64, root: f64) -> f64 {
    if x.0 > x.1 || y.0 > y.1 {
        return 0.0;
    }
    if correlation == 0.0 {
        return between(x.0, x.1) * between(y.0, y.1);
    }
    let sign = correlation.signum();
    // Y as a variable of the same sense as X.
    let (y0, y1) = if sign > 0.0 { y } else { (-y.1, -y.0) };
    if root == 0.0 {
        let (low, high) = (x.0.max(y0), x.1.min(y1));
        return if low > high { 0.0 } else { between(low, high) };
    }
    let size = correlation.abs();
    let (low, high) = (x.0.max(-FAR), x.1.min(FAR));
    let inner = |t: f64| between((y0 - size * t) / root, (y1 - size * t) / root);
    let breaks = breaks((low, high), [y0 / size, y1 / size], root / size);
    let sum: f64 = breaks.windows(2).map(|ends| integral(ends[0], ends[1], |t| density(t) * inner(t))).sum();
    sum.clamp(0.0, 1.0)
}

/// P(a ≤ Z ≤ b) for a standard normal Z and a ≤ b, without the cancellation of two upper values.
fn between(a: f64, b: f64) -> f64 {
    if a > 0.0 { above(a) - above(b) } else { below(b) - below(a) }
}

/// The ends of the panels from `low` to `high`, ascending.
fn breaks((low, high): (f64, f64), changes: [f64; 2], scale: f64) -> Vec<f64> {
    let mut breaks = vec![low, high];
    let mut around = |centre: f64, scale: f64| {
        let half = (FAR / PANEL).ceil();
        let mut step = -half;
        while step <= half {
            breaks.push(centre + step * PANEL * scale);
            step += 1.0;
        }
    };
    around(0.0, 1.0);
    if scale < 1.0 {
        changes.into_iter().filter(|change| change.is_finite()).for_each(|change| around(change, scale));
    }
    breaks.retain(|&at| at >= low && at <= high);
    breaks.sort_by(f64::total_cmp);
    breaks
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

    fn of(x: (f64, f64), y: (f64, f64), correlation: f64) -> f64 {
        rectangle(x, y, correlation, ((1.0 - correlation) * (1.0 + correlation)).sqrt())
    }

    #[test]
    fn a_quadrant_is_sheppards() {
        // P(X > 0, Y > 0) = 1/4 + asin ρ/2π (W. F. Sheppard, 1899).
        for step in -99..=99 {
            let correlation = f64::from(step) / 100.0;
            let exact = 0.25 + correlation.asin() / (2.0 * std::f64::consts::PI);
            let found = of((0.0, f64::INFINITY), (0.0, f64::INFINITY), correlation);
            assert!((found - exact).abs() <= 1e-15, "{correlation}: {found} is not {exact}");
        }
    }

    #[test]
    fn one_side_open_leaves_the_other_alone() {
        for correlation in [-1.0, -0.999_999, -0.6, 0.0, 0.3, 0.99, 1.0] {
            let alone = below(1.3) - below(-0.4);
            for found in [of((-0.4, 1.3), ALL, correlation), of(ALL, (-0.4, 1.3), correlation)] {
                assert!((found - alone).abs() <= 1e-15, "{correlation}: {found} is not {alone}");
            }
            assert_eq!(of((1.0, 0.5), ALL, correlation), 0.0);
        }
    }

    #[test]
    fn rectangles_add_up_to_one() {
        for correlation in [-0.999_99, -0.7, 0.1, 0.95, 0.999_999_9] {
            let cuts = [f64::NEG_INFINITY, -1.7, -0.2, 0.9, f64::INFINITY];
            let sum: f64 = cuts
                .windows(2)
                .flat_map(|x| cuts.windows(2).map(move |y| of((x[0], x[1]), (y[0], y[1]), correlation)))
                .sum();
            assert!((sum - 1.0).abs() <= 16.0 * ERROR_BOUND, "{correlation}: {sum}");
        }
    }
}
