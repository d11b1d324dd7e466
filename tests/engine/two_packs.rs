//! Two packs that are chosen together, against brute force: every pair of packs is made, every rule is asked of it, and
//! the order of choice is walked through word for word. Only the laws, the exact distribution and the verdict are the
//! engine's.

use std::cmp::Reverse;
use std::collections::HashMap;

use proptest::prelude::*;
use shimwright_engine::analyse::exact::{Exact, ExactOptions, Term};
use shimwright_engine::analyse::{Confidence, Verdict};
use shimwright_engine::law::{Law, Normal, Rectangular};
use shimwright_engine::select::{Pick, PickError, PickOptions, pick};
use shimwright_tests::model_of;
use shimwright_tests::strategies::{Link, Pair, PairGap, pair};

/// A billionth of half a band is the unit of a distance.
const UNIT: i128 = 1_000_000_000;

#[derive(Debug, Clone)]
struct Both {
    /// How many of each size, by pack.
    counts: [Vec<usize>; 2],
    /// The expected gaps, in nanometres.
    expected: Vec<i64>,
    distance: i64,
    /// That of each gap, the greatest first.
    distances: Vec<i64>,
    slack: i64,
    verdict: Verdict,
    within: f64,
}

struct BruteForce<'a> {
    pair: &'a Pair,
    distributions: HashMap<(usize, Vec<i64>), Exact>,
    on_the_edge: bool,
}

