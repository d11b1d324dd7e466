//! Which shims to fit.
//!
//! Selection is a stream of the packs that obey the rules (`candidates`), a judgement of each by the exact method
//! (`chooser`), and one order of choice in whole numbers (`order`). It finds the best of all packs, not the first
//! good one. Packs that bear on one gap, or draw on one counted box, are chosen together (`groups`, `cells`).

mod alike;
mod candidates;
mod cells;
mod choice;
mod chooser;
mod enters;
mod fill;
mod groups;
mod judgement;
mod lap;
mod made;
mod neighbours;
mod order;
pub mod plan;
mod possible;
pub mod reach;
mod search;
pub mod stock;
mod stocks;
mod together;
mod why;

use crate::analyse::{AnalyseError, Banded, Comparison, Confidence, Settle, Verdict, joint_bounds, settle};
use crate::model::{Form, Gap, Model, PackForm};

pub use candidates::MOST_CANDIDATES;
pub use choice::{Choice, Expected, Shim};
pub use made::{Make, Wanted};
pub use why::Rule;

use chooser::expected;
use plan::{Plan, Stations};
use together::Together;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PickOptions {
    /// How sure one wants to be.
    pub confidence: Confidence,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Pick {
    /// The worst verdict of the gaps; none where no gap has a band.
    pub verdict: Option<Verdict>,
    /// How sure one wanted to be.
    pub confidence: Confidence,
    /// Whether all packs are those that are in now, in band and sure, so that nothing has to be done.
    pub leave: bool,
    /// The packs that were chosen, in the model's order.
    pub packs: Vec<Packed>,
    /// What each gap will be.
    pub gaps: Vec<Expected>,
    /// The least and the greatest probability that all gaps with a band are in it at once, one figure where it is known
    /// exactly; none where fewer than two have one.
    pub joint_within: Option<(f64, f64)>,
    /// What to try, the thickest first, where the thickest that enters is wanted.
    pub tries: Vec<Try>,
    /// What else there is: the next thinner and thicker packs, and what a bought shim would do.
    pub alternatives: Vec<Alternative>,
    /// What to have made, where the chosen packs are not surely in band: one shim, for any of these packs.
    pub make: Vec<Make>,
    /// By how much the expected gap is outside its band, in millimetres; none where it is in.
    pub misses_by_mm: Option<f64>,
    /// The highest probability that any thickness gives; none where no gap has a band.
    pub best_possible: Option<f64>,
    /// Rules but for which another pack would have been chosen.
    pub ruled: Vec<Ruled>,
    /// What probably went wrong with a unit or a decimal point, where nothing fits.
    pub slip: Option<String>,
    /// What to do at each station, where several packs of one shim draw on one box and share no gap.
    pub plan: Option<Plan>,
    /// The reading of each gap beside the sum of its parts.
    pub comparisons: Vec<Option<Comparison>>,
    /// What would settle each gap of which it cannot be told.
    pub settle: Vec<Option<Settle>>,
}

/// A pack that was chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct Packed {
    /// Its index among the model's packs.
    pub pack: usize,
    /// What to fit.
    pub choice: Choice,
    /// Whether that is what is in now, in band and sure.
    pub leave: bool,
    /// The thickness that would be ideal.
    pub wanted: Wanted,
}

/// Other packs and what they give.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// Why it is shown.
    pub role: AlternativeRole,
    /// The place of the pack that differs among those that were chosen; none where several do.
    pub which: Option<usize>,
    /// The packs, one for each that was chosen.
    pub choices: Vec<Choice>,
    /// What each gap would be.
    pub gaps: Vec<Expected>,
    /// The worst verdict of the gaps.
    pub verdict: Option<Verdict>,
}

/// A pack to try, where the thickest that enters is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Try {
    /// The place of the pack among those that were chosen.
    pub which: usize,
    /// What to try.
    pub choice: Choice,
    /// The probability that it enters.
    pub enters: f64,
}

/// A rule but for which other packs, better ones, would have been chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct Ruled {
    /// The rule.
    pub rule: Rule,
    /// The place of the pack that has it among those that were chosen.
    pub which: usize,
    /// The packs that it refuses, one for each that was chosen.
    pub choices: Vec<Choice>,
    /// What each gap would be with them.
    pub gaps: Vec<Expected>,
}

/// Why an alternative is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlternativeRole {
    /// The next thinner pack.
    Thinner,
    /// The next thicker pack.
    Thicker,
    /// What could be fitted if shims of the kit were bought.
    Next,
}

impl AlternativeRole {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            AlternativeRole::Thinner => "thinner",
            AlternativeRole::Thicker => "thicker",
            AlternativeRole::Next => "next",
        }
    }
}

/// Why nothing was chosen.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PickError {
    /// No pack is in a gap that has something to aim at.
    #[error("there is no pack to choose: no gap with a target has a pack in its chain")]
    NothingToChoose,
    /// A band with one end, and no target.
    #[error("`{gap}` has a band with one end only; to choose a pack it needs a `target`")]
    NoTarget {
        /// The gap.
        gap: String,
    },
    /// More packs than can be looked through together.
    #[error("{} are to be chosen together; up to {} packs can be", quoted(packs), groups::MOST_TOGETHER)]
    SeveralPacks {
        /// Their names.
        packs: Vec<String>,
    },
    /// No pack obeys the rules.
    #[error("no pack of `{pack}` obeys the rules: {why}")]
    NoPack {
        /// The pack.
        pack: String,
        /// Which rules cannot be met.
        why: String,
    },
    /// The thickest that enters cannot be looked for.
    #[error("the thickest that enters `{gap}` cannot be chosen: {why}")]
    CannotEnter {
        /// The gap.
        gap: String,
        /// Why not.
        why: String,
    },
    /// There are too many to look through.
    #[error("`{pack}` can be made up in more ways than can be looked through")]
    TooMany {
        /// The pack.
        pack: String,
    },
    /// A distribution cannot be computed.
    #[error(transparent)]
    Analyse(#[from] AnalyseError),
}

