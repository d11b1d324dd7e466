//! How many of each size: batches of builds are tried out, each build taking its first choice that the shelf still has.
//!
//! A build is served where a pack puts its gap in band by the parts themselves, each shim as its label says; of those that
//! do, the order of choice of `pick` among packs that are in: nearest with its slack, fewest shims, most left of the
//! scarcest, looser, thinner, sizes.

use super::sizes::Choice;
use crate::analyse::drawing::{Line, Variables, blocks, generator};
use crate::analyse::monte_carlo::MonteCarloOptions;
use crate::length::on_grid;

/// More packs than this are not kept for the choice.
const MOST_PACKS: usize = 50_000;
/// So many batches are tried out for the quantities, and as many others to say what service they give.
const BATCHES: usize = 2_000;
/// More of a size than is ever used.
const PLENTY: usize = usize::MAX;
/// The slack of the order of choice, in millimetres, where nothing is in doubt.
const SLACK_MM: f64 = 0.005;

/// A sum this near to an end is on it: sums of typed figures differ by the rounding of doubles only.
const EDGE_MM: f64 = 1e-9;

/// How many of each size, and what service they give.
#[derive(Debug, Clone, PartialEq)]
pub struct Service {
    /// How many of each kept size.
    pub quantities: Vec<usize>,
    /// How many of each a hundred builds use when the shelf is full.
    pub use_per_100: Vec<f64>,
    /// The chance that no build which the sizes can serve goes without, tried out with other batches than those that
    /// the quantities were found with.
    pub service: f64,
    /// The ends of its 95 % interval (Wilson).
    pub interval: (f64, f64),
    /// How many batches said so.
    pub batches: usize,
    /// How many builds there are.
    pub builds: usize,
    /// How many of them, on average, no kept size can serve.
    pub beyond_reach: f64,
}

/// A pack that can be taken.
struct Pack {
    nm: i64,
    shims: usize,
    /// Size and number.
    counts: Vec<(usize, usize)>,
}

impl Pack {
    fn sizes(&self) -> impl Iterator<Item = usize> + '_ {
        self.counts.iter().flat_map(|&(size, count)| std::iter::repeat_n(size, count))
    }
}

/// One build: the packs that serve it, in the order of choice but for what is left on the shelf.
struct Build {
    /// The first and one behind the last among the packs in order of thickness.
    packs: (usize, usize),
    wanted_mm: f64,
}

struct Plan<'c, 'a> {
    choice: &'c Choice<'a>,
    packs: Vec<Pack>,
    /// The sums that each pack serves; they rise or fall with the thickness.
    served: Vec<(f64, f64)>,
    rises: bool,
    sizes: usize,
    builds: usize,
}

