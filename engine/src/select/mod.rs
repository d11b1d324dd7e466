//! Which shims to fit.
//!
//! Selection is a stream of the packs that obey the rules (`candidates`), a judgement of each by the exact method
//! (`chooser`), and one order of choice in whole numbers (`order`). It finds the best of all packs, not the first
//! good one.

mod alike;
mod candidates;
mod choice;
mod chooser;
mod judgement;
mod made;
mod neighbours;
mod order;
mod search;
mod why;

use crate::analyse::{AnalyseError, Comparison, Confidence, Settle, Verdict, settle};
use crate::model::{Model, PackForm};

pub use candidates::MOST_CANDIDATES;
pub use choice::{Choice, Expected, Shim};
pub use made::{Make, Wanted};
pub use why::{Rule, Ruled};

use candidates::Stock;
use chooser::Chooser;

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
    /// Whether the pack is the one that is in now, in band and sure, so that nothing has to be done.
    pub leave: bool,
    /// The index of the pack that was chosen for, among the model's packs.
    pub pack: usize,
    /// The pack to fit.
    pub choice: Choice,
    /// The thickness that would be ideal.
    pub wanted: Wanted,
    /// What each gap will be.
    pub gaps: Vec<Expected>,
    /// What else there is: the next thinner and thicker packs, and what a bought shim would do.
    pub alternatives: Vec<Alternative>,
    /// What to have made, where the chosen pack is not surely in band.
    pub make: Option<Make>,
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

/// Another pack and what it gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// Why it is shown.
    pub role: AlternativeRole,
    /// The pack.
    pub choice: Choice,
    /// What each gap would be.
    pub gaps: Vec<Expected>,
    /// The worst verdict of the gaps.
    pub verdict: Option<Verdict>,
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
    /// More than one pack.
    #[error("{} are to be chosen together; this version chooses one pack at a time", quoted(packs))]
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

/// Chooses a pack for the gaps of a model.
///
/// # Errors
/// Why nothing was chosen.
pub fn pick(model: &Model, options: &PickOptions) -> Result<Pick, PickError> {
    let index = pack_to_choose(model)?;
    let mut chooser = Chooser::new(model, index, options.confidence)?;
    let best = search::best(&mut chooser, Stock::Box, None)?;
    let best =
        best.ok_or_else(|| PickError::NoPack { pack: model.packs[index].name.clone(), why: why::nothing(&chooser) })?;
    let leave = leave(&mut chooser)?;
    let (choice, form, left) = match leave {
        Some((choice, form)) => (choice, form, true),
        None => (best.choice(&chooser, Stock::Box), best.form(&chooser, Stock::Box), false),
    };
    let (gaps, verdict) = chooser.expected(&form)?;
    let mut alternatives = neighbours::both(&mut chooser, form.thickness_mm)?;
    let sure = verdict.is_none_or(|verdict| verdict == Verdict::In);
    if !sure && model.packs[index].counted {
        alternatives.extend(neighbours::bought(&mut chooser, form.thickness_mm)?);
    }
    let wanted = made::wanted(&chooser);
    let best_possible = made::best_possible(&chooser)?;
    let make = if sure { None } else { made::make(&mut chooser)? };
    let misses_by_mm = gaps.iter().filter_map(Expected::misses_by_mm).reduce(f64::max);
    let ruled = if left { Vec::new() } else { why::ruled(&mut chooser, &best)? };
    let comparisons = model.gaps.iter().map(|gap| Comparison::of(model, gap)).collect();
    let settle = settled(&chooser, &form, &gaps)?;
    Ok(Pick {
        verdict,
        confidence: options.confidence,
        leave: left,
        pack: index,
        choice,
        wanted,
        gaps,
        alternatives,
        make,
        misses_by_mm,
        best_possible,
        ruled,
        slip: misses_by_mm.and_then(|_| why::slip(&chooser, wanted.thickness_mm)),
        comparisons,
        settle,
    })
}

/// What would settle each gap of which it cannot be told with this pack.
fn settled(chooser: &Chooser<'_>, form: &PackForm, gaps: &[Expected]) -> Result<Vec<Option<Settle>>, PickError> {
    let packs = chooser.packs(form);
    let one = |(index, gap): (usize, &Expected)| {
        if gap.verdict != Some(Verdict::CannotTell) {
            return Ok(None);
        }
        // The pack is what it is; only what was read changes.
        let form_of = |model: &Model| Some(model.with(&model.gaps[index], &packs));
        Ok(settle(chooser.model, index, chooser.confidence, &form_of)?)
    };
    gaps.iter().enumerate().map(one).collect()
}

/// The one pack that is in gaps with something to aim at.
fn pack_to_choose(model: &Model) -> Result<usize, PickError> {
    let mut packs: Vec<usize> = Vec::new();
    for gap in model.gaps.iter().filter(|gap| gap.is_judged()) {
        for (index, &coefficient) in gap.pack_coefficients.iter().enumerate() {
            if coefficient == 0.0 {
                continue;
            }
            if gap.target.is_none() {
                return Err(PickError::NoTarget { gap: gap.name.clone() });
            }
            if !packs.contains(&index) {
                packs.push(index);
            }
        }
    }
    match packs.as_slice() {
        [] => Err(PickError::NothingToChoose),
        [one] => Ok(*one),
        _ => {
            let packs = packs.iter().map(|&index| model.packs[index].name.clone()).collect();
            Err(PickError::SeveralPacks { packs })
        }
    }
}

/// The pack that is in now, if it obeys the rules and is in band and sure.
fn leave(chooser: &mut Chooser<'_>) -> Result<Option<(Choice, PackForm)>, PickError> {
    let Some(fitted) = search::fitted(chooser) else { return Ok(None) };
    let form = fitted.form(chooser, Stock::Box);
    let (_, verdict) = chooser.expected(&form)?;
    Ok((verdict == Some(Verdict::In)).then(|| (fitted.choice(chooser, Stock::Box), form)))
}
