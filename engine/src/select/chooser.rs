//! What a choice is made for: the gaps with something to aim at, how far a pack is from their targets, and what they
//! will be with it.

use std::collections::HashMap;
use std::sync::Arc;

use super::PickError;
use super::candidates::Stock;
use super::choice::Expected;
use super::fill::Fill;
use super::stocks::Stocks;
use crate::analyse::{ColdFigures, Confidence, Judge, Verdict, contributions, verdict_on};
use crate::document::resolved::Lean;
use crate::length::{from_grid_mm, on_grid};
use crate::model::{ColumnKind, Form, Gap, Item, Model, Pack, PackForm};

/// Half a band is never taken as less than this, in millimetres: a band with one end has no half of its own.
const LEAST_HALF_MM: f64 = 0.01;

/// Distances are whole numbers: billionths of half a band, so that no two packs 1 nm apart are level by rounding.
const DISTANCE_UNIT: i128 = 1_000_000_000;

/// A gap that takes part in the choice.
#[derive(Clone)]
pub(super) struct Aim<'a> {
    pub(super) gap: &'a Gap,
    /// The coefficient of each pack that is to be chosen.
    pub(super) coefficients: Vec<f64>,
    /// The gap with none of their shims in, in millimetres.
    pub(super) start_mm: f64,
    pub(super) target_mm: f64,
    pub(super) half_mm: f64,
}

impl Aim<'_> {
    /// The expected gap with packs of these thicknesses, on the grid.
    pub(super) fn expected_nm(&self, thickness_nm: &[i64]) -> i64 {
        let packs = self.coefficients.iter().zip(thickness_nm).map(|(coefficient, &nm)| coefficient * from_grid_mm(nm));
        on_grid(self.start_mm + packs.sum::<f64>())
    }

    /// The least and the greatest gap with packs whose thicknesses are within these spans, one of them left out.
    fn range_mm(&self, spans_nm: &[(i64, i64)], but: Option<usize>) -> (f64, f64) {
        let (mut least, mut most) = (self.start_mm, self.start_mm);
        for (which, (&coefficient, &(thin, thick))) in self.coefficients.iter().zip(spans_nm).enumerate() {
            if Some(which) != but && coefficient != 0.0 {
                let ends = [thin, thick].map(|nm| coefficient * from_grid_mm(nm));
                least += ends[0].min(ends[1]);
                most += ends[0].max(ends[1]);
            }
        }
        (least, most)
    }

    pub(super) fn distance(&self, thickness_nm: &[i64]) -> i64 {
        let off = self.expected_nm(thickness_nm).saturating_sub(on_grid(self.target_mm)).saturating_abs();
        scaled(off, self.half_mm)
    }
}

/// A length on the grid as a distance.
pub(super) fn scaled(nm: i64, half_mm: f64) -> i64 {
    let half = i128::from(on_grid(half_mm).max(1));
    i64::try_from(i128::from(nm) * DISTANCE_UNIT / half).unwrap_or(i64::MAX)
}

/// Chooses among packs for the gaps of one model.
pub(super) struct Chooser<'a> {
    pub(super) model: &'a Model,
    /// The packs that are chosen together, in the model's order.
    pub(super) chosen: Vec<usize>,
    /// What the other packs are; those to choose are empty.
    others: Vec<PackForm>,
    pub(super) confidence: Confidence,
    pub(super) aims: Vec<Aim<'a>>,
    pub(super) stocks: Stocks,
    /// The class of each column: columns with equal laws are one class.
    pub(super) classes: Vec<usize>,
    /// The distribution of a gap depends only on the pattern of errors that a pack brings, so it is prepared once for each
    /// pattern, with the mean that it was prepared for.
    pub(super) judges: HashMap<Pattern, (Judge, f64)>,
}

/// A gap and the classes of the errors in it, with their coefficients.
pub(super) type Pattern = (usize, Vec<(usize, u64)>);

impl<'a> Chooser<'a> {
    /// For packs that are chosen together; the others are as they are now.
    pub(super) fn new(model: &'a Model, chosen: Vec<usize>, confidence: Confidence) -> Result<Self, PickError> {
        let mut others = model.fitted();
        chosen.iter().for_each(|&pack| others[pack] = PackForm::default());
        let stocks = Stocks::of(model, &chosen);
        Self::among(model, chosen, others, stocks, confidence)
    }

