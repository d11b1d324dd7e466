//! The whole report on the gaps of a model, as they are or without shims.

use nalgebra::DMatrix;

use super::AnalyseError;
use super::ask::{Tolerances, tolerances};
use super::capability::Capability;
use super::comparison::Comparison;
use super::contribution::{Contribution, contributions, effective_freedom};
use super::exact::ExactError;
use super::guard::{Guard, guard};
use super::heat::ColdFigures;
use super::joint::{Banded, Joint, Split};
use super::judge::{Chances, Judge, verdict_on};
use super::monte_carlo::{Ended, MonteCarlo, MonteCarloOptions, draw_watched};
use super::root_sum_square::{RootSumSquare, RootSumSquareOptions, root_sum_square};
use super::settle::{Settle, settle};
use super::targets::to_target;
use super::verdict::{ByNumber, Confidence, Verdict, by_number};
use super::worst_case::{WorstCase, worst_case};
use crate::model::{Basis, Form, Gap, Model};

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GapOptions {
    /// How sure one wants to be.
    pub confidence: Confidence,
    /// How the root-sum-square interval is made.
    pub root_sum_square: RootSumSquareOptions,
    /// What is drawn; none leaves Monte Carlo out.
    pub monte_carlo: Option<MonteCarloOptions>,
    /// Whether acceptance limits with a guard band are wanted.
    pub guard: bool,
    /// The probability of being in band for which the tolerances to ask for are wanted, if they are.
    pub tolerances_for: Option<Confidence>,
}

/// The report on all gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct GapReport {
    /// The worst verdict of the gaps; none where no gap has one.
    pub verdict: Option<Verdict>,
    /// The probability that all gaps with a verdict are in band together; none where no gap has one, where a gap is a
    /// space without its shims, and where it would have to be drawn but nothing was.
    pub joint_within: Option<Joint>,
    /// The covariance of the gaps, in mm², in the order of the document; none where a law has no variance.
    pub covariance_mm2: Option<DMatrix<f64>>,
    /// Why drawing ended; none where nothing was drawn.
    pub ended: Option<Ended>,
    /// Each gap, in the order of the document.
    pub gaps: Vec<GapFigures>,
    /// Each pack, in the order of the document.
    pub packs: Vec<PackState>,
}

/// The figures of one gap.
#[derive(Debug, Clone, PartialEq)]
pub struct GapFigures {
    /// Its name.
    pub name: String,
    /// Whether a pack of it is not known, so that these figures are of the space with no shims in.
    pub is_space: bool,
    /// What the figures rest on.
    pub basis: Basis,
    /// The gap at the nominal sizes, in millimetres.
    pub nominal_mm: f64,
    /// The means of the band's ends, in millimetres.
    pub accept_mm: (Option<f64>, Option<f64>),
    /// The mean of the target, in millimetres.
    pub target_mm: Option<f64>,
    /// The thickness of its pack that brings it to target, in millimetres; none where it has no target or another
    /// number of packs than one.
    pub wanted_mm: Option<f64>,
    /// The verdict.
    pub verdict: Option<Verdict>,
    /// Where the expected value stands to the band.
    pub by_number: Option<ByNumber>,
    /// Whether its doubt is that of a measurement.
    pub measured: bool,
    /// Worst case.
    pub worst_case: WorstCase,
    /// Root sum square; none where a law has no variance.
    pub root_sum_square: Option<RootSumSquare>,
    /// Monte Carlo, where it was asked for.
    pub monte_carlo: Option<MonteCarlo>,
    /// Where the probabilities come from, and the verdict with them.
    pub source: Source,
    /// The exact distribution; where `source` is another, its mean and standard deviation alone are exact, the
    /// probabilities are drawn, and there are no intervals.
    pub exact: ExactFigures,
    /// Where the doubt comes from.
    pub contributions: Vec<Contribution>,
    /// What the same chain must be at 20 °C; none where the gap is not at another temperature or has no aim.
    pub cold: Option<ColdFigures>,
    /// The reading beside the sum of the parts.
    pub comparison: Option<Comparison>,
    /// What would settle it, where it cannot be told.
    pub settle: Option<Settle>,
    /// Acceptance limits, where they were asked for and the gap is measured and has a band.
    pub guard: Option<Guard>,
    /// The tolerances to ask for, where that was asked.
    pub tolerances: Option<Tolerances>,
}

