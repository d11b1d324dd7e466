//! The search for the best pack: verdict first, then probability, then distance with its slack, then the order of
//! choice.
//!
//! Packs are looked through in windows of thickness about the target that grow until no pack outside can be better:
//! a pack further away is never nearer, and by the one-sided inequality of Chebyshev it is less likely in band.

use super::PickError;
use super::alike::Alike;
use super::candidates::{Candidate, Rules, Stock, times};
use super::chooser::Chooser;
use super::judgement::Judged;
use super::order::key;
use crate::analyse::Verdict;
use crate::length::on_grid;
use crate::model::Form;

/// The first window reaches this far from the target.
const FIRST_WINDOW_MM: f64 = 0.02;
/// A window grows by this factor.
const GROWTH: i64 = 4;

/// The best pack that obeys the rules; none where no pack does. Other rules than the pack's own can be given.
pub(super) fn best(
    chooser: &mut Chooser<'_>,
    stock: Stock,
    rules: Option<Rules<'_>>,
) -> Result<Option<Candidate>, PickError> {
    let rules = rules.unwrap_or_else(|| own_rules(chooser, stock));
    let alike = Alike::new(chooser, rules.items);
    let mut distance = chooser.distance_of_mm(FIRST_WINDOW_MM).max(1);
    loop {
        let window = chooser.window(distance);
        let span = rules.span_nm();
        // A distance that has grown as far as it can is all there is.
        let whole = distance == i64::MAX || (window.0 <= span.0 && window.1 >= span.1);
        let mut found = alike.leaders(&rules, window).ok_or_else(|| too_many(chooser))?;
        found.sort_by_cached_key(|one| (chooser.distance(one.thickness_nm), key(chooser, one, stock)));
        if found.is_empty() {
            if whole {
                return Ok(None);
            }
            distance = distance.saturating_mul(GROWTH);
            continue;
        }
        match among(chooser, &found, stock, distance, whole)? {
            Outcome::Chosen(candidate) => return Ok(Some(candidate)),
            Outcome::LookFurther(needed) => distance = needed,
        }
    }
}

pub(super) fn own_rules<'a>(chooser: &Chooser<'a>, stock: Stock) -> Rules<'a> {
    Rules::of(&chooser.model.packs[chooser.pack], chooser.items(stock), stock == Stock::Box)
}

pub(super) fn too_many(chooser: &Chooser<'_>) -> PickError {
    PickError::TooMany { pack: chooser.model.packs[chooser.pack].name.clone() }
}

enum Outcome {
    Chosen(Candidate),
    LookFurther(i64),
}

/// Chooses among packs that are in order of distance, or says how far one has to look.
fn among(
    chooser: &mut Chooser<'_>,
    found: &[Candidate],
    stock: Stock,
    looked: i64,
    whole: bool,
) -> Result<Outcome, PickError> {
    let class = |one: &Judged| (rank(one.verdict), -one.hundredths());
    let mut judged: Vec<Judged> = Vec::new();
    let mut best_so_far = None;
    let mut furthest = i64::MAX;
    for candidate in found {
        if chooser.distance(candidate.thickness_nm) > furthest {
            break;
        }
        let one = chooser.judge(candidate, stock)?;
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
        return Ok(Outcome::LookFurther(looked.saturating_mul(GROWTH)));
    };
    let best_class = class(&judged[nearest]);
    // Each of the two is cut to a whole unit, so their sum may fall a unit short of a pack that is on the very edge of
    // the slack; a nanometre is many units.
    let level = chooser.distance(found[nearest].thickness_nm).saturating_add(judged[nearest].slack).saturating_add(1);
    let needed = if judged[nearest].verdict == Verdict::In {
        level
    } else {
        level.max(beyond_doubt(chooser, judged[nearest].hundredths()))
    };
    if needed > looked && !whole {
        // Step by step even where all would have to be seen: a pack that is in may be near, and then little more is needed.
        return Ok(Outcome::LookFurther(needed.min(looked.saturating_mul(GROWTH))));
    }
    let mut order: Vec<(super::order::Key, usize)> = (0..found.len())
        .take_while(|&index| chooser.distance(found[index].thickness_nm) <= level)
        .map(|index| (key(chooser, &found[index], stock), index))
        .collect();
    order.sort();
    for (_, index) in order {
        let one = match judged.get(index) {
            Some(one) => *one,
            None => chooser.judge(&found[index], stock)?,
        };
        if class(&one) == best_class {
            return Ok(Outcome::Chosen(found[index].clone()));
        }
    }
    Ok(Outcome::Chosen(found[nearest].clone()))
}

