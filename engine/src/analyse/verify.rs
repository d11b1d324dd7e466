//! Does the fitted gap, as read, agree with the sum of the parts; and what to change.

mod changes;

use nalgebra::DMatrix;

use super::AnalyseError;
use super::comparison::Comparison;
use super::gap::is_space;
use super::judge::{Chances, Judge, verdict_on};
use super::settle::{Settle, settle};
use super::suspects::{Slip, Suspect, slips, suspects};
use super::verdict::{ByNumber, Confidence, Verdict};
use crate::model::{Basis, Form, Gap, Model, PackForm};

pub use changes::PackChange;
use changes::changes;

/// The report of a check after assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct VerifyReport {
    /// The worst verdict of the gaps; none where no gap has a band.
    pub verdict: Option<Verdict>,
    /// Whether every reading agrees with the sum of its parts, where both are there.
    pub agrees: bool,
    /// Each gap, in the order of the document.
    pub gaps: Vec<Verified>,
    /// Each pack, in the order of the document.
    pub packs: Vec<PackChange>,
}

/// What is known of one gap after assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Verified {
    /// Its name.
    pub name: String,
    /// The sum of the parts and its standard uncertainty, in millimetres; none where no part says anything.
    pub predicted_mm: Option<(f64, f64)>,
    /// The reading and its standard uncertainty, in millimetres.
    pub found_mm: Option<(f64, f64)>,
    /// Reading less sum, with the standard uncertainty of the difference, in millimetres.
    pub difference_mm: Option<(f64, f64)>,
    /// The normalised error E_n.
    pub normalised_error: Option<f64>,
    /// Whether reading and sum agree; none where one of them is missing.
    pub agrees: Option<bool>,
    /// The best estimate and its standard uncertainty, in millimetres; none where reading and sum disagree.
    pub best_mm: Option<(f64, f64)>,
    /// The 95 % interval of what the change is worked from, in millimetres.
    pub interval_mm: (f64, f64),
    /// What the change is worked from.
    pub rests_on: RestsOn,
    /// The means of the band's ends, in millimetres.
    pub accept_mm: (Option<f64>, Option<f64>),
    /// The mean of the target, in millimetres.
    pub target_mm: Option<f64>,
    /// The probabilities against the band.
    pub chances: Option<Chances>,
    /// The verdict.
    pub verdict: Option<Verdict>,
    /// Where the value stands to the band.
    pub by_number: Option<ByNumber>,
    /// What would have to be wrong where they disagree, the least implausible first.
    pub suspects: Vec<Suspect>,
    /// The usual slips that would explain it.
    pub slips: Vec<Slip>,
    /// What would settle it, where it cannot be told and reading and sum do not disagree.
    pub settle: Option<Settle>,
}

/// What a gap's value after assembly rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RestsOn {
    /// Reading and sum together.
    Both,
    /// The reading alone.
    Reading,
    /// The sum of the parts alone.
    Parts,
}

/// Checks the gaps of a model against their readings.
///
/// Formula: the reading f and the sum p of a gap agree where |E_n| ≤ 1, E_n = (f − p)/(2·√Var(f − p)) (ISO 13528), shared
/// shims and zeros counted once by the forms' coefficients. Where they agree, the best estimate is the generalised
/// least squares one over all gaps that agree: y = p + K·(f − p), K = Cov(p, p − f)·Cov(f − p)⁻¹.
///
/// # Errors
/// A distribution that cannot be computed.
pub fn verify(model: &Model, confidence: Confidence) -> Result<VerifyReport, AnalyseError> {
    let estimates = Estimates::of(model);
    let mut gaps = Vec::with_capacity(model.gaps.len());
    for index in 0..model.gaps.len() {
        gaps.push(verified(model, index, &estimates, confidence)?);
    }
    let values: Vec<f64> = estimates.values.iter().map(|(form, _)| form.mean_mm(&model.columns)).collect();
    Ok(VerifyReport {
        verdict: gaps.iter().filter_map(|gap| gap.verdict).reduce(Verdict::worse),
        agrees: gaps.iter().all(|gap| gap.agrees != Some(false)),
        packs: changes(model, &values),
        gaps,
    })
}

/// Each gap from its parts, against its reading, and as it is taken to be.
struct Estimates {
    predicted: Vec<Form>,
    comparisons: Vec<Option<Comparison>>,
    values: Vec<(Form, RestsOn)>,
}

impl Estimates {
    fn of(model: &Model) -> Estimates {
        let fitted = model.fitted();
        let predicted: Vec<Form> = model.gaps.iter().map(|gap| predicted(gap, &fitted)).collect();
        let comparisons: Vec<Option<Comparison>> = model.gaps.iter().map(|gap| Comparison::of(model, gap)).collect();
        let best = best_estimates(model, &predicted, &comparisons);
        let all_agree = comparisons.iter().flatten().all(Comparison::agrees);
        let value = |index: usize| match (&comparisons[index], &model.gaps[index].found, &best[index]) {
            (Some(comparison), Some(_), Some(best)) if comparison.agrees() => (best.clone(), RestsOn::Both),
            (_, Some(found), _) => (found.form.clone(), RestsOn::Reading),
            // Not read itself, but made of a gap that was: the sum of its parts counts where that is in the estimate.
            (_, None, best) if model.gaps[index].basis == Basis::Found => match best {
                Some(best) if all_agree => (best.clone(), RestsOn::Both),
                _ => (model.with(&model.gaps[index], &fitted), RestsOn::Reading),
            },
            (_, None, best) => (best.clone().unwrap_or_else(|| predicted[index].clone()), RestsOn::Parts),
        };
        let values = (0..model.gaps.len()).map(value).collect();
        Estimates { predicted, comparisons, values }
    }

