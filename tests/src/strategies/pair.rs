//! Two packs from one kit, to be chosen together for gaps that they share.

use std::fmt::Write;

use proptest::collection::vec;
use proptest::option::weighted;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};

use super::mm;

const UM: i64 = 1000;

/// Two packs and their gaps. Lengths are nanometres.
#[derive(Debug, Clone)]
pub struct Pair {
    /// The kit's sizes, ascending.
    pub sizes: Vec<i64>,
    /// How many there are of each size; none: plenty.
    pub on_hand: Option<Vec<usize>>,
    /// The kit's tolerance.
    pub tolerance: Option<i64>,
    /// The two packs.
    pub packs: [OfPair; 2],
    /// What the right pack is to be to the left one.
    pub link: Link,
    /// The gaps, each `body` and the packs by their coefficients.
    pub gaps: Vec<PairGap>,
}

/// One of the packs.
#[derive(Debug, Clone)]
pub struct OfPair {
    /// The fewest and the most shims.
    pub count: (usize, usize),
    /// The sizes that are in, as indices; none: not said.
    pub fitted: Option<Vec<usize>>,
    /// A size that must be in, as an index.
    pub includes: Option<usize>,
    /// Two sizes that may not meet, as indices.
    pub never: Option<[usize; 2]>,
}

/// What the right pack is to be to the left one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Link {
    /// Nothing.
    Free,
    /// As thick.
    SameAs,
    /// As thick or thicker.
    NotThinner,
}

/// A gap of the two.
#[derive(Debug, Clone)]
pub struct PairGap {
    /// The body, with this tolerance and a normal law; nought: exact.
    pub body: i64,
    /// Its tolerance.
    pub tolerance: i64,
    /// The coefficients of the packs, in hundredths.
    pub hundredths: [i64; 2],
    /// Half the band.
    pub half: i64,
    /// The target; the band is about it.
    pub target: i64,
}

impl Pair {
    /// The choice as a document.
    #[must_use]
    pub fn document(&self) -> String {
        let list = |lengths: &mut dyn Iterator<Item = i64>| lengths.map(mm).collect::<Vec<_>>().join(", ");
        let (mut dimensions, mut gaps, mut packs) = (String::new(), String::new(), String::new());
        for (index, gap) in self.gaps.iter().enumerate() {
            let _ = match gap.tolerance {
                0 => writeln!(dimensions, "  body{index}: {}", mm(gap.body)),
                tolerance => {
                    writeln!(dimensions, "  body{index}: {{ size: {}, tolerance: {} }}", mm(gap.body), mm(tolerance))
                }
            };
            let mut chain = format!("body{index}");
            for (name, &hundredths) in ["left", "right"].iter().zip(&gap.hundredths).filter(|(_, one)| **one != 0) {
                let sign = if hundredths < 0 { '-' } else { '+' };
                let _ = write!(chain, " {sign} {} % of {name}", hundredths.abs());
            }
            let (low, high) = (mm(gap.target - gap.half), mm(gap.target + gap.half));
            let _ = writeln!(gaps, "  gap{index}: {{ chain: {chain}, accept: [{low}, {high}] }}");
        }
        for (name, pack) in ["left", "right"].iter().zip(&self.packs) {
            let mut keys = format!("kit: box, count: [{}, {}]", pack.count.0, pack.count.1);
            if let Some(fitted) = &pack.fitted {
                let _ = write!(keys, ", fitted: [{}]", list(&mut fitted.iter().map(|&size| self.sizes[size])));
            }
            if let Some(size) = pack.includes {
                let _ = write!(keys, ", includes: [{}]", mm(self.sizes[size]));
            }
            if let Some(never) = &pack.never {
                let _ = write!(keys, ", never: [{}]", list(&mut never.iter().map(|&size| self.sizes[size])));
            }
            if *name == "right" {
                keys += match self.link {
                    Link::Free => "",
                    Link::SameAs => ", same_as: left",
                    Link::NotThinner => ", not_thinner_than: left",
                };
            }
            let _ = writeln!(packs, "  {name}: {{ {keys} }}");
        }
        let mut kit = format!("sizes: [{}]", list(&mut self.sizes.iter().copied()));
        if let Some(tolerance) = self.tolerance {
            let _ = write!(kit, ", tolerance: {}", mm(tolerance));
        }
        if let Some(on_hand) = &self.on_hand {
            let counts = self.sizes.iter().zip(on_hand).map(|(&size, count)| format!("{}: {count}", mm(size)));
            let _ = write!(kit, ", on_hand: {{ {} }}", counts.collect::<Vec<_>>().join(", "));
        }
        format!("dimensions:\n{dimensions}gaps:\n{gaps}packs:\n{packs}kits:\n  box: {{ {kit} }}\n")
    }
}

