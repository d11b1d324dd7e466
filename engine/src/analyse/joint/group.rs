//! The ends of bands as intervals of sums, and the sums in groups that share no variable.

use super::{Banded, JointSource};
use crate::analyse::exact::{ExactError, Probability};
use crate::analyse::judge::Judge;
use crate::analyse::terms::exact_of;
use crate::length::on_grid;
use crate::model::{Column, Form};
use crate::number::bivariate_normal::{self, rectangle};
use crate::number::double_double::DoubleDouble;

/// Coefficients that differ by less than this, relatively, are the same: they are sums and products of a few typed
/// numbers, whose rounding is some 1e-16, and no two typed numbers that differ are so near.
const SAME_COEFFICIENT: f64 = 1e-12;
/// Rounding of the ends and of the means, in units of the largest term times the epsilon of a double; the sum itself is
/// made with twice the digits.
const ROUNDINGS: f64 = 2.0;

/// One sum and the interval in which all ends leave it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sum {
    /// The sum, without a constant; the first of its coefficients is 1.
    form: Form,
    low: f64,
    high: f64,
}

/// Sums that share variables, and the gaps they come from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    sums: Vec<Sum>,
    /// Whether an end that is not random is passed for certain.
    impossible: bool,
    pub(super) gaps: Vec<usize>,
}

/// The groups of the banded gaps; no variable is in two of them.
pub(super) fn groups(gaps: &[Banded<'_>], columns: &[Column]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (index, gap) in gaps.iter().enumerate().filter(|(_, gap)| gap.has_band()) {
        let mut group = Group { sums: Vec::new(), impossible: false, gaps: vec![index] };
        for (end, sign) in [(gap.low, 1.0), (gap.high, -1.0)] {
            if let Some(end) = end {
                group.add_end(&gap.form.plus(end, -1.0), sign, columns);
            }
        }
        let (joined, apart): (Vec<Group>, Vec<Group>) =
            groups.into_iter().partition(|other| other.is_tied_to(&group, columns));
        groups = apart;
        for other in joined.into_iter().rev() {
            group = other.with(group);
        }
        groups.push(group);
    }
    groups
}

impl Sum {
    fn is_same_sum(&self, other: &Sum) -> bool {
        let (mine, theirs) = (self.form.terms(), other.form.terms());
        mine.len() == theirs.len()
            && mine.iter().zip(theirs).all(|(&(a, x), &(b, y))| a == b && (x - y).abs() <= SAME_COEFFICIENT * x.abs())
    }

    /// P(low ≤ sum ≤ high).
    fn within(&self, columns: &[Column]) -> Result<Probability, ExactError> {
        if self.low > self.high {
            return Ok(Probability { value: 0.0, error_bound: 0.0 });
        }
        let law = exact_of(&self.form, columns)?;
        let (below, above) = (law.below(self.low), law.above(self.high));
        let value = (1.0 - below.value - above.value).clamp(0.0, 1.0);
        Ok(Probability { value, error_bound: below.error_bound + above.error_bound })
    }

    /// The interval in standard deviations from the mean, and a bound of what its rounding does to a probability.
    fn standardised(&self, columns: &[Column], sd: f64) -> ((f64, f64), f64) {
        let mut mean = DoubleDouble::ZERO;
        let mut largest = 0.0f64;
        for &(column, coefficient) in self.form.terms() {
            let term = DoubleDouble::product(coefficient, columns[column].mean_mm());
            largest = largest.max(term.abs().to_f64());
            mean = mean + term;
        }
        let off = |end: f64| {
            if end.is_infinite() { end } else { (DoubleDouble::from(end) - mean).to_f64() / sd }
        };
        // The density of a standard normal variable is below 0.4, at two ends.
        let rounding = 0.8 * ROUNDINGS * f64::EPSILON * largest / sd;
        ((off(self.low), off(self.high)), rounding)
    }
}

impl Group {
    /// Adds the end of a band: `sign` × `difference` must not be negative.
    fn add_end(&mut self, difference: &Form, sign: f64, columns: &[Column]) {
        let mut fixed = difference.constant_mm;
        let mut random = Form::default();
        for &(column, coefficient) in difference.terms() {
            if columns[column].parts.is_empty() {
                fixed += coefficient * columns[column].value_mm;
            } else {
                random.add(&Form::variable(column), coefficient);
            }
        }
        match random.terms().first() {
            // A value on the edge is in, which binary rounding must not undo.
            None => self.impossible |= on_grid(fixed * sign) < 0,
            Some(&(_, first)) => {
                let end = -fixed / first;
                let (low, high) = if first * sign > 0.0 { (end, f64::INFINITY) } else { (f64::NEG_INFINITY, end) };
                self.narrow(Sum { form: random.scaled(1.0 / first), low, high });
            }
        }
    }

