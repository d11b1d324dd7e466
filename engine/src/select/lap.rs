//! A shim that is lapped to size, where no pack is in band without.

use super::PickError;
use super::candidates::{Candidate, Stock};
use super::choice::Choice;
use super::chooser::Chooser;
use super::fill::Fill;
use super::made;
use super::search::{own_rules, too_many};
use crate::length::{from_grid_mm, on_grid};
use crate::model::{Form, Origin, PackForm};

/// A pack of which one shim is lapped.
pub(super) struct Lapped {
    pub(super) form: PackForm,
    pub(super) choice: Choice,
}

/// Distance, shims, what is taken off, and the sizes: the least counts.
type Order = (i64, usize, i64, Vec<i64>);

/// The best pack with one shim lapped; none where nothing may be taken off, or that brings no gap into band.
///
/// What is taken off brings the gap to target where as much may be; the thickest shim that does not stay is lapped. Of
/// several packs the nearest to target counts, then fewest shims, then the least that is taken off, then the order of sizes.
pub(super) fn lapped(chooser: &Chooser<'_>) -> Result<Option<Lapped>, PickError> {
    let [_] = chooser.chosen.as_slice() else { return Ok(None) };
    let Some((most_mm, error)) = &chooser.pack(0).lap else { return Ok(None) };
    let wanted = made::wanted(chooser);
    let (Some(low), Some(high)) = (wanted.low_mm, wanted.high_mm) else { return Ok(None) };
    let [low, high, aim, most] = [low, high, wanted.thickness_mm, *most_mm].map(on_grid);
    let rules = own_rules(chooser, Stock::Box, 0);
    let mut best: Option<(Order, Candidate, usize)> = None;
    let looked = rules.each((low, high.saturating_add(most)), &mut |one| {
        let off = (one.thickness_nm - aim).clamp(0, most);
        let left = one.thickness_nm - off;
        let free = |&&(item, count): &&(usize, usize)| count > rules.items[item].staying;
        // Nothing is left of a shim that is thinner than what is taken off.
        let Some(&(item, _)) = one.counts.iter().rev().find(free).filter(|(item, _)| rules.items_nm[*item] > off)
        else {
            return;
        };
        if off == 0 || left < low || left > high {
            return;
        }
        let sizes = one.counts.iter().flat_map(|&(item, count)| std::iter::repeat_n(rules.items_nm[item], count));
        let key = (chooser.distance(&[left]), one.shims, off, sizes.collect());
        if best.as_ref().is_none_or(|(there, ..)| key < *there) {
            best = Some((key, one.clone(), item));
        }
    });
    looked.ok_or_else(|| too_many(chooser, 0))?;
    Ok(best.map(|((_, _, off, _), candidate, item)| take_off(chooser, candidate, item, off, error)))
}

fn take_off(chooser: &Chooser<'_>, candidate: Candidate, item: usize, off: i64, error: &Form) -> Lapped {
    let shim = &chooser.items(Stock::Box, 0)[item];
    let off_mm = from_grid_mm(off);
    let fill = Fill(vec![candidate]);
    let mut form = fill.forms(chooser, Stock::Box).swap_remove(0);
    form.thickness_mm -= off_mm;
    // The shim is measured when it is lapped: what was known of it before counts no more.
    form.form.add(&shim.form, -1.0);
    form.form.add(&Form::constant(shim.thickness_mm - off_mm), 1.0);
    form.form.add(error, 1.0);
    let mut choice = fill.choices(chooser, Stock::Box).swap_remove(0);
    choice.thickness_mm -= off_mm;
    let label = on_grid(shim.label_mm);
    let lapped = choice.shims.iter_mut().rev().find(|one| on_grid(one.size_mm) == label && !one.stays);
    if let Some(one) = lapped {
        one.thickness_mm -= off_mm;
        one.from = Origin::Lapped;
    }
    Lapped { form, choice }
}
