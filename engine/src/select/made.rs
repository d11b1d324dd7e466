//! The thickness that would be ideal, the best that any thickness could do, and what to have made.

use std::iter::repeat_n;

use super::PickError;
use super::candidates::Stock;
use super::chooser::Chooser;
use crate::analyse::Judge;
use crate::length::on_grid;
use crate::model::PackForm;
use crate::number::root::last_where;

/// The thickness that brings the gap to target, and those that keep it in band, by the number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The thickness of the whole pack, in millimetres.
    pub thickness_mm: f64,
    /// The thinnest that keeps every gap in band; none where nothing bounds it.
    pub low_mm: Option<f64>,
    /// The thickest that keeps every gap in band; none where nothing bounds it.
    pub high_mm: Option<f64>,
    /// Whether no thickness keeps every gap in band.
    pub none_serves: bool,
}

/// A shim to have made.
#[derive(Debug, Clone, PartialEq)]
pub struct Make {
    /// The pack that it goes into, among the model's packs.
    pub pack: usize,
    /// The thickness, in millimetres.
    pub thickness_mm: f64,
    /// The thinnest that is surely in band, in millimetres.
    pub low_mm: f64,
    /// The thickest that is surely in band, in millimetres.
    pub high_mm: f64,
    /// Whether the limits are sure; else they keep the gap in band by the number only.
    pub sure: bool,
    /// The shims that go in with it, by their labels.
    pub beside: Vec<String>,
}

/// The thickness wanted.
pub(super) fn wanted(chooser: &Chooser<'_>) -> Wanted {
    let columns = &chooser.model.columns;
    let mut low: Option<f64> = None;
    let mut high: Option<f64> = None;
    for aim in &chooser.aims {
        let thickness = |gap_mm: f64| (gap_mm - aim.start_mm) / aim.coefficients[0];
        let at_low = aim.gap.low.as_ref().map(|end| thickness(end.mean_mm(columns)));
        let at_high = aim.gap.high.as_ref().map(|end| thickness(end.mean_mm(columns)));
        // Where thicker closes the gap, the upper end of the band is the thinnest pack.
        let (thin, thick) = if aim.coefficients[0] > 0.0 { (at_low, at_high) } else { (at_high, at_low) };
        low = [low, thin].into_iter().flatten().reduce(f64::max);
        high = [high, thick].into_iter().flatten().reduce(f64::min);
    }
    // Several targets have no common thickness; the middle of what they want is the fairest.
    let wants: Vec<f64> = chooser.aims.iter().map(|aim| (aim.target_mm - aim.start_mm) / aim.coefficients[0]).collect();
    let (least, most) = wants.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), &one| (a.min(one), b.max(one)));
    // Gaps that pull apart leave no thickness that keeps all of them in band.
    let none_serves = low.zip(high).is_some_and(|(low, high)| low > high);
    let (low_mm, high_mm) = if none_serves { (None, None) } else { (low, high) };
    Wanted { thickness_mm: f64::midpoint(least, most), low_mm, high_mm, none_serves }
}

/// The gaps as they would be with a shim that is exactly as thick as wanted.
pub(super) struct Ideal {
    /// A judge and the coefficient of the thickness, for each gap that has a band.
    judges: Vec<(Judge, f64)>,
    /// The thickness that the judges were prepared with.
    staying: PackForm,
    /// A length about which the probability changes: the widest gap's standard deviation.
    scale_mm: f64,
}

impl Ideal {
    /// None where no gap has a band.
    fn new(chooser: &Chooser<'_>) -> Result<Option<Ideal>, PickError> {
        let staying = PackForm::of(chooser.items(Stock::Box, 0).iter().map(|item| (item, item.staying)));
        let mut judges = Vec::new();
        let mut scale_mm: f64 = 0.0;
        let packs = chooser.packs(std::slice::from_ref(&staying));
        for aim in chooser.aims.iter().filter(|aim| aim.gap.has_band()) {
            let form = chooser.model.with(aim.gap, &packs);
            let judge = Judge::new(&form, aim.gap, &chooser.model.columns)?;
            scale_mm = scale_mm.max(judge.distribution().sd_mm() / aim.coefficients[0].abs());
            judges.push((judge, aim.coefficients[0]));
        }
        Ok((!judges.is_empty()).then_some(Ideal { judges, staying, scale_mm }))
    }

    /// One gap, as if its mean could be moved by itself.
    pub(super) fn of_shift(judge: Judge) -> Ideal {
        let scale_mm = judge.distribution().sd_mm();
        Ideal { judges: vec![(judge, 1.0)], staying: PackForm::default(), scale_mm }
    }

    /// A length about which the probability changes, in millimetres.
    pub(super) fn scale_mm(&self) -> f64 {
        self.scale_mm
    }

    /// The lowest probability of the gaps with a pack of this thickness in all.
    fn within(&self, thickness_mm: f64) -> f64 {
        let more = thickness_mm - self.staying.thickness_mm;
        self.judges.iter().map(|(judge, coefficient)| judge.at(coefficient * more).within).fold(1.0, f64::min)
    }

