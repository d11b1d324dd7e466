//! What an answer says of packs that were chosen together: what else there is, what to have made, what rules cost.

use super::candidates::Stock;
use super::choice::{Choice, Expected};
use super::chooser::{Chooser, expected};
use super::fill::Fill;
use super::lap::{self, Lapped};
use super::made::{self, Make};
use super::{Alternative, AlternativeRole, Packed, PickError, Ruled, Try, enters, neighbours, possible, search, why};
use crate::analyse::{ByNumber, Confidence, Verdict, by_number};
use crate::length::from_grid_mm;
use crate::model::{Form, Model, PackForm};

/// Packs that were chosen together.
pub(super) struct Together<'a> {
    chooser: Chooser<'a>,
    /// The best packs by the order of choice.
    best: Fill,
    /// Those that are fitted in the end: the best ones, or those that are in now.
    fill: Fill,
    /// The pack with one shim lapped, where none is in band without.
    lapped: Option<Lapped>,
    /// Whether those are in now.
    pub(super) leave: bool,
    /// The place of the first of them among all packs that are chosen.
    first: usize,
}

/// Other packs in place of those that were chosen, and what they give.
struct Instead {
    choices: Vec<Choice>,
    gaps: Vec<Expected>,
    verdict: Option<Verdict>,
}

impl<'a> Together<'a> {
    /// Chooses the packs of a group, of which `first` is the place of the first among all that are chosen.
    pub(super) fn choose(
        model: &'a Model,
        group: Vec<usize>,
        first: usize,
        confidence: Confidence,
    ) -> Result<Self, PickError> {
        let mut chooser = Chooser::new(model, group, confidence)?;
        let best = match enters::aim(&chooser)? {
            Some(aim) => enters::thickest(&chooser, aim)?,
            None => search::best(&mut chooser, Stock::Box, None)?,
        };
        let best = best.ok_or_else(|| why::nothing(&chooser))?;
        let in_band = expected_in(&chooser, &best);
        let lapped = if in_band { None } else { lap::lapped(&chooser)? };
        let left = leave(&mut chooser)?;
        let leave = left.is_some();
        let fill = left.unwrap_or_else(|| best.clone());
        Ok(Together { chooser, best, fill, lapped: lapped.filter(|_| !leave), leave, first })
    }

    /// How many packs there are.
    pub(super) fn count(&self) -> usize {
        self.chooser.chosen.len()
    }

    /// Puts the packs among all of the model's.
    pub(super) fn put_in(&self, forms: &mut [PackForm]) {
        for (&pack, form) in self.chooser.chosen.iter().zip(self.fill.forms(&self.chooser, Stock::Box)) {
            forms[pack] = form;
        }
        if let (Some(lapped), [pack]) = (&self.lapped, self.chooser.chosen.as_slice()) {
            forms[*pack] = lapped.form.clone();
        }
    }

    /// Whether any of their boxes was counted.
    pub(super) fn is_counted(&self) -> bool {
        (0..self.count()).any(|which| self.chooser.pack(which).counted)
    }

    /// What to try, where the thickest that enters is wanted.
    pub(super) fn tries(&self) -> Result<Vec<Try>, PickError> {
        let Some(aim) = enters::aim(&self.chooser)?.filter(|_| !self.leave) else { return Ok(Vec::new()) };
        let tries = enters::tries(&self.chooser, aim, &self.best)?;
        let one = |(fill, enters): (Fill, f64)| {
            let choice = fill.choices(&self.chooser, Stock::Box).swap_remove(0);
            Try { which: self.first, choice, enters }
        };
        Ok(tries.into_iter().map(one).collect())
    }

    /// The highest probability that any thicknesses give.
    pub(super) fn best_possible(&self, forms: &[PackForm]) -> Result<Option<f64>, PickError> {
        possible::best(&self.chooser, &self.fill, forms)
    }

    pub(super) fn packed(&self, forms: &[PackForm]) -> Result<Vec<Packed>, PickError> {
        let wanted = possible::wanted(&self.chooser, &self.fill, forms)?;
        let choices = match &self.lapped {
            Some(lapped) => vec![lapped.choice.clone()],
            None => self.fill.choices(&self.chooser, Stock::Box),
        };
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
    ) -> Result<Instead, PickError> {
        let mut choices = choices.to_vec();
        let mut forms = forms.to_vec();
        for (which, choice) in fill.choices(chooser, stock).into_iter().enumerate() {
            choices[place + which] = choice;
        }
        for (&pack, form) in chooser.chosen.iter().zip(fill.forms(chooser, stock)) {
            forms[pack] = form;
        }
        let (gaps, verdict) = expected(chooser.model, &forms, chooser.confidence)?;
        Ok(Instead { choices, gaps, verdict })
    }

