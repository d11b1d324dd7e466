//! How often the kit gets there with parts as they will be read: true sizes are drawn, readings of them, the pack that
//! `pick` chooses first by those readings, and the errors of its shims.

use super::parts::Group;
use super::quick::{Quick, Scratch, Unit};
use crate::analyse::drawing::{Line, Variables, blocks, generator};
use crate::analyse::monte_carlo::{MonteCarloOptions, Share};
use crate::document::resolved::{Document, Lean};
use crate::law::{Law, Normal};
use crate::length::from_grid_mm;
use crate::measure::Role;
use crate::model::{Column, ColumnKind, Form, Model};
use crate::select::PickError;

/// The parts as they come and as they will be read, over one list of variables.
pub(in crate::select) struct Shop {
    pub(in crate::select) columns: Vec<Column>,
    /// Where each column of the model of the readings is in the list.
    places: Vec<usize>,
    /// For each dimension that is read: its true size less what was made of the reading, and its own column among those
    /// of the model of the readings.
    errors: Vec<Option<(Form, Form, usize, f64)>>,
}

impl Shop {
    pub(in crate::select) fn new(document: &Document, population: &Model, read: &Model) -> Shop {
        let mut columns = population.columns.clone();
        let mut places = Vec::with_capacity(read.columns.len());
        for (index, column) in read.columns.iter().enumerate() {
            // A zero, and what a material grows by, are the same whatever they bear on.
            let shared = |other: &Column| {
                other.kind == column.kind && other.name == column.name && column.kind != ColumnKind::Dimension
            };
            let there = (column.kind != ColumnKind::Shim).then(|| population.columns.iter().position(shared)).flatten();
            places.push(there.unwrap_or(columns.len()));
            if there.is_none() {
                // Errors of reading go together with nothing.
                columns.push(Column { links: Vec::new(), ..read_once_more(&read.columns[index], read) });
            }
        }
        let mut shop = Shop { columns, places, errors: Vec::new() };
        for (index, dimension) in document.dimensions.iter().enumerate() {
            let again = dimension.drawing.is_some() && dimension.readings.is_some();
            let own = again
                .then(|| {
                    let form = &read.dimensions[index];
                    form.terms().iter().find(|&&(column, _)| {
                        read.columns[column].kind == ColumnKind::Dimension
                            && read.columns[column].name == dimension.name
                    })
                })
                .flatten();
            shop.errors.push(own.map(|&(column, coefficient)| {
                (population.dimensions[index].clone(), shop.moved(&read.dimensions[index]), column, coefficient)
            }));
        }
        shop
    }

    /// A form of the model of the readings over the list.
    pub(in crate::select) fn moved(&self, form: &Form) -> Form {
        let mut moved = Form::constant(form.constant_mm);
        for &(column, coefficient) in form.terms() {
            moved.add(&Form::variable(self.places[column]), coefficient);
        }
        moved
    }

    /// What a form comes to by the readings, over true sizes and errors of reading: its mean, and for each dimension in it
    /// that is read, the true size less the size that the reading is taken to mean.
    pub(in crate::select) fn as_read(&self, form: &Form, read: &Model) -> Form {
        let mut estimate = Form::constant(form.mean_mm(&read.columns));
        for (truth, taken, own, coefficient) in self.errors.iter().flatten() {
            let share = form.coefficient(*own) / coefficient;
            if share != 0.0 {
                estimate.add(truth, share);
                estimate.add(taken, -share);
            }
        }
        estimate
    }
}

/// The column of a value as it scatters from reading to reading: what a t law says of the scatter of a few repeats is
/// a doubt of ours, and the readings themselves scatter with the standard deviation.
fn read_once_more(column: &Column, read: &Model) -> Column {
    let mut column = column.clone();
    let Some(reading) = &column.reading else { return column };
    if let Some(sd) = reading.scatter_mm(&read.instruments).map(|sd| sd * reading.weight()).filter(|&sd| sd > 0.0)
        && let Ok(law) = Normal::new(0.0, sd)
    {
        for part in column.parts.iter_mut().filter(|part| part.role == Role::Scatter) {
            part.law = Law::Normal(law);
        }
    }
    column
}

/// A gap as it is and as it is thought to be, over drawn values.
struct OfAim {
    start: Line,
    target: Line,
    origin: Line,
    true_low: Option<Line>,
    true_high: Option<Line>,
}

/// One group of packs for the draw.
struct OfGroup<'a> {
    quick: Quick<'a>,
    aims: Vec<OfAim>,
    /// The thickness that the shims of each pattern are off by.
    errors: Vec<Line>,
}

