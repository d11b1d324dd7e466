//! The thicknesses that would be ideal, and the best that any thicknesses could do.

use nalgebra::{DMatrix, DVector};

use super::PickError;
use super::candidates::Stock;
use super::chooser::{Aim, Chooser};
use super::fill::Fill;
use super::made::{self, Ideal, Wanted};
use crate::analyse::Judge;
use crate::analyse::targets::{rank, solve};
use crate::length::from_grid_mm;
use crate::model::{Form, PackForm};

/// The thickness wanted of each pack.
///
/// Formula: where the gaps determine every pack, the t that makes Σ ((target − start − C t)/half)² least; else, and
/// for the thicknesses that keep the gaps in band, each pack's with the others as they were chosen.
pub(super) fn wanted(chooser: &Chooser<'_>, fill: &Fill, forms: &[PackForm]) -> Result<Vec<Wanted>, PickError> {
    let mut all = Vec::with_capacity(chooser.chosen.len());
    for which in 0..chooser.chosen.len() {
        let alone = chooser.alone(which, fill, forms)?;
        // A pack that only has to be like another one wants what it is.
        let as_it_is = || Wanted {
            thickness_mm: from_grid_mm(fill.0[which].thickness_nm),
            low_mm: None,
            high_mm: None,
            none_serves: false,
        };
        all.push(if alone.aims.is_empty() { as_it_is() } else { made::wanted(&alone) });
    }
    if let (true, Some(thicknesses)) = (all.len() > 1, determined(chooser)) {
        for (wanted, thickness_mm) in all.iter_mut().zip(&thicknesses) {
            wanted.thickness_mm = *thickness_mm;
        }
    }
    Ok(all)
}

fn determined(chooser: &Chooser<'_>) -> Option<DVector<f64>> {
    let coefficients = DMatrix::from_fn(chooser.aims.len(), chooser.chosen.len(), |gap, pack| {
        chooser.aims[gap].coefficients[pack] / chooser.aims[gap].half_mm
    });
    let off = chooser.aims.iter().map(|aim| (aim.target_mm - aim.start_mm) / aim.half_mm);
    solve(coefficients, &DVector::from_iterator(chooser.aims.len(), off))
}

/// The highest probability that any thicknesses give, of the gap where it is lowest; none where no gap has a band.
///
/// Where each gap can be set by itself it is that of the gap whose best is least. Where gaps pull at each other, the
/// probability is halved in on: it can be reached where the means that give each gap that much meet in one place.
pub(super) fn best(chooser: &Chooser<'_>, fill: &Fill, forms: &[PackForm]) -> Result<Option<f64>, PickError> {
    if chooser.chosen.len() == 1 {
        return made::best_possible(&chooser.alone(0, fill, forms)?);
    }
    let mut gaps = Vec::new();
    let mut rows = Vec::new();
    for (index, aim) in chooser.aims.iter().enumerate().filter(|(_, aim)| aim.gap.has_band()) {
        gaps.push(OneGap::new(chooser, aim)?);
        rows.push(index);
    }
    let Some(each) = gaps.iter().map(|gap| gap.best.1).reduce(f64::min) else { return Ok(None) };
    let matrix =
        DMatrix::from_fn(rows.len(), chooser.chosen.len(), |row, pack| chooser.aims[rows[row]].coefficients[pack]);
    let columns = independent(&matrix);
    if columns.len() == gaps.len() {
        return Ok(Some(each));
    }
    let matrix = matrix.select_columns(&columns);
    let (mut reached, mut beyond) = (0.0, each);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(reached, beyond);
        let slabs: Vec<(f64, f64)> = gaps.iter().map(|gap| gap.shifts(middle)).collect();
        if meet(&matrix, &slabs) { reached = middle } else { beyond = middle }
    }
    Ok(Some(reached))
}

/// Thirty halvings bring a probability to 1e-9.
const HALVINGS: usize = 30;

/// A gap by itself, as a function of how far its mean is moved.
struct OneGap {
    ideal: Ideal,
    /// The shift of the highest probability, and that.
    best: (f64, f64),
    reach_mm: f64,
}