/// The fewest of each size that give the service. None where there are too many packs, or the pool of threads cannot be
/// made.
pub(super) fn quantities(
    choice: &Choice<'_>,
    sizes: &[usize],
    builds: usize,
    service: f64,
    options: MonteCarloOptions,
) -> Option<Service> {
    let rules = choice.with(sizes);
    let mut packs = Vec::new();
    rules.each_of(rules.span_nm(), MOST_PACKS, &mut |one| {
        packs.push(Pack { nm: one.thickness_nm, shims: one.shims, counts: one.counts.clone() });
    })?;
    // Of one thickness by the list of sizes, which is the last rule of the order.
    packs.sort_by(|a, b| a.nm.cmp(&b.nm).then_with(|| a.sizes().cmp(b.sizes())));
    let served: Vec<(f64, f64)> = packs.iter().map(|pack| choice.serves(pack.nm)).collect();
    let rises = served.first().zip(served.last()).is_none_or(|(first, last)| first <= last);
    let plan = Plan { choice, packs, served, rises, sizes: sizes.len(), builds };
    let found = plan.batches(options)?;
    let others = plan.batches(MonteCarloOptions { seed: options.seed.wrapping_add(1), ..options })?;
    let plenty = vec![PLENTY; sizes.len()];
    // What each batch uses when nothing runs out.
    let mut used: Vec<Vec<usize>> = Vec::with_capacity(found.len());
    let mut beyond = 0;
    for batch in &found {
        let run = plan.run(batch, &plenty);
        beyond += run.beyond;
        used.push(run.used);
    }
    let total = |size: usize| used.iter().map(|one| one[size]).sum::<usize>();
    let per_100 = |size: usize| 100.0 * total(size) as f64 / (found.len() * builds) as f64;
    // Each size alone at the service level is too little together; from there on, what is missing most is added.
    let mut quantities: Vec<usize> = (0..sizes.len())
        .map(|size| {
            let mut all: Vec<usize> = used.iter().map(|one| one[size]).collect();
            all.sort_unstable();
            all[((service * all.len() as f64).ceil() as usize).clamp(1, all.len()) - 1]
        })
        .collect();
    loop {
        let (share, missing) = plan.service(&found, &quantities);
        if share >= service {
            break;
        }
        let most = (0..missing.len()).max_by_key(|&size| (missing[size], std::cmp::Reverse(size)))?;
        quantities[most] += 1;
    }
    // Then what can be left out, the most plentiful first.
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by_key(|&size| std::cmp::Reverse(quantities[size]));
    for size in order {
        while quantities[size] > 0 {
            quantities[size] -= 1;
            if plan.service(&found, &quantities).0 < service {
                quantities[size] += 1;
                break;
            }
        }
    }
    let (share, _) = plan.service(&others, &quantities);
    Some(Service {
        use_per_100: (0..sizes.len()).map(per_100).collect(),
        quantities,
        service: share,
        interval: wilson(share, others.len()),
        batches: others.len(),
        builds,
        beyond_reach: beyond as f64 / found.len() as f64,
    })
}

/// What a batch took.
struct Run {
    used: Vec<usize>,
    beyond: usize,
    /// The sizes of the first choice of the first build that went without.
    missing: Option<Vec<usize>>,
}

impl Plan<'_, '_> {
    /// Batches of builds, drawn.
    fn batches(&self, options: MonteCarloOptions) -> Option<Vec<Vec<Build>>> {
        let chooser = &self.choice.chooser;
        let model = chooser.model;
        let mut variables = Variables::new(&model.columns);
        let sum: Line = variables.line(&self.choice.sum.sum);
        let aim = chooser.aims.iter().find(|aim| aim.gap.has_band())?;
        let start = variables.line(&aim.gap.start);
        let target = variables.line(&aim.gap.target.clone().unwrap_or_default());
        let coefficient = aim.coefficients[0];
        let samples = (BATCHES * self.builds) as u64;
        let options = MonteCarloOptions { samples, ..options };
        let drawing = variables.ready();
        let work = |block: u64, count: usize| {
            let values = drawing.draw(&mut generator(options.seed, block), count);
            let (sums, starts, targets) =
                (sum.values(&values, count), start.values(&values, count), target.values(&values, count));
            (0..count)
                .map(|index| Build {
                    packs: self.serving(sums[index]),
                    wanted_mm: (targets[index] - starts[index]) / coefficient,
                })
                .collect::<Vec<Build>>()
        };
        let mut all = Vec::with_capacity(samples as usize);
        blocks(options, &work, &mut |more| all.extend(more))?;
        let mut batches = Vec::with_capacity(BATCHES);
        let mut builds = all.into_iter();
        for _ in 0..BATCHES {
            batches.push(builds.by_ref().take(self.builds).collect());
        }
        Some(batches)
    }

