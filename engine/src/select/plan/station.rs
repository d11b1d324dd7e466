//! One station: what each shim would cost there, and how sure it would be.

use super::{Cost, IfBought};
use crate::analyse::{ByNumber, Confidence, Verdict, by_number};
use crate::length::{from_grid_mm, on_grid};
use crate::model::{Item, Model, Pack, PackForm};
use crate::select::PickError;
use crate::select::choice::Expected;
use crate::select::chooser::{Aim, Chooser};

/// No distance is taken as longer than this, so that sums of them stay whole numbers: a thousand metres.
const FARTHEST_NM: i64 = 1_000_000_000_000;

pub(super) struct Station<'a> {
    /// For this pack alone: no other pack is in any of its gaps.
    pub(super) chooser: Chooser<'a>,
    /// Whether any shim cannot come out.
    stays: bool,
}

impl<'a> Station<'a> {
    pub(super) fn new(model: &'a Model, pack: usize, confidence: Confidence) -> Result<Self, PickError> {
        let chooser = Chooser::new(model, vec![pack], confidence)?;
        let stays = model.packs[pack].items.iter().any(|item| item.staying > 0);
        Ok(Station { chooser, stays })
    }

    pub(super) fn pack(&self) -> &'a Pack {
        self.chooser.pack(0)
    }

    /// The pack's index among the model's.
    pub(super) fn index(&self) -> usize {
        self.chooser.chosen[0]
    }

    /// Its gaps with something to aim at, among the model's.
    pub(super) fn gaps(&self) -> Vec<usize> {
        let gaps = self.chooser.model.gaps.iter().enumerate();
        let its = gaps.filter(|(_, gap)| gap.is_judged() && gap.pack_coefficients[self.index()] != 0.0);
        its.map(|(index, _)| index).collect()
    }

    /// The worst verdict of its gaps.
    pub(super) fn verdict(&self, gaps: &[Expected]) -> Option<Verdict> {
        self.gaps().into_iter().filter_map(|index| gaps[index].verdict).reduce(Verdict::worse)
    }

    /// Whether every gap is in band by the number with a shim of this thickness.
    pub(super) fn is_in(&self, thickness_nm: i64) -> bool {
        let columns = &self.chooser.model.columns;
        let is_in = |aim: &Aim<'_>| {
            let end = |end: &Option<crate::model::Form>| end.as_ref().map(|end| end.mean_mm(columns));
            let gap_mm = from_grid_mm(aim.expected_nm(&[thickness_nm]));
            by_number(gap_mm, end(&aim.gap.low), end(&aim.gap.high)) == ByNumber::In
        };
        self.chooser.aims.iter().all(is_in)
    }

    /// How far the gap that is farthest from its target is from it, on the grid.
    fn distance_nm(&self, thickness_nm: i64) -> i64 {
        let off =
            |aim: &Aim<'_>| aim.expected_nm(&[thickness_nm]).saturating_sub(on_grid(aim.target_mm)).saturating_abs();
        self.chooser.aims.iter().map(off).max().unwrap_or(0).min(FARTHEST_NM)
    }

    /// Whether the rules let a shim be the whole pack.
    fn allows(&self, item: &Item) -> bool {
        let pack = self.pack();
        let label = on_grid(item.label_mm);
        pack.includes_mm.iter().all(|&mm| on_grid(mm) == label)
            && pack.includes_mm.len() <= 1
            && pack.thickest_mm.is_none_or(|thickest| item.thickness_nm() <= on_grid(thickest))
    }

    /// The cost of a shim, of which so many are bought and moved; `first` is the greater the earlier the station comes.
    fn cost(&self, item: &Item, (bought, moved): (i64, i64), kept: bool, first: usize) -> Option<Cost> {
        if !self.allows(item) {
            return None;
        }
        let thickness_nm = item.thickness_nm();
        let out = i64::from(!self.is_in(thickness_nm));
        let distance = if kept { 0 } else { self.distance_nm(thickness_nm) };
        let thin = thickness_nm.min(FARTHEST_NM);
        let rank = i64::try_from(first).unwrap_or(i64::MAX).saturating_mul(thin);
        Some(Cost([out, bought, moved, distance, thin, rank]))
    }

    /// A shim that is fitted, in this station or in another.
    pub(super) fn fitted(
        &mut self,
        item: &Item,
        own: bool,
        stays: bool,
        first: usize,
    ) -> Result<Option<Cost>, PickError> {
        if self.stays && !stays {
            return Ok(None);
        }
        let kept = own && self.is_sure(item)?;
        Ok(self.cost(item, (0, i64::from(!own)), kept, first))
    }

    pub(super) fn of_box(&self, item: &Item, first: usize) -> Option<Cost> {
        if self.stays { None } else { self.cost(item, (0, 0), false, first) }
    }

    pub(super) fn bought(&self, item: &Item, first: usize) -> Option<Cost> {
        if self.stays { None } else { self.cost(item, (1, 0), false, first) }
    }

    /// Whether a shim leaves every gap in band and sure.
    fn is_sure(&mut self, item: &Item) -> Result<bool, PickError> {
        let has_band = self.chooser.aims.iter().any(|aim| aim.gap.has_band());
        Ok(has_band && self.is_in(item.thickness_nm()) && self.judged(item)?.0 == Verdict::In)
    }

    fn judged(&mut self, item: &Item) -> Result<(Verdict, f64), PickError> {
        let judged = self.chooser.judge_packs(&[PackForm::of([(item, 1)])], &[item.thickness_nm()])?;
        Ok((judged.verdict, judged.within))
    }

    /// The shim that would make it sure if it were bought: of those the nearest to the target, then the thinnest.
    pub(super) fn if_bought(&mut self, now_nm: i64) -> Result<Option<IfBought>, PickError> {
        if self.stays {
            return Ok(None);
        }
        let pack = self.pack();
        let mut sizes: Vec<&Item> = pack.bought.iter().filter(|item| self.allows(item)).collect();
        sizes.retain(|item| item.thickness_nm() != now_nm && self.is_in(item.thickness_nm()));
        sizes.sort_by_key(|item| (self.distance_nm(item.thickness_nm()), item.thickness_nm()));
        for item in sizes {
            let (verdict, within) = self.judged(item)?;
            if verdict == Verdict::In {
                let expected_mm = from_grid_mm(self.chooser.aims[0].expected_nm(&[item.thickness_nm()]));
                let (label, size_mm) = (item.label.clone(), item.label_mm);
                return Ok(Some(IfBought { label, size_mm, expected_mm, within }));
            }
        }
        Ok(None)
    }
}
