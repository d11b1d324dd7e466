//! The regularised incomplete beta function, both tails.

/// I_x(a, b) for x in [0, 1] and a, b > 0; `complement` is 1 − x, given so that nothing is lost near either end.
///
/// Relative error about 1e-15·(20 + a + b), for a and b up to a few hundred; where the value is above one half it is
/// the complement of the other tail, and absolute. Source: DLMF 8.17.22, the continued fraction.
#[must_use]
pub fn below(a: f64, b: f64, x: f64, complement: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if complement <= 0.0 {
        return 1.0;
    }
    if x < (a + 1.0) / (a + b + 2.0) {
        leading(a, b, x, complement) / a * fraction(a, b, x)
    } else {
        1.0 - leading(a, b, x, complement) / b * fraction(b, a, complement)
    }
}

/// x^a (1 − x)^b / B(a, b).
#[must_use]
pub fn leading(a: f64, b: f64, x: f64, complement: f64) -> f64 {
    (a * x.ln() + b * complement.ln() - ln_beta(a, b)).exp()
}

/// ln B(a, b).
#[must_use]
pub fn ln_beta(a: f64, b: f64) -> f64 {
    libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b)
}

/// The continued fraction of the incomplete beta function, by Lentz's method.
pub(super) fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    const MOST: u32 = 10_000;
    let guarded = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / guarded(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = d;
    for step in 1..=MOST {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / guarded(1.0 + even * d);
        c = guarded(1.0 + even / c);
        fraction *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / guarded(1.0 + odd * d);
        c = guarded(1.0 + odd / c);
        let change = d * c;
        fraction *= change;
        if (change - 1.0).abs() <= 0.5 * f64::EPSILON {
            break;
        }
    }
    fraction
}