    /// The packs that serve a sum: what each serves moves with its thickness, so that they stand together.
    fn serving(&self, sum_mm: f64) -> (usize, usize) {
        let served = |index: &usize| {
            let (low, high) = self.served[*index];
            (low - EDGE_MM..=high + EDGE_MM).contains(&sum_mm)
        };
        let behind_thin =
            |&(low, high): &(f64, f64)| if self.rises { high + EDGE_MM < sum_mm } else { low - EDGE_MM > sum_mm };
        let first = self.served.partition_point(behind_thin);
        let count = (first..self.served.len()).take_while(served).count();
        (first, first + count)
    }

    /// The first choice of a build on a shelf.
    fn first(&self, build: &Build, shelf: &[usize]) -> Option<&Pack> {
        let there = |pack: &&Pack| pack.counts.iter().all(|&(size, count)| shelf[size] >= count);
        let wanted = on_grid(build.wanted_mm);
        let distance = |pack: &Pack| (pack.nm - wanted).abs();
        let served = || self.packs[build.packs.0..build.packs.1].iter().filter(there);
        let nearest = served().map(distance).min()?;
        let level = nearest + on_grid(SLACK_MM);
        let left_of =
            |&(size, count): &(usize, usize)| if shelf[size] == PLENTY { PLENTY } else { shelf[size] - count };
        let left = |pack: &Pack| pack.counts.iter().map(left_of).min().unwrap_or(PLENTY);
        // A thinner pack leaves the gap looser where shims are contents, and the other way round.
        let aim = &self.choice.chooser.aims[0];
        let looser_thinner = (aim.coefficients[0] < 0.0) != aim.gap.preload;
        let key = |pack: &&Pack| {
            let looser = if looser_thinner { pack.nm } else { -pack.nm };
            (pack.shims, std::cmp::Reverse(left(pack)), distance(pack), looser)
        };
        // The first of equal keys is taken, and packs are in the order of their sizes.
        served().filter(|pack| distance(pack) <= level).min_by_key(key)
    }

    fn run(&self, batch: &[Build], quantities: &[usize]) -> Run {
        let mut shelf = quantities.to_vec();
        let mut run = Run { used: vec![0; self.sizes], beyond: 0, missing: None };
        for build in batch {
            if build.packs.0 == build.packs.1 {
                run.beyond += 1;
                continue;
            }
            match self.first(build, &shelf) {
                Some(pack) => {
                    for &(size, count) in &pack.counts {
                        if shelf[size] != PLENTY {
                            shelf[size] -= count;
                        }
                        run.used[size] += count;
                    }
                }
                None => {
                    let wished = self.first(build, &vec![PLENTY; self.sizes]);
                    let lacking = wished.map(|pack| {
                        let lacks = pack.counts.iter().filter(|&&(size, count)| shelf[size] < count);
                        lacks.map(|&(size, _)| size).collect()
                    });
                    run.missing = run.missing.or(lacking);
                    break;
                }
            }
        }
        run
    }

    /// The share of batches in which no build that can be served goes without, and how often each size was missing.
    fn service(&self, batches: &[Vec<Build>], quantities: &[usize]) -> (f64, Vec<usize>) {
        let mut missing = vec![0; self.sizes];
        let mut without = 0;
        for batch in batches {
            if let Some(lacking) = self.run(batch, quantities).missing {
                without += 1;
                lacking.into_iter().for_each(|size| missing[size] += 1);
            }
        }
        (1.0 - without as f64 / batches.len() as f64, missing)
    }
}

/// The 95 % interval of a share of so many.
///
/// Formula: (p + z²/2n ± z √(p(1 − p)/n + z²/4n²)) / (1 + z²/n). Source: Wilson (1927).
fn wilson(share: f64, number: usize) -> (f64, f64) {
    let (n, z) = (number as f64, 1.959_963_984_540_054);
    let middle = share + z * z / (2.0 * n);
    let half = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    let whole = 1.0 + z * z / n;
    // At none and at all the rounding of the root must not shut the share itself out.
    (((middle - half) / whole).clamp(0.0, share), ((middle + half) / whole).clamp(share, 1.0))
}
