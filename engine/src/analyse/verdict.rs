//! From a probability to a word.

use std::fmt;

use crate::length::on_grid;

/// The answer in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// In band, and sure of it.
    In,
    /// Some of production will be in band.
    SomeWill,
    /// It cannot be told with these readings.
    CannotTell,
    /// Out of band, and sure of it.
    Out,
}

impl Verdict {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Verdict::In => "in",
            Verdict::SomeWill => "some will",
            Verdict::CannotTell => "cannot tell",
            Verdict::Out => "out",
        }
    }

    /// The worse of two verdicts.
    #[must_use]
    pub fn worse(self, other: Verdict) -> Verdict {
        self.max(other)
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A probability that misses a confidence by no more than its own error bound has reached it: the exact method's
/// bound is of this size.
const HAIR: f64 = 1e-12;

/// How sure one wants to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence(f64);

impl Confidence {
    /// A confidence between one half and one.
    #[must_use]
    pub fn new(probability: f64) -> Option<Confidence> {
        (probability > 0.5 && probability < 1.0).then_some(Confidence(probability))
    }

    /// The probability.
    #[must_use]
    pub fn probability(self) -> f64 {
        self.0
    }

    /// The verdict on a gap that is in band with probability `within`.
    ///
    /// Formula: in for p ≥ C, out for p ≤ 1 − C; between them it cannot be told where something was measured, and
    /// some of production will be in band where nothing was. Source: the reasoning of JCGM 106:2012; the decision
    /// zones of ISO 14253-1.
    #[must_use]
    pub fn judge(self, within: f64, measured: bool) -> Verdict {
        if within + HAIR >= self.0 {
            Verdict::In
        } else if within - HAIR <= 1.0 - self.0 {
            Verdict::Out
        } else if measured {
            Verdict::CannotTell
        } else {
            Verdict::SomeWill
        }
    }
}

impl Default for Confidence {
    fn default() -> Self {
        Confidence(0.95)
    }
}

/// Whether the expected value is in the band, the doubt left aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ByNumber {
    /// It is; a value on the edge is in.
    In,
    /// It is below the band.
    Below,
    /// It is above the band.
    Above,
}

impl ByNumber {
    /// By how much a value is outside the band, in millimetres; none where it is in. The ends are the band's.
    #[must_use]
    pub fn misses_by_mm(self, value_mm: f64, accept_mm: (Option<f64>, Option<f64>)) -> Option<f64> {
        match (self, accept_mm) {
            (ByNumber::Below, (Some(low), _)) => Some(low - value_mm),
            (ByNumber::Above, (_, Some(high))) => Some(value_mm - high),
            _ => None,
        }
    }

    /// Where it is, in words of the bench.
    #[must_use]
    pub fn side(self) -> &'static str {
        match self {
            ByNumber::In => "in band",
            ByNumber::Below => "too small",
            ByNumber::Above => "too large",
        }
    }

    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            ByNumber::In => "in",
            ByNumber::Below | ByNumber::Above => "out",
        }
    }
}

/// Where a value stands to a band, on the 1 nm grid.
#[must_use]
pub fn by_number(value_mm: f64, low_mm: Option<f64>, high_mm: Option<f64>) -> ByNumber {
    let value = on_grid(value_mm);
    if low_mm.is_some_and(|low| value < on_grid(low)) {
        ByNumber::Below
    } else if high_mm.is_some_and(|high| value > on_grid(high)) {
        ByNumber::Above
    } else {
        ByNumber::In
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_depends_on_whether_something_was_measured() {
        let sure = Confidence::default();
        assert_eq!(sure.judge(0.95, true), Verdict::In);
        assert_eq!(sure.judge(0.949_999, true), Verdict::CannotTell);
        assert_eq!(sure.judge(0.949_999, false), Verdict::SomeWill);
        assert_eq!(sure.judge(0.050_001, true), Verdict::CannotTell);
        assert_eq!(sure.judge(0.05, true), Verdict::Out);
    }

    #[test]
    fn worst_first() {
        assert_eq!(Verdict::In.worse(Verdict::SomeWill), Verdict::SomeWill);
        assert_eq!(Verdict::CannotTell.worse(Verdict::SomeWill), Verdict::CannotTell);
        assert_eq!(Verdict::CannotTell.worse(Verdict::Out), Verdict::Out);
    }

    #[test]
    fn the_edge_is_in() {
        assert_eq!(by_number(0.1 + 0.2, Some(0.3), Some(0.3)), ByNumber::In);
        assert_eq!(by_number(0.299_999, Some(0.3), None), ByNumber::Below);
        assert_eq!(by_number(0.3, None, Some(0.299_999)), ByNumber::Above);
    }
}