type OnePack = ((usize, usize), Option<Vec<Index>>, Option<Index>, Option<[Index; 2]>);
type Gaps = Vec<(usize, i64, i64, i64)>;

/// Kits of up to five sizes, packs of up to three shims, and one to three gaps on both.
pub fn pair() -> impl Strategy<Value = Pair> {
    let kit = (
        select(vec![10 * UM, 25 * UM, 50 * UM]),
        subsequence((2_i64..20).collect::<Vec<_>>(), 2..=5),
        weighted(0.5, vec(0_usize..4, 5)),
        proptest::option::of(select(vec![3 * UM, 7 * UM, 11 * UM])),
    );
    let pack = (
        (0_usize..=2, 1_usize..=2).prop_map(|(least, more)| (least.min(1), (least + more).min(3))),
        weighted(0.4, vec(any::<Index>(), 0..=2)),
        weighted(0.15, any::<Index>()),
        weighted(0.15, [any::<Index>(), any::<Index>()]),
    );
    let link = select(vec![Link::Free, Link::Free, Link::Free, Link::SameAs, Link::NotThinner]);
    let gap = (
        0_usize..5,
        select(vec![0, 20 * UM, 60 * UM]),
        select(vec![15_i64, 20, 30, 75, 100, 150]),
        (-10_i64..=10).prop_map(|off| off * 5 * UM),
    );
    (kit, (vec(pack, 2), link), vec(gap, 1..=3), vec(any::<Index>(), 1..=4)).prop_map(
        |((step, labels, on_hand, tolerance), packs, gaps, wanted)| {
            let sizes: Vec<i64> = labels.into_iter().map(|label| label * step).collect();
            assemble(sizes, on_hand, tolerance, packs, gaps, &wanted)
        },
    )
}

fn assemble(
    sizes: Vec<i64>,
    on_hand: Option<Vec<usize>>,
    tolerance: Option<i64>,
    (packs, link): (Vec<OnePack>, Link),
    gaps: Gaps,
    wanted: &[Index],
) -> Pair {
    // About these thicknesses are wanted of the two.
    let mut thickness = [0_i64; 2];
    for (place, index) in wanted.iter().enumerate() {
        thickness[place % 2] += sizes[index.index(sizes.len())];
    }
    let of = |(count, fitted, includes, never): OnePack| OfPair {
        count,
        fitted: fitted.map(|list| list.iter().map(|index| index.index(sizes.len())).collect()),
        includes: includes.map(|index| index.index(sizes.len())),
        never: never.map(|pair| pair.map(|index| index.index(sizes.len()))),
    };
    // Where both packs are in, they may be what is wanted.
    if wanted.len().is_multiple_of(2)
        && let [Some(left), Some(right)] = [0, 1].map(|which: usize| packs[which].1.as_ref())
    {
        thickness = [left, right].map(|fitted| fitted.iter().map(|index| sizes[index.index(sizes.len())]).sum());
    }
    let [one, other] = packs.try_into().expect("two packs were drawn");
    let gap = |(index, (kind, tolerance, half, off)): (usize, (usize, i64, i64, i64))| {
        // The first is on both, so that they have to be chosen together.
        let hundredths = match (index, kind) {
            (0, 0..=2) => [-100, -100],
            (0, _) => [-100, 100],
            (_, 0) => [-100, 0],
            (_, 1) => [-60, 0],
            (_, 2) => [0, -100],
            (_, 3) => [100, -100],
            _ => [-100, -50],
        };
        let body = 9_000 * UM;
        let packs: i64 = hundredths.iter().zip(&thickness).map(|(coefficient, nm)| coefficient * nm / 100).sum();
        PairGap { body, tolerance, hundredths, half: half * UM, target: body + packs + off }
    };
    let on_hand = on_hand.map(|mut counts| {
        counts.truncate(sizes.len());
        counts
    });
    let gaps = gaps.into_iter().enumerate().map(gap).collect();
    Pair { packs: [of(one), of(other)], link, sizes, on_hand, tolerance, gaps }
}
