//! Packs, their shims bound to the kit's sizes.

use super::instrument::{self, Default as Assumed, InstrumentRef};
use super::kit::{self, Kit, KitKind, Size};
use super::readings::{self, Readings};
use super::{Bound, Context, Count};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::written::{self, Length, Reader, Stay};
use crate::length::{Unit, on_grid};

/// A pack, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Its name.
    pub name: String,
    /// The kit, as an index into the document's kits.
    pub kit: usize,
    /// The fewest and the most shims.
    pub count: Count,
    /// The shims that are in now; none given is not the same as none in.
    pub fitted: Option<Vec<Fitted>>,
    /// Sizes that must be in it, as indices into the kit's sizes.
    pub includes: Vec<usize>,
    /// How much may be taken off one shim, and what it is measured with then.
    pub lap: Option<(f64, InstrumentRef)>,
    /// Sizes of which no two may meet, as indices into the kit's sizes, list by list.
    pub never: Vec<Vec<usize>>,
    /// The pack that it is to be as thick as, as an index into the document's packs.
    pub same_as: Option<usize>,
    /// The pack that it may not be thinner than, as an index into the document's packs.
    pub not_thinner_than: Option<usize>,
    /// The greatest thickness of the whole pack.
    pub thickest_mm: Option<f64>,
    /// Where the rules come from.
    pub source: Option<String>,
    /// Where its name stands.
    pub at: Span,
}

/// One shim that is in.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Its thickness by the label or as measured, in millimetres.
    pub thickness_mm: f64,
    /// Its thickness as typed.
    pub typed: String,
    /// What is known of it.
    pub trust: FittedAs,
    /// Whether it is not to come out.
    pub stays: bool,
    /// Where it stands.
    pub at: Span,
}

/// What is known of a shim that is in.
#[derive(Debug, Clone, PartialEq)]
pub enum FittedAs {
    /// It has a kit size, and the kit's trust with it: the index of the size.
    Size(usize),
    /// It was measured once, with this instrument.
    Measured(InstrumentRef, f64),
    /// It was read, perhaps more than once.
    Read(Readings),
}

pub(super) fn resolve(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    written: &written::Pack,
    written_kits: &[written::Kit],
    kits: &mut Vec<Kit>,
) -> Option<Pack> {
    let index = kit_of(reader, context, written, written_kits, kits)?;
    let kit = &kits[index];
    let instrument = instrument::find(reader, context.instruments, written.instrument.as_ref(), Assumed::Shim)?;
    let mut size = |length: &Length| {
        let found = size_of(kit, length.mm(kit.unit));
        if found.is_none() {
            reader.error(
                Code::UnknownName,
                length.at,
                format!("the kit `{}` has no size {}", kit.name, length.typed.label(kit.unit, context.unit)),
            );
        }
        found
    };
    let includes = written.includes.iter().filter_map(&mut size).collect::<Vec<_>>();
    let never = written.never.iter().map(|list| list.iter().filter_map(&mut size).collect()).collect();
    let same_as = other_pack(reader, context, &written.name, written.same_as.as_ref());
    let not_thinner_than = other_pack(reader, context, &written.name, written.not_thinner_than.as_ref());
    if includes.len() > written.count.most {
        reader.error(
            Code::Count,
            written.name.at,
            format!("{} shims must be in, and at most {} may", includes.len(), written.count.most),
        );
    }
    let mut fitted = written.fitted.as_ref().map(|list| {
        let one = |one: &written::Fitted| fitted_one(reader, context, kit, instrument, one);
        list.iter().filter_map(one).collect::<Vec<_>>()
    });
    if let (KitKind::Screw(_), Some(index)) = (kit.kind, size_of(kit, 0.0)) {
        // A screw is where it is, and may be left there.
        let typed = kit.sizes[index].typed.clone();
        let trust = FittedAs::Size(index);
        fitted = Some(vec![Fitted { thickness_mm: 0.0, typed, trust, stays: false, at: written.name.at }]);
    }
    stay(reader, &written.stay, &mut fitted, kit.unit);
    let staying = fitted.iter().flatten().filter(|one| one.stays).count();
    if staying > written.count.most {
        reader.error(
            Code::Count,
            written.name.at,
            format!("{staying} shims stay, and at most {} may be in", written.count.most),
        );
    }
    Some(Pack {
        name: written.name.text.clone(),
        kit: index,
        count: written.count,
        fitted,
        includes,
        lap: written.lap.as_ref().map(|one| (one.mm(kit.unit), instrument)).filter(|&(mm, _)| mm > 0.0),
        never,
        same_as,
        not_thinner_than,
        thickest_mm: written.thickest.as_ref().map(|one| one.mm(kit.unit)),
        source: written.source.clone(),
        at: written.name.at,
    })
}

