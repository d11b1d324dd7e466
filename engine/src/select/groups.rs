//! Which packs have to be chosen together.

use super::PickError;
use crate::document::resolved::Lean;
use crate::model::{Gap, Model, Pack};

/// More packs than this are not chosen together.
pub(super) const MOST_TOGETHER: usize = 4;

/// Packs that are chosen together, in the model's order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Group {
    pub(super) packs: Vec<usize>,
    /// Whether each is a station of its own: they share a kit, no gap and no rule, and take one shim each.
    pub(super) stations: bool,
}

impl Group {
    /// Refuses more packs than are chosen together.
    pub(super) fn few_enough(&self, model: &Model) -> Result<(), PickError> {
        if self.packs.len() <= MOST_TOGETHER {
            return Ok(());
        }
        let packs = self.packs.iter().map(|&pack| model.packs[pack].name.clone()).collect();
        Err(PickError::SeveralPacks { packs })
    }
}

/// The packs that are in gaps with something to aim at, those together that bear on one gap or draw on one box.
pub(super) fn of(model: &Model) -> Result<Vec<Group>, PickError> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for gap in model.gaps.iter().filter(|gap| gap.is_judged()) {
        let packs: Vec<usize> = (0..model.packs.len()).filter(|&pack| gap.pack_coefficients[pack] != 0.0).collect();
        if packs.is_empty() {
            continue;
        }
        if gap.target.is_none() {
            return Err(PickError::NoTarget { gap: gap.name.clone() });
        }
        join(&mut groups, packs);
    }
    // A pack that is to be like another one is chosen with it, whether or not a gap asks for it.
    for (index, pack) in model.packs.iter().enumerate() {
        for other in [pack.same_as, pack.not_thinner_than].into_iter().flatten() {
            if groups.iter().flatten().any(|&one| one == index || one == other) {
                join(&mut groups, vec![index, other]);
            }
        }
    }
    let of_a_gap = groups.clone();
    let all: Vec<usize> = groups.iter().flatten().copied().collect();
    for (index, &one) in all.iter().enumerate() {
        for &other in &all[..index] {
            if share_a_box(model, one, other) {
                join(&mut groups, vec![one, other]);
            }
        }
    }
    if groups.is_empty() {
        return Err(PickError::NothingToChoose);
    }
    let alone = |pack: usize| of_a_gap.iter().any(|group| group == &[pack]);
    let station = |&pack: &usize| alone(pack) && may_be_station(model, pack);
    let mut found = Vec::with_capacity(groups.len());
    for packs in groups {
        let stations = packs.len() > 1 && packs.iter().all(station);
        let group = Group { packs, stations };
        if !stations {
            group.few_enough(model)?;
        }
        found.push(group);
    }
    found.sort_unstable();
    Ok(found)
}

/// Puts packs into one group, with all that are in a group with any of them.
fn join(groups: &mut Vec<Vec<usize>>, mut packs: Vec<usize>) {
    let mut kept = Vec::with_capacity(groups.len() + 1);
    for group in groups.drain(..) {
        if group.iter().any(|pack| packs.contains(pack)) {
            packs.extend(group);
        } else {
            kept.push(group);
        }
    }
    packs.sort_unstable();
    packs.dedup();
    kept.push(packs);
    *groups = kept;
}

/// Whether what one pack takes may be missing for the other, or what one gives up may serve the other.
fn share_a_box(model: &Model, one: usize, other: usize) -> bool {
    // Of stations with shims in, one plan is wanted, whatever the box has.
    // One with a shim to lap is better chosen by itself, where the box does not bind it to others.
    let planned = |pack: &Pack| pack.fitted.is_some() && pack.lap.is_none();
    let stations = [one, other].iter().all(|&pack| may_be_station(model, pack) && planned(&model.packs[pack]));
    let (one, other) = (&model.packs[one], &model.packs[other]);
    let counted = || one.items.iter().chain(&other.items).any(|item| item.in_box.is_some());
    one.kit == other.kit && (stations || counted())
}

/// Whether a pack is exactly one shim of a kit, and is not found by trying, where each shim decides on the next.
fn may_be_station(model: &Model, pack: usize) -> bool {
    let tries = |gap: &Gap| gap.lean == Lean::ThickestThatEnters && gap.pack_coefficients[pack] != 0.0;
    let pack_of_model = &model.packs[pack];
    let count = &pack_of_model.count;
    (count.least, count.most) == (1, 1) && pack_of_model.is_of_shims() && !model.gaps.iter().any(tries)
}
