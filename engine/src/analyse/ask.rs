//! Tolerances to ask for: how wide a drawing's tolerances may be, and which one to tighten first.

use super::AnalyseError;
use super::judge::{Chances, Judge};
use super::verdict::Confidence;
use crate::measure::Role;
use crate::model::{Column, Form, Gap};

/// The tolerances to ask for, for a probability of being in band.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    /// The probability wanted.
    pub wanted: f64,
    /// The widest common factor on the drawing's tolerances that still gives it, or why there is none.
    pub factor: Result<f64, NoFactor>,
    /// What each dimension would gain, the greatest gain first; empty where nothing can be said of the band. Of more
    /// than [`MOST_TIGHTENED`] dimensions, those that spread the gap most.
    pub tighten: Vec<Tighten>,
}

impl Tolerances {
    /// None, for a gap whose probability has to be drawn.
    pub(super) fn not_exact(wanted: Confidence) -> Tolerances {
        Tolerances { wanted: wanted.probability(), factor: Err(NoFactor::NotExact), tighten: Vec::new() }
    }
}

/// Why there is no factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoFactor {
    /// The gap has no band.
    NoBand,
    /// A pack of it is not known.
    NoPack,
    /// No tolerance of a drawing is in it.
    NoTolerance,
    /// Its probability is not known exactly, for parts that go together are not all normal.
    NotExact,
    /// With hardly any tolerance the probability would still be below the one wanted: the mean is too far off, or what
    /// has no tolerance to tighten is too much in doubt.
    TooFarOff {
        /// The probability at a millionth of every tolerance.
        at_best: f64,
    },
    /// A million times as wide they would still do.
    AnyWidth,
}

/// What one dimension would gain by a tighter tolerance.
#[derive(Debug, Clone, PartialEq)]
pub struct Tighten {
    /// The dimension.
    pub dimension: String,
    /// The change of the probability of being in band for a tolerance 1 % less, of this dimension alone; 0 where it is
    /// not larger than its error bound.
    pub gain: f64,
}

/// The factor is known to this part of itself, or to what the error bound of the exact probability allows.
pub const FACTOR_PRECISION: f64 = 1e-9;

/// The most dimensions of which the gain is worked out, each with a distribution of its own.
pub const MOST_TIGHTENED: usize = 500;

/// The factor of a tolerance that is tightened by 1 %.
const ONE_PERCENT_LESS: f64 = 0.99;

/// Factors from 2 to the minus and plus of this are searched.
const MOST_DOUBLINGS: i32 = 20;

/// The widest common factor f on the drawing's tolerances for which a gap is still in band with the probability
/// wanted, and what each dimension would gain.
///
/// Formula: each dimension by its drawing becomes m + f·(x − m): its mean m is held and so is the shape of its
/// distribution. What was measured, shims, instruments and expansions stay as they are. An end of the band that
/// depends on a dimension follows it. f is found by bisection of the exact probability: with f it is at least the one
/// wanted, with f·(1 + [`FACTOR_PRECISION`]) it is less. Where several stretches of factors would do (the probability need
/// not fall everywhere where the mean is near an end of the band), it is the end of the one that is met first from
/// f = 1 in steps of 2.
///
/// # Errors
/// A distribution that cannot be computed.
pub fn tolerances(
    form: &Form,
    gap: &Gap,
    columns: &[Column],
    is_space: bool,
    wanted: Confidence,
) -> Result<Tolerances, AnalyseError> {
    let wanted = wanted.probability();
    let without = |why: NoFactor| Ok(Tolerances { wanted, factor: Err(why), tighten: Vec::new() });
    if !gap.has_band() {
        return without(NoFactor::NoBand);
    }
    if is_space {
        return without(NoFactor::NoPack);
    }
    let stack = Stack { form, gap, columns };
    let drawn = stack.drawn();
    if drawn.is_empty() {
        return without(NoFactor::NoTolerance);
    }
    let factor = stack.widest(wanted)?;
    Ok(Tolerances { wanted, factor, tighten: stack.tighten(&drawn)? })
}

struct Stack<'a> {
    form: &'a Form,
    gap: &'a Gap,
    columns: &'a [Column],
}

