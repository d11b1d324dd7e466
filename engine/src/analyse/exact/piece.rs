//! One case of a sum: a plain sum beside the single values of its discrete terms.

use super::atoms::{self, Support};
use super::parts::Parts;
use super::plain::Plain;
use super::{ENOUGH, ExactError, ExactOptions, Method, Probability, Term};
use crate::number::double_double::DoubleDouble;

/// Up to so many single values the sums of an inversion are added up one by one.
const FEW: usize = 32;

/// Up to so many they are where the characteristic function of all together does not reach far enough.
const SOME: usize = 1 << 10;

/// Beside something continuous, sums this near are one: they differ by rounding.
const ROUNDING_MM: f64 = 1e-12;

/// P(Y < x) = Σ share · P(plain < x − value).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// The probability of this case.
    pub(super) share: f64,
    pub(super) plain: Plain,
    pub(super) support: Support,
}

impl Piece {
    /// A case without mixtures but those that are left to their characteristic functions.
    pub(super) fn new(
        share: f64,
        constant_mm: f64,
        terms: Vec<Term>,
        options: &ExactOptions,
    ) -> Result<Self, ExactError> {
        let (discrete, rest): (Vec<Term>, Vec<Term>) =
            terms.into_iter().filter(|term| term.coefficient != 0.0).partition(|term| term.law.atoms().is_some());
        let mut constant = DoubleDouble::from(constant_mm);
        for term in &discrete {
            constant = constant + DoubleDouble::from(term.coefficient) * term.law.centre_in_full();
        }
        let plain = Plain::new(Parts::sort(constant, &rest)?, options);
        if discrete.is_empty() {
            return Ok(Self { share, plain, support: Support::origin() });
        }
        let count = atoms::product(&discrete);
        if plain.method() == Method::Inversion && count > FEW {
            let all: Vec<Term> = rest.into_iter().chain(discrete.iter().cloned()).collect();
            let together = Plain::new(Parts::sort(constant_mm, &all)?, options);
            if together.error_bound() <= ENOUGH || count > SOME {
                return Ok(Self { share, plain: together, support: Support::origin() });
            }
        }
        let same = if plain.is_constant() { options.same_within_mm } else { ROUNDING_MM };
        Ok(Self { share, support: Support::new(&discrete, same), plain })
    }

    /// Whether it has single values and nothing else.
    pub(super) fn is_sharp(&self) -> bool {
        self.plain.is_constant()
    }

    /// Whether it is a plain sum alone.
    pub(super) fn is_plain(&self) -> bool {
        self.support.atoms().len() == 1
    }

    /// P(Y > x) for `sign` 1, P(Y < x) for `sign` −1, in this case.
    pub(super) fn tail(&self, x_mm: f64, sign: f64) -> Probability {
        let d = self.plain.off_location(x_mm);
        let (surely, near) = self.support.beyond(d, self.plain.nothing_beyond_mm(), sign);
        let mut value = DoubleDouble::from(surely);
        let mut bound = 0.0;
        for atom in near {
            let (one, spread) = if atom.spread == 0.0 {
                (self.plain.tail(d - atom.at, sign), 0.0)
            } else {
                let (a, b) = (
                    self.plain.tail(d - atom.at - atom.spread, sign),
                    self.plain.tail(d - atom.at + atom.spread, sign),
                );
                let middle = 0.5 * (a.value + b.value);
                let one = Probability { value: middle, error_bound: a.error_bound.max(b.error_bound) };
                (one, 0.5 * (a.value - b.value).abs())
            };
            value = value + DoubleDouble::product(atom.share, one.value);
            bound += atom.share * (one.error_bound + spread);
        }
        let value = value.to_f64();
        // The shares themselves round, by an ulp or so each.
        let rounding = if self.is_plain() { 0.0 } else { 4.0 * f64::EPSILON * value };
        Probability::new(value, bound + rounding)
    }

    /// The density at x in this case, 1/mm; what single values hold is not in it.
    pub(super) fn density(&self, x_mm: f64) -> f64 {
        if self.is_sharp() {
            return 0.0;
        }
        let d = self.plain.off_location(x_mm);
        let (_, near) = self.support.beyond(d, self.plain.nothing_beyond_mm(), 1.0);
        near.iter().map(|atom| atom.share * self.plain.density(d - atom.at)).sum()
    }

    /// Between these two lengths lies the place beyond which p ≤ ½ lies on the side of `sign`.
    pub(super) fn around_quantile(&self, p: f64, sign: f64) -> (f64, f64) {
        let plain = self.plain.tail_quantile(p, sign);
        let (low, high) = self.support.limits();
        (self.plain.place(plain + low), self.plain.place(plain + high))
    }

    /// The single values of a case that has nothing else, rising, mm.
    pub(super) fn jumps(&self) -> Vec<f64> {
        if !self.is_sharp() {
            return Vec::new();
        }
        self.support.atoms().iter().map(|atom| self.plain.place(atom.at)).collect()
    }

    /// The limits, mm; `None` when there are none.
    pub(super) fn limits(&self) -> Option<(f64, f64)> {
        let (below, above) = self.plain.extents_mm()?;
        let (low, high) = self.support.limits();
        Some((self.plain.place(low - below), self.plain.place(high + above)))
    }
}
