//! The choice of one pack made again for unit after unit: the order of choice of `pick`, with nothing worked that does
//! not change from unit to unit.

use std::cmp::Reverse;

use super::intervals::Intervals;
use super::lots::{Lot, Lots};
use super::steps::{Class, Steps};
use crate::document::resolved::Lean;
use crate::length::{from_grid_mm, on_grid};
use crate::select::PickError;
use crate::select::chooser::{Aim, Chooser, scaled};

/// All that a choice of one pack needs.
pub(in crate::select) struct Quick<'a> {
    /// The aims; each unit has its own start and target.
    pub(in crate::select) aims: Vec<Aim<'a>>,
    pub(in crate::select) lots: Lots,
    /// By aim and pattern; none for an aim without a band.
    steps: Vec<Option<Vec<Steps>>>,
    /// Between which values anything is better than hopeless, by aim.
    hopeful: Vec<(f64, f64)>,
    /// The standard deviation of each aim's gap, by pattern.
    sd_mm: Vec<Vec<f64>>,
    /// The aim whose lean counts.
    lean: Option<(usize, Lean)>,
}

/// What differs from unit to unit, by aim: the gap with no shims in, the target, and the end that steps count from.
#[derive(Debug, Clone, Default)]
pub(in crate::select) struct Unit {
    pub(in crate::select) start_mm: Vec<f64>,
    pub(in crate::select) target_mm: Vec<f64>,
    pub(in crate::select) origin_mm: Vec<f64>,
}

/// A lot that was looked at.
struct Seen {
    distance: i64,
    class: Class,
    lot: usize,
}

/// What the choosing of one unit leaves for the next one to use.
#[derive(Default)]
pub(in crate::select) struct Scratch {
    seen: Vec<Seen>,
}

impl<'a> Quick<'a> {
    /// For the one pack of a chooser. `only_sure` tells apart only whether a pack is in.
    pub(in crate::select) fn new(chooser: &Chooser<'a>, lots: Lots, only_sure: bool) -> Result<Quick<'a>, PickError> {
        let columns = &chooser.model.columns;
        let mut steps = Vec::with_capacity(chooser.aims.len());
        let mut sd_mm = Vec::with_capacity(chooser.aims.len());
        for aim in &chooser.aims {
            let mut of_aim = Vec::with_capacity(lots.patterns.len());
            let mut sds = Vec::with_capacity(lots.patterns.len());
            for pattern in &lots.patterns {
                let whole = chooser.model.with(aim.gap, &chooser.packs(std::slice::from_ref(pattern)));
                sds.push(whole.variance_mm2(columns).unwrap_or(0.0).sqrt());
                if aim.gap.has_band() {
                    of_aim.push(Steps::of(aim.gap, &whole, columns, chooser.confidence, !only_sure)?);
                }
            }
            sd_mm.push(sds);
            steps.push(aim.gap.has_band().then_some(of_aim));
        }
        let everything = (f64::NEG_INFINITY, f64::INFINITY);
        let hopeful = |steps: &Option<Vec<Steps>>| {
            steps.as_ref().map_or(everything, |steps| {
                let all = steps.iter().map(Steps::hopeful);
                all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (low, high)| (a.min(low), b.max(high)))
            })
        };
        let lean = chooser.aims.iter().position(|aim| aim.gap.lean != Lean::Nearest);
        Ok(Quick {
            hopeful: steps.iter().map(hopeful).collect(),
            aims: chooser.aims.clone(),
            lots,
            steps,
            sd_mm,
            lean: lean.map(|index| (index, chooser.aims[index].gap.lean)),
        })
    }

    /// Where the verdict on an aim's gap is in, with packs of a pattern, from the end that steps count from; everywhere for
    /// an aim without a band.
    pub(super) fn sure(&self, aim: usize, pattern: usize) -> Intervals {
        let everywhere = || vec![(f64::NEG_INFINITY, f64::INFINITY)];
        self.steps[aim].as_ref().map_or_else(everywhere, |steps| steps[pattern].sure())
    }

