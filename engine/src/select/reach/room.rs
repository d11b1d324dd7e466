//! How far each dimension may go, the rest as they are, until no pack is in any more.

use super::intervals::{Intervals, meet, union};
use super::parts::Group;
use super::quick::Quick;
use crate::document::resolved::Document;
use crate::length::from_grid_mm;
use crate::model::{ColumnKind, Form, Gap, Model};
use crate::select::PickError;

/// What stops a dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The sizes leave a hole there; farther on there is a pack again.
    Hole,
    /// There is no pack farther on.
    End,
}

impl Stop {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Stop::Hole => "hole",
            Stop::End => "end",
        }
    }
}

/// How far a dimension may go.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// The dimension, among the document's.
    pub dimension: usize,
    /// Its size now, in millimetres.
    pub now_mm: f64,
    /// The least size and what stops it there; none: nothing does.
    pub low: Option<(f64, Stop)>,
    /// The greatest size and what stops it there; none: nothing does.
    pub high: Option<(f64, Stop)>,
}

/// By how much a form changes with the size of each dimension.
pub(super) fn shares(document: &Document, model: &Model, form: &Form) -> Vec<f64> {
    let one = |(dimension, whole): (&crate::document::resolved::Dimension, &Form)| {
        let own = whole.terms().iter().find(|&&(column, _)| {
            model.columns[column].kind == ColumnKind::Dimension && model.columns[column].name == dimension.name
        });
        own.map_or(0.0, |&(column, coefficient)| form.coefficient(column) / coefficient)
    };
    document.dimensions.iter().zip(&model.dimensions).map(one).collect()
}

/// The room of every dimension that bears on a band; none where no pack is in now. None too where packs are chosen together.
pub(super) fn room(document: &Document, model: &Model, groups: &[Group<'_>]) -> Result<Option<Vec<Room>>, PickError> {
    let mut quicks = Vec::with_capacity(groups.len());
    for group in groups {
        let Some(lots) = group.lots.clone() else { return Ok(None) };
        quicks.push((Quick::new(&group.chooser, lots, true)?, &group.chooser));
    }
    let alone: Vec<&Gap> = model
        .gaps
        .iter()
        .filter(|gap| gap.has_band() && gap.pack_coefficients.iter().all(|&coefficient| coefficient == 0.0))
        .collect();
    let mut rooms = Vec::new();
    for (dimension, size) in model.dimensions.iter().enumerate() {
        let mut all = vec![(f64::NEG_INFINITY, f64::INFINITY)];
        let mut bears = false;
        for (quick, chooser) in &quicks {
            let present = quick.present(chooser);
            let moved: Vec<f64> = quick.aims.iter().map(|aim| moves(document, model, aim.gap)[dimension]).collect();
            bears |= moved.iter().any(|&moved| moved != 0.0);
            // Of one pattern the gaps' places that are sure are the same for every thickness.
            let sure: Vec<Vec<Intervals>> = (0..quick.lots.patterns.len())
                .map(|pattern| (0..quick.aims.len()).map(|aim| quick.sure(aim, pattern)).collect())
                .collect();
            let mut served = Vec::new();
            for lot in &quick.lots.all {
                let mut of_lot = vec![(f64::NEG_INFINITY, f64::INFINITY)];
                for (aim, moved) in moved.iter().enumerate() {
                    let at = present.start_mm[aim] - present.origin_mm[aim]
                        + quick.aims[aim].coefficients[0] * from_grid_mm(lot.thickness_nm);
                    of_lot = meet(&of_lot, &sizes(&sure[lot.pattern][aim], at, *moved));
                }
                served.extend(of_lot);
            }
            all = meet(&all, &union(served));
        }
        for &gap in &alone {
            let moved = moves(document, model, gap)[dimension];
            bears |= moved != 0.0;
            let steps = super::steps::Steps::of(gap, &gap.start, &model.columns, groups[0].chooser.confidence, false)?;
            let origin = gap.low.as_ref().or(gap.high.as_ref()).map_or(0.0, |end| end.mean_mm(&model.columns));
            let at = gap.start.mean_mm(&model.columns) - origin;
            all = meet(&all, &sizes(&steps.sure(), at, moved));
        }
        let Some(here) = all.iter().position(|&(low, high)| (low..=high).contains(&0.0)) else { return Ok(None) };
        if !bears {
            continue;
        }
        let now_mm = size.mean_mm(&model.columns);
        let stop = |farther: bool| if farther { Stop::Hole } else { Stop::End };
        let (low, high) = all[here];
        let end = |by: f64, farther: bool| by.is_finite().then(|| (now_mm + by, stop(farther)));
        rooms.push(Room { dimension, now_mm, low: end(low, here > 0), high: end(high, here + 1 < all.len()) });
    }
    Ok(Some(rooms))
}

/// By how much a gap moves in its band with the size of each dimension.
fn moves(document: &Document, model: &Model, gap: &Gap) -> Vec<f64> {
    match gap.low.as_ref().or(gap.high.as_ref()) {
        Some(end) => shares(document, model, &gap.start.plus(end, -1.0)),
        None => vec![0.0; document.dimensions.len()],
    }
}

/// The changes of a size that bring a gap to places which are sure, the gap being at one of its own now.
fn sizes(places: &[(f64, f64)], at: f64, moved: f64) -> Intervals {
    if moved == 0.0 {
        let sure = places.iter().any(|&(low, high)| (low..=high).contains(&at));
        return if sure { vec![(f64::NEG_INFINITY, f64::INFINITY)] } else { Vec::new() };
    }
    let change = |&(low, high): &(f64, f64)| {
        let ends = [(low - at) / moved, (high - at) / moved];
        (ends[0].min(ends[1]), ends[0].max(ends[1]))
    };
    union(places.iter().map(change).collect())
}
