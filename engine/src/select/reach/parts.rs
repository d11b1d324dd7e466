//! What has to come into its band for a unit to be served: each group of packs that are chosen together, and each gap
//! that has a band and no pack.

use super::lots::Lots;
use crate::analyse::Confidence;
use crate::length::from_grid_mm;
use crate::model::{Form, Gap, Model};
use crate::select::PickError;
use crate::select::alike::Alike;
use crate::select::candidates::{Rules, Stock};
use crate::select::cells::Cells;
use crate::select::chooser::Chooser;
use crate::select::groups;
use crate::select::search::own_rules;

/// Packs that are chosen together, with all that they can be.
pub(in crate::select) struct Group<'a> {
    pub(in crate::select) chooser: Chooser<'a>,
    /// Of one pack all its lots.
    pub(in crate::select) lots: Option<Lots>,
    /// Every choice of thicknesses, by pack.
    pub(in crate::select) choices_nm: Vec<Vec<i64>>,
}

impl<'a> Group<'a> {
    /// The groups of a model.
    pub(in crate::select) fn all(model: &'a Model, confidence: Confidence) -> Result<Vec<Group<'a>>, PickError> {
        let of = |group: groups::Group| {
            // Every choice is looked at, of stations on one box too.
            group.few_enough(model)?;
            Group::of(Chooser::new(model, group.packs, confidence)?)
        };
        groups::of(model)?.into_iter().map(of).collect()
    }

    pub(in crate::select) fn of(chooser: Chooser<'a>) -> Result<Group<'a>, PickError> {
        let rules: Vec<Rules> = (0..chooser.chosen.len()).map(|which| own_rules(&chooser, Stock::Box, which)).collect();
        let too_many = || PickError::TooMany { pack: chooser.pack(0).name.clone() };
        let (lots, choices_nm) = if let [rules] = rules.as_slice() {
            let lots = Lots::of(rules, &Alike::new(&chooser, &rules.items)).ok_or_else(too_many)?;
            let choices = lots.thicknesses_nm().into_iter().map(|nm| vec![nm]).collect();
            (Some(lots), choices)
        } else {
            let mut cells = Cells::new(&chooser, Stock::Box, &rules);
            cells.fill(&chooser, i64::MAX)?;
            let all = cells.in_order();
            let mut served = Vec::with_capacity(all.len());
            for cell in all {
                if !cells.fills(&chooser, &cell).ok_or_else(too_many)?.is_empty() {
                    served.push(cell.thickness_nm);
                }
            }
            (None, served)
        };
        Ok(Group { chooser, lots, choices_nm })
    }

    /// What has to come into band.
    fn part(&self) -> Part {
        let aims: Vec<_> = self.chooser.aims.iter().filter(|aim| aim.gap.has_band()).collect();
        let moves = |choice: &Vec<i64>| {
            let of_aim = |coefficients: &[f64]| {
                coefficients.iter().zip(choice).map(|(coefficient, &nm)| coefficient * from_grid_mm(nm)).sum()
            };
            aims.iter().map(|aim| of_aim(&aim.coefficients)).collect()
        };
        Part {
            ends: aims.iter().map(|aim| Ends::of(aim.gap)).collect(),
            moves: self.choices_nm.iter().map(moves).collect(),
        }
    }
}

/// Gaps that are served together, and what packs can do to them.
#[derive(Debug, Clone)]
pub(in crate::select) struct Part {
    pub(in crate::select) ends: Vec<Ends>,
    /// By how much each choice of packs moves each gap, in millimetres.
    pub(in crate::select) moves: Vec<Vec<f64>>,
}

/// A gap with no shims in, less the ends of its band.
#[derive(Debug, Clone)]
pub(in crate::select) struct Ends {
    pub(super) low: Option<Form>,
    pub(super) high: Option<Form>,
}

impl Ends {
    fn of(gap: &Gap) -> Ends {
        let less = |end: &Option<Form>| end.as_ref().map(|end| gap.start.plus(end, -1.0));
        Ends { low: less(&gap.low), high: less(&gap.high) }
    }

    pub(super) fn forms(&self) -> impl Iterator<Item = &Form> {
        self.low.iter().chain(&self.high)
    }
}

/// All that has to come into band. None where no gap with a pack has a band.
pub(in crate::select) fn parts(model: &Model, groups: &[Group<'_>]) -> Option<Vec<Part>> {
    let mut parts: Vec<Part> = groups.iter().map(Group::part).filter(|part| !part.ends.is_empty()).collect();
    if parts.is_empty() {
        return None;
    }
    let alone = |gap: &&Gap| gap.has_band() && gap.pack_coefficients.iter().all(|&coefficient| coefficient == 0.0);
    parts.extend(model.gaps.iter().filter(alone).map(|gap| Part { ends: vec![Ends::of(gap)], moves: vec![vec![0.0]] }));
    Some(parts)
}
