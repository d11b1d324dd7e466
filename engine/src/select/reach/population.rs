//! The two documents behind `reach` and `stock`: the parts as they come, and as they will be read.

use crate::document::resolved::Document;

/// The document of the population: a dimension with a drawing is as its drawing says, one that has readings only keeps
/// their law. Nothing is fitted and no gap was found; of each size there is plenty, unless the box as counted is asked
/// for, and then a shim is of its size, measured or not.
pub(in crate::select) fn population(document: &Document, on_hand: bool) -> Document {
    let mut population = as_read(document, on_hand);
    for dimension in &mut population.dimensions {
        if dimension.drawing.is_some() {
            dimension.readings = None;
        }
    }
    population
}

/// The same with the readings of each dimension, as they tell how parts will be read.
pub(in crate::select) fn as_read(document: &Document, on_hand: bool) -> Document {
    let mut read = document.clone();
    for gap in &mut read.gaps {
        gap.found = None;
    }
    for pack in &mut read.packs {
        pack.fitted = None;
    }
    for kit in read.kits.iter_mut().filter(|_| !on_hand) {
        kit.counted = false;
        for size in &mut kit.sizes {
            size.on_hand = None;
            size.actual_mm.clear();
        }
    }
    read
}
