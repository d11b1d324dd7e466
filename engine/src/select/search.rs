//! The search for the best pack: verdict first, then probability, then distance with its slack, then the order of
//! choice.
//!
//! Packs are looked through in windows of thickness about the target that grow until no pack outside can be better:
//! a pack further away is never nearer, and by the one-sided inequality of Chebyshev it is less likely in band.

use std::sync::Arc;

use super::PickError;
use super::candidates::{Candidate, Rules, Stock, times};
use super::cells::{Cell, Cells};
use super::chooser::{Aim, Chooser, scaled};
use super::fill::Fill;
use super::judgement::Judged;
use super::order::Key;
use crate::analyse::Verdict;
use crate::length::on_grid;
use crate::model::Form;

/// The first window reaches this far from the target.
const FIRST_WINDOW_MM: f64 = 0.02;
/// A window grows by this factor.
const GROWTH: i64 = 4;

/// The best packs that obey the rules; none where no packs do. Other rules than the packs' own can be given.
pub(super) fn best(
    chooser: &mut Chooser<'_>,
    stock: Stock,
    rules: Option<Vec<Rules>>,
) -> Result<Option<Fill>, PickError> {
    let rules =
        rules.unwrap_or_else(|| (0..chooser.chosen.len()).map(|which| own_rules(chooser, stock, which)).collect());
    let mut cells = Cells::new(chooser, stock, &rules);
    let mut distance = chooser.distance_of_mm(FIRST_WINDOW_MM).max(1);
    loop {
        // A distance that has grown as far as it can is all there is.
        let whole = cells.fill(chooser, distance)? || distance == i64::MAX;
        match among(chooser, &mut cells, stock, distance, whole)? {
            Outcome::Chosen(fill) => return Ok(Some(fill)),
            Outcome::Nothing if whole => return Ok(None),
            Outcome::Nothing => distance = distance.saturating_mul(GROWTH),
            Outcome::LookFurther(needed) => distance = needed,
        }
    }
}

pub(super) fn own_rules(chooser: &Chooser<'_>, stock: Stock, which: usize) -> Rules {
    let pack = chooser.pack(which);
    let place = |other: Option<usize>| chooser.chosen.iter().position(|&one| Some(one) == other);
    Rules {
        same_as: place(pack.same_as),
        not_thinner_than: place(pack.not_thinner_than),
        ..Rules::of(pack, Arc::clone(chooser.items(stock, which)), stock == Stock::Box)
    }
}

pub(super) fn too_many(chooser: &Chooser<'_>, which: usize) -> PickError {
    PickError::TooMany { pack: chooser.pack(which).name.clone() }
}

enum Outcome {
    Chosen(Fill),
    LookFurther(i64),
    Nothing,
}

/// Packs in the order in which they are looked at, made from their cells as far as they are needed.
struct Found<'c> {
    cells: std::iter::Peekable<std::slice::Iter<'c, Cell>>,
    /// Distance, key and packs.
    fills: Vec<(i64, Key, Fill)>,
}

impl Found<'_> {
    /// The fill at a place in the order; none where there are no more.
    fn get(
        &mut self,
        index: usize,
        chooser: &Chooser<'_>,
        cells: &Cells<'_>,
    ) -> Result<Option<&(i64, Key, Fill)>, PickError> {
        while self.fills.len() <= index {
            // Cells of one distance are put in order together.
            let Some(distance) = self.cells.peek().map(|cell| cell.distance) else { return Ok(None) };
            let mut more = Vec::new();
            while let Some(cell) = self.cells.next_if(|cell| cell.distance == distance) {
                more.extend(cells.fills(chooser, cell).ok_or_else(|| too_many(chooser, 0))?);
            }
            more.sort_by(|a: &(Key, Fill), b| a.0.cmp(&b.0));
            self.fills.extend(more.into_iter().map(|(key, fill)| (distance, key, fill)));
        }
        Ok(Some(&self.fills[index]))
    }
}

