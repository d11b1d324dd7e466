//! What else there is: the next thinner and thicker packs, and what a bought shim would do.

use super::candidates::{Candidate, Stock};
use super::chooser::Chooser;
use super::fill::Fill;
use super::order::among_equals;
use super::search::{self, own_rules, too_many};
use super::{AlternativeRole, PickError};
use crate::length::on_grid;

/// The first step that is looked beyond a thickness, on the grid: most kits have steps of 0.01 mm or more.
const FIRST_STEP_NM: i64 = 10_000;

/// The next thinner and the next thicker of one pack.
pub(super) fn both(chooser: &Chooser<'_>, thickness_mm: f64) -> Result<Vec<(AlternativeRole, Fill)>, PickError> {
    let at = on_grid(thickness_mm);
    let mut found = Vec::new();
    for (role, thicker) in [(AlternativeRole::Thinner, false), (AlternativeRole::Thicker, true)] {
        if let Some(candidate) = next(chooser, at, thicker)? {
            found.push((role, Fill(vec![candidate])));
        }
    }
    Ok(found)
}

/// What could be fitted if shims of the kits were bought.
pub(super) fn bought(chooser: &mut Chooser<'_>) -> Result<Option<Fill>, PickError> {
    // What stays in is no kit size of its own; a bought pack would have to be reckoned around it.
    let stays = |which: usize| chooser.items(Stock::Box, which).iter().any(|item| item.staying > 0);
    if (0..chooser.chosen.len()).any(stays) {
        return Ok(None);
    }
    search::best(chooser, Stock::Bought, None)
}

/// The next thinner or thicker of one pack.
pub(super) fn next_in(chooser: &Chooser<'_>, fill: &Fill, thicker: bool) -> Result<Option<Fill>, PickError> {
    Ok(next(chooser, fill.0[0].thickness_nm, thicker)?.map(|one| Fill(vec![one])))
}

/// The pack of the nearest thickness beyond this one on one side; of several, the first in the order of choice.
pub(super) fn next(chooser: &Chooser<'_>, at: i64, thicker: bool) -> Result<Option<Candidate>, PickError> {
    let rules = own_rules(chooser, Stock::Box, 0);
    let (least, most) = rules.span_nm();
    let mut step = FIRST_STEP_NM;
    loop {
        let window = if thicker {
            (at.saturating_add(1), at.saturating_add(step))
        } else {
            (at.saturating_sub(step), at.saturating_sub(1))
        };
        let far = |one: &Candidate| one.thickness_nm.saturating_sub(at).saturating_abs();
        let mut best: Option<Candidate> = None;
        let looked = rules.each(window, &mut |one| {
            let better = best
                .as_ref()
                .is_none_or(|best| far(one).cmp(&far(best)).then_with(|| among_equals(&rules, one, best)).is_lt());
            if better {
                best = Some(one.clone());
            }
        });
        looked.ok_or_else(|| too_many(chooser, 0))?;
        if best.is_some() {
            return Ok(best);
        }
        if window.0 <= least && !thicker || window.1 >= most && thicker {
            return Ok(None);
        }
        step = step.saturating_mul(4);
    }
}
