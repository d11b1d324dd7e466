//! Dimensions that go together in production: links between the columns of their drawings.
//!
//! They are drawn from normal variables (a Gaussian copula): x = F⁻¹(Φ(z)). The correlation of the normal ones is solved
//! pair by pair so that the product-moment correlation of the two laws is the one that was written; whether all of them
//! can be had at once is looked at afterwards. Source: JCGM 101:2008, 6.4.8 for normal laws, where the two are the same.

use std::collections::HashMap;

use super::Builder;
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::resolved::Correlation;
use crate::law::Law;
use crate::model::form::Form;
use crate::model::link::{Link, linked, normal_correlation};
use crate::number::cholesky::factor;
use crate::number::hermite::{Covariance, Series, expectation};

/// A correlation is met within this, or refused.
const MET_WITHIN: f64 = 1e-6;
/// More dimensions than this that are all tied to each other are not looked through.
const MOST_TIED: usize = 200;

/// More dimensions than this are not named one by one.
const MOST_NAMED: usize = 8;

/// A correlation between two columns.
struct Pair {
    columns: (usize, usize),
    written: Correlation,
}

/// The laws of columns as functions of a standard normal variable.
#[derive(Default)]
struct Shapes {
    series: HashMap<usize, Series>,
}

impl Builder<'_> {
    /// Links the columns of the dimensions that go together.
    pub(super) fn correlate(&mut self, dimensions: &[Form]) {
        let mut shapes = Shapes::default();
        let mut pairs = Vec::new();
        for &written in &self.document.correlations {
            let (a, b) = written.dimensions;
            match (self.of_drawing(a, &dimensions[a]), self.of_drawing(b, &dimensions[b])) {
                (Some(one), Some(other)) => pairs.push(Pair { columns: (one, other), written }),
                (None, _) => self.correlation_unused(a, &written),
                (_, None) => self.correlation_unused(b, &written),
            }
        }
        // None is no link, so that it changes nothing.
        for pair in pairs.iter().filter(|pair| pair.written.factor != 0.0) {
            if let Some(normal) = self.solve(&mut shapes, pair) {
                self.link(pair, normal);
            }
        }
        if !self.diagnostics.has_errors() {
            self.look_at_all_at_once(&mut shapes, &pairs);
        }
    }

    /// The column of a dimension that is known by its drawing and is not exact.
    fn of_drawing(&self, dimension: usize, form: &Form) -> Option<usize> {
        let &[(column, _)] = form.terms() else { return None };
        let by_drawing = self.document.dimensions[dimension].readings.is_none();
        (by_drawing && !self.columns[column].parts.is_empty()).then_some(column)
    }

    fn correlation_unused(&mut self, dimension: usize, written: &Correlation) {
        let dimension = &self.document.dimensions[dimension];
        let name = &dimension.name;
        let message = if dimension.readings.is_some() {
            format!("`{name}` was measured, so how it goes together with others in production does not count")
        } else {
            format!("`{name}` has no spread, so it goes together with nothing")
        };
        self.note(Code::CorrelationUnused, written.at, "correlations".to_owned(), message);
    }

    fn link(&mut self, pair: &Pair, normal: f64) {
        let (one, other) = pair.columns;
        for (column, partner) in [(one, other), (other, one)] {
            let links = &mut self.columns[column].links;
            let at = links.partition_point(|link| link.column < partner);
            links.insert(at, Link { column: partner, factor: pair.written.factor, normal });
        }
    }

    fn law(&self, column: usize) -> &Law {
        &self.columns[column].parts[0].law
    }

    /// The correlation of the normal variables for a pair.
    fn solve(&mut self, shapes: &mut Shapes, pair: &Pair) -> Option<f64> {
        let (one, other) = pair.columns;
        let factor = pair.written.factor;
        if self.columns[one].is_normal() && self.columns[other].is_normal() {
            return Some(factor);
        }
        let Some(covariance) = shapes.covariance(one, self.law(one), other, self.law(other)) else {
            let help = "give the correlation to laws that have one, or leave it out";
            self.out_of_reach(pair, "one of them has no standard deviation".to_owned(), help.to_owned());
            return None;
        };
        let (low, high) = covariance.reach();
        let Some(normal) = covariance.solve(factor) else {
            let range = format!("from {} to {}", inward(low, 3, true), inward(high, 3, false));
            let why = format!("two laws of such shapes reach {range}");
            self.out_of_reach(pair, why, format!("write a factor {range}"));
            return None;
        };
        if covariance.error_bound(normal) > MET_WITHIN {
            let help = "write a factor nearer to 0, or a law without steps";
            self.out_of_reach(pair, "with steps in a law it cannot be met to a millionth".to_owned(), help.to_owned());
            return None;
        }
        Some(normal)
    }

    fn out_of_reach(&mut self, pair: &Pair, why: String, help: String) {
        let (one, other) = pair.columns;
        let (one, other) = (&self.columns[one].name, &self.columns[other].name);
        let message = format!("`{one}` and `{other}` cannot go together by {}: {why}", pair.written.factor);
        self.correlation_error(Code::CorrelationReach, pair, message, help);
    }

    fn correlation_error(&mut self, code: Code, pair: &Pair, message: String, help: String) {
        let fault = Diagnostic::error(code, message).at(pair.written.at).path("correlations");
        self.diagnostics.push(fault.help(help));
    }

    /// Whether there are variables with all these correlations.
    fn look_at_all_at_once(&mut self, shapes: &mut Shapes, pairs: &[Pair]) {
        let mut used: Vec<usize> = pairs.iter().flat_map(|pair| [pair.columns.0, pair.columns.1]).collect();
        used.sort_unstable();
        used.dedup();
        for set in linked(&used, &self.columns) {
            let of_set = |pair: &&Pair| set.binary_search(&pair.columns.0).is_ok();
            let Some(last) = pairs.iter().rfind(of_set) else { continue };
            if set.len() > MOST_TIED {
                let message =
                    format!("{} dimensions are tied to each other; {MOST_TIED} are looked through", set.len());
                let help = "leave out those that are next to nothing";
                self.correlation_error(Code::CorrelationMatrix, last, message, help.to_owned());
            } else if factor(&normal_correlation(&set, &self.columns)).is_none() {
                match self.three_that_cannot(&set) {
                    Some(three) => self.three_cannot(shapes, pairs, three),
                    None => self.many_cannot(shapes, pairs, &set),
                }
            }
        }
    }

    /// Three of a set that cannot go together as they are said to.
    fn three_that_cannot(&self, set: &[usize]) -> Option<[usize; 3]> {
        // Each of the three is tied to another: two links are walked, which is fewer than all threes.
        set.iter().find_map(|&one| {
            let links = &self.columns[one].links;
            links.iter().enumerate().find_map(|(at, first)| {
                links[at + 1..].iter().find_map(|second| {
                    let mut three = [one, first.column, second.column];
                    three.sort_unstable();
                    factor(&normal_correlation(&three, &self.columns)).is_none().then_some(three)
                })
            })
        })
    }

    fn three_cannot(&mut self, shapes: &mut Shapes, pairs: &[Pair], three: [usize; 3]) {
        let normal = |a: usize, b: usize| self.columns[a].link(b).map_or(0.0, |link| link.normal);
        let written = |a: usize, b: usize| self.columns[a].link(b).map_or(0.0, |link| link.factor);
        // The weakest of the three ties is the one that the other two speak against.
        let [a, b, c] = three;
        let ties = [(a, b, c), (a, c, b), (b, c, a)];
        let (one, other, third) = ties
            .into_iter()
            .min_by(|x, y| normal(x.0, x.1).abs().total_cmp(&normal(y.0, y.1).abs()))
            .expect("there are three");
        let (p, q) = (normal(one, third), normal(other, third));
        let half = ((1.0 - p * p).max(0.0) * (1.0 - q * q).max(0.0)).sqrt();
        let name = |column: usize| &self.columns[column].name;
        let range = shapes.covariance(one, self.law(one), other, self.law(other)).map(|covariance| {
            (inward(covariance.at(p * q - half), 3, true), inward(covariance.at(p * q + half), 3, false))
        });
        let message = format!(
            "`{}`, `{}` and `{}` cannot go together like this: {} goes with `{}` by {} and with `{}` by {}",
            name(a),
            name(b),
            name(c),
            format_args!("`{}`", name(third)),
            name(one),
            written(one, third),
            name(other),
            written(other, third)
        );
        let said = if self.columns[one].link(other).is_some() { "" } else { " (nothing said is 0)" };
        let help = match range {
            Some((low, high)) => {
                format!("`{}` and `{}` then go together by {low} to {high}{said}", name(one), name(other))
            }
            None => "bring them nearer to 0".to_owned(),
        };
        let is_theirs = |pair: &&Pair| three.contains(&pair.columns.0) && three.contains(&pair.columns.1);
        if let Some(last) = pairs.iter().rfind(is_theirs) {
            self.correlation_error(Code::CorrelationMatrix, last, message, help);
        }
    }

    fn many_cannot(&mut self, shapes: &mut Shapes, pairs: &[Pair], set: &[usize]) {
        let matrix = normal_correlation(set, &self.columns);
        let eigen = matrix.symmetric_eigen();
        let least = eigen.eigenvalues.imin();
        let direction = eigen.eigenvectors.column(least);
        let most = direction.amax();
        // Those that have no part in the combination whose variance is negative are not to blame.
        let blamed: Vec<usize> = set
            .iter()
            .zip(direction.iter())
            .filter(|(_, part)| part.abs() > 0.05 * most)
            .map(|(&one, _)| one)
            .collect();
        let of_set: Vec<&Pair> = pairs.iter().filter(|pair| set.binary_search(&pair.columns.0).is_ok()).collect();
        let possible = |hundredths: u32| {
            let scale = f64::from(hundredths) / 100.0;
            let mut columns = self.columns.clone();
            for pair in &of_set {
                let (one, other) = pair.columns;
                let factor = scale * pair.written.factor;
                let solved = shapes.covariance(one, self.law(one), other, self.law(other))?.solve(factor)?;
                for (column, partner) in [(one, other), (other, one)] {
                    let link = columns[column].links.iter_mut().find(|link| link.column == partner);
                    link.into_iter().for_each(|link| link.normal = solved);
                }
            }
            factor(&normal_correlation(set, &columns))
        };
        let mut possible = possible;
        let (mut low, mut high) = (0, 100);
        while high - low > 1 {
            let middle = u32::midpoint(low, high);
            if possible(middle).is_some() { low = middle } else { high = middle }
        }
        let mut names: Vec<String> =
            blamed.iter().take(MOST_NAMED).map(|&one| format!("`{}`", self.columns[one].name)).collect();
        if blamed.len() > MOST_NAMED {
            names.push(format!("{} more", blamed.len() - MOST_NAMED));
        }
        let message = format!("{} cannot go together like this, all at once", names.join(", "));
        let help =
            format!("a pair of which nothing is said counts as 0; all of them times {} can be", f64::from(low) / 100.0);
        let theirs = |pair: &&&Pair| blamed.contains(&pair.columns.0) && blamed.contains(&pair.columns.1);
        if let Some(last) = of_set.iter().rfind(theirs) {
            self.correlation_error(Code::CorrelationMatrix, last, message, help);
        }
    }
}

