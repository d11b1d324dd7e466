//! A sum with mixtures in it, cut into cases: which law each mixture takes.

use super::piece::Piece;
use super::{ENOUGH, ExactError, ExactOptions, Term};
use crate::law::{Case, ExactRole, Law};

/// So many cases are added up one by one, whatever they are.
const USUAL: usize = 64;

/// So many are where the characteristic functions of the mixtures do not reach far enough.
const MOST: usize = 1 << 12;

/// The sum in each case, with its probability.
///
/// Mixtures that make too many cases together are left in the sum, to their characteristic functions; those with a
/// Student t among their laws never are.
pub(super) fn pieces(constant_mm: f64, terms: &[Term], options: &ExactOptions) -> Result<Vec<Piece>, ExactError> {
    let mut mixtures: Vec<usize> = (0..terms.len()).filter(|&index| cases(&terms[index]).len() > 1).collect();
    mixtures.sort_by_key(|&index| (!has_student(&terms[index].law), cases(&terms[index]).len()));
    if count(&mixtures, terms) <= USUAL {
        return each(constant_mm, terms, &mixtures, options);
    }
    // Those that fit, the ones with a Student t first.
    let most = (0..=mixtures.len()).rev().find(|&taken| count(&mixtures[..taken], terms) <= MOST).unwrap_or(0);
    let least = mixtures.iter().take_while(|&&index| has_student(&terms[index].law)).count().min(most);
    let found = each(constant_mm, terms, &mixtures[..least], options);
    let enough = |pieces: &[Piece]| pieces.iter().all(|piece| piece.plain.error_bound() <= ENOUGH);
    if most == least || found.as_ref().is_ok_and(|pieces| enough(pieces)) {
        return found;
    }
    each(constant_mm, terms, &mixtures[..most], options)
}

/// How many cases these mixtures make together.
fn count(mixtures: &[usize], terms: &[Term]) -> usize {
    mixtures.iter().fold(1, |product, &index| product.saturating_mul(cases(&terms[index]).len()))
}

/// The laws of a mixture; of any other law, or without a coefficient, none.
fn cases(term: &Term) -> &[Case] {
    match &term.law {
        Law::Mixture(mixture) if term.coefficient != 0.0 => mixture.cases(),
        _ => &[],
    }
}

fn has_student(law: &Law) -> bool {
    match law {
        Law::Mixture(mixture) => mixture.cases().iter().any(|case| has_student(&case.law)),
        law => matches!(law.exact_role(), ExactRole::StudentT { .. }),
    }
}

fn each(constant_mm: f64, terms: &[Term], cut: &[usize], options: &ExactOptions) -> Result<Vec<Piece>, ExactError> {
    let mut found = Vec::new();
    let mut chosen = vec![0; cut.len()];
    loop {
        let mut share = 1.0;
        let mut sum = terms.to_vec();
        for term in &mut sum {
            // A mixture of one law is that law.
            if let [only] = cases(term) {
                term.law = only.law.clone();
            }
        }
        for (&index, &choice) in cut.iter().zip(&chosen) {
            let case = &cases(&terms[index])[choice];
            share *= case.share;
            sum[index].law = case.law.clone();
        }
        found.push(Piece::new(share, constant_mm, sum, options)?);
        // The next choice, as the wheels of a counter turn.
        let turns = cut.iter().zip(&mut chosen).any(|(&index, choice)| {
            *choice = (*choice + 1) % cases(&terms[index]).len();
            *choice > 0
        });
        if !turns {
            return Ok(found);
        }
    }
}
