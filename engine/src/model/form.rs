//! A linear form of the model's variables: one row of S with its constant.

use super::column::Column;

/// constant + Σ coefficient·x, its terms in the order of the columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Form {
    /// The constant part, in millimetres.
    pub constant_mm: f64,
    terms: Vec<(usize, f64)>,
}

impl Form {
    /// A constant.
    #[must_use]
    pub fn constant(mm: f64) -> Form {
        Form { constant_mm: mm, terms: Vec::new() }
    }

    /// One variable alone.
    #[must_use]
    pub fn variable(column: usize) -> Form {
        Form { constant_mm: 0.0, terms: vec![(column, 1.0)] }
    }

    /// The terms: column and coefficient, columns ascending, no coefficient zero.
    #[must_use]
    pub fn terms(&self) -> &[(usize, f64)] {
        &self.terms
    }

    /// Whether any variable is in it.
    #[must_use]
    pub fn has_terms(&self) -> bool {
        !self.terms.is_empty()
    }

    /// The coefficient of a column.
    #[must_use]
    pub fn coefficient(&self, column: usize) -> f64 {
        self.terms.binary_search_by_key(&column, |&(index, _)| index).map_or(0.0, |at| self.terms[at].1)
    }

    /// Adds `factor` times another form. Terms that cancel are gone.
    pub fn add(&mut self, other: &Form, factor: f64) {
        self.constant_mm += factor * other.constant_mm;
        let mut merged = Vec::with_capacity(self.terms.len() + other.terms.len());
        let (mut left, mut right) = (self.terms.iter().peekable(), other.terms.iter().peekable());
        loop {
            let next = match (left.peek(), right.peek()) {
                (Some(&&(a, x)), Some(&&(b, y))) if a == b => {
                    left.next();
                    right.next();
                    (a, x + factor * y)
                }
                (Some(&&(a, x)), Some(&&(b, _))) if a < b => {
                    left.next();
                    (a, x)
                }
                (Some(&&(a, x)), None) => {
                    left.next();
                    (a, x)
                }
                (_, Some(&&(b, y))) => {
                    right.next();
                    (b, factor * y)
                }
                (None, None) => break,
            };
            if next.1 != 0.0 {
                merged.push(next);
            }
        }
        self.terms = merged;
    }

    /// This form and `factor` times another.
    #[must_use]
    pub fn plus(&self, other: &Form, factor: f64) -> Form {
        let mut sum = self.clone();
        sum.add(other, factor);
        sum
    }

    /// This form times a number.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Form {
        Form::default().plus(self, factor)
    }

    /// This form with some of its variables spread more or less about their means, which stay: `factor` gives the factor
    /// of a column, 1 for one that stays as it is.
    ///
    /// Formula: x → m + f·(x − m), which keeps the shape of any distribution.
    #[must_use]
    pub fn spread(&self, columns: &[Column], factor: impl Fn(usize) -> f64) -> Form {
        let mut constant_mm = self.constant_mm;
        let mut terms = Vec::with_capacity(self.terms.len());
        for &(column, coefficient) in &self.terms {
            let factor = factor(column);
            constant_mm += coefficient * (1.0 - factor) * columns[column].mean_mm();
            if factor != 0.0 {
                terms.push((column, coefficient * factor));
            }
        }
        Form { constant_mm, terms }
    }

    /// The mean, in millimetres.
    #[must_use]
    pub fn mean_mm(&self, columns: &[Column]) -> f64 {
        self.terms
            .iter()
            .fold(self.constant_mm, |sum, &(column, coefficient)| sum + coefficient * columns[column].mean_mm())
    }

    /// The value at the nominal sizes, in millimetres.
    #[must_use]
    pub fn nominal_mm(&self, columns: &[Column]) -> f64 {
        self.terms
            .iter()
            .fold(self.constant_mm, |sum, &(column, coefficient)| sum + coefficient * columns[column].nominal_mm)
    }

    /// The variance, in mm²; none where a column has none.
    #[must_use]
    pub fn variance_mm2(&self, columns: &[Column]) -> Option<f64> {
        let mut sum = 0.0;
        for &(column, coefficient) in &self.terms {
            sum += coefficient * coefficient * columns[column].variance_mm2()?;
        }
        // Rounding may leave a hair below nothing where parts that go together cancel.
        Some((sum + self.tied(columns).map(|(_, _, covariance)| covariance).sum::<f64>()).max(0.0))
    }

    /// The pairs of its variables that go together, each with what it adds to the variance, in mm².
    ///
    /// Formula: 2·a·b·ρ·σ_a·σ_b. Variables without a variance are left out.
    pub fn tied<'a>(&'a self, columns: &'a [Column]) -> impl Iterator<Item = (usize, usize, f64)> + 'a {
        self.terms.iter().flat_map(move |&(column, coefficient)| {
            let later = columns[column].links.iter().filter(move |link| link.column > column);
            later.filter_map(move |link| {
                let other = self.coefficient(link.column);
                let (sd, other_sd) = (columns[column].sd_mm()?, columns[link.column].sd_mm()?);
                let covariance = 2.0 * coefficient * other * link.factor * sd * other_sd;
                (other != 0.0).then_some((column, link.column, covariance))
            })
        })
    }

    /// The covariance with another form, in mm²; none where a shared column has no variance.
    #[must_use]
    pub fn covariance_mm2(&self, other: &Form, columns: &[Column]) -> Option<f64> {
        let mut sum = 0.0;
        for &(index, coefficient) in &self.terms {
            let column = &columns[index];
            let shared = other.coefficient(index);
            if shared != 0.0 {
                sum += coefficient * shared * column.variance_mm2()?;
            }
            for link in &column.links {
                let tied = other.coefficient(link.column);
                if tied != 0.0 {
                    sum += coefficient * tied * link.factor * column.sd_mm()? * columns[link.column].sd_mm()?;
                }
            }
        }
        Some(sum)
    }

    /// Its variables, ascending.
    pub fn columns(&self) -> impl Iterator<Item = usize> + '_ {
        self.terms.iter().map(|&(column, _)| column)
    }

    /// Whether any of its variables was measured.
    #[must_use]
    pub fn is_measured(&self, columns: &[Column]) -> bool {
        self.terms.iter().any(|&(column, _)| columns[column].measured)
    }

    /// Whether anything of it is in doubt.
    #[must_use]
    pub fn is_random(&self, columns: &[Column]) -> bool {
        self.terms.iter().any(|&(column, _)| !columns[column].parts.is_empty())
    }
}

#[cfg(test)]
mod tests {
    use super::Form;

    #[test]
    fn shared_variables_cancel() {
        let a = Form::constant(1.0).plus(&Form::variable(0), 1.0).plus(&Form::variable(2), 3.0);
        let b = Form::variable(2).plus(&Form::variable(1), 1.0);
        let difference = a.plus(&b, -3.0);
        assert_eq!(difference.terms(), &[(0, 1.0), (1, -3.0)]);
        assert_eq!(difference.coefficient(2), 0.0);
        assert_eq!(a.plus(&a, -1.0), Form::constant(0.0));
    }
}