fn quoted(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
        None => String::new(),
    }
}

/// Chooses packs for the gaps of a model.
///
/// # Errors
/// Why nothing was chosen.
pub fn pick(model: &Model, options: &PickOptions) -> Result<Pick, PickError> {
    let confidence = options.confidence;
    let (mut together, mut stations) = (Vec::new(), Vec::new());
    let mut forms = model.fitted();
    let mut first = 0;
    for group in groups::of(model)? {
        if group.stations {
            let one = Stations::choose(model, &group.packs, confidence)?;
            one.put_in(&mut forms);
            stations.push(one);
        } else {
            let one = Together::choose(model, group.packs, first, confidence)?;
            first += one.count();
            one.put_in(&mut forms);
            together.push(one);
        }
    }
    let (gaps, verdict) = expected(model, &forms, confidence)?;
    let joint_within = at_once(model, &forms)?;
    let sure = verdict.is_none_or(|verdict| verdict == Verdict::In);
    let mut packs = Vec::new();
    for one in &together {
        packs.extend(one.packed(&forms)?);
    }
    packs.extend(stations.iter().flat_map(|one| one.packed(&gaps)));
    let choices: Vec<Choice> = packs.iter().map(|packed| packed.choice.clone()).collect();
    let (mut alternatives, mut make, mut ruled, mut tries) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut best_possible: Option<f64> = None;
    for one in &mut together {
        alternatives.extend(one.neighbours(&choices, &forms)?);
        if !sure && one.is_counted() {
            alternatives.extend(one.bought(&choices, &forms)?);
        }
        best_possible = [best_possible, one.best_possible(&forms)?].into_iter().flatten().reduce(f64::min);
        if !sure {
            make.extend(one.make(&forms)?);
        }
        tries.extend(one.tries()?);
        ruled.extend(one.ruled(&choices, &forms)?);
    }
    let mut plan: Option<Plan> = None;
    for one in &mut stations {
        best_possible = [best_possible, one.best_possible()?].into_iter().flatten().reduce(f64::min);
        plan.get_or_insert_default().extend(one.plan(&gaps)?);
    }
    make.extend(plan.iter().flat_map(|plan| &plan.stations).filter_map(|station| station.make.clone()));
    let misses_by_mm = gaps.iter().filter_map(Expected::misses_by_mm).reduce(f64::max);
    let slip = misses_by_mm.and_then(|_| {
        let slip = together.iter().find_map(|one| one.slip(&packs));
        slip.or_else(|| stations.iter().find_map(Stations::slip))
    });
    let comparisons = model.gaps.iter().map(|gap| Comparison::of(model, gap)).collect();
    let settle = settled(model, confidence, &forms, &gaps)?;
    let leave = packs.iter().all(|packed| packed.leave);
    let mut pick = Pick {
        verdict,
        confidence,
        leave,
        packs,
        gaps,
        joint_within,
        tries,
        alternatives,
        make,
        misses_by_mm,
        best_possible,
        ruled,
        slip,
        plan,
        comparisons,
        settle,
    };
    pick.put_in_order();
    Ok(pick)
}

impl Pick {
    /// Brings the packs into the model's order, and all that goes by their places with them.
    fn put_in_order(&mut self) {
        let mut order: Vec<usize> = (0..self.packs.len()).collect();
        order.sort_by_key(|&place| self.packs[place].pack);
        let place = |before: usize| order.iter().position(|&one| one == before).unwrap_or(before);
        let moved = |choices: &[Choice]| order.iter().map(|&one| choices[one].clone()).collect();
        for one in &mut self.alternatives {
            one.which = one.which.map(place);
            one.choices = moved(&one.choices);
        }
        for one in &mut self.ruled {
            one.which = place(one.which);
            one.choices = moved(&one.choices);
        }
        self.packs.sort_by_key(|packed| packed.pack);
    }
}

/// How likely all gaps that have a band are in it at once, with these packs.
fn at_once(model: &Model, packs: &[PackForm]) -> Result<Option<(f64, f64)>, PickError> {
    let judged: Vec<&Gap> = model.gaps.iter().filter(|gap| gap.has_band()).collect();
    let [first, _, ..] = judged.as_slice() else { return Ok(None) };
    let forms: Vec<Form> = judged.iter().map(|gap| model.with(gap, packs)).collect();
    let banded: Vec<Banded<'_>> = judged.iter().zip(&forms).map(|(gap, form)| Banded::new(form, gap)).collect();
    joint_bounds(&banded, &model.columns).map_err(|fault| AnalyseError::Exact { gap: first.name.clone(), fault }.into())
}

/// What would settle each gap of which it cannot be told with these packs.
fn settled(
    model: &Model,
    confidence: Confidence,
    packs: &[PackForm],
    gaps: &[Expected],
) -> Result<Vec<Option<Settle>>, PickError> {
    let one = |(index, gap): (usize, &Expected)| {
        if gap.verdict != Some(Verdict::CannotTell) {
            return Ok(None);
        }
        // The packs are what they are; only what was read changes.
        let form_of = |model: &Model| Some(model.with(&model.gaps[index], packs));
        Ok(settle(model, index, confidence, &form_of)?)
    };
    gaps.iter().enumerate().map(one).collect()
}