/// Chooses among packs in order of distance, or says how far one has to look.
fn among(
    chooser: &mut Chooser<'_>,
    cells: &mut Cells<'_>,
    stock: Stock,
    looked: i64,
    whole: bool,
) -> Result<Outcome, PickError> {
    let class = |one: &Judged| (rank(one.verdict), -one.hundredths());
    let in_order = cells.in_order();
    let cells = &*cells;
    let mut found = Found { cells: in_order.iter().peekable(), fills: Vec::new() };
    let mut judged: Vec<Judged> = Vec::new();
    let mut best_so_far = None;
    let mut furthest = i64::MAX;
    while let Some((distance, _, fill)) = found.get(judged.len(), chooser, cells)? {
        if *distance > furthest {
            break;
        }
        let one = chooser.judge(fill, stock)?;
        judged.push(one);
        if one.verdict == Verdict::In {
            break;
        }
        if best_so_far.is_none_or(|best| class(&one) < best) {
            best_so_far = Some(class(&one));
            // None further away than this can be better.
            furthest = beyond_doubt(chooser, one.hundredths());
        }
    }
    // The first of the best class is the nearest one, for they are in order of distance.
    let Some(nearest) = (0..judged.len()).min_by_key(|&index| (class(&judged[index]), index)) else {
        return Ok(Outcome::Nothing);
    };
    let best_class = class(&judged[nearest]);
    // Each of the two is cut to a whole unit, so their sum may fall a unit short of a pack that is on the very edge of
    // the slack; a nanometre is many units.
    let level = found.fills[nearest].0.saturating_add(judged[nearest].slack).saturating_add(1);
    let needed = if judged[nearest].verdict == Verdict::In {
        level
    } else {
        level.max(beyond_doubt(chooser, judged[nearest].hundredths()))
    };
    if needed > looked && !whole {
        // Step by step even where all would have to be seen: a pack that is in may be near, and then little more is needed.
        return Ok(Outcome::LookFurther(needed.min(looked.saturating_mul(GROWTH))));
    }
    let mut level_ones = 0;
    while found.get(level_ones, chooser, cells)?.is_some_and(|(distance, ..)| *distance <= level) {
        level_ones += 1;
    }
    let mut order: Vec<usize> = (0..level_ones).collect();
    order.sort_by(|&a, &b| found.fills[a].1.cmp(&found.fills[b].1));
    for index in order {
        let fill = &found.fills[index].2;
        let one = match judged.get(index) {
            Some(one) => *one,
            None => chooser.judge(fill, stock)?,
        };
        if class(&one) == best_class {
            return Ok(Outcome::Chosen(fill.clone()));
        }
    }
    Ok(Outcome::Chosen(found.fills[nearest].2.clone()))
}

/// The order of verdicts in a choice: some will and cannot tell are one.
pub(super) fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::In => 0,
        Verdict::SomeWill | Verdict::CannotTell => 1,
        Verdict::Out => 2,
    }
}

/// The distance beyond which no packs can have a probability of more hundredths than this.
///
/// Formula: P(Y outside by δ or more) ≤ σ²/(σ² + δ²), Cantelli's inequality, with the greatest σ of any pack. The
/// probability is that of the gap where it is lowest, so better packs satisfy every gap's bound.
fn beyond_doubt(chooser: &Chooser<'_>, hundredths: i64) -> i64 {
    // A probability that is rounded up to a hundredth counts as that hundredth.
    let wanted = (hundredths + 1) as f64 / 100.0 - 1e-9;
    let columns = &chooser.model.columns;
    // The gaps' ends that better packs can bring about.
    let good = |aim: &Aim<'_>| {
        let (low, high) = (aim.gap.low.as_ref()?, aim.gap.high.as_ref()?);
        let sd = chooser.greatest_sd_mm(aim)?;
        // The ends may be in doubt too; their doubt adds at most their own standard deviations.
        let end_sd = |end: &Form| end.variance_mm2(columns).map_or(f64::INFINITY, f64::sqrt);
        let outside = (sd + end_sd(low).max(end_sd(high))) * ((1.0 - wanted).max(0.0) / wanted).sqrt();
        Some((low.mean_mm(columns) - outside, high.mean_mm(columns) + outside))
    };
    let ends: Vec<Option<(f64, f64)>> = chooser.aims.iter().map(good).collect();
    if let [_] = chooser.chosen.as_slice() {
        return of_one_pack(chooser, &ends);
    }
    let furthest = |(aim, ends): (&Aim<'_>, &Option<(f64, f64)>)| {
        let (low, high) = (*ends)?;
        let off = |gap: f64| on_grid(gap - aim.target_mm).saturating_abs().saturating_add(2);
        Some(scaled(off(low).max(off(high)), aim.half_mm))
    };
    // A gap without a band may be as far from its target as it likes.
    let all: Option<Vec<i64>> = chooser.aims.iter().zip(&ends).map(furthest).collect();
    all.and_then(|all| all.into_iter().max()).unwrap_or(i64::MAX)
}

