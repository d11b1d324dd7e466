//! Bounds for the part of a sum whose tails fall at least as fast as those of a normal law.

/// The terms that are no Student t, about their mean, in the unit of the sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Light {
    /// A v with E exp(sR) ≤ exp(v s²/2) for every s.
    ///
    /// A normal, a rectangular and a symmetric triangular term add their variance (the power series of sinh(x)/x
    /// lies below that of exp(x²/6) term by term); any other term says what it adds.
    pub(super) proxy_variance: f64,
    /// The farther limit of the sum, `None` when a normal term leaves it unbounded.
    pub(super) half_range: Option<f64>,
}

impl Light {
    /// A bound of P(R > w), the same for P(R < −w), for w ≥ 0.
    pub(super) fn tail(self, w: f64) -> f64 {
        if self.half_range.is_some_and(|half| w >= half) {
            return 0.0;
        }
        // Chernoff's bound at its best s = w / v.
        (-0.5 * w * w / self.proxy_variance).exp()
    }

    /// A bound of E(|R|; |R| > w), w > 0: w times both tails and their integral from there on.
    pub(super) fn mean_beyond(self, w: f64) -> f64 {
        2.0 * self.tail(w) * (w + self.proxy_variance / w)
    }

    /// A w with P(R > w) ≤ p.
    pub(super) fn reach(self, p: f64) -> f64 {
        let w = (-2.0 * self.proxy_variance * p.ln()).max(0.0).sqrt();
        self.half_range.map_or(w, |half| half.min(w))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::number::normal;

    #[test]
    fn the_bound_lies_above_a_normal_tail_and_a_rectangle() {
        let normal_only = Light { proxy_variance: 4.0, half_range: None };
        let rectangle = Light { proxy_variance: 1.0 / 3.0, half_range: Some(1.0) };
        for step in 0..200 {
            let w = 0.1 * f64::from(step);
            assert!(normal_only.tail(w) >= normal::above(0.5 * w));
            assert!(rectangle.tail(w) >= (0.5 * (1.0 - w)).max(0.0));
        }
    }

    #[test]
    fn the_reach_undoes_the_tail() {
        let light = Light { proxy_variance: 2.0, half_range: None };
        assert!((light.tail(light.reach(1e-12)) / 1e-12 - 1.0).abs() < 1e-12);
        let bounded = Light { half_range: Some(3.0), ..light };
        assert_eq!((bounded.reach(1e-12), bounded.tail(3.0)), (3.0, 0.0));
    }

    #[test]
    fn the_mean_beyond_covers_that_of_a_normal_law() {
        // E(|Z|; |Z| > w) = 2φ(w).
        let standard = Light { proxy_variance: 1.0, half_range: None };
        for step in 1..80 {
            let w = 0.1 * f64::from(step);
            assert!(standard.mean_beyond(w) >= 2.0 * normal::density(w));
        }
        assert_eq!(Light { half_range: Some(2.0), ..standard }.mean_beyond(2.0), 0.0);
    }
}
