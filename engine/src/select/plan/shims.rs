//! Every shim that the stations may be given, each kind once.

use std::collections::HashMap;

use crate::length::on_grid;
use crate::model::{Item, Model};
use crate::select::stocks::is_like;

/// Shims that are alike.
pub(super) struct Kind {
    pub(super) item: Item,
    /// How many are in the box; none: plenty.
    pub(super) in_box: Option<usize>,
    /// The stations that have one in now, one entry a shim, and whether it is to stay.
    pub(super) fitted_in: Vec<(usize, bool)>,
}

/// The kinds of the box and of what is fitted in any of these packs, which are of one kit.
pub(super) fn kinds(model: &Model, packs: &[usize]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    let mut of_label: HashMap<i64, Vec<usize>> = HashMap::new();
    // Two shims of one pack are two shims, however much they are alike.
    let mut last_pack: Vec<usize> = Vec::new();
    for (station, &pack) in packs.iter().enumerate() {
        for item in &model.packs[pack].items {
            let alike = of_label.entry(on_grid(item.label_mm)).or_default();
            let known =
                alike.iter().copied().find(|&kind| last_pack[kind] != station && is_like(&kinds[kind].item, item));
            let kind = known.unwrap_or_else(|| {
                alike.push(kinds.len());
                last_pack.push(station);
                kinds.push(Kind { item: item.clone(), in_box: item.in_box, fitted_in: Vec::new() });
                kinds.len() - 1
            });
            last_pack[kind] = station;
            kinds[kind].fitted_in.extend((0..item.fitted).map(|shim| (station, shim < item.staying)));
        }
    }
    kinds
}
