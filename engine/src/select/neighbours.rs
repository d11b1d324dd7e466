//! What else there is: the next thinner and thicker packs, and what a bought shim would do.

use super::candidates::{Candidate, Stock};
use super::chooser::Chooser;
use super::order::among_equals;
use super::search::{self, own_rules, too_many};
use super::{Alternative, AlternativeRole, PickError};
use crate::analyse::Verdict;
use crate::length::on_grid;

/// The first step that is looked beyond a thickness, on the grid: most kits have steps of 0.01 mm or more.
const FIRST_STEP_NM: i64 = 10_000;

/// The next thinner and the next thicker pack.
pub(super) fn both(chooser: &mut Chooser<'_>, thickness_mm: f64) -> Result<Vec<Alternative>, PickError> {
    let at = on_grid(thickness_mm);
    let mut found = Vec::new();
    for (role, thicker) in [(AlternativeRole::Thinner, false), (AlternativeRole::Thicker, true)] {
        if let Some(candidate) = next(chooser, at, thicker)? {
            found.push(alternative(chooser, role, &candidate, Stock::Box)?);
        }
    }
    Ok(found)
}

/// What could be fitted if shims of the kit were bought, where that is better than what the box gives.
pub(super) fn bought(chooser: &mut Chooser<'_>, thickness_mm: f64) -> Result<Option<Alternative>, PickError> {
    // What stays in is no kit size of its own; a bought pack would have to be reckoned around it.
    if chooser.items(Stock::Box).iter().any(|item| item.staying > 0) {
        return Ok(None);
    }
    let Some(candidate) = search::best(chooser, Stock::Bought, None)? else { return Ok(None) };
    let one = alternative(chooser, AlternativeRole::Next, &candidate, Stock::Bought)?;
    let another = on_grid(one.choice.thickness_mm) != on_grid(thickness_mm);
    Ok((another && one.verdict != Some(Verdict::Out)).then_some(one))
}

fn alternative(
    chooser: &mut Chooser<'_>,
    role: AlternativeRole,
    candidate: &Candidate,
    stock: Stock,
) -> Result<Alternative, PickError> {
    let form = candidate.form(chooser, stock);
    let (gaps, verdict) = chooser.expected(&form)?;
    Ok(Alternative { role, choice: candidate.choice(chooser, stock), gaps, verdict })
}

/// The pack of the nearest thickness beyond this one on one side; of several, the first in the order of choice.
fn next(chooser: &Chooser<'_>, at: i64, thicker: bool) -> Result<Option<Candidate>, PickError> {
    let rules = own_rules(chooser, Stock::Box);
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
        looked.ok_or_else(|| too_many(chooser))?;
        if best.is_some() {
            return Ok(best);
        }
        if window.0 <= least && !thicker || window.1 >= most && thicker {
            return Ok(None);
        }
        step = step.saturating_mul(4);
    }
}
