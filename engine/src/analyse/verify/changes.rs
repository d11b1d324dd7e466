//! What to change on the packs so that every gap comes to its target.

use crate::analyse::targets::to_target;
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
    /// A gap that the change is for, and whether a thicker pack opens it; none where there is no such gap.
    pub thicker_opens: Option<(String, bool)>,
}

/// The change of each pack that brings every gap with a target there.
pub(super) fn changes(model: &Model, values: &[f64]) -> Vec<PackChange> {
    let one = |(index, change_mm): (usize, Option<f64>)| {
        let pack = &model.packs[index];
        let fitted_mm = pack.fitted.as_ref().map(|fitted| fitted.thickness_mm);
        let opens = model.gaps.iter().find_map(|gap| {
            let coefficient = gap.pack_coefficients[index];
            let aimed_at = gap.is_judged() && gap.target.is_some() && coefficient != 0.0;
            aimed_at.then(|| (gap.name.clone(), coefficient * gap.looser_sign() > 0.0))
        });
        PackChange {
            name: pack.name.clone(),
            fitted_mm,
            wanted_mm: change_mm.map(|change| fitted_mm.unwrap_or(0.0) + change),
            change_mm: change_mm.filter(|_| fitted_mm.is_some()),
            thicker_opens: opens,
        }
    };
    to_target(model, values).into_iter().enumerate().map(one).collect()
}