    /// Adds a sum; one that is there already is narrowed.
    fn narrow(&mut self, sum: Sum) {
        match self.sums.iter_mut().find(|one| one.is_same_sum(&sum)) {
            Some(one) => {
                one.low = one.low.max(sum.low);
                one.high = one.high.min(sum.high);
            }
            None => self.sums.push(sum),
        }
    }

    fn with(mut self, other: Group) -> Group {
        other.sums.into_iter().for_each(|sum| self.narrow(sum));
        self.impossible |= other.impossible;
        self.gaps.extend(other.gaps);
        self
    }

    /// Whether a variable of it is one of the other's, or goes together with one of those.
    fn is_tied_to(&self, other: &Group, columns: &[Column]) -> bool {
        let in_other = |column: usize| other.sums.iter().any(|sum| sum.form.coefficient(column) != 0.0);
        let tied = |column: usize| in_other(column) || columns[column].links.iter().any(|link| in_other(link.column));
        self.sums.iter().flat_map(|sum| sum.form.columns()).any(tied)
    }

    /// The probability that all of its gaps are in band, and how it was worked; none where it has to be drawn.
    pub(super) fn within(
        &self,
        gaps: &[Banded<'_>],
        columns: &[Column],
    ) -> Result<Option<(Probability, JointSource)>, ExactError> {
        let worked = match (self.gaps.as_slice(), self.sums.as_slice()) {
            (&[alone], _) => alone_within(&gaps[alone], columns).map(|within| (within, JointSource::Alone)),
            _ if self.impossible => Ok((Probability { value: 0.0, error_bound: 0.0 }, JointSource::OneSum)),
            (_, [one]) => one.within(columns).map(|within| (within, JointSource::OneSum)),
            (_, [one, other]) if self.is_normal(columns) => {
                return Ok(two_normal(one, other, columns).map(|within| (within, JointSource::BivariateNormal)));
            }
            _ => return Ok(None),
        };
        match worked {
            Err(ExactError::Correlated) => Ok(None),
            worked => worked.map(Some),
        }
    }

    fn is_normal(&self, columns: &[Column]) -> bool {
        self.sums.iter().flat_map(|sum| sum.form.columns()).all(|column| columns[column].is_normal())
    }
}

fn alone_within(gap: &Banded<'_>, columns: &[Column]) -> Result<Probability, ExactError> {
    let chances = match gap.alone {
        Some(chances) => chances,
        None => Judge::of_band(gap, columns)?.at(0.0),
    };
    Ok(Probability { value: chances.within, error_bound: chances.error_bound })
}

/// Two sums of normal variables.
fn two_normal(one: &Sum, other: &Sum, columns: &[Column]) -> Option<Probability> {
    let variance = one.form.variance_mm2(columns)?;
    let slope = one.form.covariance_mm2(&other.form, columns)? / variance;
    // What is left of the other sum when the first is known: a sum of squares, so that nothing cancels where no
    // variables go together.
    let left_of_other = other.form.plus(&one.form, -slope);
    let left = left_of_other.variance_mm2(columns)?.sqrt();
    let (sd, other_sd) = (variance.sqrt(), other.form.variance_mm2(columns)?.sqrt());
    if !(sd > 0.0 && other_sd > 0.0) {
        return None;
    }
    let (x, rounding_x) = one.standardised(columns, sd);
    let (y, rounding_y) = other.standardised(columns, other_sd);
    let root = left / other_sd;
    // A relative error e of √(1 − ρ²) changes each of four quadrants by 0.25 e at most, |u·φ(u)| being below it.
    let cancelled = if left_of_other.tied(columns).next().is_some() {
        ROUNDINGS * left_of_other.terms().len() as f64 * f64::EPSILON / (root * root)
    } else {
        0.0
    };
    let value = rectangle(x, y, slope * sd / other_sd, root);
    let error_bound = (bivariate_normal::ERROR_BOUND + rounding_x + rounding_y + cancelled).min(1.0);
    Some(Probability { value, error_bound })
}