impl BruteForce<'_> {
    /// What is chosen, and whether it is left in; none where nothing obeys the rules.
    fn best(&mut self) -> Option<(Both, bool)> {
        let [left, right] = [0, 1].map(|which| self.packs(which));
        let mut all = Vec::new();
        for one in &left {
            for other in &right {
                let counts = [one.clone(), other.clone()];
                let [left, right] = [0, 1].map(|which| self.thickness(&counts[which]));
                let goes = match self.pair.link {
                    Link::Free => true,
                    Link::SameAs => right == left,
                    Link::NotThinner => right >= left,
                };
                if goes && self.there(&counts) {
                    all.push(self.judged(counts));
                }
            }
        }
        let fitted = [0, 1].map(|which| self.fitted(which));
        if self.pair.packs.iter().all(|pack| pack.fitted.is_some())
            && let Some(both) = all.iter().find(|both| both.counts == fitted)
            && both.verdict == Verdict::In
        {
            return Some((both.clone(), true));
        }
        let class = |both: &Both| match both.verdict {
            Verdict::In => (0, Reverse(100)),
            Verdict::SomeWill | Verdict::CannotTell => (1, Reverse(hundredths(both.within))),
            Verdict::Out => (2, Reverse(hundredths(both.within))),
        };
        let best_class = all.iter().map(class).min()?;
        let alike: Vec<&Both> = all.iter().filter(|both| class(both) == best_class).collect();
        let nearest = alike.iter().min_by_key(|both| (both.distance, self.order(both)))?;
        let level = alike.iter().filter(|both| both.distance <= nearest.distance + nearest.slack + 1);
        level.min_by_key(|both| self.order(both)).map(|both| ((*both).clone(), false))
    }

    fn fitted(&self, which: usize) -> Vec<usize> {
        let fitted = self.pair.packs[which].fitted.iter().flatten();
        fitted.fold(vec![0; self.pair.sizes.len()], |mut counts, &size| {
            counts[size] += 1;
            counts
        })
    }

    /// Every way to make up one pack.
    fn packs(&self, which: usize) -> Vec<Vec<usize>> {
        let pack = &self.pair.packs[which];
        let mut all: Vec<Vec<usize>> = vec![Vec::new()];
        for _ in &self.pair.sizes {
            let longer = |counts: Vec<usize>| {
                let taken: usize = counts.iter().sum();
                (0..=pack.count.1 - taken).map(move |count| [counts.clone(), vec![count]].concat())
            };
            all = all.into_iter().flat_map(longer).collect();
        }
        all.retain(|counts| {
            let met = pack.never.is_some_and(|[one, other]| {
                if one == other { counts[one] > 1 } else { counts[one] > 0 && counts[other] > 0 }
            });
            counts.iter().sum::<usize>() >= pack.count.0 && pack.includes.is_none_or(|size| counts[size] > 0) && !met
        });
        all
    }

    /// Whether there are as many shims as both take: in the box, and in both packs now.
    fn there(&self, counts: &[Vec<usize>; 2]) -> bool {
        let Some(on_hand) = &self.pair.on_hand else { return true };
        let fitted = [0, 1].map(|which| self.fitted(which));
        (0..on_hand.len())
            .all(|size| counts[0][size] + counts[1][size] <= on_hand[size] + fitted[0][size] + fitted[1][size])
    }

    fn thickness(&self, counts: &[usize]) -> i64 {
        self.pair.sizes.iter().zip(counts).map(|(size, &count)| size * whole(count)).sum()
    }

    fn judged(&mut self, counts: [Vec<usize>; 2]) -> Both {
        let pair = self.pair;
        let thickness = [0, 1].map(|which| self.thickness(&counts[which]));
        let mut both = Both {
            counts,
            expected: Vec::new(),
            distance: -1,
            distances: Vec::new(),
            slack: 0,
            verdict: Verdict::In,
            within: 1.0,
        };
        for (index, gap) in pair.gaps.iter().enumerate() {
            let packs: i64 =
                gap.hundredths.iter().zip(&thickness).map(|(coefficient, nm)| coefficient * nm / 100).sum();
            let expected = gap.body + packs;
            let (within, sd_mm) = self.within(index, gap, expected, &both.counts);
            self.on_the_edge |= [0.05, 0.95].iter().any(|edge| (within - edge).abs() < 1e-9);
            both.within = both.within.min(within);
            both.verdict = both.verdict.worse(Confidence::default().judge(within, false));
            let distance = scaled((expected - gap.target).abs(), gap.half);
            if distance > both.distance {
                both.distance = distance;
                both.slack = scaled(((sd_mm / 2.0).max(0.005) * 1e6).round() as i64, gap.half);
            }
            both.distances.push(distance);
            both.expected.push(expected);
        }
        both.distances.sort_unstable_by(|a, b| b.cmp(a));
        both
    }

    fn within(&mut self, index: usize, gap: &PairGap, expected: i64, counts: &[Vec<usize>; 2]) -> (f64, f64) {
        // Shims of one size share one error, in whichever pack they are.
        let coefficient =
            |size: usize| gap.hundredths[0] * whole(counts[0][size]) + gap.hundredths[1] * whole(counts[1][size]);
        let tolerance = self.pair.tolerance;
        let errors: Vec<i64> = (0..self.pair.sizes.len()).map(coefficient).collect();
        let exact = self.distributions.entry((index, errors.clone())).or_insert_with(|| {
            let mut terms = Vec::new();
            if gap.tolerance > 0 {
                let law = Law::Normal(Normal::new(0.0, gap.tolerance as f64 / 3e6).expect("a width"));
                terms.push(Term { coefficient: 1.0, law });
            }
            for &hundredths in errors.iter().filter(|_| tolerance.is_some()) {
                let half = tolerance.unwrap_or(0) as f64 / 1e6;
                let law = Law::Rectangular(Rectangular::new(-half, half).expect("a width"));
                if hundredths != 0 {
                    terms.push(Term { coefficient: hundredths as f64 / 100.0, law });
                }
            }
            Exact::new(0.0, &terms, ExactOptions::default()).expect("laws with a variance")
        });
        let off = |end: i64| (end - expected) as f64 / 1e6;
        let (below, above) = (exact.below(off(gap.target - gap.half)), exact.above(off(gap.target + gap.half)));
        (1.0 - below.value - above.value, exact.sd_mm())
    }

    /// What decides between level pairs: fewest shims; the scarcest size leaves most; the distance; looser; thinner;
    /// sizes.
    fn order(&self, both: &Both) -> impl Ord + use<> {
        let fitted = [0, 1].map(|which| self.fitted(which));
        let mut left = usize::MAX;
        for size in 0..self.pair.sizes.len() {
            let taken = both.counts[0][size] + both.counts[1][size];
            let from_box = taken.saturating_sub(fitted[0][size] + fitted[1][size]);
            if let (Some(on_hand), true) = (&self.pair.on_hand, from_box > 0) {
                left = left.min(on_hand[size] - from_box);
            }
        }
        let thickness = [0, 1].map(|which| self.thickness(&both.counts[which]));
        let shims: usize = both.counts.iter().flatten().sum();
        (shims, Reverse(left), both.distances.clone(), Reverse(both.expected[0]), thickness, self.sizes(both))
    }

    fn sizes(&self, both: &Both) -> Vec<i64> {
        let of_pack = |counts: &Vec<usize>| {
            let each = |(&size, &count): (&i64, &usize)| std::iter::repeat_n(size, count);
            self.pair.sizes.iter().zip(counts).flat_map(each).collect::<Vec<_>>()
        };
        both.counts.iter().flat_map(of_pack).collect()
    }
}

