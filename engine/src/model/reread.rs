//! The model as it would be if values had been read more often or with another instrument, each staying where it is.

use super::column::{Column, ColumnKind};
use super::form::Form;
use super::{Gap, Model};
use crate::document::resolved::InstrumentRef;
use crate::law::LawError;
use crate::measure::{Reading, zero_of};
use crate::number::summary::Pooled;

/// Another way of reading one value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reread {
    /// The column that is read.
    pub column: usize,
    /// So many more readings at each place.
    pub more: usize,
    /// With this instrument of the model in place of its own.
    pub instrument: Option<usize>,
}

impl Model {
    /// The model with nothing that a pack could be chosen from, so that copies of it cost little.
    #[must_use]
    pub(crate) fn bare(&self) -> Model {
        let mut bare = self.clone();
        for pack in &mut bare.packs {
            pack.items.clear();
            pack.bought.clear();
        }
        bare
    }

    /// The model after other readings. Every value stays where it is, and so does the scatter of one reading; the
    /// degrees of freedom grow, for all that was read with the same instrument. None where nothing is known of how
    /// the readings of the other instrument scatter.
    ///
    /// # Errors
    /// A figure that is too large or too small to be used as a law.
    pub(crate) fn reread(&self, changes: &[Reread]) -> Result<Option<Model>, LawError> {
        let mut model = self.clone();
        for change in changes {
            if !model.read_again(*change)? {
                return Ok(None);
            }
        }
        Ok(Some(model))
    }

    fn read_again(&mut self, change: Reread) -> Result<bool, LawError> {
        let Some(mut reading) = self.columns[change.column].reading.clone() else { return Ok(false) };
        let before = reading.freedom();
        for place in &mut reading.places {
            place.1 += change.more;
        }
        let added = match change.instrument {
            None => reading.freedom() - before,
            Some(index) => {
                let other = InstrumentRef::Named(index);
                self.change_zero(change.column, reading.instrument, other);
                reading.instrument = other;
                // The step between two blades goes with the feelers; the limit of the other tool counts whole.
                reading.half_step_mm = 0.0;
                reading.limit_share = 1.0;
                reading.pooled = self.pooled_of(index);
                reading.freedom()
            }
        };
        let scatter = reading.scatter_mm(&self.instruments);
        if scatter.is_none() && change.instrument.is_some() {
            return Ok(false);
        }
        let freedom = reading.pooled.map_or(0, |pooled| pooled.freedom) + added;
        let pooled = scatter.filter(|_| freedom > 0).map(|sd| Pooled { sd, freedom });
        let shared = reading.instrument.index();
        self.columns[change.column].reading = Some(reading);
        for (index, column) in self.columns.iter_mut().enumerate() {
            let Some(reading) = &mut column.reading else { continue };
            if index == change.column || (shared.is_some() && reading.instrument.index() == shared) {
                reading.pooled = pooled;
                column.parts = reading.parts(&self.instruments)?;
            }
        }
        Ok(true)
    }

    /// The scatter pooled over what was read with an instrument.
    fn pooled_of(&self, instrument: usize) -> Option<Pooled> {
        let mut readings = self.columns.iter().filter_map(|column| column.reading.as_ref());
        readings.find(|reading| reading.instrument.index() == Some(instrument)).and_then(|reading| reading.pooled)
    }

    /// In every form the zero of one instrument takes the place of another's, for what was read in this column.
    fn change_zero(&mut self, column: usize, from: InstrumentRef, to: InstrumentRef) {
        let mut moves = Form::default();
        for (instrument, sign) in [(zero_of(from, &self.instruments), -1.0), (zero_of(to, &self.instruments), 1.0)] {
            if let Some(index) = instrument {
                moves.add(&Form::variable(self.zero_column(index)), sign);
            }
        }
        self.each_form(|form| {
            let coefficient = form.coefficient(column);
            if coefficient != 0.0 {
                form.add(&moves, coefficient);
            }
        });
    }

    /// The column of an instrument's zero; it is added where there is none yet.
    fn zero_column(&mut self, instrument: usize) -> usize {
        let name = &self.instruments[instrument].name;
        let is_it = |column: &Column| column.kind == ColumnKind::Instrument && column.name == *name;
        if let Some(there) = self.columns.iter().position(is_it) {
            return there;
        }
        self.columns.push(Column::zero(&self.instruments[instrument]));
        self.columns.len() - 1
    }

    fn each_form(&mut self, mut change: impl FnMut(&mut Form)) {
        self.dimensions.iter_mut().for_each(&mut change);
        for gap in &mut self.gaps {
            let Gap { paper, start, low, high, target, found, .. } = gap;
            let found = found.as_mut().map(|found| &mut found.form);
            [Some(paper), Some(start), low.as_mut(), high.as_mut(), target.as_mut(), found]
                .into_iter()
                .flatten()
                .for_each(&mut change);
        }
    }

    /// The model as if these columns had been read without any doubt, the zeros of their instruments included.
    #[must_use]
    pub(crate) fn read_perfectly(&self, columns: &[usize]) -> Model {
        let mut model = self.clone();
        for &column in columns {
            let own =
                model.columns[column].reading.as_ref().map_or(InstrumentRef::None, |one: &Reading| one.instrument);
            model.change_zero(column, own, InstrumentRef::None);
            model.columns[column].parts.clear();
        }
        model
    }
}
