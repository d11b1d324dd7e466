//! The order of choice among packs that are level: fewest shims, the box, the lean, the distance.

use std::cmp::{Ordering, Reverse};

use super::candidates::{Candidate, Rules, Stock};
use super::chooser::Chooser;
use super::fill::Fill;
use crate::document::resolved::Lean;
use crate::length::on_grid;
use crate::model::{Item, Origin};

/// What decides between level packs, the first difference counting; the smallest key is taken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    shims: usize,
    /// How many of the scarcest size that is taken are left in the box: most first.
    left: Reverse<usize>,
    /// Whether it is on the other side of the target than the lean wants.
    against_lean: bool,
    /// The distance of each gap, the greatest first: where what is furthest is as far, what is next to it counts.
    distances: Vec<i64>,
    /// The looser gap first.
    looseness: Reverse<i64>,
    /// Of several packs the first ones first.
    thickness_nm: Vec<i64>,
    sizes_nm: Vec<i64>,
}

pub(super) fn key(chooser: &Chooser<'_>, fill: &Fill, stock: Stock) -> Key {
    let thickness_nm = fill.thickness_nm();
    let looseness = chooser.aims.first().map_or(0, |aim| {
        let sign = if aim.gap.preload { -1 } else { 1 };
        aim.expected_nm(&thickness_nm).saturating_mul(sign)
    });
    let against_lean = chooser.lean().is_some_and(|(aim, lean)| {
        let off = aim.expected_nm(&thickness_nm).saturating_sub(on_grid(aim.target_mm));
        let looser = if aim.gap.preload { off.saturating_neg() } else { off };
        match lean {
            Lean::Looser => looser < 0,
            Lean::Tighter => looser > 0,
            Lean::Nearest | Lean::ThickestThatEnters => false,
        }
    });
    let sizes = |(which, candidate): (usize, &Candidate)| {
        let items = chooser.items(stock, which);
        let nm = |&(item, count): &(usize, usize)| std::iter::repeat_n(items[item].thickness_nm(), count);
        candidate.counts.iter().flat_map(nm).collect::<Vec<i64>>()
    };
    let left = match stock {
        Stock::Box => left(&chooser.stocks.kinds, &chooser.stocks.taken(fill)),
        Stock::Bought => usize::MAX,
    };
    Key {
        shims: fill.shims(),
        left: Reverse(left),
        against_lean,
        distances: chooser.distances(&thickness_nm),
        looseness: Reverse(looseness),
        sizes_nm: fill.0.iter().enumerate().flat_map(sizes).collect(),
        thickness_nm,
    }
}

/// How many of the scarcest size that is taken are left in the box.
pub(super) fn left(items: &[Item], taken: &[(usize, usize)]) -> usize {
    let mut left = usize::MAX;
    for &(index, count) in taken {
        let item = &items[index];
        let from_box = count.saturating_sub(item.fitted);
        if let (Some(in_box), true) = (item.in_box, from_box > 0 && item.origin == Origin::Kit) {
            // With the rule on the box left out, more may be taken than there are.
            let of_size =
                if item.unique { left_of_measured(items, taken, item) } else { in_box.saturating_sub(from_box) };
            left = left.min(of_size);
        }
    }
    left
}

/// How many shims of a size that were measured one by one are left in the box: each is an item of its own, and the size
/// is what runs out.
fn left_of_measured(items: &[Item], taken: &[(usize, usize)], one: &Item) -> usize {
    let label = on_grid(one.label_mm);
    let alike = |item: &Item| item.unique && item.origin == Origin::Kit && on_grid(item.label_mm) == label;
    let there: usize = items.iter().filter(|item| alike(item)).filter_map(|item| item.in_box).sum();
    let taken: usize = taken.iter().filter(|(item, _)| alike(&items[*item])).map(|(_, count)| count).sum();
    there.saturating_sub(taken)
}

/// How the keys of two packs of one thickness stand to each other, without making the keys.
pub(super) fn among_equals(rules: &Rules, a: &Candidate, b: &Candidate) -> Ordering {
    let nm = |&(item, count): &(usize, usize)| std::iter::repeat_n(rules.items_nm[item], count);
    a.shims
        .cmp(&b.shims)
        .then_with(|| left(&rules.items, &b.counts).cmp(&left(&rules.items, &a.counts)))
        .then_with(|| a.counts.iter().flat_map(nm).cmp(b.counts.iter().flat_map(nm)))
}
