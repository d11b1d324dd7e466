//! The packs: what each shim is taken to be, and what is known of it.

use super::Builder;
use crate::document::diagnostic::Code;
use crate::document::resolved::{Fitted, FittedAs, InstrumentRef, Kit, KitKind, Pack as Written};
use crate::law::{Law, Rectangular};
use crate::length::on_grid;
use crate::measure::{Part, Role, shim};
use crate::model::column::{Column, ColumnKind};
use crate::model::form::Form;
use crate::model::pack::{Item, Origin, Pack, PackForm};

pub(super) fn build(builder: &mut Builder<'_>) -> Vec<Pack> {
    let document = builder.document;
    // What is known of a shim is known of it in whichever pack it is.
    let mut boxes: Vec<Vec<Known>> =
        document.kits.iter().map(|kit| kit.sizes.iter().map(|_| Known::default()).collect()).collect();
    document.packs.iter().map(|pack| one(builder, pack, &mut boxes[pack.kit])).collect()
}

/// What is known of the shims of one size of a kit.
#[derive(Default)]
struct Known {
    /// The one error that all of them share.
    column: Option<usize>,
    /// Those that were measured one by one.
    measured: Option<Vec<Item>>,
}

fn one(builder: &mut Builder<'_>, pack: &Written, known: &mut [Known]) -> Pack {
    let kit = &builder.document.kits[pack.kit];
    let path = format!("packs.{}", pack.name);
    let label_items: Vec<Item> =
        known.iter_mut().enumerate().map(|(index, known)| by_label(builder, kit, index, known)).collect();
    let mut items: Vec<Item> = Vec::new();
    for (index, size) in kit.sizes.iter().enumerate() {
        if size.actual_mm.is_empty() {
            items.push(label_items[index].clone());
        } else {
            let measured = known[index].measured.get_or_insert_with(|| measured_ones(builder, kit, index, &path));
            items.extend(measured.iter().cloned());
        }
    }
    let mut fitted_form = pack.fitted.as_ref().map(|_| PackForm::default());
    for fitted in pack.fitted.iter().flatten() {
        let form = add_fitted(builder, pack, fitted, &label_items, &mut items, &path);
        if let Some(whole) = &mut fitted_form {
            whole.thickness_mm += fitted.thickness_mm;
            whole.form.add(&form, 1.0);
        }
    }
    items.sort_by(|a, b| a.thickness_mm.total_cmp(&b.thickness_mm));
    let unmeasured = kit.sizes.iter().any(|size| size.actual_mm.is_empty());
    let taken_as_exact = kit.tolerance_mm.is_none() && unmeasured;
    if taken_as_exact {
        let message = if kit.kind == KitKind::Made {
            format!("`{}` is taken as made exactly to size: it has no tolerance", pack.name)
        } else {
            format!("the shims of `{}` are taken as exactly what their labels say: the kit has no tolerance", kit.name)
        };
        builder.note(Code::Assumed, pack.at, format!("kits.{}", kit.name), message);
    }
    let lap = pack.lap.map(|(mm, instrument)| {
        (mm, measured_shim(builder, &format!("{} lapped", pack.name), 0.0, instrument, 0.0, &path))
    });
    Pack {
        lap,
        name: pack.name.clone(),
        kit: kit.name.clone(),
        count: pack.count,
        items,
        bought: label_items
            .into_iter()
            .map(|item| {
                let origin = if item.origin == Origin::Kit { Origin::Bought } else { item.origin };
                Item { in_box: None, origin, ..item }
            })
            .collect(),
        includes_mm: pack.includes.iter().map(|&index| kit.sizes[index].label_mm).collect(),
        never_mm: pack.never.iter().map(|list| list.iter().map(|&index| kit.sizes[index].label_mm).collect()).collect(),
        pitch_mm: match kit.kind {
            KitKind::Screw(pitch_mm) => Some(pitch_mm),
            KitKind::Shims | KitKind::Made => None,
        },
        same_as: pack.same_as,
        not_thinner_than: pack.not_thinner_than,
        thickest_mm: pack.thickest_mm,
        fitted: fitted_form,
        fitted_labels: pack.fitted.iter().flatten().map(|one| one.typed.clone()).collect(),
        counted: kit.counted,
        taken_as_exact,
    }
}

