//! The stream of packs that obey the rules.

use std::sync::Arc;

use crate::length::on_grid;
use crate::model::{Item, Pack};

/// More packs than this are not looked through in one window, where one pack is chosen alone.
pub const MOST_CANDIDATES: usize = 300_000;
/// Nor more than this of one pack, where several are chosen together: what the others are decides its window, which
/// may be all there are.
pub(super) const MOST_OF_SEVERAL: usize = 1_000_000;
/// More sizes than this, for each pack that may be handed over, are not tried on the way to them.
const STEPS: usize = 14;

/// Where shims may come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stock {
    /// The box, and what is fitted.
    Box,
    /// Any size of the kit, as many as wanted.
    Bought,
}

/// A pack: how many of each item, those that are used only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Candidate {
    /// Item and number, items ascending and so thicknesses too.
    pub(super) counts: Vec<(usize, usize)>,
    /// The thickness on the 1 nm grid.
    pub(super) thickness_nm: i64,
    /// How many shims.
    pub(super) shims: usize,
}

/// The rules of a pack; each can be left out, to see what it costs.
#[derive(Debug, Clone)]
pub(super) struct Rules {
    /// In order of thickness.
    pub(super) items: Arc<[Item]>,
    /// The thickness of each item on the grid: rounding it anew for each pack would cost more than all the rest.
    pub(super) items_nm: Vec<i64>,
    pub(super) least: usize,
    pub(super) most: usize,
    /// Labels on the grid that must be in it, one for each.
    pub(super) includes_nm: Vec<i64>,
    pub(super) thickest_nm: Option<i64>,
    /// Labels on the grid of which no two may meet, list by list.
    pub(super) never_nm: Vec<Vec<i64>>,
    /// The place of the pack that it is to be as thick as, among those that are chosen.
    pub(super) same_as: Option<usize>,
    /// The place of the pack that it may not be thinner than.
    pub(super) not_thinner_than: Option<usize>,
    /// Whether the number in the box counts.
    pub(super) limited: bool,
}

impl Rules {
    pub(super) fn of(pack: &Pack, items: Arc<[Item]>, limited: bool) -> Rules {
        Rules {
            items_nm: items.iter().map(Item::thickness_nm).collect(),
            least: pack.count.least,
            most: pack.count.most,
            includes_nm: pack.includes_mm.iter().map(|&mm| on_grid(mm)).collect(),
            thickest_nm: pack.thickest_mm.map(on_grid),
            never_nm: pack.never_mm.iter().map(|list| list.iter().map(|&mm| on_grid(mm)).collect()).collect(),
            same_as: None,
            not_thinner_than: None,
            limited,
            items,
        }
    }

    /// How many of an item may be used.
    pub(super) fn available(&self, item: &Item) -> usize {
        if self.limited || item.unique { item.available().unwrap_or(usize::MAX) } else { usize::MAX }
    }

    /// Whether a finished pack obeys the rules that concern the whole of it.
    pub(super) fn obeys(&self, candidate: &Candidate) -> bool {
        if candidate.shims < self.least || candidate.shims > self.most {
            return false;
        }
        if self.thickest_nm.is_some_and(|thickest| candidate.thickness_nm > thickest) {
            return false;
        }
        let having = |label: i64| {
            let of_size = candidate.counts.iter().filter(|(item, _)| on_grid(self.items[*item].label_mm) == label);
            of_size.map(|(_, count)| count).sum::<usize>()
        };
        let included = self
            .includes_nm
            .iter()
            .all(|&label| having(label) >= self.includes_nm.iter().filter(|&&one| one == label).count());
        // Of a list, each size counts as often as it stands there: of two alike, one may be in and not two.
        let meeting = |list: &Vec<i64>| {
            let distinct = list.iter().enumerate().filter(|&(place, label)| !list[..place].contains(label));
            let of_label =
                |(_, label): (usize, &i64)| having(*label).min(list.iter().filter(|&other| other == label).count());
            distinct.map(of_label).sum::<usize>()
        };
        included && self.never_nm.iter().all(|list| meeting(list) < 2)
    }

    /// Whether packs of these thicknesses, of which this is the one at `which`, are to each other as the rules want;
    /// packs that are not there yet do not count.
    pub(super) fn goes_with(&self, which: usize, thickness_nm: &[i64]) -> bool {
        let other = |place: Option<usize>| place.and_then(|place| thickness_nm.get(place));
        let Some(own) = thickness_nm.get(which) else { return true };
        other(self.same_as).is_none_or(|other| own == other)
            && other(self.not_thinner_than).is_none_or(|other| own >= other)
    }

