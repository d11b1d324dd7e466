//! The stream of packs that obey the rules.

use std::ops::ControlFlow;

use crate::length::on_grid;
use crate::model::{Item, Pack};

/// More packs than this are not looked through at a time.
pub const MOST_CANDIDATES: usize = 200_000;
/// More sizes than this are not tried on the way to them.
const MOST_STEPS: usize = 4_000_000;

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
pub(super) struct Rules<'a> {
    pub(super) items: &'a [Item],
    pub(super) least: usize,
    pub(super) most: usize,
    /// Labels on the grid that must be in it, one for each.
    pub(super) includes_nm: Vec<i64>,
    pub(super) thickest_nm: Option<i64>,
    /// Whether the number in the box counts.
    pub(super) limited: bool,
}

impl<'a> Rules<'a> {
    pub(super) fn of(pack: &Pack, items: &'a [Item], limited: bool) -> Rules<'a> {
        Rules {
            items,
            least: pack.count.least,
            most: pack.count.most,
            includes_nm: pack.includes_mm.iter().map(|&mm| on_grid(mm)).collect(),
            thickest_nm: pack.thickest_mm.map(on_grid),
            limited,
        }
    }

    /// How many of an item may be used.
    fn available(&self, item: &Item) -> usize {
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
        self.includes_nm
            .iter()
            .all(|&label| having(label) >= self.includes_nm.iter().filter(|&&one| one == label).count())
    }

    /// The least and the greatest thickness that any pack could have, by the count alone.
    pub(super) fn span_nm(&self) -> (i64, i64) {
        (0, self.items.last().map_or(0, |item| times(item.thickness_nm(), self.most)))
    }

    /// Hands over each pack whose thickness is in `window_nm` (both ends in), until told to stop.
    ///
    /// Packs that differ only in which of several equal shims they use are one pack.
    pub(super) fn each(
        &self,
        window_nm: (i64, i64),
        take: &mut impl FnMut(Candidate) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let high = self.thickest_nm.map_or(window_nm.1, |thickest| window_nm.1.min(thickest));
        // What stays in later items has to be in the pack whatever comes before.
        let mut staying_behind = vec![(0_usize, 0_i64); self.items.len() + 1];
        for index in (0..self.items.len()).rev() {
            let item = &self.items[index];
            let staying = item.staying;
            let (count, thickness) = staying_behind[index + 1];
            staying_behind[index] = (count + staying, thickness.saturating_add(times(item.thickness_nm(), staying)));
        }
        let mut walk =
            Walk { rules: self, window: (window_nm.0, high), staying_behind, counts: Vec::new(), steps: 0, take };
        walk.from(0, 0, 0)
    }

    /// All packs in a window; None where there are too many.
    pub(super) fn all(&self, window_nm: (i64, i64)) -> Option<Vec<Candidate>> {
        let mut found = Vec::new();
        let flow = self.each(window_nm, &mut |candidate| {
            if found.len() == MOST_CANDIDATES {
                return ControlFlow::Break(());
            }
            found.push(candidate);
            ControlFlow::Continue(())
        });
        flow.is_continue().then_some(found)
    }
}

/// A thickness so many times; it saturates, for a kit may name any length.
pub(super) fn times(nm: i64, count: usize) -> i64 {
    nm.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX))
}

struct Walk<'a, F> {
    rules: &'a Rules<'a>,
    window: (i64, i64),
    /// For each item: how many shims stay in it and those behind, and their thickness.
    staying_behind: Vec<(usize, i64)>,
    counts: Vec<(usize, usize)>,
    steps: usize,
    take: &'a mut F,
}

impl<F: FnMut(Candidate) -> ControlFlow<()>> Walk<'_, F> {
    /// Goes on from item `index` with `shims` taken that are `thickness` thick together. It goes one level deeper for
    /// each size that is taken, not for each that is passed over: a kit may have thousands.
    fn from(&mut self, index: usize, shims: usize, thickness: i64) -> ControlFlow<()> {
        let (staying, staying_thickness) = self.staying_behind[index];
        if shims + staying > self.rules.most || thickness.saturating_add(staying_thickness) > self.window.1 {
            return ControlFlow::Continue(());
        }
        let items = self.rules.items;
        let room = self.rules.most - shims;
        // Items are in order of thickness: the last one bounds what can still be added.
        if thickness.saturating_add(times(items.last().map_or(0, Item::thickness_nm), room)) < self.window.0 {
            return ControlFlow::Continue(());
        }
        if staying == 0 {
            self.finish(shims, thickness)?;
        }
        let needed = self.rules.least.saturating_sub(shims).max(1);
        // The last shim has to reach the window by itself.
        let first = if room == 1 && staying == 0 {
            index + items[index..].partition_point(|item| thickness.saturating_add(item.thickness_nm()) < self.window.0)
        } else {
            index
        };
        for (next, item) in items.iter().enumerate().skip(first) {
            self.steps += 1;
            if self.steps > MOST_STEPS {
                return ControlFlow::Break(());
            }
            // Those that follow are thicker still, and of what stays among them this one is no thicker.
            if room == 0 || thickness.saturating_add(times(item.thickness_nm(), needed)) > self.window.1 {
                break;
            }
            for count in item.staying.max(1)..=self.rules.available(item).min(room) {
                let added = thickness.saturating_add(times(item.thickness_nm(), count));
                if added > self.window.1 {
                    break;
                }
                self.counts.push((next, count));
                let flow = self.from(next + 1, shims + count, added);
                self.counts.pop();
                flow?;
            }
            if item.staying > 0 {
                break;
            }
        }
        ControlFlow::Continue(())
    }

    fn finish(&mut self, shims: usize, thickness_nm: i64) -> ControlFlow<()> {
        if thickness_nm < self.window.0 {
            return ControlFlow::Continue(());
        }
        let candidate = Candidate { counts: self.counts.clone(), thickness_nm, shims };
        if self.rules.obeys(&candidate) { (self.take)(candidate) } else { ControlFlow::Continue(()) }
    }
}
