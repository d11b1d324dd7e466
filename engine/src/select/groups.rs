//! Which packs have to be chosen together.

use super::PickError;
use crate::model::Model;

/// More packs than this are not chosen together.
pub(super) const MOST_TOGETHER: usize = 4;

/// The packs that are in gaps with something to aim at, those together that bear on one gap or draw on one box.
pub(super) fn of(model: &Model) -> Result<Vec<Vec<usize>>, PickError> {
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
    for group in &mut groups {
        group.sort_unstable();
        if group.len() > MOST_TOGETHER {
            let packs = group.iter().map(|&pack| model.packs[pack].name.clone()).collect();
            return Err(PickError::SeveralPacks { packs });
        }
    }
    groups.sort_unstable();
    Ok(groups)
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
    let (one, other) = (&model.packs[one], &model.packs[other]);
    one.kit == other.kit && one.items.iter().chain(&other.items).any(|item| item.in_box.is_some())
}
