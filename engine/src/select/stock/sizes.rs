//! The choice of sizes: an exact optimum where a pack is one shim or where every choice can be looked at, else a local search
//! with a bound.

use std::sync::Arc;

use super::windows::{Window, best, together};
use super::{Bound, StockError};
use crate::length::{from_grid_mm, on_grid};
use crate::model::Item;
use crate::select::PickError;
use crate::select::alike::Alike;
use crate::select::candidates::{Rules, Stock};
use crate::select::chooser::Chooser;
use crate::select::reach::lots::Lots;
use crate::select::reach::parts::{Group, parts};
use crate::select::reach::served::OneSum;
use crate::select::search::own_rules;

/// Up to so many choices of sizes are all looked at.
const MOST_CHOICES: usize = 3_000;
/// More thicknesses than this are not weighed for the bound.
const MOST_WINDOWS: usize = 4_000;
/// A choice is better by this much or it is none.
const BETTER: f64 = 1e-12;

/// What sizes are chosen for.
pub(super) struct Choice<'a> {
    pub(super) chooser: Chooser<'a>,
    pub(super) rules: Rules,
    pub(super) sum: OneSum,
    /// Every thickness of all sizes together, ascending, with its window; the windows go with or against it.
    windows: Vec<(i64, Window)>,
    rises: bool,
    /// Sizes that must be kept.
    forced: Vec<usize>,
    reached_by_all: f64,
    /// How often the gaps without a pack are in band.
    others: f64,
}

/// Sizes that were chosen.
pub(super) struct Found {
    /// As places among the items, ascending.
    pub(super) sizes: Vec<usize>,
    pub(super) reached: f64,
    pub(super) bound: f64,
    pub(super) bounded_by: Bound,
}