    /// For the pack at `which` alone, those that were chosen with it being as in `fill`, and all of the model's as in
    /// `packs`.
    pub(super) fn alone(&self, which: usize, fill: &Fill, packs: &[PackForm]) -> Result<Self, PickError> {
        let mut others = packs.to_vec();
        others[self.chosen[which]] = PackForm::default();
        let stocks = self.stocks.alone(which, fill);
        Self::among(self.model, vec![self.chosen[which]], others, stocks, self.confidence)
    }

    fn among(
        model: &'a Model,
        chosen: Vec<usize>,
        others: Vec<PackForm>,
        stocks: Stocks,
        confidence: Confidence,
    ) -> Result<Self, PickError> {
        let columns = &model.columns;
        let mut aims = Vec::new();
        for gap in model.gaps.iter().filter(|gap| gap.is_judged()) {
            let coefficients: Vec<f64> = chosen.iter().map(|&pack| gap.pack_coefficients[pack]).collect();
            if coefficients.iter().all(|&coefficient| coefficient == 0.0) {
                continue;
            }
            let Some(target) = &gap.target else {
                return Err(PickError::NoTarget { gap: gap.name.clone() });
            };
            let target_mm = target.mean_mm(columns);
            let low = gap.low.as_ref().map(|end| end.mean_mm(columns));
            let high = gap.high.as_ref().map(|end| end.mean_mm(columns));
            let half_mm = match (low, high) {
                // A band without width still has a nanometre: distances and windows are measured in halves of it.
                (Some(low), Some(high)) => ((high - low) / 2.0).max(from_grid_mm(1)),
                (Some(end), None) | (None, Some(end)) => (target_mm - end).abs().max(LEAST_HALF_MM),
                (None, None) => LEAST_HALF_MM,
            };
            let start_mm = model.with(gap, &others).mean_mm(columns);
            aims.push(Aim { gap, coefficients, start_mm, target_mm, half_mm });
        }
        Ok(Chooser { model, chosen, others, confidence, aims, stocks, classes: classes(model), judges: HashMap::new() })
    }

    /// The shims that the pack at `which` may be made of.
    pub(super) fn items(&self, stock: Stock, which: usize) -> &Arc<[Item]> {
        match stock {
            Stock::Box => &self.stocks.boxes[which],
            Stock::Bought => &self.stocks.bought[which],
        }
    }

