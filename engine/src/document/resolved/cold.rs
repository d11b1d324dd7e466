//! Gaps at two temperatures: which gap is the same chain at 20 °C as one that has a temperature of its own.

use std::collections::HashMap;

use super::{Bound, Names};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::written::{Gap, Reader};

/// What makes two chains one: their names with the coefficients, and their numbers.
type Chain = (Vec<(String, u64)>, u64, u64);

fn chain(gap: &Gap) -> Chain {
    let mut terms: Vec<(String, u64)> =
        gap.chain.terms.iter().map(|(name, used)| (name.clone(), used.coefficient.to_bits())).collect();
    terms.sort_unstable();
    (terms, gap.chain.bare.to_bits(), gap.chain.mm.to_bits())
}

/// For each gap that has a temperature of its own: the gap that its chain names alone, or the one that has the same
/// chain, where that one has none; of several the first that was read assembled.
pub(super) fn partners(gaps: &[Gap], names: &Names) -> Vec<Option<usize>> {
    if gaps.iter().all(|gap| gap.at.is_none()) {
        return vec![None; gaps.len()];
    }
    let mut cold: HashMap<Chain, usize> = HashMap::new();
    // From the last to the first, those that were read behind the others: the one that is put in last stays.
    for read in [false, true] {
        for (index, gap) in gaps.iter().enumerate().rev() {
            if gap.at.is_none() && gap.found.is_some() == read {
                cold.insert(chain(gap), index);
            }
        }
    }
    let of = |gap: &Gap| {
        gap.at?;
        named_alone(gap, names).filter(|&index| gaps[index].at.is_none()).or_else(|| cold.get(&chain(gap)).copied())
    };
    gaps.iter().map(of).collect()
}

/// Complains of a gap that is the same chain as a preload and does not say which of the two it is: its figures would
/// have the other sign.
pub(super) fn senses(reader: &mut Reader<'_>, gaps: &[Gap], cold: &[Option<usize>]) {
    for (gap, cold) in gaps.iter().zip(cold) {
        let Some(cold) = cold.map(|cold| &gaps[cold]).filter(|cold| cold.preload && !gap.sense_written) else {
            continue;
        };
        let name = &gap.name.text;
        let message = format!("`{name}` is the chain of `{}`, a preload, and does not say what it is", cold.name.text);
        let help = "write `as: preload` beside it; or `as: play`, and its figures have the other sign";
        let fault = Diagnostic::error(Code::PreloadSign, message).at(gap.name.at).path(format!("gaps.{name}.as"));
        reader.push(fault.other(cold.name.at, "the preload").help(help));
    }
}

/// The gap that a chain is, and nothing else.
fn named_alone(gap: &Gap, names: &Names) -> Option<usize> {
    let mut terms = gap.chain.terms.iter();
    let (name, used) = terms.next()?;
    let plain = terms.next().is_none() && used.coefficient == 1.0 && gap.chain.bare == 0.0 && gap.chain.mm == 0.0;
    match names.get(name) {
        Some(Bound::Gap(index)) if plain => Some(index),
        _ => None,
    }
}