/// Where one pack alone is chosen, the furthest of the thicknesses that satisfy every bound is at one of their ends.
fn of_one_pack(chooser: &Chooser<'_>, ends: &[Option<(f64, f64)>]) -> i64 {
    let mut good: Option<(f64, f64)> = None;
    for (aim, ends) in chooser.aims.iter().zip(ends) {
        let Some((low, high)) = ends else { continue };
        let [thin, thick] = [low, high].map(|gap_mm| (gap_mm - aim.start_mm) / aim.coefficients[0]);
        let (thin, thick) = (thin.min(thick), thin.max(thick));
        good = Some(good.map_or((thin, thick), |good| (good.0.max(thin), good.1.min(thick))));
    }
    match good {
        None => i64::MAX,
        Some((thin, thick)) if thin > thick => 0,
        // Two nanometres to spare for the rounding to the grid.
        Some((thin, thick)) => {
            let distance = |nm: i64| chooser.distance(&[nm]);
            distance(on_grid(thin).saturating_sub(2)).max(distance(on_grid(thick).saturating_add(2)))
        }
    }
}

/// The packs that are in now as candidates, where all are known and obey the rules.
pub(super) fn fitted(chooser: &Chooser<'_>) -> Option<Fill> {
    let one = |which: usize| {
        chooser.pack(which).fitted.as_ref()?;
        let items = chooser.items(Stock::Box, which);
        let counts: Vec<(usize, usize)> = items
            .iter()
            .enumerate()
            .filter(|(_, item)| item.fitted > 0)
            .map(|(index, item)| (index, item.fitted))
            .collect();
        let thickness =
            |sum: i64, &(item, count): &(usize, usize)| sum.saturating_add(times(items[item].thickness_nm(), count));
        let thickness_nm = counts.iter().fold(0_i64, thickness);
        let shims = counts.iter().map(|(_, count)| count).sum();
        let candidate = Candidate { counts, thickness_nm, shims };
        own_rules(chooser, Stock::Box, which).obeys(&candidate).then_some(candidate)
    };
    let fill = (0..chooser.chosen.len()).map(one).collect::<Option<Vec<_>>>().map(Fill)?;
    let thickness_nm = fill.thickness_nm();
    let goes = |which: usize| own_rules(chooser, Stock::Box, which).goes_with(which, &thickness_nm);
    (0..chooser.chosen.len()).all(goes).then_some(fill)
}

#[cfg(test)]
mod tests {
    use crate::analyse::Verdict;
    use crate::document::{load, source::Sources};
    use crate::model::build;
    use crate::select::{PickOptions, pick};

    /// The verdict and the labels of what is chosen.
    fn chosen(text: &str) -> (Option<Verdict>, Vec<String>) {
        let mut sources = Sources::new();
        let id = sources.add("test", text);
        let (document, _) = load(&sources, id).expect("the case is a document");
        let (model, _) = build(&document).expect("the case is a model");
        let mut pick = pick(&model, &PickOptions::default()).expect("there is a pack to choose");
        (pick.verdict, pick.packs.remove(0).choice.shims.into_iter().map(|shim| shim.label).collect())
    }

    #[test]
    fn targets_that_pull_apart_do_not_hide_a_pack_that_is_in() {
        // first wants 1.30 - 0.20 = 1.10 and second 1.30 - 0.60 - 0.20 = 0.50; second alone has a band, and the least of
        // the largest distances is halfway between, at 0.80, where no pack is in.
        let text = "
dimensions:
  bore: { size: 31.30, tolerance: 0.01 }
  hub: { size: 30, tolerance: 0.01 }
gaps:
  first: { chain: bore - hub - shims, target: 0.20 }
  second: { chain: bore - hub - 0.60 - shims, accept: [0.10, 0.30] }
packs:
  shims: { kit: drawer, count: [1, 3] }
kits:
  drawer: { sizes: [0.25, 0.40, 0.50], tolerance: 0.005 }
";
        assert_eq!(chosen(text), (Some(Verdict::In), vec!["0.50".to_owned()]));
    }

    #[test]
    fn a_pack_far_out_is_judged_by_its_variance_alone() {
        // The scatter of four readings is a Student t of three degrees, whose far tail is costly; every pack is out.
        let text = "
dimensions:
  bore: { readings: [34.32, 34.30, 34.31, 34.31], instrument: none }
  hub: { size: 30, tolerance: 0.02 }
gaps:
  play: { chain: bore - hub - shims, accept: [0.10, 0.30] }
packs:
  shims: { kit: drawer, count: [1, 2] }
kits:
  drawer: { sizes: [0.25, 0.40, 0.50], tolerance: 0.005 }
";
        // All are level with a probability of no hundredth, so the nearest is taken: 4.31 - 0.20 = 4.11 is wanted.
        assert_eq!(chosen(text), (Some(Verdict::Out), vec!["0.50".to_owned(), "0.50".to_owned()]));
    }
}
