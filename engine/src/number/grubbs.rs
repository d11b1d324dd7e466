//! Grubbs' test: whether the reading that is farthest from the mean is too far for chance.

use super::student_t::upper_quantile;

/// The significance: so often one of the readings is pointed out where all are sound and normal.
pub const SIGNIFICANCE: f64 = 0.01;

/// The critical value of G = max |qₖ − q̄| / s for n readings, two-sided at 1 %; none for fewer than three.
///
/// Formula: (n − 1)/√n · √(t²/(n − 2 + t²)), t being the upper α/(2n) point of Student's t with n − 2 degrees.
/// Source, from memory: F. E. Grubbs, Technometrics 11 (1969); ISO 5725-2 tabulates the same.
#[must_use]
pub fn critical(n: usize) -> Option<f64> {
    if n < 3 {
        return None;
    }
    let count = n as f64;
    let t = upper_quantile(count - 2.0, SIGNIFICANCE / (2.0 * count));
    // t²/(n − 2 + t²) without overflow for a far t.
    let share = 1.0 / (1.0 + (count - 2.0) / t / t);
    Some((count - 1.0) / count.sqrt() * share.sqrt())
}
