//! What is expected of the gaps with a pack in, in words.

use shimwright_engine::select::{Expected, Pick};

use super::heat;
use super::plan::is_of_plan;
use super::view::{View, odds};

/// Whether any pack was chosen for a gap.
#[must_use]
pub fn decides(view: &View<'_>, pick: &Pick, index: usize) -> bool {
    let gap = &view.model.gaps[index];
    gap.is_judged() && pick.packs.iter().any(|packed| gap.pack_coefficients[packed.pack] != 0.0)
}

/// The same chain at 20 °C.
fn cold(view: &View<'_>, index: usize) -> Option<usize> {
    view.model.gaps[index].heat.as_ref().and_then(|heat| heat.cold)
}

/// Whether a gap belongs on the first screen: the pack was chosen for it, or for the same chain at 20 °C.
#[must_use]
pub fn is_shown(view: &View<'_>, pick: &Pick, index: usize) -> bool {
    decides(view, pick, index) || cold(view, index).is_some_and(|cold| decides(view, pick, cold))
}

/// The gaps that the pack was chosen for.
pub fn deciding<'a>(view: &'a View<'_>, pick: &'a Pick) -> impl Iterator<Item = &'a Expected> {
    pick.gaps.iter().enumerate().filter(move |(index, _)| decides(view, pick, *index)).map(|(_, gap)| gap)
}

/// What is expected of the gaps that the pack was chosen for, and of the same chains at another temperature.
#[must_use]
pub fn expectations(view: &View<'_>, pick: &Pick) -> String {
    let mut before: Option<usize> = None;
    let mut all: Vec<String> = Vec::new();
    for (index, gap) in
        pick.gaps.iter().enumerate().filter(|(index, _)| is_shown(view, pick, *index) && !is_of_plan(pick, *index))
    {
        let follows = cold(view, index).is_some() && cold(view, index) == before;
        all.push(expectation(view, index, gap, follows));
        before = Some(index);
    }
    all.join("; ")
}

/// A gap with its figure; a preload says so, for its figure has the other sign.
fn named(view: &View<'_>, index: usize, gap: &Expected, follows: bool) -> String {
    let figure = heat::with_figure(view, index, gap.expected_mm, gap.u_mm, follows);
    let of_model = &view.model.gaps[index];
    let says_so = gap.name.to_lowercase().contains("preload") || figure.contains(" none, ");
    if of_model.preload && !says_so { format!("{figure} of preload") } else { figure }
}

/// `float 0.126, in band, 991 in 1000`.
#[must_use]
pub fn expectation(view: &View<'_>, index: usize, gap: &Expected, follows: bool) -> String {
    let mut text = named(view, index, gap, follows);
    if let (Some(verdict), Some(number), Some(chances)) = (gap.verdict, gap.by_number, &gap.chances) {
        let miss = view.miss(gap.misses_by_mm(), gap.u_mm);
        if view.model.gaps[index].not_flat.is_empty() {
            text.push_str(&format!(", {}", view.sure(verdict, number, chances, gap.measured, &miss)));
        } else {
            text.push_str(&format!(", {}{miss} by the number, but a face is not flat: {verdict}", number.side()));
        }
    }
    text
}

/// The same in a table.
#[must_use]
pub fn expectation_short(view: &View<'_>, gap: &Expected) -> String {
    let value = view.value(gap.expected_mm, gap.u_mm);
    match (gap.verdict, &gap.chances) {
        (Some(verdict), Some(chances)) => format!("{} {value}, {}, {}", gap.name, verdict.words(), odds(chances)),
        _ => format!("{} {value}", gap.name),
    }
}
