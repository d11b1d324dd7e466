//! How thick the packs must be, or by how much other than they are, for the gaps to come to their targets.

use nalgebra::{DMatrix, DVector};

use crate::model::Model;

/// A singular value below this part of the greatest counts as nought: coefficients are written with a few digits, so
/// that what depends on each other does so to the rounding of doubles, and what does not is far from it.
const RANK: f64 = 1e-9;

/// The thickness to add to each pack of the model so that every gap that is now as in `values_mm` comes to its target.
///
/// Formula: C·Δ = target − value, C being the packs' coefficients; by least squares where there are more gaps than
/// packs. None for a pack that is in no gap with a target, and for all of them where the gaps do not settle each.
pub(crate) fn to_target(model: &Model, values_mm: &[f64]) -> Vec<Option<f64>> {
    let aims: Vec<(usize, f64)> = model
        .gaps
        .iter()
        .enumerate()
        .filter(|(_, gap)| gap.is_judged() && gap.pack_coefficients.iter().any(|&coefficient| coefficient != 0.0))
        .filter_map(|(index, gap)| {
            gap.target.as_ref().map(|target| (index, target.mean_mm(&model.columns) - values_mm[index]))
        })
        .collect();
    let packs: Vec<usize> = (0..model.packs.len())
        .filter(|&pack| aims.iter().any(|&(gap, _)| model.gaps[gap].pack_coefficients[pack] != 0.0))
        .collect();
    let coefficients = DMatrix::from_fn(aims.len(), packs.len(), |row, column| {
        model.gaps[aims[row].0].pack_coefficients[packs[column]]
    });
    let off = DVector::from_iterator(aims.len(), aims.iter().map(|&(_, off)| off));
    let solved = solve(coefficients, &off);
    let of_pack = |pack: usize| {
        let place = packs.iter().position(|&one| one == pack)?;
        solved.as_ref().map(|solved| solved[place])
    };
    (0..model.packs.len()).map(of_pack).collect()
}

/// The t that makes |C t − off| least; none where C does not settle each of its components.
///
/// Shape: C has a row for each gap and a column for each pack.
pub(crate) fn solve(coefficients: DMatrix<f64>, off: &DVector<f64>) -> Option<DVector<f64>> {
    let packs = coefficients.ncols();
    if packs == 0 || coefficients.nrows() < packs || rank(&coefficients) < packs {
        return None;
    }
    let decomposed = coefficients.svd(true, true);
    let least = RANK * decomposed.singular_values.max();
    decomposed.solve(off, least).ok()
}

/// How many columns, at most, do not depend on each other.
pub(crate) fn rank(coefficients: &DMatrix<f64>) -> usize {
    let decomposed = coefficients.clone().svd(false, false);
    decomposed.rank(RANK * decomposed.singular_values.max())
}
