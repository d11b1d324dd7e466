//! A probability and how far to believe it.

/// A probability with a bound of its error: the true one differs from `value` by `error_bound` at most.
///
/// The bound covers the method and the rounding of its arithmetic; the figures given are taken as they are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Probability {
    /// The probability, in [0, 1].
    pub value: f64,
    /// The bound of its error.
    pub error_bound: f64,
}

impl Probability {
    /// The value brought into [0, 1], which brings it no further from the true one.
    pub(super) fn new(value: f64, error_bound: f64) -> Self {
        Self { value: value.clamp(0.0, 1.0), error_bound: error_bound.min(1.0) }
    }

    /// One or zero, without error.
    pub(super) fn certain(yes: bool) -> Self {
        Self { value: if yes { 1.0 } else { 0.0 }, error_bound: 0.0 }
    }

    /// The probability of the opposite; the subtraction rounds by half a unit in the last place of 1.
    #[must_use]
    pub fn complement(self) -> Self {
        let rounding = if self.value == 0.0 || self.value == 1.0 { 0.0 } else { 0.5 * f64::EPSILON };
        Self { value: 1.0 - self.value, error_bound: (self.error_bound + rounding).min(1.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_outside_is_brought_to_the_edge() {
        assert_eq!(Probability::new(-1e-15, 1e-14).value, 0.0);
        assert_eq!(Probability::new(1.0 + 1e-15, 2.0), Probability { value: 1.0, error_bound: 1.0 });
    }

    #[test]
    fn the_opposite_carries_the_bound() {
        let opposite = Probability::new(0.25, 1e-12).complement();
        assert_eq!(opposite.value, 0.75);
        assert!(opposite.error_bound >= 1e-12);
        assert_eq!(Probability::certain(true).complement(), Probability::certain(false));
    }
}
