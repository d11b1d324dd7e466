//! Many stations from one box: packs of exactly one shim each that share a kit and no gap.
//!
//! The plan that is best by, in this order: stations out of band by the number, shims bought, shims that leave their
//! station for another, the sum of the distances to the targets in nanometres (a shim that stays, in band and sure, is
//! no distance away), thinner shims, thinner shims for the stations that come first. A shim from the box costs nothing
//! but its distance.

mod assignment;
mod shims;
mod station;

use crate::analyse::{Confidence, Verdict};
use crate::model::{Item, Model, Origin, PackForm};

use super::choice::{Choice, Expected, Shim};
use super::made::{self, Make};
use super::{Packed, PickError, why};

pub use assignment::{Cost, assign};
use shims::Kind;
use station::Station;

/// What to do at many stations that draw on one box.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// Each station, in the order of the document.
    pub stations: Vec<Planned>,
    /// Shims that come out and go in nowhere.
    pub spare: Vec<Old>,
}

impl Plan {
    /// Adds the stations of another kit.
    pub(super) fn extend(&mut self, other: Plan) {
        self.stations.extend(other.stations);
        self.stations.sort_by_key(|station| station.pack);
        self.spare.extend(other.spare);
    }
}

/// What to do at a station.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Its pack, among the model's.
    pub pack: usize,
    /// What to do.
    pub step: Step,
    /// The shims that come out.
    pub taken_out: Vec<Old>,
    /// Its gaps with something to aim at, among the model's.
    pub gaps: Vec<usize>,
    /// Whether all of them are in band by the number.
    pub in_by_number: bool,
    /// The worst verdict of them.
    pub verdict: Option<Verdict>,
    /// The shim that would make it sure if it were bought.
    pub if_bought: Option<IfBought>,
    /// What to have made where it is out of band.
    pub make: Option<Make>,
}

/// What to do at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The shim that is in stays.
    Keep,
    /// A shim from another station, the pack's index among the model's.
    Move(usize),
    /// A shim from the box.
    Box,
    /// A shim that has to be bought.
    Buy,
}

/// A shim that could be bought, and what it would give.
#[derive(Debug, Clone, PartialEq)]
pub struct IfBought {
    /// The label as typed.
    pub label: String,
    /// The size by the label, in millimetres.
    pub size_mm: f64,
    /// The gap that would be expected, of the station's first one, in millimetres.
    pub expected_mm: f64,
    /// The probability of being in band, of the gap where it is lowest.
    pub within: f64,
}

/// A shim that comes out.
#[derive(Debug, Clone, PartialEq)]
pub struct Old {
    /// The label as typed.
    pub label: String,
    /// The size by the label, in millimetres.
    pub size_mm: f64,
    /// The pack that it comes out of, among the model's.
    pub from: usize,
}

/// Where the shim of a station comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Source {
    /// One that is fitted in a station: the kind, and which of those fitted.
    Fitted(usize, usize),
    /// The box: the kind.
    Box(usize),
    /// A size of the kit, to be bought.
    Bought(usize),
}

/// Stations with the shim that each is given.
pub(super) struct Stations<'a> {
    stations: Vec<Station<'a>>,
    kinds: Vec<Kind>,
    given: Vec<Source>,
}

impl<'a> Stations<'a> {
    /// Gives each pack of a group its shim.
    pub(super) fn choose(model: &'a Model, group: &[usize], confidence: Confidence) -> Result<Self, PickError> {
        let mut stations = Vec::with_capacity(group.len());
        for &pack in group {
            stations.push(Station::new(model, pack, confidence)?);
        }
        let kinds = shims::kinds(model, group);
        let given = give(&mut stations, &kinds)?;
        Ok(Stations { stations, kinds, given })
    }

    fn item(&self, station: usize) -> &Item {
        match self.given[station] {
            Source::Fitted(kind, _) | Source::Box(kind) => &self.kinds[kind].item,
            Source::Bought(size) => &self.stations[station].pack().bought[size],
        }
    }

