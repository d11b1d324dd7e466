//! One sum of plain laws, in millimetres from its location.

use super::parts::Parts;
use super::way::Prepared;
use super::{ExactOptions, Method, Probability};
use crate::number::double_double::DoubleDouble;

/// A sum that one method answers for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plain {
    prepared: Prepared,
    pub(super) location: DoubleDouble,
    unit: f64,
    same_within_mm: f64,
    nothing_beyond_mm: f64,
}

impl Plain {
    pub(super) fn new(parts: Parts, options: &ExactOptions) -> Self {
        let mut plain = Self {
            location: parts.location,
            unit: parts.unit,
            same_within_mm: options.same_within_mm,
            nothing_beyond_mm: options.same_within_mm,
            prepared: Prepared::new(parts, options),
        };
        if !plain.is_constant() {
            plain.nothing_beyond_mm = plain.extents_mm().map_or(f64::INFINITY, |(below, above)| below.max(above));
        }
        plain
    }

    pub(super) fn method(&self) -> Method {
        self.prepared.method()
    }

    /// Whether nothing is random.
    pub(super) fn is_constant(&self) -> bool {
        self.method() == Method::Constant
    }

    /// The standard deviation, mm.
    pub(super) fn sd_mm(&self) -> f64 {
        self.prepared.parts().sd * self.unit
    }

    /// How far the sum reaches from the location on either side, mm; `None` when it is unbounded.
    pub(super) fn extents_mm(&self) -> Option<(f64, f64)> {
        let extent = |sign| self.prepared.parts().extent(sign).map(|extent| extent * self.unit);
        extent(-1.0).zip(extent(1.0))
    }

    /// A distance from the location beyond which there is nothing on either side, mm; where nothing is random the
    /// distance within which two lengths are the same.
    pub(super) fn nothing_beyond_mm(&self) -> f64 {
        self.nothing_beyond_mm
    }

    /// x − location, mm. x not NaN.
    pub(super) fn off_location(&self, x_mm: f64) -> f64 {
        assert!(!x_mm.is_nan(), "a probability is asked at a number");
        if x_mm.is_infinite() { x_mm } else { (DoubleDouble::from(x_mm) - self.location).to_f64() }
    }

    /// location + d, mm.
    pub(super) fn place(&self, d_mm: f64) -> f64 {
        (self.location + d_mm.into()).to_f64()
    }

    /// P(Y > location + d) for `sign` 1, P(Y < location + d) for `sign` −1.
    pub(super) fn tail(&self, d_mm: f64, sign: f64) -> Probability {
        if self.is_constant() {
            return Probability::certain(sign * d_mm < -self.same_within_mm);
        }
        self.prepared.tail(d_mm / self.unit, sign)
    }

    /// The density at location + d, 1/mm; zero where nothing is random.
    pub(super) fn density(&self, d_mm: f64) -> f64 {
        self.prepared.density(d_mm / self.unit) / self.unit
    }

    /// The distance from the location, positive on the side of `sign`, beyond which p ≤ ½ lies there. mm.
    pub(super) fn tail_quantile(&self, p: f64, sign: f64) -> f64 {
        sign * self.prepared.tail_quantile(p, sign) * self.unit
    }

    /// The bound of the error of a probability near the location.
    pub(super) fn error_bound(&self) -> f64 {
        self.tail(0.0, 1.0).error_bound
    }
}