/// The order of verdicts in a choice: some will and cannot tell are one.
fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::In => 0,
        Verdict::SomeWill | Verdict::CannotTell => 1,
        Verdict::Out => 2,
    }
}

/// The distance beyond which no pack can have a probability of more hundredths than this.
///
/// Formula: P(Y outside by δ or more) ≤ σ²/(σ² + δ²), Cantelli's inequality, with the greatest σ of any pack. The
/// probability is that of the gap where it is lowest, so a better pack satisfies every gap's bound; the furthest of the
/// thicknesses that do is at one of their ends.
fn beyond_doubt(chooser: &Chooser<'_>, hundredths: i64) -> i64 {
    // A probability that is rounded up to a hundredth counts as that hundredth.
    let wanted = (hundredths + 1) as f64 / 100.0 - 1e-9;
    let columns = &chooser.model.columns;
    let mut good: Option<(f64, f64)> = None;
    for aim in &chooser.aims {
        let (Some(low), Some(high)) = (&aim.gap.low, &aim.gap.high) else { continue };
        let Some(sd) = chooser.greatest_sd_mm(aim) else { continue };
        // The ends may be in doubt too; their doubt adds at most their own standard deviations.
        let end_sd = |end: &Form| end.variance_mm2(columns).map_or(f64::INFINITY, f64::sqrt);
        let outside = (sd + end_sd(low).max(end_sd(high))) * ((1.0 - wanted).max(0.0) / wanted).sqrt();
        let [thin, thick] = [low.mean_mm(columns) - outside, high.mean_mm(columns) + outside]
            .map(|gap_mm| (gap_mm - aim.start_mm) / aim.coefficient);
        let (thin, thick) = (thin.min(thick), thin.max(thick));
        good = Some(good.map_or((thin, thick), |good| (good.0.max(thin), good.1.min(thick))));
    }
    match good {
        None => i64::MAX,
        Some((thin, thick)) if thin > thick => 0,
        // Two nanometres to spare for the rounding to the grid.
        Some((thin, thick)) => {
            chooser.distance(on_grid(thin).saturating_sub(2)).max(chooser.distance(on_grid(thick).saturating_add(2)))
        }
    }
}

/// The pack that is in now as a candidate, where it obeys the rules.
pub(super) fn fitted(chooser: &Chooser<'_>) -> Option<Candidate> {
    chooser.model.packs[chooser.pack].fitted.as_ref()?;
    let items = chooser.items(Stock::Box);
    let counts: Vec<(usize, usize)> = items
        .iter()
        .enumerate()
        .filter(|(_, item)| item.fitted > 0)
        .map(|(index, item)| (index, item.fitted))
        .collect();
    let thickness_nm =
        counts.iter().fold(0_i64, |sum, &(item, count)| sum.saturating_add(times(items[item].thickness_nm(), count)));
    let shims = counts.iter().map(|(_, count)| count).sum();
    let candidate = Candidate { counts, thickness_nm, shims };
    own_rules(chooser, Stock::Box).obeys(&candidate).then_some(candidate)
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
        let pick = pick(&model, &PickOptions::default()).expect("there is a pack to choose");
        (pick.verdict, pick.choice.shims.into_iter().map(|shim| shim.label).collect())
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
