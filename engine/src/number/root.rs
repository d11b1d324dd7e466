//! The place where an increasing function reaches a target.

/// The most evaluations of one search; bisection alone needs about 60 to exhaust a double.
const MOST_STEPS: usize = 200;

/// A Newton step this small, relative to the size of the bracket's unit, is the last one: convergence is
/// quadratic, so what is left is of the order of its square.
const LAST_STEP: f64 = 1e-8;

/// The x in [low, high] where an increasing positive function reaches `target` > 0.
///
/// `function` returns the value and the slope. Newton's method on the logarithm of the value (which makes the
/// tails of distribution functions nearly straight), kept inside the bracket by bisection. Lengths are expected
/// in a unit of about one standard deviation.
pub fn solve_increasing(
    (mut low, mut high): (f64, f64),
    start: f64,
    target: f64,
    mut function: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    assert!(low <= high, "a bracket has its lower end first");
    let mut x = start.clamp(low, high);
    for _ in 0..MOST_STEPS {
        let (value, slope) = function(x);
        if value == target {
            return x;
        }
        if value < target {
            low = x;
        } else {
            high = x;
        }
        let step = (target / value).ln() * value / slope;
        let newton = x + step;
        let inside = newton > low && newton < high;
        if inside && step.abs() <= LAST_STEP * x.abs().min(1.0).max(f64::MIN_POSITIVE) {
            return newton;
        }
        if !inside && step.abs() <= f64::EPSILON * x.abs() {
            return x;
        }
        let next = if inside { newton } else { low + 0.5 * (high - low) };
        if next <= low || next >= high {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_and_a_steep_power_are_both_solved() {
        let line = solve_increasing((0.0, 10.0), 1.0, 3.0, |x| (x, 1.0));
        assert!((line - 3.0).abs() < 1e-14);
        let power = solve_increasing((0.0, 1.0), 0.5, 1e-12, |x| (x.powi(6), 6.0 * x.powi(5)));
        // x = 0.01 with a relative error far below the last step.
        assert!((power - 0.01).abs() < 1e-14);
    }

    #[test]
    fn a_flat_start_falls_back_on_bisection() {
        let root =
            solve_increasing((-8.0, 8.0), -8.0, 0.25, |x| if x < 1.0 { (0.0, 0.0) } else { ((x - 1.0) / 4.0, 0.25) });
        assert!((root - 2.0).abs() < 1e-14);
    }

    #[test]
    fn a_jump_is_closed_in_on() {
        let root = solve_increasing((0.0, 1.0), 0.2, 0.5, |x| (if x < 0.625 { 0.1 } else { 0.9 }, 0.0));
        assert!((root - 0.625).abs() < 1e-15);
    }
}
