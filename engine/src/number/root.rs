//! The place where an increasing function reaches a target.

/// The most evaluations of one search; bisection alone needs about 60 to exhaust a double.
const MOST_STEPS: usize = 200;

/// From a value this near the target, relative to it, the next Newton step is the last: convergence is quadratic, so
/// what is left is of the order of the square.
const LAST_STEP: f64 = 2e-8;
/// A last step that is longer than this part of the bracket is none: where the function is nearly flat, a value near the
/// target says little of the place.
const SHORT: f64 = 1e-6;

/// The x in [low, high] where an increasing positive function reaches `target` > 0.
///
/// `function` returns the value, known to within `noise`, and the slope. Newton's method on the logarithm of the value
/// (which makes the tails of distribution functions nearly straight), kept inside the bracket by bisection.
pub fn solve_increasing(
    (mut low, mut high): (f64, f64),
    start: f64,
    target: f64,
    noise: f64,
    mut function: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    assert!(low <= high, "a bracket has its lower end first");
    let short = SHORT * (high - low);
    let mut x = start.clamp(low, high);
    for _ in 0..MOST_STEPS {
        let (value, slope) = function(x);
        if (value - target).abs() <= noise {
            return x;
        }
        if value < target {
            low = x;
        } else {
            high = x;
        }
        let distance = (target / value).ln();
        let newton = x + distance * value / slope;
        let inside = newton > low && newton < high;
        if distance.abs() <= LAST_STEP && slope > 0.0 && (newton - x).abs() <= short {
            return newton.clamp(low, high);
        }
        let next = if inside { newton } else { low + 0.5 * (high - low) };
        if next <= low || next >= high {
            return next;
        }
        x = next;
    }
    x
}

/// Steps in which [`last_where`] looks for the first value that fails; a failure narrower than one may be missed.
const STEPS: usize = 64;

/// Sixty halvings bring any length of a machine below what a double tells apart.
const HALVINGS: usize = 60;

/// On the way from `inside`, where a condition holds, to `outside`: the last value up to which it holds all along.
pub fn last_where(inside: f64, outside: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let at =
        |step: usize| if step == STEPS { outside } else { inside + (outside - inside) * (step as f64 / STEPS as f64) };
    let Some(failed) = (1..=STEPS).find(|&step| !holds(at(step))) else { return outside };
    let (mut good, mut bad) = (at(failed - 1), at(failed));
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(good, bad);
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_that_holds_is_before_the_first_gap() {
        let holds = |x: f64| !(0.3..0.5).contains(&x) && x < 2.0;
        assert!((last_where(0.0, 1.0, holds) - 0.3).abs() < 1e-15);
        assert!((last_where(0.6, 5.0, holds) - 2.0).abs() < 1e-15);
        assert!((last_where(0.6, 0.0, holds) - 0.5).abs() < 1e-15);
        assert_eq!(last_where(0.6, 1.9, holds), 1.9);
    }

    #[test]
    fn a_straight_line_and_a_steep_power_are_both_solved() {
        let line = solve_increasing((0.0, 10.0), 1.0, 3.0, 0.0, |x| (x, 1.0));
        assert!((line - 3.0).abs() < 1e-14);
        let power = solve_increasing((0.0, 1.0), 0.5, 1e-12, 0.0, |x| (x.powi(6), 6.0 * x.powi(5)));
        // x = 0.01 with a relative error far below the last step.
        assert!((power - 0.01).abs() < 1e-14);
    }

    #[test]
    fn a_flat_start_falls_back_on_bisection() {
        let root =
            solve_increasing(
                (-8.0, 8.0),
                -8.0,
                0.25,
                0.0,
                |x| {
                    if x < 1.0 { (0.0, 0.0) } else { ((x - 1.0) / 4.0, 0.25) }
                },
            );
        assert!((root - 2.0).abs() < 1e-14);
    }

    #[test]
    fn a_jump_is_closed_in_on() {
        let root = solve_increasing((0.0, 1.0), 0.2, 0.5, 0.0, |x| (if x < 0.625 { 0.1 } else { 0.9 }, 0.0));
        assert!((root - 0.625).abs() < 1e-15);
    }
}
