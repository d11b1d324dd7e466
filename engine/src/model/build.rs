//! From a resolved document to the model.

mod gaps;
mod heat;
mod packs;

use std::collections::HashMap;

use super::Model;
use super::column::{Column, ColumnKind};
use super::form::Form;
use crate::document::diagnostic::{Code, Diagnostic, Diagnostics};
use crate::document::resolved::{Dimension, Document, InstrumentRef, Readings};
use crate::document::source::Span;
use crate::law::{Law, LawError, Rectangular};
use crate::length::shortest;
use crate::measure::{Measured, Part, Role, Scatter, ScatterRule, measure};

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
        expansions: HashMap::new(),
        diagnostics: Diagnostics::new(),
        faces: Vec::new(),
        visited: 0,
    };
    let dimensions: Vec<Form> = document.dimensions.iter().map(|one| builder.dimension(one)).collect();
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

    fn dimension(&mut self, dimension: &Dimension) -> Form {
        let path = format!("dimensions.{}", dimension.name);
        if let Some(readings) = &dimension.readings {
            let nominal = dimension.drawing.as_ref().map(|drawing| drawing.nominal_mm);
            let Some((mut form, _)) = self.read(&dimension.name, readings, nominal, dimension.at, &path) else {
                return Form::default();
            };
            self.bring_to_twenty(&mut form, dimension, readings, &path);
            self.contradiction(dimension, &form, &path);
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
        Some((form, measured))
    }

    /// Adds the zero of an instrument to a form.
    fn share_zero(&mut self, form: &mut Form, instrument: Option<usize>) {
        let Some(index) = instrument else { return };
        let column = match self.zeros.get(&index) {
            Some(&column) => column,
            None => {
                let instrument = &self.document.instruments[index];
                let half = instrument.zero_error_mm.unwrap_or(0.0);
                let parts = Rectangular::new(-half, half)
                    .map(|law| vec![Part::new(Role::Zero, Law::Rectangular(law))])
                    .unwrap_or_default();
                let column = self.add(Column {
                    kind: ColumnKind::Instrument,
                    name: instrument.name.clone(),
                    value_mm: 0.0,
                    nominal_mm: 0.0,
                    parts,
                    measured: true,
                });
                self.zeros.insert(index, column);
                column
            }
        };
        form.add(&Form::variable(column), 1.0);
    }

    fn say_what_was_assumed(&mut self, name: &str, readings: &Readings, measured: &Measured, at: Span, path: &str) {
        let name = &name.replace(".found", " as found");
        if let InstrumentRef::Assumed(index) = readings.instrument {
            let instrument = &self.document.instruments[index];
            let stated = instrument.limit_of_error_mm.unwrap_or(0.0);
            let limit = stated.max(readings.step_mm / 2.0);
            let with = match instrument.name.strip_suffix(' ') {
                Some(none) => none.to_owned(),
                None => format!("no instrument named, the shipped {} assumed", instrument.name),
            };
            let why = if limit > stated {
                "half a step of the digits as typed"
            } else {
                "an ordinary tool in an ordinary hand"
            };
            let message = format!("`{name}`: {with}: taken as good to ± {} mm, {why}", shortest(limit));
            self.note(Code::Assumed, at, path.to_owned(), message);
        }
        match measured.scatter {
            ScatterRule::Unknown => {
                let message = format!(
                    "`{name}` was read once at each place: nothing is known of its scatter, and none is reckoned"
                );
                self.note(Code::NoScatter, at, path.to_owned(), message);
            }
            ScatterRule::Few { freedom } => {
                let repeats = if freedom == 1 { "one repeat" } else { "two repeats" };
                let message = format!("the scatter of `{name}` rests on {repeats}, so it is reckoned wide");
                self.note(Code::FewRepeats, at, path.to_owned(), message);
            }
            ScatterRule::Pooled { .. } | ScatterRule::Repeatability => {}
        }
        if let Some(face) = measured.face.as_ref().filter(|face| face.not_flat) {
            let allowed = readings.allow_spread_mm.unwrap_or(0.0);
            let message = format!(
                "`{name}` is not flat: it reads least at {} ({} mm) and most at {} ({} mm), more than {} mm apart",
                face.least.0,
                shortest(face.least.1),
                face.most.0,
                shortest(face.most.1),
                shortest(allowed)
            );
            self.note(Code::NotFlat, at, path.to_owned(), message);
        }
    }

    /// A reading that is outside the drawing's limits by more than its own doubt.
    fn contradiction(&mut self, dimension: &Dimension, form: &Form, path: &str) {
        let Some((low, high)) = dimension.drawing.as_ref().and_then(|drawing| drawing.limits_mm) else { return };
        let u = form.variance_mm2(&self.columns).map_or(0.0, f64::sqrt);
        // Two standard uncertainties: the customary expanded uncertainty (JCGM 100:2008, 6.2).
        let value_mm = form.mean_mm(&self.columns);
        let off = (low - value_mm).max(value_mm - high) - 2.0 * u;
        if off > 0.0 {
            let typed = dimension.drawing.as_ref().map_or("", |drawing| drawing.typed.as_str());
            let message = format!(
                "`{}` reads {} mm, outside its drawing ({typed}) by more than the doubt of the reading; the reading counts",
                dimension.name,
                shortest((value_mm * 1e6).round() / 1e6)
            );
            self.note(Code::Contradicts, dimension.at, path.to_owned(), message);
        }
    }
}
