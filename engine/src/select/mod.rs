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
mod fill;
mod groups;
mod judgement;
mod made;
mod neighbours;
mod order;
mod possible;
mod search;
mod stocks;
mod why;

use crate::analyse::{AnalyseError, Comparison, Confidence, Settle, Verdict, settle};
use crate::model::{Model, PackForm};

pub use candidates::MOST_CANDIDATES;
pub use choice::{Choice, Expected, Shim};
pub use made::{Make, Wanted};
pub use why::Rule;

use candidates::Stock;
use chooser::{Chooser, expected};
use fill::Fill;

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
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" and ")
}

/// Packs that were chosen together.
struct Chosen<'a> {
    chooser: Chooser<'a>,
    /// The best packs by the order of choice.
    best: Fill,
    /// Those that are fitted in the end: the best ones, or those that are in now.
    fill: Fill,
    leave: bool,
    /// The place of the first of them among all packs that are chosen.
    first: usize,
}

/// Chooses packs for the gaps of a model.
///
/// # Errors
/// Why nothing was chosen.
pub fn pick(model: &Model, options: &PickOptions) -> Result<Pick, PickError> {
    let confidence = options.confidence;
    let mut together = Vec::new();
    let mut forms = model.fitted();
    let mut first = 0;
    for group in groups::of(model)? {
        let count = group.len();
        let mut chooser = Chooser::new(model, group, confidence)?;
        let best = search::best(&mut chooser, Stock::Box, None)?.ok_or_else(|| why::nothing(&chooser))?;
        let left = leave(&mut chooser)?;
        let leave = left.is_some();
        let fill = left.unwrap_or_else(|| best.clone());
        for (&pack, form) in chooser.chosen.iter().zip(fill.forms(&chooser, Stock::Box)) {
            forms[pack] = form;
        }
        together.push(Chosen { chooser, best, fill, leave, first });
        first += count;
    }
    let (gaps, verdict) = expected(model, &forms, confidence)?;
    let sure = verdict.is_none_or(|verdict| verdict == Verdict::In);
    let mut packs = Vec::new();
    for one in &together {
        packs.extend(one.packed(&forms)?);
    }
    let choices: Vec<Choice> = packs.iter().map(|packed| packed.choice.clone()).collect();
    let (mut alternatives, mut make, mut ruled) = (Vec::new(), Vec::new(), Vec::new());
    let mut best_possible: Option<f64> = None;
    for one in &mut together {
        alternatives.extend(one.neighbours(&choices, &forms)?);
        if !sure && one.chooser.chosen.iter().any(|&pack| model.packs[pack].counted) {
            alternatives.extend(one.bought(&choices, &forms)?);
        }
        best_possible =
            [best_possible, possible::best(&one.chooser, &one.fill, &forms)?].into_iter().flatten().reduce(f64::min);
        if !sure {
            make.extend(one.make(&forms)?);
        }
        if !one.leave {
            ruled.extend(one.ruled(&choices, &forms)?);
        }
    }
    let misses_by_mm = gaps.iter().filter_map(Expected::misses_by_mm).reduce(f64::max);
    let slip = misses_by_mm.and_then(|_| together.iter().find_map(|one| one.slip(&packs)));
    let comparisons = model.gaps.iter().map(|gap| Comparison::of(model, gap)).collect();
    let settle = settled(model, confidence, &forms, &gaps)?;
    let leave = together.iter().all(|one| one.leave);
    packs.sort_by_key(|packed| packed.pack);
    Ok(Pick {
        verdict,
        confidence,
        leave,
        packs,
        gaps,
        alternatives,
        make,
        misses_by_mm,
        best_possible,
        ruled,
        slip,
        comparisons,
        settle,
    })
}