/// Where probabilities come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// The exact distribution.
    Exact,
    /// Random assemblies: parts that go together are not all normal.
    MonteCarlo,
}

impl Source {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Source::Exact => "exact",
            Source::MonteCarlo => "monte carlo",
        }
    }
}

/// Figures of the exact distribution.
#[derive(Debug, Clone, PartialEq)]
pub struct ExactFigures {
    /// The mean, in millimetres.
    pub mean_mm: f64,
    /// The standard deviation, in millimetres.
    pub sd_mm: f64,
    /// The probabilities against the band; none where there is no band or no verdict to give.
    pub chances: Option<Chances>,
    /// Probabilistically symmetric intervals: coverage, lower and upper end in millimetres.
    pub intervals: Vec<(f64, f64, f64)>,
    /// The capability of production; none where something was measured, or nothing spreads.
    pub capability: Option<Capability>,
    /// Effective degrees of freedom; none where every part is as good as known.
    pub effective_freedom: Option<f64>,
}

/// A pack as it is, and the thickness that would bring its gap to target.
#[derive(Debug, Clone, PartialEq)]
pub struct PackState {
    /// Its name.
    pub name: String,
    /// The thickness that is in now, in millimetres.
    pub fitted_mm: Option<f64>,
    /// The thickness wanted, in millimetres; none where the gaps with a target do not settle it.
    pub wanted_mm: Option<f64>,
}

/// Works out all gaps of a model with the packs that are fitted.
///
/// # Errors
/// A distribution that cannot be computed; digits that are asked for where a law has no fourth moment.
pub fn report(model: &Model, options: &GapOptions) -> Result<GapReport, AnalyseError> {
    report_watched(model, options, &mut |_| true)
}

/// As [`report`]; while it draws, `watch` is told how many samples there are, and says whether to go on.
///
/// # Errors
/// As [`report`].
pub fn report_watched(
    model: &Model,
    options: &GapOptions,
    watch: &mut dyn FnMut(u64) -> bool,
) -> Result<GapReport, AnalyseError> {
    let fitted = model.fitted();
    let spaces: Vec<bool> = model.gaps.iter().map(|gap| is_space(model, gap)).collect();
    let forms: Vec<Form> = model.gaps.iter().map(|gap| model.with(gap, &fitted)).collect();
    if options.monte_carlo.is_some_and(|options| options.digits.is_some()) {
        fourth_moments(model, &forms)?;
    }
    let mut judges = Vec::with_capacity(model.gaps.len());
    for (form, gap) in forms.iter().zip(&model.gaps) {
        judges.push(match Judge::new(form, gap, &model.columns) {
            Err(AnalyseError::Exact { fault: ExactError::Correlated, .. }) => None,
            judge => Some(judge?),
        });
    }
    let mut banded: Vec<Banded<'_>> = forms.iter().zip(&model.gaps).map(|(form, gap)| Banded::new(form, gap)).collect();
    for ((gap, judge), &space) in banded.iter_mut().zip(&judges).zip(&spaces) {
        gap.alone = judge.as_ref().filter(|_| gap.has_band() && !space).map(|judge| judge.at(0.0));
    }
    // A space with a band would be judged without its shims.
    let judged = banded.iter().zip(&spaces).all(|(gap, &space)| !(space && gap.has_band()));
    let judged = judged && banded.iter().any(Banded::has_band);
    let split = if judged { Some(split(&banded, model)?) } else { None };
    let together: &[usize] = split.as_ref().map_or(&[], |split| &split.drawn);
    let drawn = options.monte_carlo.and_then(|options| draw_watched(&banded, together, &model.columns, options, watch));
    let joint_within = split.as_ref().and_then(|split| match &drawn {
        _ if split.drawn.is_empty() => Some(split.joint(None)),
        drawn => drawn.as_ref()?.joint_within.map(|share| split.joint(Some(share))),
    });
    let mut gaps = Vec::with_capacity(model.gaps.len());
    for (index, (form, judge)) in forms.iter().zip(&judges).enumerate() {
        let mut monte_carlo = drawn.as_ref().map(|drawn| drawn.gaps[index].clone());
        if spaces[index]
            && let Some(drawn) = &mut monte_carlo
        {
            drawn.shares = None;
        }
        let known =
            Known { form, judge: judge.as_ref(), alone: banded[index].alone, space: spaces[index], monte_carlo };
        gaps.push(figures(model, index, known, options)?);
    }
    let verdict = gaps.iter().filter_map(|gap| gap.verdict).reduce(Verdict::worse);
    Ok(GapReport {
        verdict,
        joint_within,
        covariance_mm2: model.covariance(&forms),
        ended: drawn.map(|drawn| drawn.ended),
        gaps,
        packs: packs(model),
    })
}