impl Shapes {
    /// The covariance of two columns as a function of the correlation of their normal variables; none where a law has no
    /// variance.
    fn covariance(&mut self, one: usize, law: &Law, other: usize, other_law: &Law) -> Option<Covariance> {
        let (f, g) = (standard(law)?, standard(other_law)?);
        self.series.entry(one).or_insert_with(|| Series::new(&f));
        self.series.entry(other).or_insert_with(|| Series::new(&g));
        let reach = (expectation(|z| f(z) * g(-z)), expectation(|z| f(z) * g(z)));
        Some(Covariance::new(&self.series[&one], &self.series[&other], reach))
    }
}

/// A law of mean zero and variance one as a function of a standard normal variable.
fn standard(law: &Law) -> Option<impl Fn(f64) -> f64> {
    let (mean, sd) = (law.mean()?, law.variance()?.sqrt());
    Some(move |z: f64| (law.at_normal(z) - mean) / sd)
}

/// A factor with so many decimals, never beyond the one that is meant.
fn inward(value: f64, decimals: i32, up: bool) -> f64 {
    let scale = 10.0_f64.powi(decimals);
    // The quadrature is good to 1e-9 or so.
    let scaled = value * scale;
    let rounded = if up { (scaled - 1e-6).ceil() } else { (scaled + 1e-6).floor() };
    // Adding nought turns `-0` into `0`.
    rounded / scale + 0.0
}
