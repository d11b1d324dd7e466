//! Temperature: readings brought to 20 °C, and what a chain grows by. Expansion is columns and coefficients like any
//! other: the doubt of a coefficient is one column, shared by all that is of one material.

use super::Builder;
use crate::document::diagnostic::Code;
use crate::document::resolved::{Dimension, Gap, Linear, Readings, What};
use crate::law::{Law, Rectangular};
use crate::length::shortest;
use crate::measure::{Part, Role};
use crate::model::column::{Column, ColumnKind};
use crate::model::form::Form;
use crate::standards::material::{Expansion, REFERENCE_CELSIUS, SHARE_IN_DOUBT};

/// A growth below this is not worth a note: half of the finest place that the words show.
const WORTH_A_NOTE_MM: f64 = 0.0005;

/// After so many chains no more notes are made: hot gaps made of hot gaps would look through all of them again.
const MOST_VISITED: usize = 100_000;

/// The names that a note lists.
const MOST_NAMED: usize = 6;

impl Builder<'_> {
    /// Whether a gap is worked or was read at another temperature than 20 °C.
    fn has_warm_gap(&self) -> bool {
        let document = self.document;
        let other = |celsius: f64| celsius != REFERENCE_CELSIUS;
        let read_warm = other(document.temperature) && document.gaps.iter().any(|gap| gap.found.is_some());
        read_warm || document.gaps.iter().filter_map(|gap| gap.celsius).any(other)
    }

    /// The doubt of an expansion coefficient as a variable: what a metre grows by for a kelvin, in millimetres, about
    /// what is stated. Its coefficient in a gap is metres times kelvins, a number without a unit.
    fn expansion_column(&mut self, expansion: &Expansion) -> usize {
        if let Some(&column) = self.expansions.get(&expansion.key()) {
            return column;
        }
        let half = SHARE_IN_DOUBT * expansion.per_million * 1e-3;
        let parts = Rectangular::new(-half, half)
            .map(|law| vec![Part::new(Role::Expansion, Law::Rectangular(law))])
            .unwrap_or_default();
        let column = self.add(Column {
            kind: ColumnKind::Expansion,
            name: format!("expansion of {}", expansion.name()),
            value_mm: 0.0,
            nominal_mm: 0.0,
            parts,
            measured: false,
            reading: None,
            links: Vec::new(),
        });
        self.expansions.insert(expansion.key(), column);
        column
    }

    /// What a length grows by for each kelvin, to first order in the length and in the coefficient.
    ///
    /// Formula: g = α·L + (α_true − α)·L̄, L̄ the mean length. Unit: millimetres per kelvin.
    fn growth_of(&mut self, expansion: &Expansion, length: &Form) -> Form {
        let mut growth = length.scaled(expansion.per_kelvin());
        let metres = length.mean_mm(&self.columns) * 1e-3;
        growth.add(&Form::variable(self.expansion_column(expansion)), metres);
        growth
    }

    /// What each dimension grows by for a kelvin; nothing where all gaps are at 20 °C.
    pub(super) fn growths(&mut self, dimensions: &[Form]) -> Vec<Form> {
        if !self.has_warm_gap() {
            return vec![Form::default(); dimensions.len()];
        }
        let document = self.document;
        let growth = |(one, form): (&Dimension, &Form)| match &one.expansion {
            None => Form::default(),
            Some(expansion) => {
                let span = one.span_mm.map(Form::constant);
                self.growth_of(expansion, span.as_ref().unwrap_or(form))
            }
        };
        document.dimensions.iter().zip(dimensions).map(growth).collect()
    }

    /// Brings the reading of a part to 20 °C.
    ///
    /// Formula: L = R·(1 + α_tool·(T_tool − 20) − α_part·(T_part − 20)), to first order. The tool is at the document's
    /// temperature, the part at its own where it has one. A part that does not say what it is made of is taken as it
    /// reads; so is one of the tool's material and temperature.
    pub(super) fn bring_to_twenty(&mut self, form: &mut Form, dimension: &Dimension, readings: &Readings, path: &str) {
        let tool_kelvin = self.document.temperature - REFERENCE_CELSIUS;
        let part_celsius = dimension.temperature.unwrap_or(self.document.temperature);
        let part_kelvin = part_celsius - REFERENCE_CELSIUS;
        if part_kelvin == 0.0 && tool_kelvin == 0.0 {
            return;
        }
        let Some(part) = &dimension.expansion else {
            return self.say_no_material(form, dimension, part_celsius, path);
        };
        let tool = self.tool_of(readings);
        if part.key() == tool.key() && part_kelvin == tool_kelvin {
            return;
        }
        let read = form.clone();
        form.add(&self.growth_of(&tool, &read), tool_kelvin);
        form.add(&self.growth_of(part, &read), -part_kelvin);
        // A tenth of a micrometre: finer than any reading, and no longer than needed.
        let mm = |form: &Form| shortest((form.mean_mm(&self.columns) * 1e4).round() / 1e4);
        let tool_celsius = REFERENCE_CELSIUS + tool_kelvin;
        let tool_at =
            if part_kelvin == tool_kelvin { String::new() } else { format!(" at {} °C", shortest(tool_celsius)) };
        let message = format!(
            "`{}` is {} and was read at {part_celsius} °C with a tool of {}{tool_at}: {} mm as read, {} mm at 20 °C",
            dimension.name,
            part.name(),
            tool.name(),
            mm(&read),
            mm(form)
        );
        self.note(Code::AtTwenty, dimension.at, path.to_owned(), message);
    }

    /// What the tool of a reading grows by; one of which nothing is known is taken as steel.
    fn tool_of(&self, readings: &Readings) -> Expansion {
        let tool = readings.instrument.index().map(|index| self.document.instruments[index].expansion.clone());
        tool.unwrap_or_else(Expansion::steel)
    }

    /// What the tool's own growth adds to the reading of an assembled gap.
    pub(super) fn tool_growth(&mut self, reading: &Form, readings: &Readings) -> Form {
        let kelvin = self.document.temperature - REFERENCE_CELSIUS;
        let tool = self.tool_of(readings);
        self.growth_of(&tool, reading).scaled(kelvin)
    }

    /// A part that does not say what it is made of, where that may matter.
    fn say_no_material(&mut self, form: &Form, dimension: &Dimension, celsius: f64, path: &str) {
        let u = form.variance_mm2(&self.columns).map_or(0.0, f64::sqrt);
        // Aluminium read with a tool of steel, the commonest pair. A shift of a third of the standard uncertainty
        // makes the combined one greater by 5 %.
        let pair = Expansion::of("aluminium").map_or(0.0, |one| one.per_kelvin()) - Expansion::steel().per_kelvin();
        let kelvin = celsius - REFERENCE_CELSIUS;
        let shift = (form.mean_mm(&self.columns) * pair * kelvin).abs();
        if shift > WORTH_A_NOTE_MM.max(u / 3.0) {
            let message = format!(
                "`{}` was read at {celsius} °C and has no `material`: it is taken as it reads, as if it grew like the tool",
                dimension.name
            );
            self.note(Code::NoMaterial, dimension.at, path.to_owned(), message);
        }
    }

    /// What is in a chain at another temperature and is taken as not growing, where that may matter.
    pub(super) fn say_what_stays(&mut self, gap: &Gap, dimensions: &[Form]) {
        let Some(celsius) = gap.celsius.filter(|&celsius| celsius != REFERENCE_CELSIUS) else { return };
        let document = self.document;
        let steel = Expansion::steel().per_kelvin() * (celsius - REFERENCE_CELSIUS).abs();
        let mut names: Vec<&str> = Vec::new();
        let mut open: Vec<&Linear> = vec![&gap.chain];
        let mut seen = vec![false; document.gaps.len()];
        while let Some(chain) = open.pop() {
            self.visited += 1;
            if self.visited > MOST_VISITED {
                return;
            }
            for one in &chain.summands {
                match one.what {
                    What::Dimension(index) => {
                        let dimension = &document.dimensions[index];
                        let grown = (dimensions[index].mean_mm(&self.columns) * one.coefficient * steel).abs();
                        if dimension.expansion.is_none() && grown > WORTH_A_NOTE_MM {
                            names.push(&dimension.name);
                        }
                    }
                    What::Gap(index) if !std::mem::replace(&mut seen[index], true) => {
                        open.push(&document.gaps[index].chain);
                    }
                    What::Gap(_) | What::Pack(_) => {}
                }
            }
        }
        names.sort_unstable();
        names.dedup();
        if names.is_empty() {
            return;
        }
        let listed = names.iter().take(MOST_NAMED).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        let more = if names.len() > MOST_NAMED { " and others" } else { "" };
        let has = if names.len() == 1 { "has no `material` and is" } else { "have no `material` and are" };
        let message = format!("{listed}{more} {has} taken as not growing in `{}` at {celsius} °C", gap.name);
        self.note(Code::NoMaterial, gap.at, format!("gaps.{}", gap.name), message);
    }
}
