//! What to change on the packs so that every gap comes to its target.

use nalgebra::{DMatrix, DVector};

use crate::model::Model;

/// What to change on a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct PackChange {
    /// Its name.
    pub name: String,
    /// The thickness that is in, in millimetres.
    pub fitted_mm: Option<f64>,
    /// The thickness wanted, in millimetres.
    pub wanted_mm: Option<f64>,
    /// Wanted less fitted, in millimetres.
    pub change_mm: Option<f64>,
    /// Whether a thicker pack opens the gap that the change is for; none where there is no such gap.
    pub thicker_opens: Option<bool>,
}

/// The change of each pack that brings every gap with a target there: C·Δ = target − gap, C being the packs'
/// coefficients; by least squares where there are more gaps than packs.
pub(super) fn changes(model: &Model, values: &[f64]) -> Vec<PackChange> {
    let aims: Vec<(usize, f64)> = model
        .gaps
        .iter()
        .enumerate()
        .filter(|(_, gap)| gap.is_judged() && gap.pack_coefficients.iter().any(|&coefficient| coefficient != 0.0))
        .filter_map(|(index, gap)| {
            gap.target.as_ref().map(|target| (index, target.mean_mm(&model.columns) - values[index]))
        })
        .collect();
    let packs: Vec<usize> = (0..model.packs.len())
        .filter(|&pack| aims.iter().any(|&(gap, _)| model.gaps[gap].pack_coefficients[pack] != 0.0))
        .collect();
    let solved = solve(model, &aims, &packs);
    (0..model.packs.len())
        .map(|index| {
            let pack = &model.packs[index];
            let fitted_mm = pack.fitted.as_ref().map(|fitted| fitted.thickness_mm);
            let place = packs.iter().position(|&one| one == index);
            let change_mm = place.zip(solved.as_ref()).map(|(place, solved)| solved[place]);
            let thicker_opens = aims.iter().find_map(|&(gap, _)| {
                let gap = &model.gaps[gap];
                let coefficient = gap.pack_coefficients[index];
                (coefficient != 0.0).then_some(coefficient * gap.looser_sign() > 0.0)
            });
            PackChange {
                name: pack.name.clone(),
                fitted_mm,
                wanted_mm: change_mm.map(|change| fitted_mm.unwrap_or(0.0) + change),
                change_mm: change_mm.filter(|_| fitted_mm.is_some()),
                thicker_opens,
            }
        })
        .collect()
}

/// The least-squares solution; none where some pack's change is not settled by the gaps.
fn solve(model: &Model, aims: &[(usize, f64)], packs: &[usize]) -> Option<DVector<f64>> {
    if packs.is_empty() || aims.len() < packs.len() {
        return None;
    }
    let coefficients = DMatrix::from_fn(aims.len(), packs.len(), |row, column| {
        model.gaps[aims[row].0].pack_coefficients[packs[column]]
    });
    let wanted = DVector::from_iterator(aims.len(), aims.iter().map(|&(_, change)| change));
    let decomposed = coefficients.svd(true, true);
    // Coefficients are of the order of one; a singular value this small is rounding, not a chain.
    const NOTHING: f64 = 1e-9;
    if decomposed.rank(NOTHING) < packs.len() {
        return None;
    }
    decomposed.solve(&wanted, NOTHING).ok()
}