    /// The unit that the model itself describes.
    pub(in crate::select) fn present(&self, chooser: &Chooser<'_>) -> Unit {
        let columns = &chooser.model.columns;
        let mean =
            |aim: &Aim<'_>| aim.gap.low.as_ref().or(aim.gap.high.as_ref()).map_or(0.0, |end| end.mean_mm(columns));
        Unit {
            start_mm: self.aims.iter().map(|aim| aim.start_mm).collect(),
            target_mm: self.aims.iter().map(|aim| aim.target_mm).collect(),
            origin_mm: self.aims.iter().map(mean).collect(),
        }
    }

    /// The lot that `pick` chooses first for a unit; none where there is none at all.
    pub(in crate::select) fn choose(&self, unit: &Unit, scratch: &mut Scratch) -> Option<usize> {
        let thickness = |lot: usize| self.lots.all[lot].thickness_nm;
        let distance = |lot: usize| self.distance(unit, thickness(lot));
        let seen = &mut scratch.seen;
        seen.clear();
        // The distance falls to the nearest lot and rises behind it: the first that is no nearer than the one before.
        let count = self.lots.all.len();
        if count == 0 {
            return None;
        }
        let nearest = self.nearest(unit);
        let (mut below, mut above) = (nearest, nearest);
        let mut best: Option<(Class, i64, i64)> = None;
        loop {
            let down = below.checked_sub(1).map(distance);
            let up = (above < count).then(|| distance(above));
            let (lot, far) = match (down, up) {
                (Some(a), Some(b)) if a < b => (below - 1, a),
                (_, Some(b)) => (above, b),
                (Some(a), None) => (below - 1, a),
                (None, None) => break,
            };
            if let Some((class, _, level)) = best {
                let settled = class.0 == 0 || self.beyond_hope(unit, below, above);
                if settled && far > level {
                    break;
                }
            }
            if lot < below {
                below = lot
            } else {
                above = lot + 1
            }
            let class = self.class(unit, lot);
            seen.push(Seen { distance: far, class, lot });
            let level = far.saturating_add(self.slack(unit, lot)).saturating_add(1);
            match &mut best {
                Some((there, _, _)) if *there < class => {}
                Some((there, at, furthest)) if *there == class => {
                    // Of several that are nearest, which one sets the slack is told when all are known.
                    if *at == far {
                        *furthest = (*furthest).max(level);
                    }
                }
                _ => best = Some((class, far, level)),
            }
        }
        let (class, at, _) = best?;
        let nearest_ones = seen.iter().filter(|one| one.class == class && one.distance == at);
        let first = nearest_ones.map(|one| one.lot).min_by(|&a, &b| self.key(unit, a).cmp(&self.key(unit, b)))?;
        let level = at.saturating_add(self.slack(unit, first)).saturating_add(1);
        let level_ones = seen.iter().filter(|one| one.class == class && one.distance <= level);
        level_ones.map(|one| one.lot).min_by(|&a, &b| self.key(unit, a).cmp(&self.key(unit, b)))
    }

    /// The first lot of the thickness that is nearest to the targets.
    fn nearest(&self, unit: &Unit) -> usize {
        let lots = &self.lots.all;
        let (mut low, mut high) = (0, lots.len());
        // Between the aims' own wishes the distance turns once.
        while low < high {
            let middle = low.midpoint(high);
            let here = lots[middle].thickness_nm;
            let next = lots.partition_point(|lot| lot.thickness_nm <= here);
            let falls = next < lots.len() && self.distance(unit, lots[next].thickness_nm) < self.distance(unit, here);
            if falls { low = next } else { high = middle.min(lots.partition_point(|lot| lot.thickness_nm < here)) }
        }
        low.min(lots.len() - 1)
    }

