//! How choices of a pack are made up.

use proptest::collection::vec;
use proptest::option::{self, weighted};
use proptest::prelude::*;
use proptest::sample::{Index, select};

use super::choice::{Aim, Choice, Fitted, Lean, Size, Start};

const UM: i64 = 1000;

/// Kits of up to 12 sizes and packs of up to 4 shims, with every rule.
///
/// Measured shims are 1 to 3 um from their label and fitted ones that are no kit size 5 um: two kinds of shim never
/// have the same thickness. The kit's tolerances are such that no probability is 0.95 to the last digit.
pub fn choice() -> impl Strategy<Value = Choice> {
    (kit(), rules(), gap()).prop_map(|(kit, rules, gap)| assemble(kit, rules, gap))
}

type Kit = (Vec<Size>, bool, Option<i64>);
type Rules = ((usize, usize), Vec<Index>, Option<Index>, Option<Vec<(Index, bool, bool)>>);

#[derive(Debug, Clone)]
struct GapParts {
    hundredths: i64,
    preload: bool,
    lean: Lean,
    doubt: u8,
    wanted: Vec<Index>,
    off: i64,
    half: i64,
    skew: i64,
    ends: u8,
}

fn kit() -> impl Strategy<Value = Kit> {
    let step = select(vec![10 * UM, 25 * UM, 50 * UM]);
    let size = (0_usize..4, weighted(0.2, vec(select(vec![-3_i64, -2, -1, 1, 2, 3]), 1..4)));
    let labels = proptest::sample::subsequence((2_i64..26).collect::<Vec<_>>(), 1..=12);
    (step, labels, vec(size, 12), any::<bool>(), option::of(select(vec![3 * UM, 7 * UM, 11 * UM]))).prop_map(
        |(step, labels, sizes, counted, tolerance)| {
            let size = |(label, (on_hand, actual)): (i64, (usize, Option<Vec<i64>>))| {
                let label = label * step;
                let actual = actual.unwrap_or_default().into_iter().map(|off| label + off * UM).collect();
                Size { label, on_hand, actual }
            };
            (labels.into_iter().zip(sizes).map(size).collect(), counted, tolerance)
        },
    )
}

fn rules() -> impl Strategy<Value = Rules> {
    let count = (0_usize..=2, 0_usize..=2).prop_map(|(least, more)| (least, (least + more).max(1)));
    let fitted = vec((any::<Index>(), weighted_bool(0.7), weighted_bool(0.3)), 0..=2);
    (count, weighted(0.3, vec(any::<Index>(), 1..=2)), weighted(0.2, any::<Index>()), weighted(0.4, fitted))
        .prop_map(|(count, includes, thickest, fitted)| (count, includes.unwrap_or_default(), thickest, fitted))
}

fn weighted_bool(probability: f64) -> impl Strategy<Value = bool> {
    proptest::bool::weighted(probability)
}

fn gap() -> impl Strategy<Value = GapParts> {
    let lean = select(vec![Lean::Nearest, Lean::Looser, Lean::Tighter]);
    let half = select(vec![15_i64, 20, 30, 75, 100, 150, 300]);
    (
        (select(vec![-100_i64, -100, 100, -50]), weighted_bool(0.25), lean, 0_u8..5),
        (vec(any::<Index>(), 0..=4), (-12_i64..=12).prop_map(|off| off * 5), half, (-2_i64..=2), 0_u8..8),
    )
        .prop_map(|((hundredths, preload, lean, doubt), (wanted, off, half, skew, ends))| GapParts {
            hundredths,
            preload,
            lean,
            doubt,
            wanted,
            off: off * UM,
            half: half * UM,
            skew: skew * 5 * UM,
            ends,
        })
}

fn assemble((sizes, counted, tolerance): Kit, (count, includes, thickest, fitted): Rules, gap: GapParts) -> Choice {
    let label = |index: &Index| sizes[index.index(sizes.len())].label;
    let includes: Vec<usize> = includes.iter().take(count.1).map(|index| index.index(sizes.len())).collect();
    let mut fitted: Option<Vec<Fitted>> = fitted.map(|list| {
        let one = |(index, by_label, stays): &(Index, bool, bool)| Fitted {
            thickness: label(index) + if *by_label { 0 } else { 5 * UM },
            stays: *stays,
        };
        list.iter().map(one).collect()
    });
    // No more may stay than may be in.
    let mut staying = 0;
    for one in fitted.iter_mut().flatten() {
        staying += usize::from(one.stays);
        one.stays &= staying <= count.1;
    }
    let found = gap.doubt == 4;
    if found && fitted.is_none() {
        fitted = Some(Vec::new());
    }
    // The gap is such that about this thickness is wanted.
    let wanted: i64 = gap.wanted.iter().map(label).sum::<i64>() + gap.off;
    let body = 9_000 * UM;
    let in_now: i64 = fitted.iter().flatten().map(|one| one.thickness).sum();
    let (start, open) = match gap.doubt {
        0 => (Start::Exact(body), body),
        1 => (Start::Drawn(body, if gap.skew.abs() > 5 * UM { 60 * UM } else { 20 * UM }, gap.skew > 0), body),
        2 => (Start::Read(body), body),
        3 => (Start::Repeated(body, 4 * UM), body),
        _ => (Start::Found(430 * UM), 430 * UM - gap.hundredths * in_now / 100),
    };
    let play = open + gap.hundredths * wanted / 100;
    let target = if gap.preload { -play } else { play };
    let (low, high) = (target - gap.half + gap.skew, target + gap.half + gap.skew);
    let aim = match gap.ends {
        0 => Aim { low: Some(low), high: None, target: Some(target) },
        1 => Aim { low: None, high: Some(high), target: Some(target) },
        2 => Aim { low: None, high: None, target: Some(target) },
        3 | 4 => Aim { low: Some(low), high: Some(high), target: None },
        _ => Aim { low: Some(low), high: Some(high), target: Some(target) },
    };
    let thickest = thickest.map(|index| 2 * label(&index) + 5 * UM);
    let GapParts { hundredths, preload, lean, .. } = gap;
    Choice { sizes, counted, tolerance, count, includes, thickest, fitted, hundredths, preload, lean, start, aim }
}