/// The probability that every true gap is in its band, with its standard error. None where packs are chosen together or by
/// trying them, where a band's width is itself in doubt, and where the pool of threads cannot be made.
pub(super) fn drawn(
    document: &Document,
    population: &Model,
    read: &Model,
    groups: Vec<Group<'_>>,
    options: MonteCarloOptions,
) -> Result<Option<Share>, PickError> {
    let shop = Shop::new(document, population, read);
    let mut variables = Variables::new(&shop.columns);
    let mut plans = Vec::with_capacity(groups.len());
    for group in groups {
        let Some(lots) = group.lots else { return Ok(None) };
        let by_trial = group.chooser.aims.iter().any(|aim| aim.gap.lean == Lean::ThickestThatEnters);
        if by_trial || !lots.tells_left {
            return Ok(None);
        }
        let Some(plan) = OfGroup::new(&shop, &mut variables, population, read, &group.chooser, lots)? else {
            return Ok(None);
        };
        plans.push(plan);
    }
    let alone = |index: &usize| {
        let gap = &population.gaps[*index];
        gap.has_band() && gap.pack_coefficients.iter().all(|&coefficient| coefficient == 0.0)
    };
    let others: Vec<[Option<Line>; 2]> =
        (0..population.gaps.len()).filter(alone).map(|index| truth(&mut variables, population, index)).collect();
    let drawing = variables.ready();
    let mut inside = 0;
    let work = |block: u64, count: usize| {
        let values = drawing.draw(&mut generator(options.seed, block), count);
        let mut all = vec![true; count];
        for plan in &plans {
            plan.block(&values, &mut all);
        }
        for [low, high] in &others {
            let nothing = vec![0.0; count];
            keep(low.as_ref(), 1.0, &values, &nothing, &mut all);
            keep(high.as_ref(), -1.0, &values, &nothing, &mut all);
        }
        all.into_iter().filter(|all| *all).count() as u64
    };
    if blocks(options, &work, &mut |count| inside += count).is_none() {
        return Ok(None);
    }
    Ok(Some(Share::new(inside, options.samples)))
}

/// The true gap less the lower and the upper end of its band.
fn truth(variables: &mut Variables<'_>, population: &Model, index: usize) -> [Option<Line>; 2] {
    let gap = &population.gaps[index];
    [&gap.low, &gap.high].map(|end| end.as_ref().map(|end| variables.line(&gap.start.plus(end, -1.0))))
}

/// Strikes out units whose line, with what a pack adds, is on the wrong side.
fn keep(line: Option<&Line>, sign: f64, values: &[Vec<f64>], moved: &[f64], all: &mut [bool]) {
    let Some(line) = line else { return };
    let edge = line.edge_mm();
    let less = line.values(values, all.len());
    for ((inside, less), moved) in all.iter_mut().zip(&less).zip(moved) {
        *inside &= sign * (less + moved) >= -edge;
    }
}

impl<'a> OfGroup<'a> {
    fn new(
        shop: &Shop,
        variables: &mut Variables<'_>,
        population: &Model,
        read: &Model,
        chooser: &crate::select::chooser::Chooser<'a>,
        lots: super::lots::Lots,
    ) -> Result<Option<OfGroup<'a>>, PickError> {
        let quick = Quick::new(chooser, lots, false)?;
        let mut aims = Vec::with_capacity(quick.aims.len());
        for aim in &quick.aims {
            let index =
                read.gaps.iter().position(|gap| gap.name == aim.gap.name).expect("an aim is a gap of its model");
            if let (Some(low), Some(high)) = (&aim.gap.low, &aim.gap.high) {
                let width = high.plus(low, -1.0);
                if width.is_random(&read.columns) || shop.as_read(&width, read).has_terms() {
                    return Ok(None);
                }
            }
            let target = aim.gap.target.clone().unwrap_or_default();
            let origin = aim.gap.low.clone().or_else(|| aim.gap.high.clone()).unwrap_or_default();
            let [true_low, true_high] = truth(variables, population, index);
            aims.push(OfAim {
                start: variables.line(&shop.as_read(&aim.gap.start, read)),
                target: variables.line(&shop.as_read(&target, read)),
                origin: variables.line(&shop.as_read(&origin, read)),
                true_low,
                true_high,
            });
        }
        let error = |pattern: &crate::model::PackForm| {
            let form = shop.moved(&pattern.form);
            variables.line(&form.plus(&Form::constant(pattern.thickness_mm), -1.0))
        };
        let errors = quick.lots.patterns.iter().map(error).collect();
        Ok(Some(OfGroup { quick, aims, errors }))
    }

    fn block(&self, values: &[Vec<f64>], all: &mut [bool]) {
        let count = all.len();
        let of = |line: fn(&OfAim) -> &Line| -> Vec<Vec<f64>> {
            self.aims.iter().map(|aim| line(aim).values(values, count)).collect()
        };
        let (start, target, origin) = (of(|aim| &aim.start), of(|aim| &aim.target), of(|aim| &aim.origin));
        let errors: Vec<Vec<f64>> = self.errors.iter().map(|line| line.values(values, count)).collect();
        let mut scratch = Scratch::default();
        let mut unit = Unit::default();
        let mut thickness = vec![0.0; count];
        for (index, inside) in all.iter_mut().enumerate().filter(|(_, inside)| **inside) {
            let this = |of_aims: &[Vec<f64>], into: &mut Vec<f64>| {
                into.clear();
                into.extend(of_aims.iter().map(|values| values[index]));
            };
            this(&start, &mut unit.start_mm);
            this(&target, &mut unit.target_mm);
            this(&origin, &mut unit.origin_mm);
            match self.quick.choose(&unit, &mut scratch) {
                Some(lot) => {
                    let lot = &self.quick.lots.all[lot];
                    thickness[index] = from_grid_mm(lot.thickness_nm) + errors[lot.pattern][index];
                }
                None => *inside = false,
            }
        }
        for (aim, lines) in self.quick.aims.iter().zip(&self.aims) {
            let moved: Vec<f64> = thickness.iter().map(|mm| aim.coefficients[0] * mm).collect();
            keep(lines.true_low.as_ref(), 1.0, values, &moved, all);
            keep(lines.true_high.as_ref(), -1.0, values, &moved, all);
        }
    }
}