    fn agrees(&self, index: usize) -> Option<bool> {
        self.comparisons[index].as_ref().map(Comparison::agrees)
    }
}

fn predicted(gap: &Gap, fitted: &[PackForm]) -> Form {
    let mut form = gap.paper.clone();
    for (pack, &coefficient) in fitted.iter().zip(&gap.pack_coefficients) {
        form.add(&pack.form, coefficient);
    }
    form
}

/// The best estimate of each gap from all readings that agree with their sums; none where it cannot be worked.
fn best_estimates(model: &Model, predicted: &[Form], comparisons: &[Option<Comparison>]) -> Vec<Option<Form>> {
    let agreeing: Vec<usize> =
        (0..model.gaps.len()).filter(|&index| comparisons[index].as_ref().is_some_and(Comparison::agrees)).collect();
    let differences: Vec<Form> = agreeing
        .iter()
        .filter_map(|&index| model.gaps[index].found.as_ref().map(|found| found.form.plus(&predicted[index], -1.0)))
        .collect();
    let none = || predicted.iter().map(|_| None).collect();
    let Some(spread) = model.covariance(&differences).filter(|_| !differences.is_empty()) else { return none() };
    // A difference without any doubt leaves nothing to weigh, sum and reading being both exact; one that follows from
    // the others says nothing new. The pseudo-inverse passes over both.
    let Ok(inverse) = spread.clone().pseudo_inverse(ROUNDING * spread.diagonal().max()) else { return none() };
    predicted
        .iter()
        .enumerate()
        .map(|(index, sum)| {
            let judged_here = model.gaps[index].found.is_none() && model.gaps[index].has_dimensions;
            if !agreeing.contains(&index) && !judged_here {
                return None;
            }
            let covariances: Option<Vec<f64>> =
                differences.iter().map(|difference| sum.covariance_mm2(difference, &model.columns)).collect();
            // Cov(p, p − f) is minus the covariance with f − p.
            let weights = -DMatrix::from_row_slice(1, differences.len(), &covariances?) * &inverse;
            let mut best = sum.clone();
            for (difference, weight) in differences.iter().zip(weights.iter()) {
                best.add(difference, *weight);
            }
            Some(best)
        })
        .collect()
}

/// A singular value this small beside the greatest is rounding.
const ROUNDING: f64 = 1e-12;

fn verified(
    model: &Model,
    index: usize,
    estimates: &Estimates,
    confidence: Confidence,
) -> Result<Verified, AnalyseError> {
    let gap = &model.gaps[index];
    let predicted = &estimates.predicted[index];
    let comparison = estimates.comparisons[index].as_ref();
    let (form, rests_on) = &estimates.values[index];
    let columns = &model.columns;
    let judge = Judge::new(form, gap, columns)?;
    let distribution = judge.distribution();
    let (mean, sd) = (distribution.mean_mm(), distribution.sd_mm());
    // The space that a pack is to fill is no gap yet.
    let judged = gap.has_band() && (gap.found.is_some() || !is_space(model, gap));
    let chances = judged.then(|| judge.at(0.0));
    let verdict = chances.map(|chances| verdict_on(gap, form, columns, chances.within, confidence));
    let with_u = |form: &Form| (form.mean_mm(columns), form.variance_mm2(columns).map_or(0.0, f64::sqrt));
    let difference = gap.found.as_ref().filter(|_| gap.has_dimensions).map(|found| found.form.plus(predicted, -1.0));
    let agrees = estimates.agrees(index);
    let (suspects, slips) = match &difference {
        Some(difference) if agrees == Some(false) => (suspects(model, difference), slips(model, gap, difference)),
        _ => (Vec::new(), Vec::new()),
    };
    Ok(Verified {
        name: gap.name.clone(),
        predicted_mm: gap.has_dimensions.then(|| with_u(predicted)),
        found_mm: gap.found.as_ref().map(|found| with_u(&found.form)),
        difference_mm: difference.as_ref().map(with_u),
        normalised_error: comparison.and_then(|comparison| comparison.normalised_error),
        agrees,
        best_mm: (agrees != Some(false)).then_some((mean, sd)),
        interval_mm: distribution.interval(0.95).unwrap_or((mean, mean)),
        rests_on: *rests_on,
        accept_mm: judge.band_mm(),
        target_mm: gap.target.as_ref().map(|target| target.mean_mm(columns)),
        chances,
        verdict,
        by_number: judged.then(|| judge.by_number(0.0)),
        suspects,
        slips,
        settle: match verdict {
            Some(Verdict::CannotTell) if agrees != Some(false) => settle(model, index, confidence, &|model| {
                let again = Estimates::of(model);
                // Finer readings of values that stay where they are may set reading and sum at odds; that settles nothing.
                (again.agrees(index) == agrees).then(|| again.values[index].0.clone())
            })?,
            _ => None,
        },
    })
}