    /// The least and the greatest thickness that any pack could have, by the count alone.
    pub(super) fn span_nm(&self) -> (i64, i64) {
        // The places of a screw may be less than none.
        let least = self.items_nm.first().map_or(0, |&thinnest| thinnest.min(0));
        (times(least, self.most), self.items_nm.last().map_or(0, |&thickest| times(thickest.max(0), self.most)))
    }

    /// Hands over each pack whose thickness is in `window_nm` (both ends in); None where there are too many.
    ///
    /// Packs that differ only in which of several equal shims they use are one pack.
    pub(super) fn each(&self, window_nm: (i64, i64), take: &mut impl FnMut(&Candidate)) -> Option<()> {
        self.each_of(window_nm, MOST_CANDIDATES, take)
    }

    /// The same with another limit.
    pub(super) fn each_of(&self, window_nm: (i64, i64), most: usize, take: &mut impl FnMut(&Candidate)) -> Option<()> {
        if self.most == 1 {
            return self.each_single(window_nm, most, take);
        }
        let high = self.thickest_nm.map_or(window_nm.1, |thickest| window_nm.1.min(thickest));
        // What stays in later items has to be in the pack whatever comes before.
        let mut staying_behind = vec![(0_usize, 0_i64); self.items.len() + 1];
        for index in (0..self.items.len()).rev() {
            let staying = self.items[index].staying;
            let (count, thickness) = staying_behind[index + 1];
            staying_behind[index] = (count + staying, thickness.saturating_add(times(self.items_nm[index], staying)));
        }
        let pack = Candidate { counts: Vec::new(), thickness_nm: 0, shims: 0 };
        let window = (window_nm.0, high);
        let mut walk = Walk { rules: self, window, staying_behind, pack, steps: STEPS * most, left: most, take };
        walk.from(0, 0, 0)
    }
}

impl Rules {
    /// The packs of one shim or none.
    fn each_single(&self, window_nm: (i64, i64), most: usize, take: &mut impl FnMut(&Candidate)) -> Option<()> {
        let stays = self.items.iter().position(|item| item.staying > 0);
        let mut left = most;
        let mut hand_over = |counts: Vec<(usize, usize)>, thickness_nm: i64| {
            let one = Candidate { shims: counts.len(), counts, thickness_nm };
            if self.obeys(&one) {
                left = left.checked_sub(1)?;
                take(&one);
            }
            Some(())
        };
        if stays.is_none() && (window_nm.0..=window_nm.1).contains(&0) {
            hand_over(Vec::new(), 0)?;
        }
        let first = self.items_nm.partition_point(|&nm| nm < window_nm.0);
        let there = self.items_nm.iter().enumerate().skip(first).take_while(|&(_, &nm)| nm <= window_nm.1);
        for (index, &nm) in there {
            if self.available(&self.items[index]) > 0 && stays.is_none_or(|stays| stays == index) {
                hand_over(vec![(index, 1)], nm)?;
            }
        }
        Some(())
    }
}

/// A thickness so many times; it saturates, for a kit may name any length.
pub(super) fn times(nm: i64, count: usize) -> i64 {
    nm.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX))
}

struct Walk<'a, F> {
    rules: &'a Rules,
    window: (i64, i64),
    /// For each item: how many shims stay in it and those behind, and their thickness.
    staying_behind: Vec<(usize, i64)>,
    /// The pack as far as it is made up.
    pack: Candidate,
    /// How many sizes may still be tried.
    steps: usize,
    /// How many packs may still be handed over.
    left: usize,
    take: &'a mut F,
}