/// A size of the kit by its label; its tolerance is one error that all its shims share.
fn by_label(builder: &mut Builder<'_>, kit: &Kit, index: usize, known: &mut Known) -> Item {
    let size = &kit.sizes[index];
    let mut form = Form::constant(size.label_mm);
    // A screw that is not touched is not shifted by its locknut.
    let untouched = matches!(kit.kind, KitKind::Screw(_)) && size.label_mm == 0.0;
    let tolerance = kit.tolerance_mm.filter(|&tolerance| tolerance > 0.0 && !untouched);
    if let Some(law) = tolerance.and_then(|tolerance| Rectangular::new(-tolerance, tolerance).ok()) {
        let column = *known.column.get_or_insert_with(|| {
            builder.add(Column {
                kind: ColumnKind::Shim,
                name: format!("{} {}", kit.name, size.typed),
                value_mm: 0.0,
                nominal_mm: 0.0,
                parts: vec![Part::new(Role::Shim, Law::Rectangular(law))],
                measured: false,
                reading: None,
                links: Vec::new(),
            })
        });
        form.add(&Form::variable(column), 1.0);
    }
    Item {
        label: size.typed.clone(),
        label_mm: size.label_mm,
        thickness_mm: size.label_mm,
        form,
        in_box: size.on_hand,
        fitted: 0,
        staying: 0,
        origin: match kit.kind {
            KitKind::Shims => Origin::Kit,
            KitKind::Made => Origin::Made,
            KitKind::Screw(_) => Origin::Turned,
        },
        unique: false,
    }
}

/// The shims of a size that were measured one by one.
fn measured_ones(builder: &mut Builder<'_>, kit: &Kit, index: usize, path: &str) -> Vec<Item> {
    let size = &kit.sizes[index];
    let item = |thickness_mm: f64, form: Form| Item {
        label: size.typed.clone(),
        label_mm: size.label_mm,
        thickness_mm,
        form,
        in_box: Some(1),
        fitted: 0,
        staying: 0,
        origin: Origin::Kit,
        unique: true,
    };
    size.actual_mm
        .iter()
        .map(|&thickness_mm| {
            // The digits of an actual thickness are the instrument's; no step is added to its limit.
            let form = measured_shim(
                builder,
                &format!("{} {}", kit.name, size.typed),
                thickness_mm,
                kit.instrument,
                0.0,
                path,
            );
            item(thickness_mm, form)
        })
        .collect()
}

fn measured_shim(
    builder: &mut Builder<'_>,
    name: &str,
    thickness_mm: f64,
    instrument: InstrumentRef,
    step_mm: f64,
    path: &str,
) -> Form {
    let (parts, zero_of) = match shim(instrument, step_mm, &builder.document.instruments) {
        Ok(found) => found,
        Err(fault) => {
            let fault = crate::document::diagnostic::Diagnostic::error(Code::NotFinite, fault.to_string()).path(path);
            builder.diagnostics.push(fault);
            return Form::constant(thickness_mm);
        }
    };
    let column = builder.add(Column {
        kind: ColumnKind::Shim,
        name: name.to_owned(),
        value_mm: 0.0,
        nominal_mm: 0.0,
        parts,
        measured: true,
        reading: None,
        links: Vec::new(),
    });
    let mut form = Form::constant(thickness_mm);
    form.add(&Form::variable(column), 1.0);
    builder.share_zero(&mut form, zero_of);
    form
}

/// Adds a fitted shim to the items, and returns its thickness with its doubt.
fn add_fitted(
    builder: &mut Builder<'_>,
    pack: &Written,
    fitted: &Fitted,
    label_items: &[Item],
    items: &mut Vec<Item>,
    path: &str,
) -> Form {
    let staying = usize::from(fitted.stays);
    if let FittedAs::Size(index) = fitted.trust {
        let label = &label_items[index];
        // A shim of the same label and the same trust is as good as the fitted one.
        let alike =
            items.iter_mut().find(|item| on_grid(item.label_mm) == on_grid(label.label_mm) && item.form == label.form);
        match alike {
            Some(item) => {
                item.fitted += 1;
                item.staying += staying;
            }
            None => items.push(Item { in_box: Some(0), fitted: 1, staying, origin: Origin::Fitted, ..label.clone() }),
        }
        return label.form.clone();
    }
    let name = format!("{} {}", pack.name, fitted.typed);
    let form = match &fitted.trust {
        FittedAs::Measured(instrument, step_mm) => {
            measured_shim(builder, &name, fitted.thickness_mm, *instrument, *step_mm, path)
        }
        FittedAs::Read(readings) => match builder.read(&name, readings, None, fitted.at, path) {
            Some((form, _)) => {
                if let Some(&(column, _)) = form.terms().first() {
                    builder.columns[column].kind = ColumnKind::Shim;
                }
                form
            }
            None => Form::constant(fitted.thickness_mm),
        },
        FittedAs::Size(_) => Form::constant(fitted.thickness_mm),
    };
    items.push(Item {
        label: fitted.typed.clone(),
        label_mm: fitted.thickness_mm,
        thickness_mm: fitted.thickness_mm,
        form: form.clone(),
        in_box: Some(0),
        fitted: 1,
        staying,
        origin: Origin::Fitted,
        unique: true,
    });
    form
}