    fn step(&self, station: usize) -> Step {
        match self.given[station] {
            Source::Fitted(kind, which) => match self.kinds[kind].fitted_in[which].0 {
                from if from == station => Step::Keep,
                from => Step::Move(self.stations[from].index()),
            },
            Source::Box(_) => Step::Box,
            Source::Bought(_) => Step::Buy,
        }
    }

    /// Puts the packs among all of the model's.
    pub(super) fn put_in(&self, forms: &mut [PackForm]) {
        for (index, station) in self.stations.iter().enumerate() {
            forms[station.index()] = PackForm::of([(self.item(index), 1)]);
        }
    }

    /// The packs with what is wanted of each; the gaps are the model's with all packs in.
    pub(super) fn packed(&self, gaps: &[Expected]) -> Vec<Packed> {
        let one = |(index, station): (usize, &Station<'a>)| {
            let item = self.item(index);
            let step = self.step(index);
            let (from, moved_from) = match step {
                Step::Keep => (Origin::Fitted, None),
                Step::Move(from) => (Origin::Fitted, Some(from)),
                Step::Box => (Origin::Kit, None),
                Step::Buy => (Origin::Bought, None),
            };
            let stays = matches!(self.given[index], Source::Fitted(kind, which) if self.kinds[kind].fitted_in[which].1);
            let shim = Shim {
                label: item.label.clone(),
                size_mm: item.label_mm,
                thickness_mm: item.thickness_mm,
                from,
                moved_from,
                stays,
            };
            Packed {
                pack: station.index(),
                choice: Choice { thickness_mm: item.thickness_mm, shims: vec![shim] },
                leave: self.nothing_to_do(index) && station.verdict(gaps) == Some(Verdict::In),
                wanted: made::wanted(&station.chooser),
            }
        };
        self.stations.iter().enumerate().map(one).collect()
    }

    /// Whether a station has its one shim in already.
    fn nothing_to_do(&self, station: usize) -> bool {
        self.step(station) == Step::Keep && self.taken_out(station).is_empty()
    }

    /// The shims that are in a station and come out of it.
    fn taken_out(&self, station: usize) -> Vec<Old> {
        let is_kept = |kind: usize, which: usize| self.given[station] == Source::Fitted(kind, which);
        self.fitted()
            .filter(|&(from, kind, which)| from == station && !is_kept(kind, which))
            .map(|one| self.old(one))
            .collect()
    }

    /// Every shim that is in: the station, the kind, and which of those fitted.
    fn fitted(&self) -> impl Iterator<Item = (usize, usize, usize)> {
        let of_kind = |(kind, all): (usize, &'_ Kind)| {
            let stations: Vec<usize> = all.fitted_in.iter().map(|&(station, _)| station).collect();
            stations.into_iter().enumerate().map(move |(which, station)| (station, kind, which))
        };
        self.kinds.iter().enumerate().flat_map(of_kind)
    }

    fn old(&self, (station, kind, _): (usize, usize, usize)) -> Old {
        let item = &self.kinds[kind].item;
        Old { label: item.label.clone(), size_mm: item.label_mm, from: self.stations[station].index() }
    }

    /// The highest probability that any thickness gives, of the station where it is lowest.
    pub(super) fn best_possible(&self) -> Result<Option<f64>, PickError> {
        let mut least: Option<f64> = None;
        for station in &self.stations {
            least = [least, made::best_possible(&station.chooser)?].into_iter().flatten().reduce(f64::min);
        }
        Ok(least)
    }

    /// What to do at each station; the gaps are the model's with all packs in.
    pub(super) fn plan(&mut self, gaps: &[Expected]) -> Result<Plan, PickError> {
        let mut stations = Vec::with_capacity(self.stations.len());
        for index in 0..self.stations.len() {
            let (step, taken_out) = (self.step(index), self.taken_out(index));
            let now_nm = self.item(index).thickness_nm();
            let station = &mut self.stations[index];
            let in_by_number = station.is_in(now_nm);
            let verdict = station.verdict(gaps);
            let unsure = verdict.is_some_and(|verdict| verdict != Verdict::In);
            stations.push(Planned {
                pack: station.index(),
                step,
                taken_out,
                gaps: station.gaps(),
                in_by_number,
                verdict,
                if_bought: if unsure { station.if_bought(now_nm)? } else { None },
                make: if in_by_number { None } else { made::make(&station.chooser)? },
            });
        }
        Ok(Plan { stations, spare: self.spare() })
    }

