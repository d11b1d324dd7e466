//! Does the fitted gap, as read, agree with the sum of the parts; and what to change.

use nalgebra::{DMatrix, DVector};

use super::AnalyseError;
use super::gap::Comparison;
use super::judge::{Chances, Judge};
use super::suspects::{Slip, Suspect, slips, suspects};
use super::verdict::{ByNumber, Confidence, Verdict};
use crate::model::{Basis, Form, Gap, Model, PackForm};

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

/// What to change on a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct PackChange {
    /// Its name.
    pub name: String,
    /// The thickness that is in, in millimetres.
    pub fitted_mm: Option<f64>,
    /// The thickness wanted, in millimetres.
    pub wanted_mm: Option<f64>,
    /// Wanted less fitted, in millimetres.
    pub change_mm: Option<f64>,
    /// Whether a thicker pack opens the gap that the change is for; none where there is no such gap.
    pub thicker_opens: Option<bool>,
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
    let fitted = model.fitted();
    let predicted: Vec<Form> = model.gaps.iter().map(|gap| predicted(gap, &fitted)).collect();
    let comparisons: Vec<Option<Comparison>> = model.gaps.iter().map(|gap| Comparison::of(model, gap)).collect();
    let best = best_estimates(model, &predicted, &comparisons);
    let all_agree = comparisons.iter().flatten().all(Comparison::agrees);
    let mut gaps = Vec::with_capacity(model.gaps.len());
    let mut values = Vec::with_capacity(model.gaps.len());
    for (index, gap) in model.gaps.iter().enumerate() {
        let (form, rests_on) = match (&comparisons[index], &gap.found, &best[index]) {
            (Some(comparison), Some(_), Some(best)) if comparison.agrees() => (best.clone(), RestsOn::Both),
            (_, Some(found), _) => (found.form.clone(), RestsOn::Reading),
            // Not read itself, but made of a gap that was: the sum of its parts counts where that is in the estimate.
            (_, None, best) if gap.basis == Basis::Found => match best {
                Some(best) if all_agree => (best.clone(), RestsOn::Both),
                _ => (model.with(gap, &fitted), RestsOn::Reading),
            },
            (_, None, best) => (best.clone().unwrap_or_else(|| predicted[index].clone()), RestsOn::Parts),
        };
        values.push(form.mean_mm(&model.columns));
        gaps.push(verified(model, gap, &predicted[index], &form, rests_on, comparisons[index].as_ref(), confidence)?);
    }
    Ok(VerifyReport {
        verdict: gaps.iter().filter_map(|gap| gap.verdict).reduce(Verdict::worse),
        agrees: gaps.iter().all(|gap| gap.agrees != Some(false)),
        packs: changes(model, &values),
        gaps,
    })
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
    // A difference without any doubt leaves nothing to weigh: sum and reading are both exact.
    let Some(inverse) = spread.try_inverse() else { return none() };
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

fn verified(
    model: &Model,
    gap: &Gap,
    predicted: &Form,
    form: &Form,
    rests_on: RestsOn,
    comparison: Option<&Comparison>,
    confidence: Confidence,
) -> Result<Verified, AnalyseError> {
    let columns = &model.columns;
    let judge = Judge::new(form, gap, columns).map_err(|fault| AnalyseError::Exact { gap: gap.name.clone(), fault })?;
    let distribution = judge.distribution();
    let (mean, sd) = (distribution.mean_mm(), distribution.sd_mm());
    let chances = gap.has_band().then(|| judge.at(0.0));
    let verdict = chances.map(|chances| {
        let verdict = confidence.judge(chances.within, form.is_measured(columns));
        if gap.not_flat.is_empty() { verdict } else { verdict.worse(Verdict::CannotTell) }
    });
    let with_u = |form: &Form| (form.mean_mm(columns), form.variance_mm2(columns).map_or(0.0, f64::sqrt));
    let difference = gap.found.as_ref().filter(|_| gap.has_dimensions).map(|found| found.form.plus(predicted, -1.0));
    let agrees = comparison.map(Comparison::agrees);
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
        rests_on,
        accept_mm: judge.band_mm(),
        target_mm: gap.target.as_ref().map(|target| target.mean_mm(columns)),
        chances,
        verdict,
        by_number: gap.has_band().then(|| judge.by_number(0.0)),
        suspects,
        slips,
    })
}

/// The change of each pack that brings every gap with a target there: C·Δ = target − gap, C being the packs'
/// coefficients; by least squares where there are more gaps than packs.
fn changes(model: &Model, values: &[f64]) -> Vec<PackChange> {
    let aims: Vec<(usize, f64)> = model
        .gaps
        .iter()
        .enumerate()
        .filter(|(_, gap)| gap.is_judged() && gap.pack_coefficients.iter().any(|&coefficient| coefficient != 0.0))
        .filter_map(|(index, gap)| {
            gap.target.as_ref().map(|target| (index, target.mean_mm(&model.columns) - values[index]))
        })
        .collect();
    let packs: Vec<usize> = (0..model.packs.len())
        .filter(|&pack| aims.iter().any(|&(gap, _)| model.gaps[gap].pack_coefficients[pack] != 0.0))
        .collect();
    let solved = solve(model, &aims, &packs);
    (0..model.packs.len())
        .map(|index| {
            let pack = &model.packs[index];
            let fitted_mm = pack.fitted.as_ref().map(|fitted| fitted.thickness_mm);
            let place = packs.iter().position(|&one| one == index);
            let change_mm = place.zip(solved.as_ref()).map(|(place, solved)| solved[place]);
            let thicker_opens = aims.iter().find_map(|&(gap, _)| {
                let gap = &model.gaps[gap];
                let coefficient = gap.pack_coefficients[index];
                (coefficient != 0.0).then_some(coefficient * gap.looser_sign() > 0.0)
            });
            PackChange {
                name: pack.name.clone(),
                fitted_mm,
                wanted_mm: change_mm.map(|change| fitted_mm.unwrap_or(0.0) + change),
                change_mm: change_mm.filter(|_| fitted_mm.is_some()),
                thicker_opens,
            }
        })
        .collect()
}

/// The least-squares solution; none where some pack's change is not settled by the gaps.
fn solve(model: &Model, aims: &[(usize, f64)], packs: &[usize]) -> Option<DVector<f64>> {
    if packs.is_empty() || aims.len() < packs.len() {
        return None;
    }
    let coefficients = DMatrix::from_fn(aims.len(), packs.len(), |row, column| {
        model.gaps[aims[row].0].pack_coefficients[packs[column]]
    });
    let wanted = DVector::from_iterator(aims.len(), aims.iter().map(|&(_, change)| change));
    let decomposed = coefficients.svd(true, true);
    // Coefficients are of the order of one; a singular value this small is rounding, not a chain.
    const NOTHING: f64 = 1e-9;
    if decomposed.rank(NOTHING) < packs.len() {
        return None;
    }
    decomposed.solve(&wanted, NOTHING).ok()
}
