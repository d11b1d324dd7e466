//! The triangular factor of a correlation matrix that may be on the edge of being one.

use nalgebra::DMatrix;

/// Pivots nearer to zero than this are zero: typed factors that make a matrix singular are rounded.
const ZERO: f64 = 1e-9;

/// The lower triangular L with L·Lᵀ = `matrix`, for a symmetric positive semidefinite one with ones on its diagonal;
/// none where it is not positive semidefinite by more than rounding.
#[must_use]
pub fn factor(matrix: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let (lower, is_semidefinite) = lower(matrix);
    is_semidefinite.then_some(lower)
}

/// The factor of some rows and columns of a matrix that has one: it has one too, but for rounding, which is left aside.
#[must_use]
pub fn factor_of_part(matrix: &DMatrix<f64>) -> DMatrix<f64> {
    lower(matrix).0
}

/// L with negative pivots as zero, and whether none was negative by more than rounding.
fn lower(matrix: &DMatrix<f64>) -> (DMatrix<f64>, bool) {
    let size = matrix.nrows();
    let mut lower = DMatrix::zeros(size, size);
    let mut is_semidefinite = true;
    for column in 0..size {
        let left = |row: usize, lower: &DMatrix<f64>| {
            matrix[(row, column)] - (0..column).map(|k| lower[(row, k)] * lower[(column, k)]).sum::<f64>()
        };
        let pivot = left(column, &lower);
        is_semidefinite &= pivot >= -ZERO;
        let root = if pivot > ZERO { pivot.sqrt() } else { 0.0 };
        lower[(column, column)] = root;
        for row in column + 1..size {
            let rest = left(row, &lower);
            is_semidefinite &= root > 0.0 || rest.abs() <= ZERO.sqrt();
            lower[(row, column)] = if root > 0.0 { rest / root } else { 0.0 };
        }
    }
    (lower, is_semidefinite)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_factor_gives_its_matrix_back() {
        let matrix = DMatrix::from_row_slice(3, 3, &[1.0, 0.6, -0.2, 0.6, 1.0, 0.3, -0.2, 0.3, 1.0]);
        let lower = factor(&matrix).expect("it is positive definite");
        assert!((&lower * lower.transpose() - matrix).abs().max() <= 1e-15);
        assert_eq!(lower[(0, 1)], 0.0);
    }

    #[test]
    fn a_matrix_on_the_edge_has_one_and_one_beyond_it_has_none() {
        let of = |r: f64| DMatrix::from_row_slice(3, 3, &[1.0, 0.8, 0.6, 0.8, 1.0, r, 0.6, r, 1.0]);
        // The edge is at 0.48 ± 0.48.
        for (r, there) in [(0.0, true), (0.96, true), (-0.001, false), (0.961, false)] {
            assert_eq!(factor(&of(r)).is_some(), there, "{r}");
        }
        let one = DMatrix::from_element(2, 2, 1.0);
        assert!((factor(&one).expect("the edge").column(0).sum() - 2.0).abs() <= 1e-15);
        assert_eq!(factor(&DMatrix::from_row_slice(3, 3, &[1.0, 1.0, 0.5, 1.0, 1.0, 0.4, 0.5, 0.4, 1.0])), None);
    }
}
