//! The search for the best pack: verdict first, then probability, then distance with its slack, then the order of
//! choice.
//!
//! Packs are looked through in windows of thickness about the target that grow until no pack outside can be better:
//! a pack further away is never nearer, and by the one-sided inequality of Chebyshev it is less likely in band.

use super::PickError;
use super::candidates::{Candidate, Rules, times};
use super::chooser::{Chooser, Judged};
use super::order::key;
use crate::analyse::Verdict;

/// Where shims may come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stock {
    /// The box, and what is fitted.
    Box,
    /// Any size of the kit, as many as wanted.
    Bought,
}

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
    let mut distance = chooser.distance_of_mm(FIRST_WINDOW_MM).max(1);
    loop {
        let window = chooser.window(distance);
        let span = rules.span_nm();
        let whole = window.0 <= span.0 && window.1 >= span.1;
        let mut found = look_through(chooser, &rules, window)?;
        found.sort_by(|a, b| {
            let by_distance = chooser.distance(a.thickness_nm).cmp(&chooser.distance(b.thickness_nm));
            by_distance.then_with(|| key(chooser, a, stock).cmp(&key(chooser, b, stock)))
        });
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

pub(super) fn look_through(
    chooser: &Chooser<'_>,
    rules: &Rules<'_>,
    window: (i64, i64),
) -> Result<Vec<Candidate>, PickError> {
    rules.all(window).ok_or_else(|| PickError::TooMany { pack: chooser.model.packs[chooser.pack].name.clone() })
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
/// Formula: P(Y outside by δ or more) ≤ σ²/(σ² + δ²), Cantelli's inequality, with the greatest σ of any pack.
fn beyond_doubt(chooser: &Chooser<'_>, hundredths: i64) -> i64 {
    let wanted = (hundredths + 1) as f64 / 100.0;
    let mut furthest = i64::MAX;
    for aim in &chooser.aims {
        let columns = &chooser.model.columns;
        let (Some(low), Some(high)) = (&aim.gap.low, &aim.gap.high) else { continue };
        let Some(sd) = chooser.greatest_sd_mm(aim) else { continue };
        // The ends may be in doubt too; their doubt adds at most their own standard deviations.
        let ends =
            [low, high].map(|end| (end.mean_mm(columns), end.variance_mm2(columns).map_or(f64::INFINITY, f64::sqrt)));
        let sd = sd + ends[0].1.max(ends[1].1);
        let outside = sd * ((1.0 - wanted).max(0.0) / wanted).sqrt();
        let to_end = (aim.target_mm - ends[0].0).abs().max((ends[1].0 - aim.target_mm).abs());
        furthest = furthest.min(chooser.distance_of_mm(to_end + outside));
    }
    furthest
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