/// That a standard deviation that is drawn comes to stand still.
fn fourth_moments(model: &Model, forms: &[Form]) -> Result<(), AnalyseError> {
    let has = |form: &Form| {
        form.columns().all(|column| model.columns[column].parts.iter().all(|part| part.law.has_fourth_moment()))
    };
    match forms.iter().zip(&model.gaps).find(|(form, _)| !has(form)) {
        None => Ok(()),
        Some((_, gap)) => Err(AnalyseError::NoFourthMoment { gap: gap.name.clone() }),
    }
}

/// What of the joint probability need not be drawn.
fn split(banded: &[Banded<'_>], model: &Model) -> Result<Split, AnalyseError> {
    // A law without variance has stopped the figures of its gap before.
    Split::new(banded, &model.columns).map_err(|fault| AnalyseError::Exact {
        gap: model.gaps.iter().map(|gap| gap.name.as_str()).collect::<Vec<_>>().join("`, `"),
        fault,
    })
}

/// Whether a gap's chain has a pack that is neither fitted nor named.
pub(super) fn is_space(model: &Model, gap: &Gap) -> bool {
    model
        .packs
        .iter()
        .zip(&gap.pack_coefficients)
        .any(|(pack, &coefficient)| coefficient != 0.0 && pack.fitted.is_none())
}

/// What is known of one gap before its figures are put together.
struct Known<'a> {
    form: &'a Form,
    /// Its exact distribution; none where parts that go together rule it out.
    judge: Option<&'a Judge>,
    /// The exact probabilities.
    alone: Option<Chances>,
    space: bool,
    monte_carlo: Option<MonteCarlo>,
}

impl Known<'_> {
    /// The probabilities against a band, and where they come from.
    fn chances(&self, gap: &Gap) -> (Option<Chances>, Source) {
        let drawn = || self.monte_carlo.as_ref().and_then(|drawn| drawn.shares.as_ref()).map(Chances::drawn);
        let (chances, source) = match self.judge {
            Some(_) => (self.alone, Source::Exact),
            None => (drawn(), Source::MonteCarlo),
        };
        (chances.filter(|_| gap.has_band() && !self.space), source)
    }
}