impl<F: FnMut(&Candidate)> Walk<'_, F> {
    /// Goes on from item `index` with `shims` taken that are `thickness` thick together; None where there is too much to
    /// try. It goes one level deeper for each size that is taken, not for each that is passed over: a kit may have
    /// thousands.
    fn from(&mut self, index: usize, shims: usize, thickness: i64) -> Option<()> {
        let (staying, staying_thickness) = self.staying_behind[index];
        if shims + staying > self.rules.most || thickness.saturating_add(staying_thickness) > self.window.1 {
            return Some(());
        }
        let rules = self.rules;
        let room = rules.most - shims;
        // Items are in order of thickness: the last one bounds what can still be added.
        let thickest = rules.items_nm.last().copied().unwrap_or(0);
        if thickness.saturating_add(times(thickest, room)) < self.window.0 {
            return Some(());
        }
        if staying == 0 {
            self.finish(shims, thickness)?;
        }
        let needed = rules.least.saturating_sub(shims).max(1);
        // The last shim has to reach the window by itself.
        let first = if room == 1 && staying == 0 {
            index + rules.items_nm[index..].partition_point(|&nm| thickness.saturating_add(nm) < self.window.0)
        } else {
            index
        };
        for (next, item) in rules.items.iter().enumerate().skip(first) {
            self.steps = self.steps.checked_sub(1)?;
            let nm = rules.items_nm[next];
            // Those that follow are thicker still, and of what stays among them this one is no thicker.
            if room == 0 || thickness.saturating_add(times(nm, needed)) > self.window.1 {
                break;
            }
            for count in item.staying.max(1)..=rules.available(item).min(room) {
                let added = thickness.saturating_add(times(nm, count));
                if added > self.window.1 {
                    break;
                }
                self.pack.counts.push((next, count));
                let went_on = self.from(next + 1, shims + count, added);
                self.pack.counts.pop();
                went_on?;
            }
            if item.staying > 0 {
                break;
            }
        }
        Some(())
    }

    fn finish(&mut self, shims: usize, thickness_nm: i64) -> Option<()> {
        if thickness_nm < self.window.0 {
            return Some(());
        }
        (self.pack.shims, self.pack.thickness_nm) = (shims, thickness_nm);
        if self.rules.obeys(&self.pack) {
            self.left = self.left.checked_sub(1)?;
            (self.take)(&self.pack);
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Form, Origin};

    fn item(nm: i64, in_box: Option<usize>, staying: usize) -> Item {
        let mm = crate::length::from_grid_mm(nm);
        let (label, form) = (nm.to_string(), Form::constant(mm));
        let (fitted, origin, unique) = (staying, Origin::Kit, false);
        Item { label, label_mm: mm, thickness_mm: mm, form, in_box, fitted, staying, origin, unique }
    }

    /// Every way to take up to `most` of each item, without any shortening.
    fn all_ways(rules: &Rules) -> Vec<Candidate> {
        let mut ways = vec![Candidate { counts: Vec::new(), thickness_nm: 0, shims: 0 }];
        for (index, item) in rules.items.iter().enumerate() {
            let before = std::mem::take(&mut ways);
            for way in &before {
                for count in item.staying..=rules.available(item).min(rules.most) {
                    let mut longer = way.clone();
                    if count > 0 {
                        longer.counts.push((index, count));
                    }
                    longer.thickness_nm += rules.items_nm[index] * count as i64;
                    longer.shims += count;
                    ways.push(longer);
                }
            }
        }
        ways
    }

    #[test]
    fn the_walk_finds_every_way_once() {
        let items = [
            item(100, Some(1), 1),
            item(150, None, 0),
            item(150, Some(2), 0),
            item(270, Some(0), 0),
            item(400, None, 0),
        ];
        for (least, most) in [(0, 1), (1, 1), (0, 3), (2, 4)] {
            for (includes_nm, thickest_nm) in [(vec![], None), (vec![150, 150], None), (vec![400], Some(700))] {
                let items_nm = items.iter().map(Item::thickness_nm).collect();
                let rules = Rules {
                    never_nm: vec![vec![150, 400], vec![270, 270]],
                    same_as: None,
                    not_thinner_than: None,
                    items: Arc::from(items.as_slice()),
                    items_nm,
                    least,
                    most,
                    includes_nm,
                    thickest_nm,
                    limited: true,
                };
                for window in [(0, 5000), (250, 250), (300, 690), (501, 549), (-5, 99)] {
                    let mut found = Vec::new();
                    rules.each(window, &mut |one| found.push(one.clone())).expect("there are few");
                    let mut expected = all_ways(&rules);
                    expected.retain(|one| rules.obeys(one) && (window.0..=window.1).contains(&one.thickness_nm));
                    let by_counts = |a: &Candidate, b: &Candidate| a.counts.cmp(&b.counts);
                    found.sort_by(by_counts);
                    expected.sort_by(by_counts);
                    assert_eq!(found, expected, "{least} to {most}, {window:?}");
                }
            }
        }
    }
}
