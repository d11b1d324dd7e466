//! Arguments put into the tree of a stack document.

use super::numbers::BLADES;
use super::value::DimensionValue;
use super::{Assignment, Fault, Group, Part, fault, grouped, no_part, parse_all};
use crate::document::diagnostic::{Code, Diagnostic, Diagnostics};
use crate::document::nearest::nearest;
use crate::document::source::{Sources, Span};
use crate::document::tree::{Entry, Key, Node, Value};
use crate::document::written::ALONE;
use crate::length::parse_number;

/// More known names than this are not listed in a message.
const MOST_LISTED: usize = 12;

/// Puts `NAME=VALUE` arguments into the tree of a stack document.
///
/// Readings make a dimension measured: a map keeps its drawing and gets `readings`, an exact length gives way to
/// them. One number for an exact length replaces it. A drawing or limits replace the dimension's drawing, the `source`
/// of its figures and the readings that the document holds, since what is on the line is the last word; readings on
/// the same line stand beside it. `found` keeps the instrument that the document names unless `@` names one.
///
/// # Errors
/// All that is wrong with the arguments. What could be put in is in the tree then, so that the document can still be
/// read for its own faults.
pub fn apply(tree: &mut Node, sources: &mut Sources, arguments: &[String]) -> Result<(), Diagnostics> {
    let (assignments, mut faults) = parse_all(sources, arguments);
    faults.extend(apply_parsed(tree, &assignments, &[]));
    if faults.has_errors() { Err(faults) } else { Ok(()) }
}

/// Puts arguments into a tree, and returns what is wrong with them. `others` are names that are known elsewhere, such
/// as a preset's inputs: they are offered where a name is unknown.
pub fn apply_parsed(tree: &mut Node, assignments: &[Assignment], others: &[&str]) -> Diagnostics {
    let mut faults = Diagnostics::new();
    for group in grouped(assignments) {
        if let Err(fault) = put(tree, &group, others) {
            faults.push(*fault);
        }
    }
    faults
}

fn put(tree: &mut Node, group: &Group<'_>, others: &[&str]) -> Result<(), Fault> {
    let first = group.first();
    if let Some(word) = &first.station {
        return Err(no_part(word));
    }
    let section = match first.part {
        None => "dimensions",
        Some(Part::Found | Part::Target) => "gaps",
        Some(Part::Fitted) => "packs",
        Some(Part::OnHand) => "kits",
    };
    let entry = tree.entry_mut(section).and_then(|entries| entries.entry_mut(&first.name.text));
    let Some(node) = entry else { return Err(unknown(tree, first, others)) };
    let put = match first.part {
        None => dimension(node, group),
        Some(Part::Found) => found(node, group),
        Some(Part::Target) => target(node, group),
        Some(Part::Fitted) => fitted(node, group),
        Some(Part::OnHand) => on_hand(node, group),
    };
    put.map_err(|fault| {
        let path = match first.part {
            None => format!("{section}.{}", first.name.text),
            Some(part) => format!("{section}.{}.{}", first.name.text, part.word()),
        };
        Box::new(fault.path(path))
    })
}

fn dimension(node: &mut Node, group: &Group<'_>) -> Result<(), Fault> {
    let mut readings = Vec::new();
    let mut drawing: Option<(&Assignment, Vec<Entry>)> = None;
    for &one in group.all() {
        match one.of_dimension()? {
            DimensionValue::Readings(list) => readings.extend(list),
            DimensionValue::Drawing(entries) => {
                if let Some((other, _)) = &drawing {
                    let message = format!("`{}` is given two drawings", one.label());
                    let fault = Diagnostic::error(Code::DoubleKey, message).at(one.at);
                    return Err(Box::new(fault.other(other.at, "first given here").help("keep one of them")));
                }
                drawing = Some((one, entries));
            }
        }
    }
    let instrument = group.instrument()?;
    let exact = matches!(node.value, Value::Scalar(_));
    if exact && drawing.is_none() && instrument.is_none() && readings.len() == 1 && readings[0].text().is_some() {
        *node = readings.remove(0);
        return Ok(());
    }
    let at = group.first().at;
    if node.entries().is_none() {
        *node = Node::map(Vec::new(), at);
    }
    if let Some((_, entries)) = drawing {
        const STALE: [&str; 9] =
            ["size", "tolerance", "class", "general", "sd", "freedom", "limits", "readings", "source"];
        STALE.iter().chain(&BLADES).for_each(|key| node.remove(key));
        // One that stands without limits was the drawing.
        if node.get("distribution").is_some_and(|named| ALONE.iter().any(|name| named.get(name).is_some())) {
            node.remove("distribution");
        }
        entries.into_iter().for_each(|entry| node.set(&entry.key.text, entry.value));
    }
    if !readings.is_empty() {
        BLADES.iter().for_each(|key| node.remove(key));
        node.set("readings", Node::list(readings, group.first().value.at));
    }
    if let Some(instrument) = instrument {
        node.set("instrument", instrument);
    }
    Ok(())
}

