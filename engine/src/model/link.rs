//! Variables that go together.

use nalgebra::DMatrix;

use super::column::Column;

/// How a variable goes together with another one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// The other one, by its place among the model's columns.
    pub column: usize,
    /// Their product-moment correlation.
    pub factor: f64,
    /// The correlation of the two normal variables that they are drawn from.
    pub normal: f64,
}

/// The sets of two or more of these columns that go together, directly or by way of others of them; each in ascending
/// order. `used` is ascending.
///
/// A column that is not among them ties nothing: of variables that come from one multivariate normal law, those without
/// a link of their own among the ones that are looked at are independent.
#[must_use]
pub fn linked(used: &[usize], columns: &[Column]) -> Vec<Vec<usize>> {
    // The usual case, in which this is asked for every choice of a pack.
    if used.iter().all(|&column| columns[column].links.is_empty()) {
        return Vec::new();
    }
    let mut seen = vec![false; used.len()];
    let place = |column: usize| used.binary_search(&column).ok();
    let mut sets = Vec::new();
    for start in 0..used.len() {
        if seen[start] || columns[used[start]].links.is_empty() {
            continue;
        }
        seen[start] = true;
        let mut set = vec![used[start]];
        let mut next = 0;
        while let Some(&column) = set.get(next) {
            next += 1;
            for link in &columns[column].links {
                if let Some(at) = place(link.column).filter(|&at| !seen[at]) {
                    seen[at] = true;
                    set.push(link.column);
                }
            }
        }
        if set.len() > 1 {
            set.sort_unstable();
            sets.push(set);
        }
    }
    sets
}

/// The correlation matrix of the normal variables that a set of columns is drawn from.
#[must_use]
pub fn normal_correlation(set: &[usize], columns: &[Column]) -> DMatrix<f64> {
    DMatrix::from_fn(set.len(), set.len(), |row, column| {
        if row == column { 1.0 } else { columns[set[row]].link(set[column]).map_or(0.0, |link| link.normal) }
    })
}
