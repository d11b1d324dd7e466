//! What would settle a gap of which it cannot be told whether it is in band: which readings to take, worked out by
//! working the gap anew for each.

mod instruments;

use super::AnalyseError;
use super::judge::Judge;
use super::verdict::{Confidence, Verdict};
use crate::model::{Column, ColumnKind, Form, Model, Reread};
use instruments::{Rank, Tools};

/// The most readings at a place that are advised: the doubt falls with the root of their number, so that more are
/// seldom worth the time.
pub const MOST_READINGS: usize = 20;

/// Only so many values, those that weigh most, are looked at: where reading one of these without any doubt does not
/// settle it, reading one that weighs less does not either.
const MOST_VALUES: usize = 8;

/// What would settle a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Settle {
    /// The ways to settle it, the one of least trouble first; none where no reading with a tool that is known would.
    pub ways: Vec<Way>,
    /// The probability of being in band if everything that was read had been read without any doubt and every value
    /// stayed where it is; none where a reading of the gap and the sum of its parts could not both stay.
    pub read_perfectly: Option<f64>,
    /// What was not read and would then be most of the doubt, where it could still not be told.
    pub rest: Option<Rest>,
    /// What was read and is most of the doubt now.
    pub greatest: String,
    /// Whether that one alone would settle it, if it were read without any doubt.
    pub greatest_alone: bool,
}

/// One way to settle a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// What to read again; all of it is needed.
    pub steps: Vec<Step>,
    /// The probability of being in band then, if every value stays where it is.
    pub within: f64,
}

/// One value to read again.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The dimension, or a gap's name with `.found`.
    pub dimension: String,
    /// How many readings to take at each place: more ones, or with another instrument all of them.
    pub readings: usize,
    /// The instrument to take; none: the one it was read with.
    pub instrument: Option<String>,
    /// At how many places it was read.
    pub places: usize,
}

/// A part of the doubt that no reading touches.
#[derive(Debug, Clone, PartialEq)]
pub struct Rest {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: ColumnKind,
}

/// Works out what would settle the gap `index` of a model.
///
/// `form_of` gives the form that the gap is judged by, for the model and for models that were read otherwise; none
/// where it has none. A face that is not flat is not settled by readings, and has no answer here.
///
/// Method: the distribution is worked anew with more readings (the rule for scatter, with the same standard deviation
/// of one reading and its degrees of freedom grown) and with other instruments, until the probability is at least the
/// confidence or at most one less it. In this order: fewest more readings of one value; another instrument for one;
/// both; other instruments for the two values that weigh most. Precision: that of the exact method.
///
/// # Errors
/// A distribution that cannot be computed.
pub fn settle(
    model: &Model,
    index: usize,
    confidence: Confidence,
    form_of: &dyn Fn(&Model) -> Option<Form>,
) -> Result<Option<Settle>, AnalyseError> {
    if !model.gaps[index].not_flat.is_empty() {
        return Ok(None);
    }
    let search = Search { model: model.bare(), index, confidence, form_of };
    search.run()
}

struct Search<'a> {
    model: Model,
    index: usize,
    confidence: Confidence,
    form_of: &'a dyn Fn(&Model) -> Option<Form>,
}

/// A set of changes that settles the gap, and the probability then.
type Hit = (Vec<Reread>, f64);

