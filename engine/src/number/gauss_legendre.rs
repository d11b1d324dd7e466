//! One rule for integrals of smooth functions, and the panels on which it is used.

use std::sync::LazyLock;

use super::gauss::{Node, legendre};

/// The integral of `f` from a to b by the Gauss-Legendre rule of 16 points: exact for polynomials of degree 31.
#[must_use]
pub fn integral(a: f64, b: f64, f: impl FnMut(f64) -> f64) -> f64 {
    let mut f = f;
    points(a, b).map(|(x, weight)| weight * f(x)).sum()
}

/// The points and the weights of the rule from a to b.
pub fn points(a: f64, b: f64) -> impl Iterator<Item = (f64, f64)> {
    let (centre, half) = (f64::midpoint(a, b), 0.5 * (b - a));
    RULE.iter().map(move |&(x, weight)| (centre + half * x, (b - a) * weight))
}

/// The rule of 16 points on [−1, 1] for the weight ½.
static RULE: LazyLock<Vec<Node>> = LazyLock::new(|| legendre(16));

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_up_to_degree_31_are_exact() {
        for degree in 0..32 {
            let found = integral(0.0, 2.0, |x| x.powi(degree));
            let exact = 2.0_f64.powi(degree + 1) / f64::from(degree + 1);
            assert!((found / exact - 1.0).abs() <= 1e-14, "{degree}: {found} is not {exact}");
        }
    }
}
