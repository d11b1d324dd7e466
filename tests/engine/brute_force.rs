//! The order of choice, done again in the plainest way: every pack is made, every rule is asked of each, and the order
//! is walked through word for word. Nothing of the model or of the selection is used; probabilities come from the exact
//! distribution of the terms that are listed here.

mod doubts;
mod kinds;

use std::cmp::Reverse;

use shimwright_engine::analyse::{Confidence, Verdict};
use shimwright_tests::strategies::{Choice, Lean, Start};

use doubts::{Doubt, Doubts};
use kinds::{Kind, kinds};

/// What is chosen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chosen {
    /// Thickness of each shim in nanometres, ascending, and whether it is in now.
    pub(crate) shims: Vec<(i64, bool)>,
    /// Whether it is the pack that is in now, to be left.
    pub(crate) leave: bool,
    pub(crate) verdict: Verdict,
    /// The expected gap in the gap's own sense, in nanometres.
    pub(crate) expected: i64,
    pub(crate) within: f64,
    pub(crate) sd_mm: f64,
}

#[derive(Debug, Clone)]
struct Pack {
    /// How many of each kind.
    counts: Vec<usize>,
    shims: usize,
    thickness: i64,
    expected: i64,
    /// Distance from the target.
    off: i64,
    within: f64,
    sd_mm: f64,
    verdict: Verdict,
}

pub(crate) struct BruteForce<'a> {
    choice: &'a Choice,
    kinds: Vec<Kind>,
    target: i64,
    doubts: Doubts,
    /// Whether a probability was too near the confidence for its last digits not to decide.
    pub(crate) on_the_edge: bool,
}

impl<'a> BruteForce<'a> {
    pub(crate) fn new(choice: &'a Choice) -> Self {
        let aim = choice.aim;
        let target = match (aim.target, aim.low, aim.high) {
            (Some(target), ..) => target,
            (None, Some(low), Some(high)) => i64::midpoint(low, high),
            _ => panic!("a band with one end has a target"),
        };
        Self { choice, kinds: kinds(choice), target, doubts: Doubts::default(), on_the_edge: false }
    }

    /// The best pack; none where none obeys the rules.
    pub(crate) fn best(&mut self) -> Option<Chosen> {
        let mut all = Vec::new();
        let mut counts = vec![0; self.kinds.len()];
        self.every(0, &mut counts, &mut all);
        if self.choice.fitted.is_some() {
            let fitted: Vec<usize> = self.kinds.iter().map(|kind| kind.fitted).collect();
            if let Some(pack) = all.iter().find(|pack| pack.counts == fitted)
                && self.has_band()
                && pack.verdict == Verdict::In
            {
                return Some(self.chosen(pack, true));
            }
        }
        // Verdict; unless it is in, probability rounded down to 0.01.
        let class = |pack: &Pack| match pack.verdict {
            Verdict::In => (0, Reverse(100)),
            Verdict::SomeWill | Verdict::CannotTell => (1, Reverse(hundredths(pack.within))),
            Verdict::Out => (2, Reverse(hundredths(pack.within))),
        };
        let best_class = all.iter().map(class).min()?;
        let alike: Vec<&Pack> = all.iter().filter(|pack| class(pack) == best_class).collect();
        // First pass: the nearest. Second pass: those that are level with it.
        let nearest = alike.iter().min_by_key(|pack| (pack.off, self.order(pack)))?;
        let slack = nm((nearest.sd_mm / 2.0).max(0.005));
        let level = alike.iter().filter(|pack| pack.off <= nearest.off + slack);
        let best = level.min_by_key(|pack| self.order(pack))?;
        Some(self.chosen(best, false))
    }

    /// Every way to take shims, kind by kind.
    fn every(&mut self, kind: usize, counts: &mut Vec<usize>, all: &mut Vec<Pack>) {
        let taken: usize = counts.iter().sum();
        if kind == self.kinds.len() {
            if self.obeys(counts) {
                let pack = self.judged(counts.clone());
                all.push(pack);
            }
            return;
        }
        let there = self.kinds[kind].in_box.map_or(usize::MAX, |in_box| in_box + self.kinds[kind].fitted);
        for count in 0..=there.min(self.choice.count.1 - taken) {
            counts[kind] = count;
            self.every(kind + 1, counts, all);
        }
        counts[kind] = 0;
    }

