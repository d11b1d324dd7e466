//! The thickest pack that enters: which one it is by the number, and in which order to try.

use super::PickError;
use super::candidates::Stock;
use super::chooser::{Aim, Chooser};
use super::fill::Fill;
use super::neighbours::{next, next_in};
use crate::analyse::Judge;
use crate::document::resolved::Lean;
use crate::length::on_grid;

/// A pack that enters less often than this is not worth trying.
const LEAST_CHANCE: f64 = 0.01;
/// More packs than this are not tried on either side of the first one.
const MOST_TRIES: usize = 6;

/// The gap that a pack has to enter, where there is one.
pub(super) fn aim<'c, 'a>(chooser: &'c Chooser<'a>) -> Result<Option<&'c Aim<'a>>, PickError> {
    let Some(aim) = chooser.aims.iter().find(|aim| aim.gap.lean == Lean::ThickestThatEnters) else { return Ok(None) };
    let refused = |why: &str| Err(PickError::CannotEnter { gap: aim.gap.name.clone(), why: why.to_owned() });
    if chooser.chosen.len() > 1 {
        return refused("it takes one pack, chosen by itself");
    }
    // Of a play, thicker must take from it; the figures of a preload have the other sign.
    if aim.coefficients[0] * aim.gap.looser_sign() > 0.0 {
        return refused("a thicker pack opens this gap, so that every pack enters");
    }
    Ok(Some(aim))
}

/// The thickest pack with which the expected play is not less than nothing; none where none enters.
pub(super) fn thickest(chooser: &Chooser<'_>, aim: &Aim<'_>) -> Result<Option<Fill>, PickError> {
    let fills = on_grid(-aim.start_mm / aim.coefficients[0]);
    // The grid may have rounded the thickness that fills it up or down.
    let mut at = fills.saturating_add(2);
    while let Some(one) = next(chooser, at, false)? {
        let play = aim.expected_nm(&[one.thickness_nm]);
        if (if aim.gap.preload { -play } else { play }) >= 0 {
            return Ok(Some(Fill(vec![one])));
        }
        at = one.thickness_nm;
    }
    Ok(None)
}

/// Packs to try, the thickest first, each with the probability that it enters: from the thickest that may, to the
/// first that surely does.
pub(super) fn tries(chooser: &Chooser<'_>, aim: &Aim<'_>, best: &Fill) -> Result<Vec<(Fill, f64)>, PickError> {
    let mut tries = vec![(best.clone(), enters(chooser, aim, best)?)];
    for thicker in [true, false] {
        for _ in 0..MOST_TRIES {
            let (last, chance) = if thicker { &tries[0] } else { &tries[tries.len() - 1] };
            if !thicker && *chance >= chooser.confidence.probability() {
                break;
            }
            let Some(fill) = next_in(chooser, last, thicker)? else { break };
            let chance = enters(chooser, aim, &fill)?;
            if thicker && chance < LEAST_CHANCE {
                break;
            }
            let place = if thicker { 0 } else { tries.len() };
            tries.insert(place, (fill, chance));
        }
    }
    Ok(tries)
}

/// P(play ≥ 0).
fn enters(chooser: &Chooser<'_>, aim: &Aim<'_>, fill: &Fill) -> Result<f64, PickError> {
    let packs = chooser.packs(&fill.forms(chooser, Stock::Box));
    let whole = chooser.model.with(aim.gap, &packs);
    let play = aim.expected_nm(&fill.thickness_nm());
    if !whole.is_random(&chooser.model.columns) {
        return Ok(f64::from((if aim.gap.preload { -play } else { play }) >= 0));
    }
    let judge = Judge::new(&whole, aim.gap, &chooser.model.columns)?;
    let gap = judge.distribution();
    Ok(if aim.gap.preload { gap.below(0.0).value } else { gap.above(0.0).value })
}
