//! What a gap at another temperature wants of the same chain at 20 °C.

use crate::model::{Form, Gap, Model, PackForm};
use crate::standards::material::{Expansion, REFERENCE_CELSIUS};

/// The figures of a chain at 20 °C that give those of the same chain at another temperature, in millimetres and in the
/// sense of the gap at 20 °C.
#[derive(Debug, Clone, PartialEq)]
pub struct ColdFigures {
    /// The gap at 20 °C, among the model's; none: the document has none, and the figures are in the hot gap's sense.
    pub gap: Option<usize>,
    /// The temperature of the hot gap, in °C.
    pub celsius: f64,
    /// What gives the hot gap's target.
    pub target_mm: Option<f64>,
    /// What gives the ends of its band, the lower one first.
    pub accept_mm: (Option<f64>, Option<f64>),
}

impl ColdFigures {
    /// The cold figures of a gap with these packs in; none where the gap is at 20 °C or has nothing to aim at.
    ///
    /// Formula: cold = hot − growth of the parts − α_steel·(T − 20)·(the pack that gives the hot figure). With more packs
    /// than one in the chain, those given count in place of the last term.
    #[must_use]
    pub fn of(model: &Model, gap: &Gap, packs: &[PackForm]) -> Option<ColdFigures> {
        let heat = gap.heat.as_ref().filter(|_| gap.is_judged())?;
        let columns = &model.columns;
        let steel = Expansion::steel().per_kelvin() * (heat.celsius - REFERENCE_CELSIUS);
        // What a length of pack adds at that temperature, of which this much is its growth.
        let of_shims = steel / (1.0 + steel);
        let with: Vec<f64> =
            gap.pack_coefficients.iter().zip(packs).map(|(one, pack)| one * pack.thickness_mm).collect();
        let alone = gap.pack_coefficients.iter().filter(|&&one| one != 0.0).count() == 1;
        let start_mm = gap.start.mean_mm(columns);
        let growth_mm = heat.growth.mean_mm(columns);
        let turned = heat.cold.map_or(1.0, |cold| model.gaps[cold].looser_sign() * gap.looser_sign());
        let cold = |hot_mm: f64| {
            let packs_mm = if alone { hot_mm - start_mm } else { with.iter().sum() };
            turned * (hot_mm - growth_mm - of_shims * packs_mm)
        };
        let figure = |form: &Option<Form>| form.as_ref().map(|form| cold(form.mean_mm(columns)));
        let ends = (figure(&gap.low), figure(&gap.high));
        Some(ColdFigures {
            gap: heat.cold,
            celsius: heat.celsius,
            target_mm: figure(&gap.target),
            accept_mm: if turned < 0.0 { (ends.1, ends.0) } else { ends },
        })
    }
}
