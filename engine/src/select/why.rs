//! Why the rest was refused: what each rule cost, and why nothing could be chosen at all.

use super::PickError;
use super::candidates::{Rules, Stock};
use super::chooser::Chooser;
use super::fill::Fill;
use super::search::{self, own_rules};
use crate::analyse::Verdict;
use crate::document::resolved::slip_of;
use crate::model::Pack;

/// A rule that can cost something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The most shims that may be in.
    Most,
    /// The fewest that must be in.
    Least,
    /// Sizes that must be in.
    Includes,
    /// The greatest thickness of the pack.
    Thickest,
    /// Sizes that may not meet.
    Never,
    /// The thickness of another pack.
    SameAs,
    /// That it may not be thinner than another pack.
    NotThinner,
    /// The number in the box.
    Box,
}

const RULES: [Rule; 8] =
    [Rule::Most, Rule::Least, Rule::Includes, Rule::Thickest, Rule::Never, Rule::SameAs, Rule::NotThinner, Rule::Box];

/// With the rule on the most shims left out, this many more are looked at.
const MORE_SHIMS: usize = 1;

/// The rules that cost something, each looked at by itself: the rule, the place of its pack, and the better packs that
/// it refuses.
pub(super) fn ruled(chooser: &mut Chooser<'_>, best: &Fill) -> Result<Vec<(Rule, usize, Fill)>, PickError> {
    let mine = chooser.judge(best, Stock::Box)?;
    let mine_distance = chooser.distance(&best.thickness_nm());
    let mut found = Vec::new();
    for which in 0..chooser.chosen.len() {
        for rule in RULES {
            // Where the box gives nothing sure, what a bought shim would do is an answer of its own.
            if rule == Rule::Box && mine.verdict != Verdict::In {
                continue;
            }
            let Some(rules) = without(rule, which, chooser) else { continue };
            // Packs that cannot be looked for in reasonable time are not worth a remark.
            let other = match search::best(chooser, Stock::Box, Some(rules)) {
                Ok(Some(other)) => other,
                Ok(None) | Err(PickError::TooMany { .. }) => continue,
                Err(fault) => return Err(fault),
            };
            let judged = chooser.judge(&other, Stock::Box)?;
            let better_verdict = judged.verdict < mine.verdict;
            let nearer = chooser.distance(&other.thickness_nm()).saturating_add(mine.slack) < mine_distance;
            if better_verdict || (nearer && judged.verdict <= mine.verdict) {
                found.push((rule, which, other));
            }
        }
    }
    Ok(found)
}

/// The rules with one of the pack at `which` left out; none where it is not there or cannot cost anything.
fn without(rule: Rule, which: usize, chooser: &Chooser<'_>) -> Option<Vec<Rules>> {
    let mut all: Vec<Rules> = (0..chooser.chosen.len()).map(|which| own_rules(chooser, Stock::Box, which)).collect();
    let rules = &mut all[which];
    match rule {
        // One piece that is made is one, and so is a screw.
        Rule::Most if chooser.pack(which).is_of_shims() => rules.most += MORE_SHIMS,
        Rule::Least if rules.least > 0 => rules.least = 0,
        Rule::Includes if !rules.includes_nm.is_empty() => rules.includes_nm.clear(),
        Rule::Thickest if rules.thickest_nm.is_some() => rules.thickest_nm = None,
        Rule::Never if !rules.never_nm.is_empty() => rules.never_nm.clear(),
        Rule::SameAs if rules.same_as.is_some() => rules.same_as = None,
        Rule::NotThinner if rules.not_thinner_than.is_some() => rules.not_thinner_than = None,
        Rule::Box if rules.items.iter().any(|item| item.in_box.is_some()) => rules.limited = false,
        _ => return None,
    }
    Some(all)
}

/// Why nothing can be chosen.
pub(super) fn nothing(chooser: &Chooser<'_>) -> PickError {
    let fails = |which: usize| {
        let rules = own_rules(chooser, Stock::Box, which);
        let mut any = false;
        // That there are too many is no reason why there is none.
        let looked = rules.each(rules.span_nm(), &mut |_| any = true);
        looked.is_some() && !any
    };
    match (0..chooser.chosen.len()).find(|&which| fails(which)) {
        Some(which) => {
            let pack = chooser.pack(which);
            PickError::NoPack { pack: pack.name.clone(), why: of_pack(pack) }
        }
        None => {
            let names: Vec<&str> = (0..chooser.chosen.len()).map(|which| chooser.pack(which).name.as_str()).collect();
            let why = format!("the box has not enough shims for {} at once", names.join(" and "));
            PickError::NoPack { pack: chooser.pack(0).name.clone(), why }
        }
    }
}

/// Why no pack obeys the rules, in words.
fn of_pack(pack: &Pack) -> String {
    let there: Option<usize> =
        pack.items.iter().map(|item| item.available()).try_fold(0_usize, |sum, one| Some(sum + one?));
    if let Some(there) = there
        && there < pack.count.least
    {
        return format!("at least {} shims must be in, and there are {there}", pack.count.least);
    }
    if let Some(thickest) = pack.thickest_mm {
        return format!(
            "with at least {} shims none is at most {} mm thick",
            pack.count.least,
            crate::length::shortest(thickest)
        );
    }
    "the sizes that must be in are not there, or the count leaves no place for them".to_owned()
}

/// What the kit's labels or the thickness wanted probably are, where nothing fits and one is 25.4 or 10 times the
/// other.
pub(super) fn slip(chooser: &Chooser<'_>, which: usize, wanted_mm: f64) -> Option<String> {
    chooser.items(Stock::Bought, which).iter().find_map(|item| {
        let slip = slip_of(wanted_mm, item.label_mm)?;
        Some(format!("the thickness wanted and the size {} are {slip}", item.label))
    })
}