/// The kit that a pack is taken from, or one of its own where it is made to size.
fn kit_of(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    written: &written::Pack,
    written_kits: &[written::Kit],
    kits: &mut Vec<Kit>,
) -> Option<usize> {
    if let Some(made) = &written.made {
        kits.push(kit::of_made(reader, context, &written.name, made)?);
        return Some(kits.len() - 1);
    }
    if let Some(screw) = &written.screw {
        kits.push(kit::of_screw(reader, context, &written.name, screw)?);
        return Some(kits.len() - 1);
    }
    let named = written.kit.as_ref()?;
    let Some(index) = kits.iter().position(|kit| kit.name == named.text) else {
        // A kit that is there but has a fault of its own has been complained of.
        if !written_kits.iter().any(|kit| kit.name.text == named.text) && !reader.was_dropped("kits", &named.text) {
            let known = written_kits.iter().map(|kit| kit.name.text.as_str());
            let message = format!("no kit is called `{}`", named.text);
            reader.unknown_name(named, message, known, "write it under `kits`, with its sizes");
        }
        return None;
    };
    Some(index)
}

/// Another pack by its name.
fn other_pack(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    own: &written::Named,
    named: Option<&written::Named>,
) -> Option<usize> {
    let named = named?;
    match context.names.get(&named.text) {
        Some(Bound::Pack(_)) if named.text == own.text => {
            reader.error(Code::UnknownName, named.at, format!("`{}` is this pack itself", named.text));
            None
        }
        Some(Bound::Pack(index)) => Some(index),
        _ => {
            let known = context.names.packs();
            let message = format!("no pack is called `{}`", named.text);
            reader.unknown_name(named, message, known, "name one of the other `packs`");
            None
        }
    }
}

fn size_of(kit: &Kit, mm: f64) -> Option<usize> {
    kit.sizes.iter().position(|size: &Size| on_grid(size.label_mm) == on_grid(mm))
}

fn fitted_one(
    reader: &mut Reader<'_>,
    context: &Context<'_>,
    kit: &Kit,
    instrument: InstrumentRef,
    written: &written::Fitted,
) -> Option<Fitted> {
    match written {
        written::Fitted::Thickness(length) => {
            let unit = instrument.index().and_then(|index| context.instruments[index].unit).unwrap_or(kit.unit);
            let by_label = length.mm(kit.unit);
            let (thickness_mm, trust) = match size_of(kit, by_label) {
                Some(index) => (by_label, FittedAs::Size(index)),
                None => (length.mm(unit), FittedAs::Measured(instrument, length.typed.step_mm(unit))),
            };
            let typed = length.typed.label(kit.unit, context.unit);
            Some(Fitted { thickness_mm, typed, trust, stays: false, at: length.at })
        }
        written::Fitted::Read(readings, at) => {
            let read = readings::resolve(reader, context, readings, Assumed::Shim)?;
            if readings.sets.all().any(written::Reading::is_felt) {
                let help = "put the micrometer on it and give its thickness";
                reader.error_with_help(Code::WrongForm, *at, "a shim is measured, not felt with blades", help);
                return None;
            }
            let values: Vec<f64> = read.places.iter().flat_map(|place| place.values_mm.iter().copied()).collect();
            if values.iter().any(|&value| on_grid(value) <= 0) {
                reader.error(Code::KitSize, *at, "a shim is thicker than zero");
                return None;
            }
            let thickness_mm = read.value_mm();
            let typed = read.places.iter().flat_map(|place| place.typed.iter().cloned()).collect::<Vec<_>>().join("/");
            Some(Fitted { thickness_mm, typed, trust: FittedAs::Read(read), stays: false, at: *at })
        }
    }
}

fn stay(reader: &mut Reader<'_>, stay: &Stay, fitted: &mut Option<Vec<Fitted>>, unit: Unit) {
    match stay {
        Stay::None => {}
        Stay::All(at) => match fitted {
            Some(list) => list.iter_mut().for_each(|one| one.stays = true),
            None => {
                let message = "`stay: all` does not say which shims are in";
                reader.error_with_help(Code::NotFitted, *at, message, "name them under `fitted`");
            }
        },
        Stay::These(lengths) => {
            for length in lengths {
                let mm = on_grid(length.mm(unit));
                let one = fitted.iter_mut().flatten().find(|one| !one.stays && on_grid(one.thickness_mm) == mm);
                match one {
                    Some(one) => one.stays = true,
                    None => not_fitted(reader, length, fitted.as_deref().unwrap_or_default()),
                }
            }
        }
    }
}

fn text(length: &Length) -> String {
    length.typed.text()
}

fn not_fitted(reader: &mut Reader<'_>, length: &Length, fitted: &[Fitted]) {
    let is_in: Vec<&str> = fitted.iter().map(|one| one.typed.as_str()).collect();
    let help = if reader.is_on_line(length.at) && !is_in.is_empty() {
        format!("what is in now is {}; name those of them that stay", is_in.join("+"))
    } else {
        "name the shims that are in now under `fitted`, those that stay among them".to_owned()
    };
    let message = format!("{} is to stay, and is not among the fitted shims", text(length));
    reader.error_with_help(Code::NotFitted, length.at, message, help);
}