fn figures(model: &Model, index: usize, known: Known<'_>, options: &GapOptions) -> Result<GapFigures, AnalyseError> {
    let gap = &model.gaps[index];
    let columns = &model.columns;
    let (chances, source) = known.chances(gap);
    let Known { form, judge, space, monte_carlo, .. } = known;
    let measured = form.is_measured(columns);
    let verdict = chances.map(|chances| verdict_on(gap, form, columns, chances.within, options.confidence));
    let end = |end: &Option<Form>| end.as_ref().map(|end| end.mean_mm(columns));
    let (low, high) = (end(&gap.low), end(&gap.high));
    let (mean, sd) = match judge {
        Some(judge) => (judge.distribution().mean_mm(), judge.distribution().sd_mm()),
        None => (form.mean_mm(columns), form.variance_mm2(columns).map_or(0.0, f64::sqrt)),
    };
    let interval = |coverage: f64| {
        judge.and_then(|judge| judge.distribution().interval(coverage)).map(|(low, high)| (coverage, low, high))
    };
    let intervals = [0.95, 0.9973].into_iter().filter_map(interval).collect();
    Ok(GapFigures {
        name: gap.name.clone(),
        is_space: space,
        basis: gap.basis,
        nominal_mm: form.nominal_mm(columns),
        accept_mm: (low, high),
        target_mm: gap.target.as_ref().map(|target| target.mean_mm(columns)),
        wanted_mm: (0..model.packs.len()).find_map(|pack| wanted_mm(model, gap, pack)),
        verdict,
        by_number: (gap.has_band() && !space).then(|| by_number(mean, low, high)),
        measured,
        worst_case: {
            let mut worst = worst_case(form, gap, columns);
            worst.fits = worst.fits.filter(|_| !space);
            worst
        },
        root_sum_square: root_sum_square(form, columns, options.root_sum_square),
        monte_carlo,
        source,
        exact: ExactFigures {
            mean_mm: mean,
            sd_mm: sd,
            chances,
            intervals,
            // It is said of production, not of a reading.
            capability: chances
                .filter(|_| !measured)
                .and_then(|chances| Capability::of(mean, sd, (low, high), &chances)),
            effective_freedom: effective_freedom(form, columns),
        },
        contributions: contributions(form, model, &gap.pack_coefficients).unwrap_or_default(),
        cold: ColdFigures::of(model, gap, &model.fitted()),
        comparison: Comparison::of(model, gap),
        settle: match verdict {
            Some(Verdict::CannotTell) if judge.is_some() => settle(model, index, options.confidence, &|model| {
                Some(model.with(&model.gaps[index], &model.fitted()))
            })?,
            _ => None,
        },
        guard: judge
            .filter(|_| options.guard && measured && !space && gap.not_flat.is_empty())
            .and_then(|judge| guard(judge, options.confidence)),
        tolerances: match options.tolerances_for {
            Some(wanted) if judge.is_none() => Some(Tolerances::not_exact(wanted)),
            wanted => wanted.map(|wanted| tolerances(form, gap, columns, space, wanted)).transpose()?,
        },
    })
}

fn packs(model: &Model) -> Vec<PackState> {
    // Where each gap has several packs, all gaps together may say what each pack should be.
    let starts: Vec<f64> = model.gaps.iter().map(|gap| gap.start.mean_mm(&model.columns)).collect();
    let together = to_target(model, &starts);
    let state = |index: usize| {
        // The first gap that has a target and no other pack says what this pack should be.
        let wanted = model.gaps.iter().filter(|gap| gap.is_judged()).find_map(|gap| wanted_mm(model, gap, index));
        PackState {
            name: model.packs[index].name.clone(),
            fitted_mm: model.packs[index].fitted.as_ref().map(|fitted| fitted.thickness_mm),
            wanted_mm: wanted.or(together[index]),
        }
    };
    (0..model.packs.len()).map(state).collect()
}

/// The thickness of a pack that brings a gap to its target; none where other packs are in the gap too.
#[must_use]
pub(crate) fn wanted_mm(model: &Model, gap: &Gap, pack: usize) -> Option<f64> {
    let coefficient = gap.pack_coefficients[pack];
    let alone = gap.pack_coefficients.iter().filter(|&&coefficient| coefficient != 0.0).count() == 1;
    if coefficient == 0.0 || !alone {
        return None;
    }
    let target = gap.target.as_ref()?.mean_mm(&model.columns);
    Some((target - gap.start.mean_mm(&model.columns)) / coefficient)
}