impl<'a> Choice<'a> {
    pub(super) fn new(chooser: Chooser<'a>) -> Result<Choice<'a>, StockError> {
        let pack = chooser.pack(0).name.clone();
        let not_one = || StockError::NotOneSum { pack: pack.clone() };
        let rules = own_rules(&chooser, Stock::Box, 0);
        let model = chooser.model;
        let group = super::group_of(chooser)?;
        let groups = [group];
        let mut all = parts(model, &groups).ok_or(crate::select::reach::ReachError::NoBand)?.into_iter();
        let part = all.next().ok_or_else(not_one)?;
        let sum = OneSum::of(&part, &model.columns).ok().flatten().ok_or_else(not_one)?;
        let mut others = 1.0;
        for part in all {
            others *= OneSum::of(&part, &model.columns).ok().flatten().ok_or_else(not_one)?.probability(0.0).0;
        }
        let [Group { chooser, choices_nm, .. }] = groups;
        let windows: Vec<(i64, Window)> = choices_nm
            .iter()
            .zip(&part.moves)
            .filter_map(|(choice, moves)| {
                let (before, through) = sum.window(moves)?;
                Some((choice[0], Window { before, through }))
            })
            .collect();
        let rises = windows.first().zip(windows.last()).is_none_or(|(first, last)| first.1.before <= last.1.before);
        let forced = (0..rules.items.len())
            .filter(|&index| rules.includes_nm.contains(&on_grid(rules.items[index].label_mm)))
            .collect();
        let mut choice = Choice { chooser, rules, sum, windows, rises, forced, reached_by_all: 0.0, others };
        choice.reached_by_all = others * choice.held(choice.windows.iter().map(|&(nm, _)| nm));
        Ok(choice)
    }

    pub(super) fn items(&self) -> &Arc<[Item]> {
        &self.rules.items
    }

    pub(super) fn reached_by_all(&self) -> f64 {
        self.reached_by_all
    }

    /// The sums that a thickness serves.
    pub(super) fn serves(&self, thickness_nm: i64) -> (f64, f64) {
        let banded = self.chooser.aims.iter().filter(|aim| aim.gap.has_band());
        let moves: Vec<f64> = banded.map(|aim| aim.coefficients[0] * from_grid_mm(thickness_nm)).collect();
        self.sum.serves(&moves)
    }

    /// The rules with these sizes only.
    pub(super) fn with(&self, sizes: &[usize]) -> Rules {
        let items: Arc<[Item]> = sizes.iter().map(|&index| self.rules.items[index].clone()).collect();
        Rules { items_nm: sizes.iter().map(|&index| self.rules.items_nm[index]).collect(), items, ..self.rules.clone() }
    }

    /// The share that ascending thicknesses hold.
    fn held(&self, thicknesses_nm: impl DoubleEndedIterator<Item = i64>) -> f64 {
        let window = |nm: i64| {
            let at = self.windows.binary_search_by_key(&nm, |&(nm, _)| nm).ok()?;
            Some(self.windows[at].1)
        };
        if self.rises {
            together(thicknesses_nm.filter_map(window))
        } else {
            together(thicknesses_nm.rev().filter_map(window))
        }
    }

    /// How often these sizes get there, the gaps without a pack left aside.
    fn reached(&self, sizes: &[usize]) -> Result<f64, PickError> {
        let rules = self.with(sizes);
        let lots = Lots::of(&rules, &Alike::new(&self.chooser, &rules.items));
        let lots = lots.ok_or_else(|| PickError::TooMany { pack: self.chooser.pack(0).name.clone() })?;
        Ok(self.held(lots.thicknesses_nm().into_iter()))
    }

    /// At most so many sizes that get there most often.
    pub(super) fn best(&self, most: usize) -> Result<Found, PickError> {
        let count = self.items().len();
        let found = |mut sizes: Vec<usize>, reached: f64, bound: f64, bounded_by: Bound| {
            sizes.sort_unstable();
            Found { sizes, reached: reached * self.others, bound: bound * self.others, bounded_by }
        };
        if most >= count {
            let all: Vec<usize> = (0..count).collect();
            let reached = self.reached(&all)?;
            return Ok(found(all, reached, reached, Bound::Proof));
        }
        if self.rules.most <= 1 && self.forced.is_empty() {
            let (sizes, reached) = self.of_single_shims(most);
            return Ok(found(sizes, reached, reached, Bound::Proof));
        }
        let free: Vec<usize> = (0..count).filter(|index| !self.forced.contains(index)).collect();
        let room = most.saturating_sub(self.forced.len());
        if choices(free.len(), room).is_some_and(|choices| choices <= MOST_CHOICES) {
            let mut best: Option<(Vec<usize>, f64)> = None;
            // Fewer sizes first, so that one more has to serve more.
            for number in 0..=room.min(free.len()) {
                each_choice(&free, number, &mut |chosen| {
                    let mut sizes = [&self.forced[..], chosen].concat();
                    sizes.sort_unstable();
                    let reached = self.reached(&sizes)?;
                    if best.as_ref().is_none_or(|(_, there)| reached > there + BETTER) {
                        best = Some((sizes, reached));
                    }
                    Ok(())
                })?;
            }
            let (sizes, reached) = best.unwrap_or_default();
            return Ok(found(sizes, reached, reached, Bound::Proof));
        }
        let (sizes, reached) = self.searched(&free, room)?;
        let (bound, bounded_by) = self.bound(most);
        Ok(found(sizes, reached, bound, bounded_by))
    }

    /// An exact optimum for packs of one shim.
    fn of_single_shims(&self, most: usize) -> (Vec<usize>, f64) {
        // No shim at all is a pack too where the rules allow it, and takes no size.
        let is_free = |nm: i64| nm == 0;
        let mut windows: Vec<(i64, Window)> = self.windows.clone();
        if !self.rises {
            windows.reverse();
        }
        let free: Vec<Window> = windows.iter().filter(|(nm, _)| is_free(*nm)).map(|&(_, window)| window).collect();
        windows.retain(|(nm, _)| !is_free(*nm));
        let only: Vec<Window> = windows.iter().map(|&(_, window)| window).collect();
        let (chosen, reached) = best(&only, &free, most);
        let size = |place: usize| self.rules.items_nm.iter().position(|&nm| nm == windows[place].0);
        (chosen.into_iter().filter_map(size).collect(), reached)
    }

    /// Sizes added one by one, each the one that serves most, then changed for others as long as that serves more.
    fn searched(&self, free: &[usize], room: usize) -> Result<(Vec<usize>, f64), PickError> {
        let mut sizes = self.forced.clone();
        let mut reached = self.reached(&sizes)?;
        while sizes.len() < self.forced.len() + room {
            let mut next: Option<(usize, f64)> = None;
            for &one in free.iter().filter(|one| !sizes.contains(one)) {
                let with = self.reached(&sorted(&sizes, one, None))?;
                if next.is_none_or(|(_, there)| with > there + BETTER) {
                    next = Some((one, with));
                }
            }
            // One size alone may serve nothing where two together would.
            let Some((one, with)) = next else { break };
            sizes = sorted(&sizes, one, None);
            reached = with;
        }
        loop {
            let mut better: Option<(Vec<usize>, f64)> = None;
            for &out in sizes.iter().filter(|one| !self.forced.contains(one)) {
                for &one in free.iter().filter(|one| !sizes.contains(one)) {
                    let other = sorted(&sizes, one, Some(out));
                    let with = self.reached(&other)?;
                    if with > better.as_ref().map_or(reached, |(_, there)| *there) + BETTER {
                        better = Some((other, with));
                    }
                }
            }
            match better {
                Some((other, with)) => (sizes, reached) = (other, with),
                None => break,
            }
        }
        Ok((sizes, reached))
    }

    /// What no choice of so many sizes can exceed.
    ///
    /// Formula: k sizes make at most C(k + m, m) packs of up to m shims; that many thicknesses, each chosen freely among all
    /// there are, hold at least as much.
    fn bound(&self, most: usize) -> (f64, Bound) {
        let all = (self.held(self.windows.iter().map(|&(nm, _)| nm)), Bound::AllSizes);
        let thicknesses = choices(most + self.rules.most, self.rules.most);
        let Some(thicknesses) = thicknesses.filter(|&number| number < self.windows.len()) else { return all };
        if self.windows.len() > MOST_WINDOWS {
            return all;
        }
        let mut windows: Vec<Window> = self.windows.iter().map(|&(_, window)| window).collect();
        if !self.rises {
            windows.reverse();
        }
        let freely = best(&windows, &[], thicknesses).1;
        if freely < all.0 { (freely, Bound::FreeThicknesses) } else { all }
    }
}

/// Sizes with one more, and perhaps one out.
fn sorted(sizes: &[usize], one: usize, out: Option<usize>) -> Vec<usize> {
    let mut all: Vec<usize> = sizes.iter().copied().filter(|size| Some(*size) != out).chain([one]).collect();
    all.sort_unstable();
    all
}

/// n over k; none where it is beyond any use.
fn choices(n: usize, k: usize) -> Option<usize> {
    let k = k.min(n);
    (0..k).try_fold(1_usize, |product, index| Some(product.checked_mul(n - index)? / (index + 1)))
}

/// Hands over every choice of so many.
fn each_choice(
    free: &[usize],
    number: usize,
    take: &mut dyn FnMut(&[usize]) -> Result<(), PickError>,
) -> Result<(), PickError> {
    fn from(
        free: &[usize],
        number: usize,
        taken: &mut Vec<usize>,
        take: &mut dyn FnMut(&[usize]) -> Result<(), PickError>,
    ) -> Result<(), PickError> {
        if number == 0 {
            return take(taken);
        }
        for (index, &one) in free.iter().enumerate().take(free.len() + 1 - number.min(free.len())) {
            taken.push(one);
            from(&free[index + 1..], number - 1, taken, take)?;
            taken.pop();
        }
        Ok(())
    }
    from(free, number, &mut Vec::new(), take)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_choice_is_handed_over_once() {
        let mut seen = Vec::new();
        each_choice(&[2, 3, 5, 7], 2, &mut |one| {
            seen.push(one.to_vec());
            Ok(())
        })
        .expect("nothing fails");
        assert_eq!(seen, [[2, 3], [2, 5], [2, 7], [3, 5], [3, 7], [5, 7]]);
        assert_eq!(
            (choices(4, 2), choices(12, 4), choices(3, 9), choices(500, 12)),
            (Some(6), Some(495), Some(1), None)
        );
    }
}
