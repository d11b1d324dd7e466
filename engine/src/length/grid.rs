//! The 1 nm grid.
//!
//! `0.1 + 0.2` and `0.3` are the same length to anyone at a bench and different doubles. Order and equality of
//! typed figures, and of their sums, are therefore decided on whole nanometres. Nothing is rounded to the grid for a
//! probability or for an output.

/// Half a step of the grid: two lengths that differ by no more are the same. mm.
pub const SAME_WITHIN_MM: f64 = 0.5e-6;

/// The nearest whole number of nanometres to a length in millimetres.
///
/// Precision: exact to half a nanometre up to 9 km; beyond that the result saturates.
#[must_use]
pub fn on_grid(mm: f64) -> i64 {
    // `as` saturates, and lengths are checked finite when they are read.
    (mm * 1e6).round() as i64
}

/// A whole number of nanometres, in millimetres.
#[must_use]
pub fn from_grid_mm(nanometres: i64) -> f64 {
    nanometres as f64 / 1e6
}

#[cfg(test)]
mod tests {
    use super::{from_grid_mm, on_grid};

    #[test]
    fn sums_of_typed_figures_meet() {
        assert_ne!(0.1 + 0.2, 0.3);
        assert_eq!(on_grid(0.1 + 0.2), on_grid(0.3));
    }

    #[test]
    fn there_and_back() {
        assert_eq!(from_grid_mm(on_grid(-12.345_678)), -12.345_678);
    }
}
