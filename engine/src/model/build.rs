//! From a resolved document to the model.

mod correlations;
mod gaps;
mod heat;
mod notes;
mod packs;

use std::collections::HashMap;

use super::Model;
use super::column::{Column, ColumnKind};
use super::form::Form;
use crate::document::diagnostic::{Code, Diagnostic, Diagnostics};
use crate::document::resolved::{Dimension, Document, Readings};
use crate::document::source::Span;
use crate::law::{Law, LawError, Rectangular};
use crate::measure::{Measured, Part, Role, Scatter, measure, stack_error_mm};

/// Builds the model of a document. What a reader should know is returned beside it as notes.
///
/// # Errors
/// A found play that says nothing, or a figure that cannot be used as a law.
pub fn build(document: &Document) -> Result<(Model, Diagnostics), Diagnostics> {
    let mut builder = Builder {
        document,
        scatter: Scatter::of(document),
        columns: Vec::new(),
        zeros: HashMap::new(),
        stacks: HashMap::new(),
        contradictions: Vec::new(),
        expansions: HashMap::new(),
        diagnostics: Diagnostics::new(),
        faces: Vec::new(),
        visited: 0,
    };
    let dimensions: Vec<Form> =
        document.dimensions.iter().enumerate().map(|(index, one)| builder.dimension(index, one)).collect();
    builder.say_what_contradicts();
    builder.correlate(&dimensions);
    let packs = packs::build(&mut builder);
    let gaps = gaps::build(&mut builder, &dimensions, &packs);
    if builder.diagnostics.has_errors() {
        return Err(builder.diagnostics);
    }
    let model = Model {
        title: document.title.clone(),
        unit: document.unit,
        columns: builder.columns,
        dimensions,
        gaps,
        packs,
        instruments: document.instruments.clone(),
    };
    Ok((model, builder.diagnostics))
}

/// A face that is not flat, by the column of its dimension.
struct UnevenFace {
    column: usize,
    dimension: String,
    value_mm: f64,
    least: (String, f64),
    most: (String, f64),
}

struct Builder<'a> {
    document: &'a Document,
    scatter: Scatter,
    columns: Vec<Column>,
    /// The column of each instrument's zero, made when it is first needed.
    zeros: HashMap<usize, usize>,
    /// The column of what is between the stacked blades of each set of feelers, made when it is first needed.
    stacks: HashMap<usize, usize>,
    contradictions: Vec<notes::Contradiction>,
    /// The column of each expansion coefficient, by its key, made when it is first needed.
    expansions: HashMap<i64, usize>,
    diagnostics: Diagnostics,
    faces: Vec<UnevenFace>,
    /// How many chains were looked through for parts that do not say what they are made of.
    visited: usize,
}

impl Builder<'_> {
    fn add(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.columns.len() - 1
    }

    fn note(&mut self, code: Code, at: Span, path: String, message: String) {
        self.diagnostics.push(Diagnostic::note(code, message).at(at).path(path));
    }

    fn unusable(&mut self, at: Span, path: &str, fault: LawError) {
        self.diagnostics.push(Diagnostic::error(Code::NotFinite, fault.to_string()).at(at).path(path));
    }

    fn dimension(&mut self, index: usize, dimension: &Dimension) -> Form {
        let path = format!("dimensions.{}", dimension.name);
        if let Some(readings) = &dimension.readings {
            let nominal = dimension.drawing.as_ref().map(|drawing| drawing.nominal_mm);
            let Some((mut form, _)) = self.read(&dimension.name, readings, nominal, dimension.at, &path) else {
                return Form::default();
            };
            self.bring_to_twenty(&mut form, dimension, readings, &path);
            self.contradiction(index, dimension, &form);
            return form;
        }
        // A span is nothing at 20 °C.
        let Some(drawing) = dimension.drawing.as_ref().filter(|_| dimension.span_mm.is_none()) else {
            return Form::default();
        };
        let (value_mm, parts) = match &drawing.law {
            None => (drawing.limits_mm.map_or(drawing.nominal_mm, |limits| limits.0), Vec::new()),
            Some(law) => {
                let mut part = Part::new(Role::Drawing, law.clone());
                if let Some(limits) = drawing.limits_mm {
                    part = part.with_limits(limits);
                }
                part.freedom = drawing.freedom.or(part.freedom);
                (0.0, vec![part])
            }
        };
        let column = Column {
            kind: ColumnKind::Dimension,
            name: dimension.name.clone(),
            value_mm,
            nominal_mm: drawing.nominal_mm,
            parts,
            measured: false,
            reading: None,
            links: Vec::new(),
        };
        Form::variable(self.add(column))
    }

    /// A column for something that was read, with the zero that it shares.
    fn read(
        &mut self,
        name: &str,
        readings: &Readings,
        nominal_mm: Option<f64>,
        at: Span,
        path: &str,
    ) -> Option<(Form, Measured)> {
        let measured = match measure(readings, &self.document.instruments, &self.scatter) {
            Ok(measured) => measured,
            Err(fault) => {
                self.unusable(readings.at, path, fault);
                return None;
            }
        };
        self.say_what_was_assumed(name, readings, &measured, at, path);
        let column = self.add(Column {
            kind: ColumnKind::Dimension,
            name: name.to_owned(),
            value_mm: measured.value_mm,
            nominal_mm: nominal_mm.unwrap_or(measured.value_mm),
            parts: measured.parts.clone(),
            measured: true,
            reading: Some(measured.reading.clone()),
            links: Vec::new(),
        });
        if let Some(face) = measured.face.as_ref().filter(|face| face.not_flat) {
            self.faces.push(UnevenFace {
                column,
                dimension: name.to_owned(),
                value_mm: measured.value_mm,
                least: face.least.clone(),
                most: face.most.clone(),
            });
        }
        let mut form = Form::variable(column);
        self.share_zero(&mut form, measured.zero_of);
        self.share_stack(&mut form, measured.stack_of);
        Some((form, measured))
    }

    /// Adds the zero of an instrument to a form.
    fn share_zero(&mut self, form: &mut Form, instrument: Option<usize>) {
        let Some(index) = instrument else { return };
        let column = match self.zeros.get(&index) {
            Some(&column) => column,
            None => {
                let column = self.add(Column::zero(&self.document.instruments[index]));
                self.zeros.insert(index, column);
                column
            }
        };
        form.add(&Form::variable(column), 1.0);
    }

    /// Adds what is between stacked blades to a form: one error a blade, the same for all blades of a set.
    fn share_stack(&mut self, form: &mut Form, stack: Option<(usize, f64)>) {
        let Some((index, blades)) = stack else { return };
        let instrument = &self.document.instruments[index];
        let column = match self.stacks.get(&index) {
            Some(&column) => column,
            None => {
                // One way only: oil and air make a stack thicker, never thinner.
                let parts = Rectangular::new(0.0, stack_error_mm(instrument))
                    .map(|law| vec![Part::new(Role::Stack, Law::Rectangular(law))])
                    .unwrap_or_default();
                let column = self.add(Column {
                    kind: ColumnKind::Stack,
                    name: format!("{}, stacked blades", instrument.name.trim_end()),
                    value_mm: 0.0,
                    nominal_mm: 0.0,
                    parts,
                    measured: true,
                    reading: None,
                    links: Vec::new(),
                });
                self.stacks.insert(index, column);
                column
            }
        };
        form.add(&Form::variable(column), blades);
    }
}