fn whole(count: usize) -> i64 {
    i64::try_from(count).expect("a few shims")
}

fn scaled(nm: i64, half: i64) -> i64 {
    i64::try_from(i128::from(nm) * UNIT / i128::from(half)).expect("a short length")
}

/// A probability rounded down to 0.01; what differs from a hundredth in the last digits only is that hundredth.
fn hundredths(p: f64) -> i64 {
    (p * 100.0 + 1e-9).floor() as i64
}

fn sizes_of(picked: &Pick) -> Vec<i64> {
    picked
        .packs
        .iter()
        .flat_map(|packed| &packed.choice.shims)
        .map(|shim| (shim.thickness_mm * 1e6).round() as i64)
        .collect()
}

fn agrees(pair: &Pair) -> Result<bool, TestCaseError> {
    let mut brute = BruteForce { pair, distributions: HashMap::new(), on_the_edge: false };
    let best = brute.best();
    prop_assume!(!brute.on_the_edge);
    let text = pair.document();
    match (pick(&model_of(&text), &PickOptions::default()), best) {
        (Ok(picked), Some((best, leave))) => {
            prop_assert_eq!(sizes_of(&picked), brute.sizes(&best), "{}\n{:?}\nbrute force {:?}", text, picked, best);
            prop_assert_eq!(picked.leave, leave, "{}", text);
            prop_assert_eq!(picked.verdict, Some(best.verdict), "{}", text);
            Ok(true)
        }
        (Err(PickError::NoPack { .. }), None) => Ok(false),
        (picked, best) => Err(TestCaseError::fail(format!("{text}\n{picked:?}\nbut {best:?}"))),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn are_those_of_brute_force(pair in pair()) {
        agrees(&pair)?;
    }
}

#[test]
fn the_cases_are_of_every_kind() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut counts = [0_usize; 7];
    for _ in 0..300 {
        let pair = proptest::strategy::ValueTree::current(&pair().new_tree(&mut runner).expect("a case"));
        match pick(&model_of(&pair.document()), &PickOptions::default()) {
            Err(_) => counts[0] += 1,
            Ok(picked) => {
                let moved = |packed: &shimwright_engine::select::Packed| {
                    packed.choice.shims.iter().any(|shim| shim.moved_from.is_some())
                };
                counts[1] += usize::from(picked.leave);
                counts[2] += usize::from(picked.packs.iter().any(moved));
                counts[3] += usize::from(picked.verdict == Some(Verdict::In));
                counts[4] += usize::from(picked.verdict == Some(Verdict::SomeWill));
                counts[5] += usize::from(picked.verdict == Some(Verdict::Out));
                counts[6] += usize::from(pair.on_hand.is_some());
            }
        }
    }
    // Nothing to choose, left, moved, in, some will, out, counted.
    assert!(counts.iter().zip([3, 1, 10, 60, 10, 60, 60]).all(|(found, least)| *found >= least), "{counts:?}");
}