impl OneGap {
    fn new(chooser: &Chooser<'_>, aim: &Aim<'_>) -> Result<OneGap, PickError> {
        let columns = &chooser.model.columns;
        let form = chooser.model.with(aim.gap, &chooser.packs(&staying(chooser)));
        let mean = form.mean_mm(columns);
        let ideal = Ideal::of_shift(Judge::new(&form, aim.gap, columns)?);
        let shift = |end: &Option<Form>| end.as_ref().map(|end| end.mean_mm(columns) - mean);
        let (low_mm, high_mm) = (shift(&aim.gap.low), shift(&aim.gap.high));
        let wanted = Wanted { thickness_mm: aim.target_mm - mean, low_mm, high_mm, none_serves: false };
        let width = low_mm.zip(high_mm).map_or(FAR_MM, |(low, high)| high - low);
        Ok(OneGap { best: ideal.best(&wanted), reach_mm: width + REACH * ideal.scale_mm(), ideal })
    }

    /// The shifts with which the probability is at least `wanted`.
    fn shifts(&self, wanted: f64) -> (f64, f64) {
        self.ideal.interval(self.best.0, wanted, self.reach_mm)
    }
}

/// A band with one end has no width; no gap of a machine is set farther from it than this.
const FAR_MM: f64 = 1e3;
/// Beyond so many standard deviations from its band a gap is as good as never in.
const REACH: f64 = 10.0;

/// What cannot come out of each pack.
fn staying(chooser: &Chooser<'_>) -> Vec<PackForm> {
    let of_pack = |which: usize| PackForm::of(chooser.items(Stock::Box, which).iter().map(|item| (item, item.staying)));
    (0..chooser.chosen.len()).map(of_pack).collect()
}

/// Columns that span what all of them do, the first ones first.
fn independent(matrix: &DMatrix<f64>) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    for column in 0..matrix.ncols() {
        let with: Vec<usize> = found.iter().copied().chain([column]).collect();
        if rank(&matrix.select_columns(&with)) == with.len() {
            found = with;
        }
    }
    found
}

/// Whether there is a t with every row of `matrix` · t within its slab. The columns are independent.
///
/// A set of slabs that meet and that leaves no direction free has a corner, where as many of their planes as there are
/// columns cross; every such crossing is tried.
fn meet(matrix: &DMatrix<f64>, slabs: &[(f64, f64)]) -> bool {
    let size = matrix.ncols();
    let planes = 2 * slabs.len();
    let at = |plane: usize| if plane.is_multiple_of(2) { slabs[plane / 2].0 } else { slabs[plane / 2].1 };
    let mut chosen: Vec<usize> = (0..size).collect();
    loop {
        let rows: Vec<usize> = chosen.iter().map(|plane| plane / 2).collect();
        let ends = DVector::from_iterator(size, chosen.iter().map(|&plane| at(plane)));
        if let Some(corner) = matrix.select_rows(&rows).lu().solve(&ends) {
            let image = matrix * corner;
            let inside =
                |(value, &(low, high)): (&f64, &(f64, f64))| *value >= low - HAIR_MM && *value <= high + HAIR_MM;
            if image.iter().zip(slabs).all(inside) {
                return true;
            }
        }
        // The next set of planes, in the order of a dictionary.
        let Some(last) = (0..size).rev().find(|&place| chosen[place] + size - place < planes) else { return false };
        chosen[last] += 1;
        for place in last + 1..size {
            chosen[place] = chosen[place - 1] + 1;
        }
    }
}

/// A crossing that is off a plane by less than this is on it: a millionth of a nanometre is far above the rounding of
/// lengths of a metre and far below what a probability shows.
const HAIR_MM: f64 = 1e-12;

#[cfg(test)]
mod tests {
    use super::{independent, meet};
    use nalgebra::DMatrix;

    #[test]
    fn slabs_meet_where_a_corner_of_theirs_is_in_all() {
        // Rows: x, y, x + y.
        let matrix = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 0.0, 1.0, 1.0, 1.0]);
        assert!(meet(&matrix, &[(0.0, 1.0), (0.0, 1.0), (1.9, 3.0)]));
        assert!(meet(&matrix, &[(0.0, 1.0), (0.0, 1.0), (2.0, 3.0)]));
        assert!(!meet(&matrix, &[(0.0, 1.0), (0.0, 1.0), (2.1, 3.0)]));
        assert!(!meet(&matrix, &[(0.0, 1.0), (0.0, 1.0), (-2.0, -0.1)]));
    }

    #[test]
    fn columns_that_say_the_same_are_left_out() {
        let matrix = DMatrix::from_row_slice(2, 3, &[1.0, 2.0, 0.0, 1.0, 2.0, 1.0]);
        assert_eq!(independent(&matrix), [0, 2]);
    }
}
