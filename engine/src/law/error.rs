//! Why a law cannot be built.

/// Why a law cannot be built from the figures given. The texts are parts of a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LawError {
    /// A figure, or the width between two limits, is infinite or not a number.
    #[error("a figure of the distribution is not a finite number")]
    NotFinite,
    /// A standard deviation or scale is zero or negative.
    #[error("the spread of the distribution is not above zero")]
    SpreadNotPositive,
    /// The lower limit is not below the upper one.
    #[error("the lower limit is not below the upper limit")]
    LimitsOutOfOrder,
    /// The degrees of freedom are zero or negative.
    #[error("the degrees of freedom are not above zero")]
    FreedomNotPositive,
    /// The mode of a triangular law is not between its limits.
    #[error("the mode is not between the limits")]
    ModeOutside,
    /// The top of a trapezoidal law is not between its limits, its lower end first.
    #[error("the top is not between the limits, its lower end first")]
    TopOutside,
    /// A parameter of a beta law is below one or above a hundred.
    #[error("a and b of a beta distribution must each be from 1 to 100")]
    BetaOutOfRange,
    /// The limits of a truncated normal law leave next to nothing of it.
    #[error("next to nothing of the normal distribution lies between the limits")]
    NothingBetween,
    /// A discrete or observed law, or a mixture, has nothing in it.
    #[error("there is no value in the distribution")]
    NoValues,
    /// A weight is zero or negative.
    #[error("a weight is not above zero")]
    WeightNotPositive,
}

/// The limits, if both and their distance are finite and they are in order.
pub(super) fn checked_limits(low_mm: f64, high_mm: f64) -> Result<(f64, f64), LawError> {
    if !(high_mm - low_mm).is_finite() || !(low_mm + high_mm).is_finite() {
        return Err(LawError::NotFinite);
    }
    if low_mm >= high_mm {
        return Err(LawError::LimitsOutOfOrder);
    }
    Ok((low_mm, high_mm))
}

/// The place and spread, if both are finite and the spread is above zero.
pub(super) fn checked_spread(place_mm: f64, spread_mm: f64) -> Result<(f64, f64), LawError> {
    if !place_mm.is_finite() || !spread_mm.is_finite() {
        return Err(LawError::NotFinite);
    }
    if spread_mm <= 0.0 {
        return Err(LawError::SpreadNotPositive);
    }
    Ok((place_mm, spread_mm))
}