    /// The next thinner and the next thicker of each pack, the others being as they were chosen.
    pub(super) fn neighbours(&self, choices: &[Choice], forms: &[PackForm]) -> Result<Vec<Alternative>, PickError> {
        let mut found = Vec::new();
        for (which, alone) in self.alone(forms)?.iter().enumerate().filter(|&(which, _)| !self.is_bound(which)) {
            let place = self.first + which;
            for (role, fill) in neighbours::both(alone, forms[self.chooser.chosen[which]].thickness_mm)? {
                let Instead { choices, gaps, verdict } =
                    self.with(alone, (&fill, Stock::Box), place, (choices, forms))?;
                found.push(Alternative { role, which: Some(place), choices, gaps, verdict });
            }
        }
        Ok(found)
    }

    /// What could be fitted if shims of the kits were bought, where that is better than what the box gives.
    pub(super) fn bought(&mut self, choices: &[Choice], forms: &[PackForm]) -> Result<Option<Alternative>, PickError> {
        let Some(fill) = neighbours::bought(&mut self.chooser)? else { return Ok(None) };
        let another = fill.thickness_nm() != self.fill.thickness_nm();
        let Instead { choices, gaps, verdict } =
            self.with(&self.chooser, (&fill, Stock::Bought), self.first, (choices, forms))?;
        let which = (self.chooser.chosen.len() == 1).then_some(self.first);
        let better = another && verdict != Some(Verdict::Out);
        Ok(better.then_some(Alternative { role: AlternativeRole::Next, which, choices, gaps, verdict }))
    }

    /// Whether a pack cannot change alone: it is as thick as another one, or no thinner.
    fn is_bound(&self, which: usize) -> bool {
        let packs = &self.chooser.model.packs;
        let own = self.chooser.chosen[which];
        self.chooser.chosen.iter().any(|&one| {
            let to = [packs[one].same_as, packs[one].not_thinner_than];
            to.iter().flatten().any(|&other| one == own || other == own)
        })
    }

    pub(super) fn make(&self, forms: &[PackForm]) -> Result<Vec<Make>, PickError> {
        let alone = self.alone(forms)?;
        let may = |which: usize| !self.is_bound(which) && self.chooser.pack(which).is_of_shims();
        let free = alone.iter().enumerate().filter(|&(which, _)| may(which));
        let made = free.map(|(_, alone)| made::make(alone)).collect::<Result<Vec<_>, _>>()?;
        Ok(made.into_iter().flatten().collect())
    }

    pub(super) fn ruled(&mut self, choices: &[Choice], forms: &[PackForm]) -> Result<Vec<Ruled>, PickError> {
        let mut found = Vec::new();
        // What enters is found by trying, and no rule but the groove itself decides.
        if self.leave || self.lapped.is_some() || enters::aim(&self.chooser)?.is_some() {
            return Ok(found);
        }
        for (rule, which, fill) in why::ruled(&mut self.chooser, &self.best)? {
            let Instead { choices, gaps, .. } =
                self.with(&self.chooser, (&fill, Stock::Box), self.first, (choices, forms))?;
            found.push(Ruled { rule, which: self.first + which, choices, gaps });
        }
        Ok(found)
    }

    pub(super) fn slip(&self, packs: &[Packed]) -> Option<String> {
        (0..self.chooser.chosen.len())
            .find_map(|which| why::slip(&self.chooser, which, packs[self.first + which].wanted.thickness_mm))
    }
}

/// Whether every gap is in band by the number with these packs.
fn expected_in(chooser: &Chooser<'_>, fill: &Fill) -> bool {
    let thickness_nm = fill.thickness_nm();
    chooser.aims.iter().all(|aim| {
        let end = |end: &Option<Form>| end.as_ref().map(|end| end.mean_mm(&chooser.model.columns));
        let gap = from_grid_mm(aim.expected_nm(&thickness_nm));
        by_number(gap, end(&aim.gap.low), end(&aim.gap.high)) == ByNumber::In
    })
}

/// The packs that are in now, if they obey the rules and are in band and sure.
fn leave(chooser: &mut Chooser<'_>) -> Result<Option<Fill>, PickError> {
    let Some(fitted) = search::fitted(chooser) else { return Ok(None) };
    let has_band = chooser.aims.iter().any(|aim| aim.gap.has_band());
    let sure = chooser.judge(&fitted, Stock::Box)?.verdict == Verdict::In;
    Ok((has_band && sure).then_some(fitted))
}