impl Chosen<'_> {
    fn packed(&self, forms: &[PackForm]) -> Result<Vec<Packed>, PickError> {
        let wanted = possible::wanted(&self.chooser, &self.fill, forms)?;
        let choices = self.fill.choices(&self.chooser, Stock::Box);
        let packs = self.chooser.chosen.iter().zip(choices).zip(wanted);
        Ok(packs.map(|((&pack, choice), wanted)| Packed { pack, choice, leave: self.leave, wanted }).collect())
    }

    /// Each pack alone, the others being as they were chosen.
    fn alone(&self, forms: &[PackForm]) -> Result<Vec<Chooser<'_>>, PickError> {
        (0..self.chooser.chosen.len()).map(|which| self.chooser.alone(which, &self.fill, forms)).collect()
    }

    /// All packs and gaps with these packs in place of those that were chosen.
    fn with(
        &self,
        chooser: &Chooser<'_>,
        (fill, stock): (&Fill, Stock),
        place: usize,
        (choices, forms): (&[Choice], &[PackForm]),
    ) -> Result<(Vec<Choice>, Vec<Expected>, Option<Verdict>), PickError> {
        let mut choices = choices.to_vec();
        let mut forms = forms.to_vec();
        for (which, choice) in fill.choices(chooser, stock).into_iter().enumerate() {
            choices[place + which] = choice;
        }
        for (&pack, form) in chooser.chosen.iter().zip(fill.forms(chooser, stock)) {
            forms[pack] = form;
        }
        let (gaps, verdict) = expected(chooser.model, &forms, chooser.confidence)?;
        Ok((choices, gaps, verdict))
    }

    /// The next thinner and the next thicker of each pack, the others being as they were chosen.
    fn neighbours(&self, choices: &[Choice], forms: &[PackForm]) -> Result<Vec<Alternative>, PickError> {
        let mut found = Vec::new();
        for (which, alone) in self.alone(forms)?.iter().enumerate() {
            let place = self.first + which;
            for (role, fill) in neighbours::both(alone, forms[self.chooser.chosen[which]].thickness_mm)? {
                let (choices, gaps, verdict) = self.with(alone, (&fill, Stock::Box), place, (choices, forms))?;
                found.push(Alternative { role, which: Some(place), choices, gaps, verdict });
            }
        }
        Ok(found)
    }

    /// What could be fitted if shims of the kits were bought, where that is better than what the box gives.
    fn bought(&mut self, choices: &[Choice], forms: &[PackForm]) -> Result<Option<Alternative>, PickError> {
        let Some(fill) = neighbours::bought(&mut self.chooser)? else { return Ok(None) };
        let another = fill.thickness_nm() != self.fill.thickness_nm();
        let (choices, gaps, verdict) =
            self.with(&self.chooser, (&fill, Stock::Bought), self.first, (choices, forms))?;
        let which = (self.chooser.chosen.len() == 1).then_some(self.first);
        let better = another && verdict != Some(Verdict::Out);
        Ok(better.then_some(Alternative { role: AlternativeRole::Next, which, choices, gaps, verdict }))
    }

    fn make(&self, forms: &[PackForm]) -> Result<Vec<Make>, PickError> {
        let made = self.alone(forms)?.iter().map(made::make).collect::<Result<Vec<_>, _>>()?;
        Ok(made.into_iter().flatten().collect())
    }

    fn ruled(&mut self, choices: &[Choice], forms: &[PackForm]) -> Result<Vec<Ruled>, PickError> {
        let mut found = Vec::new();
        for (rule, which, fill) in why::ruled(&mut self.chooser, &self.best)? {
            let (choices, gaps, _) = self.with(&self.chooser, (&fill, Stock::Box), self.first, (choices, forms))?;
            found.push(Ruled { rule, which: self.first + which, choices, gaps });
        }
        Ok(found)
    }

    fn slip(&self, packs: &[Packed]) -> Option<String> {
        (0..self.chooser.chosen.len())
            .find_map(|which| why::slip(&self.chooser, which, packs[self.first + which].wanted.thickness_mm))
    }
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

/// The packs that are in now, if they obey the rules and are in band and sure.
fn leave(chooser: &mut Chooser<'_>) -> Result<Option<Fill>, PickError> {
    let Some(fitted) = search::fitted(chooser) else { return Ok(None) };
    let has_band = chooser.aims.iter().any(|aim| aim.gap.has_band());
    let sure = chooser.judge(&fitted, Stock::Box)?.verdict == Verdict::In;
    Ok((has_band && sure).then_some(fitted))
}