fn found(gap: &mut Node, group: &Group<'_>) -> Result<(), Fault> {
    let readings = group.readings()?;
    let instrument = group.instrument()?;
    let at = readings.at;
    match gap.entry_mut("found") {
        Some(there) if ["readings"].iter().chain(&BLADES).any(|key| there.get(key).is_some()) => {
            BLADES.iter().for_each(|key| there.remove(key));
            there.set("readings", readings);
            if let Some(instrument) = instrument {
                there.set("instrument", instrument);
            }
        }
        _ => {
            let mut entries = vec![Entry::new("readings", readings)];
            entries.extend(instrument.map(|instrument| Entry::new("instrument", instrument)));
            gap.set("found", Node::map(entries, at));
        }
    }
    Ok(())
}

fn target(gap: &mut Node, group: &Group<'_>) -> Result<(), Fault> {
    gap.set("target", group.only()?.length()?);
    Ok(())
}

fn fitted(pack: &mut Node, group: &Group<'_>) -> Result<(), Fault> {
    let one = group.only()?;
    if one.value.text == "all" {
        return Err(one.fault("`all` does not say which shims are in", "name them: 0.30+0.50; `none` if none is in"));
    }
    pack.set("fitted", one.shims()?);
    Ok(())
}

/// What is in the box, one figure a shim; what was measured before is the old box.
fn on_hand(kit: &mut Node, group: &Group<'_>) -> Result<(), Fault> {
    let one = group.only()?;
    if one.value.text == "all" {
        return Err(
            one.fault("`all` does not say what is in the box", "name each shim: 2.45+2.45+2.60; `none` for none")
        );
    }
    let shims = one.shims()?;
    let mut counts: Vec<(&str, Option<f64>, Span, usize)> = Vec::new();
    let Value::List(items) = &shims.value else {
        return Err(
            one.fault("what is in the box is a list of sizes", "name each shim: 2.45+2.45+2.60; `none` for none")
        );
    };
    for node in items {
        let Some(text) = node.text() else {
            return Err(one.fault("a box holds sizes, not readings", "write the sizes by their labels: 2.45+2.60"));
        };
        let size = parse_number(text).ok().map(|typed| typed.number);
        match counts.iter_mut().find(|(there, number, ..)| *there == text || (size.is_some() && *number == size)) {
            Some((.., count)) => *count += 1,
            None => counts.push((text, size, node.at, 1)),
        }
    }
    let entry = |(text, _, at, count): (&str, Option<f64>, Span, usize)| Entry {
        key: Key { text: text.to_owned(), at },
        value: Node::scalar(count.to_string(), at),
    };
    let counted = Node::map(counts.into_iter().map(entry).collect(), shims.at);
    kit.remove("actual");
    kit.set("on_hand", counted);
    Ok(())
}

fn unknown(tree: &Node, one: &Assignment, others: &[&str]) -> Fault {
    let names = |section: &str| -> Vec<&str> {
        let entries = tree.get(section).and_then(Node::entries).unwrap_or_default();
        entries.iter().map(|entry| entry.key.text.as_str()).collect()
    };
    let (gaps, packs, kits) = (names("gaps"), names("packs"), names("kits"));
    let name = one.name.text.as_str();
    let label = one.label();
    let at = one.name.at;
    if gaps.contains(&name) {
        let message = format!("`{name}` is a gap, and `{label}=` cannot set it");
        return fault(Code::UnknownName, at, message, format!("write `{name}.found=` or `{name}.target=`"));
    }
    if packs.contains(&name) {
        let message = format!("`{name}` is a pack, and `{label}=` cannot set it");
        return fault(Code::UnknownName, at, message, format!("write `{name}.fitted=` for the shims that are in now"));
    }
    if one.part.is_some() && (names("dimensions").contains(&name) || others.contains(&name)) {
        let message = format!("`{name}` has no `.{}` that can be set", one.part.map_or("", Part::word));
        return fault(Code::UnknownName, at, message, format!("write `{name}=` and its value"));
    }
    if kits.contains(&name) {
        let message = format!("`{name}` is a kit; a kit of a stack document is changed in the document");
        let help = format!("write its sizes under `kits`; what is in the box is set by `{name}.on_hand=`");
        return fault(Code::UnknownName, at, message, help);
    }
    let mut known: Vec<String> = others.iter().map(|&name| name.to_owned()).collect();
    known.extend(names("dimensions").into_iter().filter(|name| !others.contains(name)).map(str::to_owned));
    known.extend(gaps.iter().flat_map(|gap| [format!("{gap}.found"), format!("{gap}.target")]));
    known.extend(packs.iter().map(|pack| format!("{pack}.fitted")));
    known.extend(kits.iter().map(|kit| format!("{kit}.on_hand")));
    let help = match nearest(&label, known.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "there is nothing here that a value can be given to".to_owned(),
        None => {
            let more = if known.len() > MOST_LISTED { ", …" } else { "" };
            known.truncate(MOST_LISTED);
            format!("values can be given to {}{more}", known.join(", "))
        }
    };
    fault(Code::UnknownName, at, format!("nothing here is called `{label}`"), help)
}
