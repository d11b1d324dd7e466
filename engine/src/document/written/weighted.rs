//! Distributions of values and of cases, as written: `discrete`, `observed` and `mixture`.

use super::commas;
use super::dimension::{self, Drawing};
use super::distribution::{self, AloneKind, Between, example};
use super::reader::{Length, Reader};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::keys::Section;
use crate::document::source::Span;
use crate::document::table::Table;
use crate::document::tree::{Node, Value};

/// What was observed.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    /// The values.
    pub values: Vec<Length>,
    /// The file that they stand in; none: they stand in the document.
    pub file: Option<String>,
}

/// One of the cases of a mixture: a drawing and its weight.
#[derive(Debug, Clone, PartialEq)]
pub struct MixtureCase {
    /// How often it is this one, in proportion to the other weights.
    pub weight: f64,
    /// What the drawing says of it.
    pub drawing: Drawing,
    /// How production spreads between its limits.
    pub between: Between,
    /// Where it stands.
    pub at: Span,
}

/// Values and weights.
pub(super) fn discrete(reader: &mut Reader<'_>, node: &Node) -> Option<AloneKind> {
    let Some(entries) = node.entries() else {
        needs_figures(reader, node, "discrete");
        return None;
    };
    if let Some(halves) = commas::halves(entries).first() {
        let message = format!("`{}`: a comma stands here where a decimal point is due", halves.text);
        let help = format!("write {}", halves.text.replace(',', "."));
        reader.error_with_help(Code::DecimalComma, halves.at, message, help);
        return None;
    }
    let faults = reader.diagnostics.len();
    let mut weighted = Vec::with_capacity(entries.len());
    for entry in entries {
        let value = reader.length(&Node::scalar(entry.key.text.clone(), entry.key.at));
        let weight =
            reader.within(&entry.key.text, |reader| reader.positive_number(&entry.value, "the weight of a value"));
        weighted.extend(value.zip(weight));
    }
    if weighted.is_empty() && reader.diagnostics.len() == faults {
        nothing(reader, node, "discrete");
    }
    (!weighted.is_empty() && reader.diagnostics.len() == faults).then_some(AloneKind::Discrete(weighted))
}

/// A list of values, or the column of a file.
pub(super) fn observed(reader: &mut Reader<'_>, node: &Node) -> Option<AloneKind> {
    let (values, file) = match &node.value {
        Value::List(items) => {
            if let Some(meant) = commas::in_readings(items) {
                let message = "commas stand here where decimal points are due";
                reader.error_with_help(Code::DecimalComma, node.at, message, format!("write [{meant}]"));
                return None;
            }
            (items.clone(), None)
        }
        Value::Map(_) => {
            let (values, file) = of_file(reader, node)?;
            (values, Some(file))
        }
        _ => {
            needs_figures(reader, node, "observed");
            return None;
        }
    };
    if values.is_empty() {
        nothing(reader, node, "observed");
        return None;
    }
    // A long list that is wrong all through is complained of but a few times.
    const MOST_FAULTS: usize = 5;
    let mut lengths = Vec::with_capacity(values.len());
    let mut faults = 0;
    for value in &values {
        match reader.length(value) {
            Some(length) => lengths.push(length),
            None => faults += 1,
        }
        if faults == MOST_FAULTS {
            break;
        }
    }
    (faults == 0).then_some(AloneKind::Observed(Observed { values: lengths, file }))
}

/// The values of a column, and the name of its file.
fn of_file(reader: &mut Reader<'_>, node: &Node) -> Option<(Vec<Node>, String)> {
    let fields = reader.fields(node, Section::Observed)?;
    let column = fields.read(reader, "column", Reader::named).flatten();
    let Some(at) = fields.get("file") else {
        if !fields.unknown {
            let help = format!("write {}", example("observed"));
            reader.error_with_help(Code::MissingKey, node.at, "the observed values have no `file`", help);
        }
        return None;
    };
    let file = reader.within("file", |reader| reader.named(at))?;
    let sources = reader.sources;
    let id = match sources.attached(&file.text) {
        Some(Ok(id)) => *id,
        Some(Err(fault)) => {
            // A fault inside the file keeps its place there.
            let place = fault.at.unwrap_or(file.at);
            reader.within("file", |reader| reader.push(fault.clone().at(place)));
            return None;
        }
        None => {
            reader.error(Code::NoFile, file.at, format!("the file `{}` was not read", file.text));
            return None;
        }
    };
    let table = Table::read(sources, id);
    let found = match &column {
        Some(column) => table.column(&column.text),
        None => table.only_column(),
    };
    match found {
        Ok(values) => Some((values, file.text)),
        Err(fault) => {
            let named = column.as_ref().map_or(file.at, |column| column.at);
            let diagnostic = Diagnostic::error(Code::Table, fault.message).at(fault.at.unwrap_or(named));
            reader.push(diagnostic.help(fault.help));
            None
        }
    }
}

/// Drawings, each with its weight.
pub(super) fn mixture(reader: &mut Reader<'_>, node: &Node) -> Option<AloneKind> {
    let Value::List(items) = &node.value else {
        needs_figures(reader, node, "mixture");
        return None;
    };
    if items.is_empty() {
        nothing(reader, node, "mixture");
    }
    let cases: Vec<Option<MixtureCase>> = items.iter().map(|item| case(reader, item)).collect();
    let cases: Vec<MixtureCase> = cases.into_iter().collect::<Option<_>>()?;
    (!cases.is_empty()).then_some(AloneKind::Mixture(cases))
}

fn case(reader: &mut Reader<'_>, node: &Node) -> Option<MixtureCase> {
    let fields = reader.fields(node, Section::MixtureCase)?;
    let weight =
        fields.read(reader, "weight", |reader, node| reader.positive_number(node, "the weight of a case")).flatten();
    if fields.get("weight").is_none() && !fields.unknown {
        let help = format!("write {}", example("mixture"));
        reader.error_with_help(Code::MissingKey, node.at, "a case of a mixture has no `weight`", help);
    }
    let spreads = distribution::of_fields(reader, &fields);
    let drawing = if spreads.stands_alone {
        spreads.alone.map(Drawing::Alone)
    } else {
        dimension::drawing(reader, &fields, "`tolerance: 0`")
    };
    if drawing.is_none()
        && !spreads.stands_alone
        && !fields.unknown
        && ["size", "tolerance", "class", "general", "sd", "limits"].iter().all(|key| fields.get(key).is_none())
    {
        let help = "give `size` with `tolerance`, `class`, `general` or `sd`; or `limits`; or `distribution`";
        reader.error_with_help(Code::MissingKey, node.at, "a case of a mixture has no drawing", help);
    }
    Some(MixtureCase { weight: weight?, drawing: drawing?, between: spreads.between, at: node.at })
}

fn needs_figures(reader: &mut Reader<'_>, node: &Node, name: &str) {
    let help = format!("write {}", example(name));
    reader.error_with_help(Code::WrongForm, node.at, format!("`{name}` needs its figures"), help);
}

fn nothing(reader: &mut Reader<'_>, node: &Node, name: &str) {
    let help = format!("write {}", example(name));
    reader.error_with_help(Code::Distribution, node.at, format!("there is nothing in `{name}`"), help);
}