impl Search<'_> {
    fn run(&self) -> Result<Option<Settle>, AnalyseError> {
        let Some(form) = (self.form_of)(&self.model) else { return Ok(None) };
        let read = self.read(&form);
        let Some(&greatest) = read.first() else { return Ok(None) };
        let perfect = self.model.read_perfectly(&read);
        let read_perfectly = self.within(&perfect)?;
        let tools = Tools::of(&self.model);
        let all = read;
        let read = &all[..all.len().min(MOST_VALUES)];
        // A value whose own doubt does not matter enough is not worth another instrument.
        let mut worth = Vec::new();
        for &column in read {
            if self.settled(self.within(&self.model.read_perfectly(&[column]))?) {
                worth.push(column);
            }
        }
        let mut hits: Vec<Hit> = Vec::new();
        hits.extend(self.fewest(&read.iter().map(|&column| (column, None)).collect::<Vec<_>>())?);
        hits.extend(self.one_instrument(&worth, &tools)?);
        if hits.is_empty() {
            let both: Vec<(usize, Option<usize>)> = worth
                .iter()
                .flat_map(|&column| tools.finer(&self.model, column).into_iter().map(move |one| (column, Some(one))))
                .collect();
            hits.extend(self.fewest(&both)?);
        }
        if let (true, [first, second, ..]) = (hits.is_empty(), read) {
            hits.extend(self.two_instruments(*first, *second, &tools)?);
        }
        let ways = hits.into_iter().map(|(changes, within)| self.way(&changes, within)).collect();
        let rest = if self.settled(read_perfectly) { None } else { self.rest(&perfect) };
        let greatest_alone = worth.contains(&greatest);
        let greatest = self.model.columns[greatest].name.clone();
        Ok(Some(Settle { ways, read_perfectly, rest, greatest, greatest_alone }))
    }

    /// The values that were read and matter to the gap or to the ends of its band, the one that weighs most first.
    fn read(&self, form: &Form) -> Vec<usize> {
        let gap = &self.model.gaps[self.index];
        let columns = &self.model.columns;
        let mut found: Vec<(f64, usize)> = Vec::new();
        for form in [Some(form), gap.low.as_ref(), gap.high.as_ref()].into_iter().flatten() {
            for &(column, coefficient) in form.terms() {
                let one: &Column = &columns[column];
                if one.kind == ColumnKind::Dimension && one.reading.is_some() && !one.parts.is_empty() {
                    let weight = coefficient * coefficient * one.variance_mm2().unwrap_or(f64::INFINITY);
                    match found.iter_mut().find(|there| there.1 == column) {
                        Some(there) => there.0 = there.0.max(weight),
                        None => found.push((weight, column)),
                    }
                }
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found.into_iter().map(|(_, column)| column).collect()
    }

    /// The probability of being in band; none where the gap has no form there.
    fn within(&self, model: &Model) -> Result<Option<f64>, AnalyseError> {
        let Some(form) = (self.form_of)(model) else { return Ok(None) };
        Judge::new(&form, &model.gaps[self.index], &model.columns).map(|judge| Some(judge.at(0.0).within))
    }

    fn settled(&self, within: Option<f64>) -> bool {
        within.is_some_and(|within| self.confidence.judge(within, true) != Verdict::CannotTell)
    }

    /// The probability after other readings, where it settles the gap.
    fn after(&self, changes: &[Reread]) -> Result<Option<f64>, AnalyseError> {
        // Readings that make no usable law settle nothing.
        let Ok(Some(model)) = self.model.reread(changes) else { return Ok(None) };
        Ok(self.within(&model)?.filter(|&within| self.settled(Some(within))))
    }

    /// How many more readings a value may get.
    fn room(&self, column: usize) -> usize {
        let reading = self.model.columns[column].reading.as_ref();
        let most = reading.and_then(|reading| reading.places.iter().map(|&(_, count)| count).max()).unwrap_or(1);
        MOST_READINGS.saturating_sub(most)
    }

    /// The fewest more readings of one of these values, each with the instrument beside it.
    fn fewest(&self, ways: &[(usize, Option<usize>)]) -> Result<Option<Hit>, AnalyseError> {
        let change = |way: (usize, Option<usize>), more: usize| Reread { column: way.0, more, instrument: way.1 };
        let mut able = Vec::new();
        for &way in ways {
            let room = self.room(way.0);
            if room > 0 && self.after(&[change(way, room)])?.is_some() {
                able.push(way);
            }
        }
        for more in (1..MOST_READINGS).filter(|_| !able.is_empty()) {
            let mut best: Option<Hit> = None;
            for &way in able.iter().filter(|way| more <= self.room(way.0)) {
                if let Some(within) = self.after(&[change(way, more)])?
                    && best.as_ref().is_none_or(|best| (within - 0.5).abs() > (best.1 - 0.5).abs())
                {
                    best = Some((vec![change(way, more)], within));
                }
            }
            if best.is_some() {
                return Ok(best);
            }
        }
        Ok(None)
    }

    /// Another instrument for one value: one that is in use before others, the coarsest first.
    fn one_instrument(&self, worth: &[usize], tools: &Tools) -> Result<Option<Hit>, AnalyseError> {
        let mut best: Option<(Rank, Hit)> = None;
        for &column in worth {
            for instrument in tools.finer(&self.model, column) {
                let changes = vec![Reread { column, more: 0, instrument: Some(instrument) }];
                let rank = tools.rank(instrument);
                let better = |there: &(Rank, Hit)| rank < there.0;
                if best.as_ref().is_none_or(better)
                    && let Some(within) = self.after(&changes)?
                {
                    best = Some((rank, (changes, within)));
                }
            }
        }
        Ok(best.map(|(_, hit)| hit))
    }

    fn two_instruments(&self, first: usize, second: usize, tools: &Tools) -> Result<Option<Hit>, AnalyseError> {
        for one in tools.finer(&self.model, first) {
            for other in tools.finer(&self.model, second) {
                let changes = vec![
                    Reread { column: first, more: 0, instrument: Some(one) },
                    Reread { column: second, more: 0, instrument: Some(other) },
                ];
                if let Some(within) = self.after(&changes)? {
                    return Ok(Some((changes, within)));
                }
            }
        }
        Ok(None)
    }

    fn way(&self, changes: &[Reread], within: f64) -> Way {
        let step = |change: &Reread| {
            let column = &self.model.columns[change.column];
            let places = column.reading.as_ref().map_or(&[][..], |reading| &reading.places);
            let there = places.iter().map(|&(_, count)| count).max().unwrap_or(0);
            Step {
                dimension: column.name.clone(),
                readings: if change.instrument.is_some() { there + change.more } else { change.more },
                instrument: change.instrument.map(|index| self.model.instruments[index].name.clone()),
                places: places.len(),
            }
        };
        Way { steps: changes.iter().map(step).collect(), within }
    }

    /// What is most of the doubt once all readings are perfect.
    fn rest(&self, perfect: &Model) -> Option<Rest> {
        let form = (self.form_of)(perfect)?;
        let weight = |&(column, coefficient): &(usize, f64)| {
            coefficient * coefficient * perfect.columns[column].variance_mm2().unwrap_or(f64::INFINITY)
        };
        let left = form.terms().iter().filter(|term| weight(term) > 0.0);
        let (column, _) = left.max_by(|a, b| weight(a).total_cmp(&weight(b)))?;
        let column = &perfect.columns[*column];
        Some(Rest { name: column.name.clone(), kind: column.kind })
    }
}