    /// The thickness of the highest probability, and that probability.
    pub(super) fn best(&self, wanted: &Wanted) -> (f64, f64) {
        let ends = [wanted.low_mm, wanted.high_mm].map(|end| end.unwrap_or(wanted.thickness_mm));
        let reach = 2.0 * self.scale_mm;
        let (low, high) = (ends[0].min(ends[1]) - reach, ends[0].max(ends[1]) + reach);
        // A grid first, for the probability of several gaps together need not have one top only.
        let at = |index: usize| low + (high - low) * index as f64 / GRID as f64;
        let values: Vec<f64> = (0..=GRID).map(|index| self.within(at(index))).collect();
        let top = (0..=GRID).max_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap_or(GRID / 2);
        let (mut a, mut b) = (at(top.saturating_sub(1)), at((top + 1).min(GRID)));
        for _ in 0..GOLDEN_STEPS {
            let (c, d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
            if self.within(c) >= self.within(d) { b = d } else { a = c }
        }
        let refined = f64::midpoint(a, b);
        let candidates = [
            (refined, self.within(refined)),
            (at(top), values[top]),
            (wanted.thickness_mm, self.within(wanted.thickness_mm)),
        ];
        // A gap with single values is best with one of them on an end of its band.
        let edges = self.judges.iter().flat_map(|(judge, coefficient)| {
            judge.brought_to_an_edge().map(move |shift| self.staying.thickness_mm + shift / coefficient)
        });
        let edges: Vec<(f64, f64)> = edges.map(|thickness| (thickness, self.within(thickness))).collect();
        edges.into_iter().chain(candidates).max_by(|x, y| x.1.total_cmp(&y.1)).unwrap_or(candidates[0])
    }

    /// The thicknesses about `inside` whose probability is at least `wanted`, looked for up to `reach` on each side.
    pub(super) fn interval(&self, inside: f64, wanted: f64, reach: f64) -> (f64, f64) {
        let end = |sign: f64| last_where(inside, inside + sign * reach, |thickness| self.within(thickness) >= wanted);
        (end(-1.0), end(1.0))
    }
}

const GRID: usize = 40;
const GOLDEN: f64 = 0.618_033_988_749_894_8;
/// Each step leaves 62 % of the interval; forty leave less than 1e-8 of it.
const GOLDEN_STEPS: usize = 40;

/// The highest probability that any thickness gives; none where no gap has a band.
pub(super) fn best_possible(chooser: &Chooser<'_>) -> Result<Option<f64>, PickError> {
    Ok(Ideal::new(chooser)?.map(|ideal| ideal.best(&wanted(chooser)).1))
}

/// What to have made: one shim beside those that have to be in anyway.
pub(super) fn make(chooser: &Chooser<'_>) -> Result<Option<Make>, PickError> {
    let Some(ideal) = Ideal::new(chooser)? else { return Ok(None) };
    let wanted = wanted(chooser);
    if wanted.none_serves {
        return Ok(None);
    }
    let (top, best) = ideal.best(&wanted);
    let confidence = chooser.confidence.probability();
    let sure = best >= confidence;
    let reach = wanted.low_mm.zip(wanted.high_mm).map_or(1.0, |(low, high)| high - low) + 4.0 * ideal.scale_mm;
    // The target is what to aim at where it is good enough; the top of the probability where it is not.
    let aim = if sure && ideal.within(wanted.thickness_mm) < confidence { top } else { wanted.thickness_mm };
    let (low, high) = if sure {
        ideal.interval(aim, confidence, reach)
    } else {
        (wanted.low_mm.unwrap_or(aim), wanted.high_mm.unwrap_or(aim))
    };
    // Gaps that pull apart leave no thickness at all.
    let Some((beside_mm, beside)) = beside(chooser).filter(|_| low <= high) else { return Ok(None) };
    let most = chooser.pack(0).thickest_mm.unwrap_or(f64::INFINITY);
    let made = |whole: f64| whole.min(most) - beside_mm;
    if made(aim) <= 0.0 || made(high) <= 0.0 || low > most {
        return Ok(None);
    }
    let pack = chooser.chosen[0];
    Ok(Some(Make { pack, thickness_mm: made(aim), low_mm: made(low).max(0.0), high_mm: made(high), sure, beside }))
}

/// The shims that go in with one that is made: those that stay, those that must be there, and the thinnest ones that
/// make up the least count. None where there is no place left for one more.
fn beside(chooser: &Chooser<'_>) -> Option<(f64, Vec<String>)> {
    let pack = chooser.pack(0);
    let items = chooser.items(Stock::Box, 0);
    let mut shims: Vec<(f64, String)> = Vec::new();
    let mut taken: Vec<usize> = vec![0; items.len()];
    for (index, item) in items.iter().enumerate() {
        shims.extend(repeat_n((item.thickness_mm, item.label.clone()), item.staying));
        taken[index] = item.staying;
    }
    let mut free = |wanted: &dyn Fn(f64) -> bool, shims: &mut Vec<(f64, String)>| {
        let found = items.iter().enumerate().position(|(index, item)| {
            wanted(item.label_mm) && item.available().is_none_or(|available| taken[index] < available)
        })?;
        taken[found] += 1;
        shims.push((items[found].thickness_mm, items[found].label.clone()));
        Some(())
    };
    // A shim that stays counts for one size that must be there.
    let mut counted: Vec<i64> = items.iter().flat_map(|item| repeat_n(on_grid(item.label_mm), item.staying)).collect();
    for &label in &pack.includes_mm {
        let nm = on_grid(label);
        match counted.iter().position(|&one| one == nm) {
            Some(at) => {
                counted.swap_remove(at);
            }
            None => free(&|mm| on_grid(mm) == nm, &mut shims)?,
        }
    }
    while shims.len() + 1 < pack.count.least {
        free(&|_| true, &mut shims)?;
    }
    if shims.len() + 1 > pack.count.most {
        return None;
    }
    let thickness = shims.iter().map(|(mm, _)| mm).sum();
    Some((thickness, shims.into_iter().map(|(_, label)| label).collect()))
}