    fn expected_nm(&self, unit: &Unit, aim: usize, thickness_nm: i64) -> i64 {
        on_grid(unit.start_mm[aim] + self.aims[aim].coefficients[0] * from_grid_mm(thickness_nm))
    }

    fn off_nm(&self, unit: &Unit, aim: usize, thickness_nm: i64) -> i64 {
        self.expected_nm(unit, aim, thickness_nm).saturating_sub(on_grid(unit.target_mm[aim]))
    }

    fn distance(&self, unit: &Unit, thickness_nm: i64) -> i64 {
        let of_aim = |aim: usize| scaled(self.off_nm(unit, aim, thickness_nm).saturating_abs(), self.aims[aim].half_mm);
        (0..self.aims.len()).map(of_aim).max().unwrap_or(0)
    }

    /// The expected gap of an aim, from the end that steps count from.
    fn place(&self, unit: &Unit, aim: usize, thickness_nm: i64) -> f64 {
        let expected = unit.start_mm[aim] + self.aims[aim].coefficients[0] * from_grid_mm(thickness_nm);
        expected - unit.origin_mm[aim]
    }

    fn class(&self, unit: &Unit, lot: usize) -> Class {
        let Lot { thickness_nm, pattern, .. } = self.lots.all[lot];
        let mut class = (0, -100);
        for (aim, steps) in self.steps.iter().enumerate() {
            if let Some(steps) = steps {
                let one = steps[pattern].class(self.place(unit, aim, thickness_nm));
                class = (class.0.max(one.0), class.1.max(one.1));
            }
        }
        // A pack that is surely out has no hundredths to count.
        if class.0 == 0 { (0, -100) } else { class }
    }

    /// Whether no lot outside of these can be better than hopeless.
    fn beyond_hope(&self, unit: &Unit, below: usize, above: usize) -> bool {
        let hopeless = |lot: usize, thicker: bool| {
            self.hopeful.iter().enumerate().any(|(aim, &(low, high))| {
                let place = self.place(unit, aim, self.lots.all[lot].thickness_nm);
                let opens = (self.aims[aim].coefficients[0] > 0.0) == thicker;
                if opens { place > high } else { place < low }
            })
        };
        let down = below.checked_sub(1).is_none_or(|lot| hopeless(lot, false));
        down && (above >= self.lots.all.len() || hopeless(above, true))
    }

    /// The distance within which packs stay level with this one.
    fn slack(&self, unit: &Unit, lot: usize) -> i64 {
        let Lot { thickness_nm, pattern, .. } = self.lots.all[lot];
        let (mut furthest, mut sets) = (-1, 0);
        for aim in 0..self.aims.len() {
            let distance = scaled(self.off_nm(unit, aim, thickness_nm).saturating_abs(), self.aims[aim].half_mm);
            if distance > furthest {
                (furthest, sets) = (distance, aim);
            }
        }
        scaled(on_grid((self.sd_mm[sets][pattern] / 2.0).max(0.005)), self.aims[sets].half_mm)
    }

    /// What decides between level packs, as in the order of choice.
    fn key(&self, unit: &Unit, lot: usize) -> impl Ord {
        let Lot { thickness_nm, shims, left, .. } = self.lots.all[lot];
        let looser = |aim: usize, nm: i64| if self.aims[aim].gap.preload { nm.saturating_neg() } else { nm };
        let against_lean = self.lean.is_some_and(|(aim, lean)| {
            let off = looser(aim, self.off_nm(unit, aim, thickness_nm));
            match lean {
                Lean::Looser => off < 0,
                Lean::Tighter => off > 0,
                Lean::Nearest | Lean::ThickestThatEnters => false,
            }
        });
        let looseness = looser(0, self.expected_nm(unit, 0, thickness_nm));
        let distance = self.distance(unit, thickness_nm);
        (shims, Reverse(left), against_lean, distance, Reverse(looseness), thickness_nm, lot)
    }
}
