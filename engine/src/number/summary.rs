//! Mean and standard deviation of readings, and the pooled standard deviation.
//!
//! Two passes over differences from the first value, with compensated sums: readings that agree in their leading digits
//! lose nothing of their scatter. Results are in the unit of the values.

/// Number, mean and scatter of readings of one quantity. Every figure is finite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// Number of readings, n; at least 1.
    pub count: usize,
    /// Arithmetic mean, q̄ = Σ qₖ / n (JCGM 100:2008, 4.2.1).
    pub mean: f64,
    /// Experimental standard deviation, s = √(Σ (qₖ − q̄)² / (n − 1)) (JCGM 100:2008, 4.2.2); none for one reading.
    pub sd: Option<f64>,
}

/// Scatter pooled over groups of readings made in the same way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pooled {
    /// Pooled experimental standard deviation of one reading; finite.
    pub sd: f64,
    /// Degrees of freedom, ν = Σ (nᵢ − 1); at least 1.
    pub freedom: usize,
}

/// Mean and standard deviation of `values` (JCGM 100:2008, 4.2.1 and 4.2.2).
///
/// `None` if there are no values, if one is not finite, or if a square of their spread is beyond a double.
///
/// # Precision
/// Both figures of a certified data set come back to 12 digits or more, where the doubles themselves hold that many
/// (NIST Statistical Reference Datasets, tests/data/strd). A spread below 1e-154 has no square in a double: sd is then 0.
#[must_use]
pub fn summarise(values: &[f64]) -> Option<Summary> {
    let Spread { mean, squares } = Spread::of(values)?;
    let freedom = values.len() - 1;
    Some(Summary { count: values.len(), mean, sd: (freedom > 0).then(|| (squares / freedom as f64).sqrt()) })
}

/// Standard deviation pooled over `groups`, s_p = √(Σᵢ Σₖ (qᵢₖ − q̄ᵢ)² / ν) with ν = Σ (nᵢ − 1) (JCGM 100:2008, 4.2.4).
///
/// Each group is scattered about its own mean; a group of one reading, or of none, adds nothing. `None` if ν = 0, if a
/// value is not finite, or if a square of the spread is beyond a double.
#[must_use]
pub fn pool(groups: &[&[f64]]) -> Option<Pooled> {
    let mut squares = Sum::default();
    let mut freedom = 0;
    for group in groups.iter().filter(|group| !group.is_empty()) {
        squares.add(Spread::of(group)?.squares);
        freedom += group.len() - 1;
    }
    let sd = (squares.total() / freedom as f64).sqrt();
    (freedom > 0 && sd.is_finite()).then_some(Pooled { sd, freedom })
}

/// The mean of some values and the sum of squares about it, both finite.
struct Spread {
    mean: f64,
    squares: f64,
}

impl Spread {
    fn of(values: &[f64]) -> Option<Self> {
        let first = *values.first()?;
        let n = values.len() as f64;
        let mut sum = Sum::default();
        for value in values {
            sum.add(value - first);
        }
        let offset = sum.total() / n;

        // The rounding of `offset` needs no correction: the first value is one of the readings, so |offset| <= s √n, and the
        // error of the sum of squares is below n times the square of a double's rounding.
        let mut squares = Sum::default();
        for value in values {
            let residual = value - first - offset;
            squares.add(residual * residual);
        }
        let (mean, squares) = (first + offset, squares.total());
        // A value that is not finite, or too far from the first, leaves an infinity or a NaN in one of the two.
        (mean.is_finite() && squares.is_finite()).then_some(Self { mean, squares })
    }
}

/// A sum that carries what each addition rounds away (Neumaier's form of Kahan's compensated summation).
#[derive(Default)]
struct Sum {
    sum: f64,
    lost: f64,
}

impl Sum {
    fn add(&mut self, term: f64) {
        let sum = self.sum + term;
        self.lost += if self.sum.abs() >= term.abs() { (self.sum - sum) + term } else { (term - sum) + self.sum };
        self.sum = sum;
    }

    fn total(&self) -> f64 {
        self.sum + self.lost
    }
}