/// The washers of a governor shaft, in hundredths: a worked scenario of the trade, common practice, no source. A case
/// depth of 142.362 less a shaft of 138.918 leaves 3.444 for two sides of at most three washers, each with a hard one of
/// 0.80; the float may be 0.08 to 0.22, and 4.80 less the lower side 2.75 to 3.25.
#[test]
fn a_value_on_the_edge_of_a_band_is_in_for_both_packs() {
    const SIZES: [i64; 6] = [10, 15, 25, 50, 80, 100];
    let mut sides: Vec<Vec<i64>> = vec![vec![80]];
    for (index, &one) in SIZES.iter().enumerate() {
        sides.push(vec![one, 80]);
        sides.extend(SIZES[index..].iter().map(|&other| vec![one, other, 80]));
    }
    let list =
        |side: &[i64]| side.iter().map(|&one| format!("{:.2}", one as f64 / 100.0)).collect::<Vec<_>>().join(", ");
    let serves = |lower: &[i64], upper: &[i64]| {
        let text = format!(
            "
dimensions: {{ depth: 142.362, shaft: 138.918, tongue: 7.20, mouth: 2.40 }}
gaps:
  float: {{ chain: depth - shaft - lower - upper, accept: [0.08, 0.22] }}
  engagement: {{ chain: tongue - mouth - lower, accept: [2.75, 3.25] }}
packs:
  lower: {{ kit: box, count: [1, 3], includes: [0.80], fitted: [{}] }}
  upper: {{ kit: box, count: [1, 3], includes: [0.80], fitted: [{}] }}
kits:
  box: {{ sizes: [0.10, 0.15, 0.25, 0.50, 0.80, 1.00] }}
",
            list(lower),
            list(upper)
        );
        let picked = pick(&model_of(&text), &PickOptions::default()).expect("washers to choose");
        picked.leave
    };
    let all = sides.iter().flat_map(|lower| sides.iter().map(move |upper| (lower, upper)));
    let solutions = all.filter(|(lower, upper)| serves(lower, upper)).count();
    assert_eq!(solutions, 24);
}

#[test]
fn a_measured_shim_is_in_one_pack_only() {
    // Both sides want 0.30; there is one that measures 0.302, and a 0.30 by its label for the other.
    let text = "
dimensions: { bore: 40.60, hub: 40, flange: 12.30, ring: 12 }
gaps:
  total: { chain: bore - hub - left - right, accept: [-0.02, 0.02] }
  side: { chain: flange - ring - left, accept: [-0.02, 0.02] }
packs:
  left: { kit: drawer, count: 1 }
  right: { kit: drawer, count: 1 }
kits:
  drawer: { actual: { 0.30: [0.302], 0.29: [0.293] }, on_hand: { 0.25: 1 } }
";
    let picked = pick(&model_of(text), &PickOptions::default()).expect("shims to choose");
    assert_eq!(sizes_of(&picked), [302_000, 293_000]);
    assert_eq!(picked.verdict, Some(Verdict::In));
}

#[test]
fn both_gaps_at_once_lie_between_the_bounds() {
    // Two gaps that share nothing: P = (2 Phi(1) - 1)², sd being the tolerance's third.
    let apart = "
dimensions: { one: { size: 10.30, sd: 0.05 }, other: { size: 12.30, sd: 0.05 } }
gaps:
  first: { chain: one - 10 - left, accept: [0.05, 0.15] }
  second: { chain: other - 12 - right, accept: [0.05, 0.15] }
packs: { left: { kit: box, count: 1 }, right: { kit: box, count: 1 } }
kits: { box: { sizes: [0.10, 0.20, 0.30], tolerance: 0 } }
";
    let (least, most) = pick(&model_of(apart), &PickOptions::default()).expect("packs").joint_within.expect("two gaps");
    assert_eq!(least, most);
    assert!((least - 0.682_689_492_137_085_9_f64.powi(2)).abs() < 1e-12, "{least}");
    // A rectangle that both share: whatever they have in common, the bounds of their own probabilities hold.
    let shared = "
dimensions: { one: { size: 10.30, tolerance: 0.08, distribution: rectangular }, other: { size: 2, sd: 0.02 } }
gaps:
  first: { chain: one - 10 - left, accept: [0.05, 0.15] }
  second: { chain: one + other - 12 - left - right, accept: [-0.05, 0.05] }
packs: { left: { kit: box, count: 1 }, right: { kit: box, count: 1 } }
kits: { box: { sizes: [0.10, 0.20, 0.30], tolerance: 0 } }
";
    let picked = pick(&model_of(shared), &PickOptions::default()).expect("packs");
    let within: Vec<f64> = picked.gaps.iter().map(|gap| gap.chances.expect("a band").within).collect();
    let (least, most) = picked.joint_within.expect("two gaps");
    assert!((least - (within[0] + within[1] - 1.0)).abs() < 1e-12 && least < most, "{least} {most} {within:?}");
    assert!((most - within[0].min(within[1])).abs() < 1e-12, "{most} {within:?}");
}