impl Stack<'_> {
    /// The columns with a drawing's tolerance that have to do with the gap or its band, each once.
    fn drawn(&self) -> Vec<usize> {
        let forms = [Some(self.form), self.gap.low.as_ref(), self.gap.high.as_ref()];
        let terms = forms.into_iter().flatten().flat_map(|form| form.terms().iter().map(|&(column, _)| column));
        let mut drawn: Vec<usize> = terms.filter(|&column| is_drawn(&self.columns[column])).collect();
        drawn.sort_unstable();
        drawn.dedup();
        drawn
    }

    /// The probabilities with the tolerances of some columns changed.
    fn with(&self, factor: impl Fn(usize) -> f64) -> Result<Chances, AnalyseError> {
        let change = |form: &Form| form.spread(self.columns, &factor);
        let gap = Gap {
            low: self.gap.low.as_ref().map(change),
            high: self.gap.high.as_ref().map(change),
            ..self.gap.clone()
        };
        Ok(Judge::new(&change(self.form), &gap, self.columns)?.at(0.0))
    }

    fn all(&self, factor: f64) -> Result<Chances, AnalyseError> {
        self.with(|column| if is_drawn(&self.columns[column]) { factor } else { 1.0 })
    }

    fn widest(&self, wanted: f64) -> Result<Result<f64, NoFactor>, AnalyseError> {
        // By what is outside, not by what is within: near to one a probability has lost its digits.
        let most_outside = 1.0 - wanted;
        let does = |factor: f64| Ok::<bool, AnalyseError>(outside(&self.all(factor)?) <= most_outside);
        let (mut enough, mut too_wide);
        if does(1.0)? {
            (enough, too_wide) = (1.0, 2.0);
            while does(too_wide)? {
                (enough, too_wide) = (too_wide, 2.0 * too_wide);
                if too_wide > 2_f64.powi(MOST_DOUBLINGS) {
                    return Ok(Err(NoFactor::AnyWidth));
                }
            }
        } else {
            (enough, too_wide) = (0.5, 1.0);
            while !does(enough)? {
                (enough, too_wide) = (0.5 * enough, enough);
                if too_wide < 2_f64.powi(-MOST_DOUBLINGS) {
                    // Not at none: a mean on the very end of the band is in, and with the least tolerance half the time.
                    return Ok(Err(NoFactor::TooFarOff { at_best: self.all(too_wide)?.within }));
                }
            }
        }
        while too_wide > enough * (1.0 + FACTOR_PRECISION) {
            let middle = f64::midpoint(enough, too_wide);
            if does(middle)? {
                enough = middle;
            } else {
                too_wide = middle;
            }
        }
        Ok(Ok(enough))
    }

    fn tighten(&self, drawn: &[usize]) -> Result<Vec<Tighten>, AnalyseError> {
        let now = self.all(1.0)?;
        let mut drawn = drawn.to_vec();
        if drawn.len() > MOST_TIGHTENED {
            let spread = |column: usize| {
                self.form.coefficient(column).powi(2) * self.columns[column].variance_mm2().unwrap_or(0.0)
            };
            drawn.sort_by(|&a, &b| spread(b).total_cmp(&spread(a)));
            drawn.truncate(MOST_TIGHTENED);
        }
        let mut all = Vec::with_capacity(drawn.len());
        for one in drawn {
            let then = self.with(|column| if column == one { ONE_PERCENT_LESS } else { 1.0 })?;
            let gain = outside(&now) - outside(&then);
            let known = gain.abs() > now.error_bound + then.error_bound;
            all.push(Tighten { dimension: self.columns[one].name.clone(), gain: if known { gain } else { 0.0 } });
        }
        // Equal gains stay in the order of the document.
        all.sort_by(|a, b| b.gain.total_cmp(&a.gain));
        Ok(all)
    }
}

fn outside(chances: &Chances) -> f64 {
    chances.below + chances.above
}

/// Whether a column spreads as a drawing's tolerance says: single values and the cases of a mixture are what they are.
fn is_drawn(column: &Column) -> bool {
    !column.measured && column.parts.iter().any(|part| part.role == Role::Drawing && !part.law.is_weighted())
}