    /// Shims that come out and go in nowhere, by station.
    fn spare(&self) -> Vec<Old> {
        let goes_in = |kind: usize, which: usize| self.given.contains(&Source::Fitted(kind, which));
        let mut spare: Vec<Old> =
            self.fitted().filter(|&(_, kind, which)| !goes_in(kind, which)).map(|one| self.old(one)).collect();
        spare.sort_by_key(|old| old.from);
        spare
    }

    /// What the kit's labels or a thickness wanted probably are, where nothing fits.
    pub(super) fn slip(&self) -> Option<String> {
        self.stations.iter().enumerate().find_map(|(index, station)| {
            let out = !station.is_in(self.item(index).thickness_nm());
            if out { why::slip(&station.chooser, 0, made::wanted(&station.chooser).thickness_mm) } else { None }
        })
    }
}

/// The best shim for each station, all of them together.
fn give(stations: &mut [Station<'_>], kinds: &[Kind]) -> Result<Vec<Source>, PickError> {
    let count = stations.len();
    let mut columns: Vec<Source> = Vec::new();
    for (index, kind) in kinds.iter().enumerate() {
        columns.extend((0..kind.fitted_in.len()).map(|which| Source::Fitted(index, which)));
        // More of a kind than there are stations cannot be used.
        columns.extend((0..kind.in_box.unwrap_or(0).min(count)).map(|_| Source::Box(index)));
    }
    let shared = columns.len();
    let mut costs = Vec::with_capacity(count);
    let mut own: Vec<Option<Source>> = Vec::with_capacity(count);
    for (index, station) in stations.iter_mut().enumerate() {
        let first = count - index;
        let mut row = Vec::with_capacity(shared + count);
        for &column in &columns {
            row.push(match column {
                Source::Fitted(kind, which) => {
                    let (from, stays) = kinds[kind].fitted_in[which];
                    if stays && from != index {
                        None
                    } else {
                        station.fitted(&kinds[kind].item, from == index, stays, first)?
                    }
                }
                Source::Box(kind) => station.of_box(&kinds[kind].item, first),
                Source::Bought(_) => None,
            });
        }
        // What there is plenty of is missing for nobody: the best of it is a column of the station's own.
        let plenty = kinds.iter().enumerate().filter(|(_, kind)| kind.in_box.is_none());
        let plenty = plenty.map(|(kind, one)| (station.of_box(&one.item, first), Source::Box(kind)));
        let bought = station.pack().bought.iter().enumerate();
        let bought = bought.map(|(size, item)| (station.bought(item, first), Source::Bought(size)));
        let best =
            plenty.chain(bought).filter_map(|(cost, source)| Some((cost?, source))).min_by_key(|(cost, _)| *cost);
        row.resize(shared + count, None);
        if let Some((cost, _)) = best {
            row[shared + index] = Some(cost);
        }
        if row.iter().all(Option::is_none) {
            return Err(why::nothing(&station.chooser));
        }
        own.push(best.map(|(_, source)| source));
        costs.push(row);
    }
    let Some(assigned) = assign(&costs) else { return Err(too_few(stations)) };
    let source = |column: usize| match columns.get(column) {
        Some(&source) => source,
        None => own[column - shared].expect("a column of a station's own has a shim behind it"),
    };
    Ok(assigned.into_iter().map(source).collect())
}

fn too_few(stations: &[Station<'_>]) -> PickError {
    let names: Vec<&str> = stations.iter().map(|station| station.pack().name.as_str()).collect();
    PickError::NoPack {
        pack: names[0].to_owned(),
        why: format!("the box has not enough shims for {} at once", names.join(", ")),
    }
}
