//! The shims that packs may be made of, where several packs draw on one box and each shim is there once.

use std::sync::Arc;

use super::fill::Fill;
use crate::length::on_grid;
use crate::model::{Item, Model, Origin};

/// What the packs that are chosen together may be made of.
pub(super) struct Stocks {
    /// From the box and from what is fitted, by pack: each as if it chose first.
    pub(super) boxes: Vec<Arc<[Item]>>,
    /// From the kit as if there were plenty, by pack.
    pub(super) bought: Vec<Arc<[Item]>>,
    /// Every kind of shim once: `in_box` and `fitted` are those of all packs together.
    pub(super) kinds: Arc<[Item]>,
    /// The kind of each item, by pack.
    kind_of: Vec<Vec<usize>>,
}

impl Stocks {
    pub(super) fn of(model: &Model, chosen: &[usize]) -> Stocks {
        let bought = chosen.iter().map(|&pack| Arc::from(model.packs[pack].bought.as_slice())).collect();
        if let [alone] = chosen {
            return Stocks::single(Arc::from(model.packs[*alone].items.as_slice()), bought);
        }
        let mut kinds: Vec<Item> = Vec::new();
        let mut kits: Vec<&str> = Vec::new();
        let mut kind_of: Vec<Vec<usize>> = Vec::new();
        for &pack in chosen {
            let pack = &model.packs[pack];
            let mut of_pack = Vec::with_capacity(pack.items.len());
            for item in &pack.items {
                // Two shims of one pack are two shims, however much they are alike.
                let known = (0..kinds.len())
                    .find(|&kind| kits[kind] == pack.kit && is_like(&kinds[kind], item) && !of_pack.contains(&kind));
                match known {
                    Some(kind) => {
                        kinds[kind].fitted += item.fitted;
                        kinds[kind].staying += item.staying;
                    }
                    None => {
                        kinds.push(item.clone());
                        kits.push(&pack.kit);
                    }
                }
                of_pack.push(known.unwrap_or(kinds.len() - 1));
            }
            kind_of.push(of_pack);
        }
        let mut boxes = Vec::with_capacity(chosen.len());
        for (&pack, of_pack) in chosen.iter().zip(&mut kind_of) {
            let pack = &model.packs[pack];
            let mut items: Vec<(Item, usize)> = pack.items.iter().cloned().zip(of_pack.iter().copied()).collect();
            // What is in another pack may come into this one.
            for (kind, item) in kinds.iter().enumerate() {
                if kits[kind] == pack.kit && !of_pack.contains(&kind) && item.fitted > item.staying {
                    items.push((Item { fitted: 0, staying: 0, in_box: Some(0), ..item.clone() }, kind));
                }
            }
            for (item, kind) in &mut items {
                let all = &kinds[*kind];
                item.in_box = all.available().map(|all_there| all_there - item.fitted - (all.staying - item.staying));
            }
            items.sort_by(|a, b| a.0.thickness_mm.total_cmp(&b.0.thickness_mm));
            let (items, kinds): (Vec<Item>, Vec<usize>) = items.into_iter().unzip();
            boxes.push(Arc::from(items));
            *of_pack = kinds;
        }
        Stocks { boxes, bought, kinds: Arc::from(kinds), kind_of }
    }

    fn single(items: Arc<[Item]>, bought: Vec<Arc<[Item]>>) -> Stocks {
        let kind_of = vec![(0..items.len()).collect()];
        Stocks { boxes: vec![Arc::clone(&items)], bought, kinds: items, kind_of }
    }

    /// For the pack at `which` alone, what the others take being taken.
    pub(super) fn alone(&self, which: usize, fill: &Fill) -> Stocks {
        let bought = vec![Arc::clone(&self.bought[which])];
        if self.boxes.len() == 1 {
            return Stocks::single(Arc::clone(&self.boxes[which]), bought);
        }
        let mut taken = vec![0_usize; self.kinds.len()];
        for (other, candidate) in fill.0.iter().enumerate().filter(|&(other, _)| other != which) {
            candidate.counts.iter().for_each(|&(item, count)| taken[self.kind_of[other][item]] += count);
        }
        let left = |(index, item): (usize, &Item)| {
            let kind = self.kind_of[which][index];
            let all = self.kinds[kind].available().map(|all| all - taken[kind]);
            let fitted = all.map_or(item.fitted, |all| item.fitted.min(all));
            Item { fitted, in_box: all.map(|all| all - fitted), ..item.clone() }
        };
        Stocks::single(self.boxes[which].iter().enumerate().map(left).collect(), bought)
    }

    /// How many of each kind a fill takes, kinds ascending.
    pub(super) fn taken(&self, fill: &Fill) -> Vec<(usize, usize)> {
        let mut taken: Vec<(usize, usize)> = Vec::new();
        for (which, candidate) in fill.0.iter().enumerate() {
            taken.extend(candidate.counts.iter().map(|&(item, count)| (self.kind_of[which][item], count)));
        }
        taken.sort_unstable();
        taken.dedup_by(|next, kept| {
            let alike = next.0 == kept.0;
            if alike {
                kept.1 += next.1;
            }
            alike
        });
        taken
    }

    /// Whether there are as many shims as a fill takes.
    pub(super) fn serves(&self, fill: &Fill) -> bool {
        let there = |&(kind, count): &(usize, usize)| self.kinds[kind].available().is_none_or(|all| count <= all);
        self.taken(fill).iter().all(there)
    }

    /// The kind of an item of the pack at `which`.
    pub(super) fn kind(&self, which: usize, item: usize) -> usize {
        self.kind_of[which][item]
    }

    /// Whether a shim that one pack takes may be missing for another.
    pub(super) fn limited(&self) -> bool {
        self.boxes.len() > 1 && self.kinds.iter().any(|kind| kind.in_box.is_some())
    }
}

/// Whether two items of one kit are the same shims, so that either may be taken for the other.
pub(super) fn is_like(kind: &Item, item: &Item) -> bool {
    let of_box = |item: &Item| item.origin == Origin::Kit;
    on_grid(kind.label_mm) == on_grid(item.label_mm) && kind.form == item.form && of_box(kind) == of_box(item)
}