    /// The pack at `which`.
    pub(super) fn pack(&self, which: usize) -> &'a Pack {
        &self.model.packs[self.chosen[which]]
    }

    /// The packs to ask the model with, these ones for those that are chosen.
    pub(super) fn packs(&self, forms: &[PackForm]) -> Vec<PackForm> {
        let mut packs = self.others.clone();
        for (&pack, form) in self.chosen.iter().zip(forms) {
            packs[pack] = form.clone();
        }
        packs
    }

    /// How far packs of these thicknesses are from the target, for the gap where they are furthest.
    pub(super) fn distance(&self, thickness_nm: &[i64]) -> i64 {
        self.aims.iter().map(|aim| aim.distance(thickness_nm)).max().unwrap_or(0)
    }

    /// How far packs of these thicknesses are from the target of each gap, the furthest first.
    pub(super) fn distances(&self, thickness_nm: &[i64]) -> Vec<i64> {
        let mut all: Vec<i64> = self.aims.iter().map(|aim| aim.distance(thickness_nm)).collect();
        all.sort_unstable_by(|a, b| b.cmp(a));
        all
    }

    /// The thicknesses of the pack at `which` whose distance can be at most `distance` while every other pack is within
    /// its span, with a nanometre to spare on each side.
    pub(super) fn window(&self, which: usize, distance: i64, spans_nm: &[(i64, i64)]) -> (i64, i64) {
        let mut window = (i64::MIN, i64::MAX);
        for aim in self.aims.iter().filter(|aim| aim.coefficients[which] != 0.0) {
            let reach = aim.half_mm * (distance as f64 / DISTANCE_UNIT as f64);
            // What the others make of the gap, least and most.
            let (least, most) = aim.range_mm(spans_nm, Some(which));
            let ends = [aim.target_mm - reach - most, aim.target_mm + reach - least]
                .map(|rest| on_grid(rest / aim.coefficients[which]));
            let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
            window = (window.0.max(low.saturating_sub(2)), window.1.min(high.saturating_add(2)));
        }
        window
    }

    /// The greatest distance of any packs whose thicknesses are within these spans.
    pub(super) fn greatest_distance(&self, spans_nm: &[(i64, i64)]) -> i64 {
        let of_aim = |aim: &Aim<'_>| {
            let (least, most) = aim.range_mm(spans_nm, None);
            let off = |gap_mm: f64| on_grid(gap_mm - aim.target_mm).saturating_abs();
            scaled(off(least).max(off(most)), aim.half_mm)
        };
        self.aims.iter().map(of_aim).max().unwrap_or(0)
    }

    /// A distance for a length in millimetres, by the narrowest band.
    pub(super) fn distance_of_mm(&self, mm: f64) -> i64 {
        self.aims.iter().map(|aim| scaled(on_grid(mm), aim.half_mm)).max().unwrap_or(0)
    }

    pub(super) fn verdict_on(&self, gap: &Gap, whole: &Form, within: f64) -> Verdict {
        verdict_on(gap, whole, &self.model.columns, within, self.confidence)
    }

    /// The gap whose lean counts: the first one that has any.
    pub(super) fn lean(&self) -> Option<(&Aim<'a>, Lean)> {
        self.aims.iter().find(|aim| aim.gap.lean != Lean::Nearest).map(|aim| (aim, aim.gap.lean))
    }

    /// A standard deviation that no pack's gap exceeds, in millimetres, by aim; none where a law has no variance.
    pub(super) fn greatest_sd_mm(&self, aim: &Aim<'_>) -> Option<f64> {
        let columns = &self.model.columns;
        let mut sd = self.model.with(aim.gap, &self.others).variance_mm2(columns)?.sqrt();
        for (which, coefficient) in aim.coefficients.iter().enumerate() {
            let mut greatest: f64 = 0.0;
            for item in self.items(Stock::Box, which).iter().chain(self.items(Stock::Bought, which).iter()) {
                greatest = greatest.max(item.form.variance_mm2(columns)?.sqrt());
            }
            sd += coefficient.abs() * self.pack(which).count.most as f64 * greatest;
        }
        Some(sd)
    }
}

/// What every gap of a model will be with these packs in, and the worst verdict.
pub(super) fn expected(
    model: &Model,
    packs: &[PackForm],
    confidence: Confidence,
) -> Result<(Vec<Expected>, Option<Verdict>), PickError> {
    let mut all = Vec::with_capacity(model.gaps.len());
    for gap in &model.gaps {
        let whole = model.with(gap, packs);
        let judge = Judge::new(&whole, gap, &model.columns)?;
        let distribution = judge.distribution();
        let expected_mm = distribution.mean_mm();
        let chances = gap.has_band().then(|| judge.at(0.0));
        all.push(Expected {
            name: gap.name.clone(),
            basis: gap.basis,
            expected_mm,
            u_mm: distribution.sd_mm(),
            interval_mm: distribution.interval(0.95).unwrap_or((expected_mm, expected_mm)),
            accept_mm: judge.band_mm(),
            target_mm: gap.target.as_ref().map(|target| target.mean_mm(&model.columns)),
            chances,
            verdict: chances.map(|chances| verdict_on(gap, &whole, &model.columns, chances.within, confidence)),
            by_number: gap.has_band().then(|| judge.by_number(0.0)),
            measured: whole.is_measured(&model.columns),
            cold: ColdFigures::of(model, gap, packs),
            contributions: contributions(&whole, model, &gap.pack_coefficients).unwrap_or_default(),
        });
    }
    let verdict = all.iter().filter_map(|gap| gap.verdict).reduce(Verdict::worse);
    Ok((all, verdict))
}

/// Columns with equal laws are one class, so that packs of other sizes with the same pattern of errors share a judge.
fn classes(model: &Model) -> Vec<usize> {
    let mut first_of: Vec<usize> = Vec::new();
    let mut classes = Vec::with_capacity(model.columns.len());
    for (index, column) in model.columns.iter().enumerate() {
        let alike = first_of.iter().copied().find(|&other| {
            let other = &model.columns[other];
            column.kind == ColumnKind::Shim && other.kind == ColumnKind::Shim && column.parts == other.parts
        });
        classes.push(alike.unwrap_or(index));
        if alike.is_none() && column.kind == ColumnKind::Shim {
            first_of.push(index);
        }
    }
    classes
}
