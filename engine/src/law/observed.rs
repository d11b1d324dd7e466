//! What was observed: a list of values, each as likely as the others (an empirical law).

use super::{Discrete, LawError};
use rand::Rng;

/// The empirical law of some values. Clones share them.
///
/// It says nothing between the values or beyond them: its variance is that of the list, Σ (xᵢ − mean)²/n.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    count: usize,
    law: Discrete,
}

impl Observed {
    /// Every value of the list equally likely, mm; a value that stands there twice counts twice.
    ///
    /// # Errors
    /// [`LawError::NotFinite`]; [`LawError::NoValues`].
    pub fn new(values_mm: &[f64]) -> Result<Self, LawError> {
        let law = Discrete::new(values_mm.iter().map(|&value| (value, 1.0)))?;
        Ok(Self { count: values_mm.len(), law })
    }

    /// How many values were observed.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// The law: each different value with its share.
    #[must_use]
    pub fn as_discrete(&self) -> &Discrete {
        &self.law
    }

    /// Fills `out` with independent values.
    pub fn fill<R: Rng + ?Sized>(&self, rng: &mut R, out: &mut [f64]) {
        self.law.fill(rng, out);
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Law, checks};
    use super::*;

    #[test]
    fn it_passes_the_shared_checks() {
        let values = [52.41, 52.44, 52.41, 52.39];
        let observed = Observed::new(&values).expect("a valid law");
        assert_eq!((observed.count(), observed.as_discrete().atoms().len()), (4, 3));
        checks::atoms(&Law::Observed(observed), &values.map(|value| (value, 1.0)));
        // A history of ten thousand, as a shop may keep it.
        let many: Vec<f64> = (0..10_000u32).map(|index| 20.0 + 1e-6 * f64::from(index * 7919 % 10_007)).collect();
        let weighted: Vec<(f64, f64)> = many.iter().map(|&value| (value, 1.0)).collect();
        checks::atoms(&Law::Observed(Observed::new(&many).expect("a valid law")), &weighted);
    }

    #[test]
    fn what_is_not_a_law_is_refused() {
        assert_eq!(Observed::new(&[]), Err(LawError::NoValues));
        assert_eq!(Observed::new(&[1.0, f64::NAN]), Err(LawError::NotFinite));
    }

    #[test]
    fn its_variance_is_that_of_the_list() {
        let law = Law::Observed(Observed::new(&[1.0, 2.0, 3.0, 6.0]).expect("a valid law"));
        assert_eq!((law.mean(), law.variance()), (Some(3.0), Some(3.5)));
    }
}
