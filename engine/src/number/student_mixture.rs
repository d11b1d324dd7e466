//! Student's t as a mixture of normal laws, for any number of degrees.
//!
//! T = Z / √G with Z standard normal and nG of gamma law n = ν/2. Every function of the law is then the mean of the
//! normal one over v = ln G, whose density is proportional to exp(−n(eᵛ − 1 − v)): positive, analytic, falling at
//! least exponentially on both sides, so that the trapezoid converges geometrically and loses no digits by
//! cancellation however many degrees there are. The same rule without the function gives the constant.

use super::normal;

/// φ(t) = E exp(−t² / (2G)).
#[must_use]
pub fn characteristic(freedom: f64, t: f64) -> f64 {
    let n = 0.5 * freedom;
    let q = 0.5 * t * t;
    // The peak of −n(eᵛ − v) − q e^−v: n(eᵛ − 1) = q e^−v.
    let peak = 0.5 + 0.5 * (1.0 + 4.0 * q / n).sqrt();
    let curvature = n * peak + q / peak;
    trapezoid(peak.ln(), curvature, |v| (-n * exp_less_line(v) - q * (-v).exp()).exp()) / constant(n)
}

/// P(T > x) = E P(Z > x √G), for x ≥ 0.
#[must_use]
pub fn above(freedom: f64, x: f64) -> f64 {
    let n = 0.5 * freedom;
    // Beyond the centre the normal tail is about exp(−x² eᵛ / 2): n(eᵛ − 1) = −x² eᵛ / 2.
    let peak = n / (n + 0.5 * x * x);
    trapezoid(peak.ln(), n, |v| (-n * exp_less_line(v)).exp() * normal::above(x * (0.5 * v).exp())) / constant(n)
}

/// The integral of the unscaled density of v: eⁿ Γ(n) / nⁿ, for small n by that, where the density has a long flank.
fn constant(n: f64) -> f64 {
    if n < 4.0 {
        return libm::tgamma(n) * (n - n * n.ln()).exp();
    }
    trapezoid(0.0, n, |v| (-n * exp_less_line(v)).exp())
}

/// ∫ f(v) dv over the real line, outward from the peak; `curvature` is minus the second derivative of ln f there.
///
/// For a peak of normal shape the error of the step 0.55 / √curvature is exp(−2π²/0.55²), far below rounding; the
/// cap on the step is for few degrees, where the strip of analyticity (half-width π/2) decides: exp(−π²/0.2).
fn trapezoid(peak: f64, curvature: f64, f: impl Fn(f64) -> f64) -> f64 {
    let step = (0.55 / curvature.sqrt()).min(0.2);
    let mut sum = f(peak);
    for direction in [step, -step] {
        let mut node = 1.0;
        loop {
            let term = f(peak + node * direction);
            sum += term;
            if term <= 1e-19 * sum {
                break;
            }
            node += 1.0;
        }
    }
    sum * step
}

/// eᵛ − 1 − v without cancellation near zero.
fn exp_less_line(v: f64) -> f64 {
    if v.abs() > 0.2 {
        return v.exp_m1() - v;
    }
    // v²/2 (1 + v/3 (1 + v/4 (…))): the first factor left out is 2 v¹² / 14!, below 1e-19.
    let mut nested = 1.0;
    for k in (3..=13u32).rev() {
        nested = 1.0 + nested * v / f64::from(k);
    }
    0.5 * v * v * nested
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_degrees_have_a_closed_form() {
        for t in [0.1, 1.0, 4.0, 15.0] {
            let z = 3.0f64.sqrt() * t;
            let closed = (1.0 + z) * (-z).exp();
            assert!((characteristic(3.0, t) / closed - 1.0).abs() < 1e-14, "t {t}");
        }
        for x in [0.0, 0.5, 2.0, 30.0] {
            let v = x / 3.0f64.sqrt();
            let closed = ((1.0f64).atan2(v) - v / (1.0 + v * v)) / std::f64::consts::PI;
            // The closed form itself cancels: v³ of its digits are lost far out.
            assert!((above(3.0, x) - closed).abs() < 1e-16 + 1e-14 * above(3.0, x), "x {x}");
        }
    }

    #[test]
    fn many_degrees_are_nearly_normal() {
        // The difference is about x³ φ(x) / (4ν).
        for x in [0.0, 1.0, 5.0] {
            assert!((above(1e12, x) / normal::above(x) - 1.0).abs() < 1e-9);
            assert!((characteristic(1e12, x) / (-0.5 * x * x).exp() - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_constant_is_the_same_by_either_way() {
        for n in [0.6, 1.0, 2.7, 3.9] {
            let integral = trapezoid(0.0, n, |v| (-n * exp_less_line(v)).exp());
            assert!((constant(n) / integral - 1.0).abs() < 4e-15, "n {n}");
        }
    }

    #[test]
    fn the_difference_meets_its_direct_form() {
        for v in [-0.2, -0.1, 0.15, 0.2f64] {
            // The direct form loses 2⁻⁵³ / v² of its digits.
            assert!((exp_less_line(v) / (f64::exp_m1(v) - v) - 1.0).abs() < 2e-14);
        }
    }
}