    fn obeys(&self, counts: &[usize]) -> bool {
        let choice = self.choice;
        let shims: usize = counts.iter().sum();
        let staying = self.kinds.iter().zip(counts).all(|(kind, &count)| count >= kind.staying);
        let of_size = |size: usize| {
            self.kinds
                .iter()
                .zip(counts)
                .filter(|(kind, _)| kind.size == Some(size))
                .map(|(_, &count)| count)
                .sum::<usize>()
        };
        let included = choice
            .includes
            .iter()
            .all(|&size| of_size(size) >= choice.includes.iter().filter(|&&other| other == size).count());
        let thin = choice.thickest.is_none_or(|thickest| self.thickness(counts) <= thickest);
        (choice.count.0..=choice.count.1).contains(&shims) && staying && included && thin
    }

    fn thickness(&self, counts: &[usize]) -> i64 {
        self.kinds.iter().zip(counts).map(|(kind, &count)| kind.thickness * whole(count)).sum()
    }

    fn judged(&mut self, counts: Vec<usize>) -> Pack {
        let choice = self.choice;
        let thickness = self.thickness(&counts);
        let play = match choice.start {
            Start::Exact(body) | Start::Drawn(body, ..) | Start::Read(body) | Start::Repeated(body, _) => {
                body + choice.hundredths * thickness / 100
            }
            Start::Found(play) => {
                let in_now: i64 = choice.fitted.iter().flatten().map(|one| one.thickness).sum();
                play + choice.hundredths * (thickness - in_now) / 100
            }
        };
        let expected = if choice.preload { -play } else { play };
        let doubts = doubts::of(choice, &self.kinds, &counts);
        let measured = doubts.keys().any(|doubt| !matches!(doubt, Doubt::Drawn | Doubt::Size(_)));
        let (within, sd_mm) = self.doubts.within(choice, expected, &doubts);
        let verdict = if self.has_band() { Confidence::default().judge(within, measured) } else { Verdict::In };
        self.on_the_edge |= [0.05, 0.95].iter().any(|edge| (within - edge).abs() < 1e-9);
        let shims = counts.iter().sum();
        Pack { counts, shims, thickness, expected, off: (expected - self.target).abs(), within, sd_mm, verdict }
    }

    fn has_band(&self) -> bool {
        self.choice.aim.low.is_some() || self.choice.aim.high.is_some()
    }

    /// What decides between level packs: fewest shims; the scarcest size leaves most; the lean; the distance; looser;
    /// thinner; sizes.
    fn order(&self, pack: &Pack) -> impl Ord + use<> {
        let mut left = usize::MAX;
        for size in 0..self.choice.sizes.len() {
            // Fitted shims are used before the box.
            let of_size = || self.kinds.iter().zip(&pack.counts).filter(|(kind, _)| kind.size == Some(size));
            let taken: usize = of_size().map(|(kind, &count)| count.saturating_sub(kind.fitted)).sum();
            let there: Option<usize> = of_size().map(|(kind, _)| kind.in_box).sum();
            if let (Some(there), true) = (there, taken > 0) {
                left = left.min(there - taken);
            }
        }
        let looser = if self.choice.preload { self.target - pack.expected } else { pack.expected - self.target };
        let against = match self.choice.lean {
            Lean::Nearest => false,
            Lean::Looser => looser < 0,
            Lean::Tighter => looser > 0,
        };
        let thicknesses: Vec<i64> = self.shims(pack).into_iter().map(|(thickness, _)| thickness).collect();
        (pack.shims, Reverse(left), against, pack.off, Reverse(looser), pack.thickness, thicknesses)
    }

    /// Each shim, those that are in first among equal ones.
    fn shims(&self, pack: &Pack) -> Vec<(i64, bool)> {
        let mut shims = Vec::new();
        for (kind, &count) in self.kinds.iter().zip(&pack.counts) {
            shims.extend((0..count).map(|taken| (kind.thickness, taken < kind.fitted)));
        }
        shims.sort_by_key(|&(thickness, fitted)| (thickness, !fitted));
        shims
    }

    fn chosen(&self, pack: &Pack, leave: bool) -> Chosen {
        Chosen {
            shims: self.shims(pack),
            leave,
            verdict: pack.verdict,
            expected: pack.expected,
            within: pack.within,
            sd_mm: pack.sd_mm,
        }
    }
}

fn whole(count: usize) -> i64 {
    i64::try_from(count).expect("a few shims")
}

fn nm(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

/// A probability rounded down to 0.01; what differs from a hundredth in the last digits only is that hundredth.
fn hundredths(p: f64) -> i64 {
    (p * 100.0 + 1e-9).floor() as i64
}
