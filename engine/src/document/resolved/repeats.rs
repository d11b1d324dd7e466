//! Readings that do not go with the others made beside them. They are pointed out, never dropped: whoever holds the
//! instrument can take them again.

use super::{Document, FittedAs, Place, Readings, slips};
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::written::Reader;
use crate::length::{on_grid, shortest};
use crate::number::grubbs;
use crate::number::summary::summarise;

/// From so many repeats at a place Grubbs' test decides; three are judged by the instrument.
const ENOUGH_FOR_A_TEST: usize = 4;
/// Of three, one is odd if it is so many times farther from its neighbour than the other two are from each other.
const TIMES_FARTHER: f64 = 5.0;
/// So many limits of error apart, two readings do not agree: each may be off by one either way, and that is doubled.
const APART: f64 = 4.0;

/// Below this a reading at a place may be the form of the face itself.
const SIZE_MM: f64 = 1.0;

/// A figure and its text.
type Figure<'a> = (f64, &'a str);

/// Looks through all readings of a document, each thing by itself.
pub(super) fn check(reader: &mut Reader<'_>, document: &Document) {
    for one in &document.dimensions {
        if let Some(readings) = &one.readings {
            look(reader, document, &one.name, &format!("dimensions.{}.readings", one.name), readings);
        }
    }
    for gap in &document.gaps {
        if let Some(found) = &gap.found {
            look(reader, document, &format!("{} as found", gap.name), &format!("gaps.{}.found", gap.name), found);
        }
    }
    for pack in &document.packs {
        for shim in pack.fitted.iter().flatten() {
            if let FittedAs::Read(readings) = &shim.trust {
                look(reader, document, &pack.name, &format!("packs.{}.fitted", pack.name), readings);
            }
        }
    }
}

fn look(reader: &mut Reader<'_>, document: &Document, name: &str, path: &str, readings: &Readings) {
    let limit = limit_mm(document, readings);
    let all = sorted(&readings.places);
    // Of a face whose readings are below a millimetre each may be right: they are a runout or a lash, not a size.
    let a_size = readings.places.len() == 1 || all.get(all.len() / 2).is_some_and(|middle| middle.0.abs() >= SIZE_MM);
    if let Some(fault) = times_off(name, &all, limit).filter(|_| a_size) {
        reader.push(fault.at(readings.at).path(path));
        return;
    }
    for place in &readings.places {
        let list = sorted(std::slice::from_ref(place));
        if let Some(fault) = times_off(name, &list, limit) {
            reader.push(fault.at(readings.at).path(path));
            return;
        }
        let counted = place.name.as_ref().filter(|_| readings.places.len() > 1);
        let whose = counted.map_or(format!("`{name}`"), |place| format!("`{name}` at {place}"));
        if let Some(note) = odd_one(&whose, &list, limit, readings.step_mm) {
            reader.push(note.at(readings.at).path(path));
        }
    }
    // Places are no repeats; but a place that is a digit off from all others was misread, not bent.
    if readings.places.len() > 2
        && readings.places.iter().all(|place| place.values_mm.len() == 1)
        && let Some(index) = digit_off(&all, limit)
    {
        reader.push(stands_off(&format!("`{name}`"), &all, index).at(readings.at).path(path));
    }
}

fn sorted(places: &[Place]) -> Vec<Figure<'_>> {
    let mut list: Vec<Figure<'_>> = Vec::new();
    for place in places {
        list.extend(place.values_mm.iter().copied().zip(place.typed.iter().map(String::as_str)));
    }
    list.sort_by(|a, b| a.0.total_cmp(&b.0));
    list
}

/// What a reading may be off by: the limit of error, half the step between two blades, or the step of the digits.
fn limit_mm(document: &Document, readings: &Readings) -> f64 {
    let instrument = readings.instrument.index().map(|index| &document.instruments[index]);
    let stated = instrument.and_then(|one| one.limit_of_error_mm.or(one.resolution_mm)).unwrap_or(0.0);
    readings.places.iter().map(|place| place.half_step_mm).fold(stated.max(readings.step_mm), f64::max)
}

/// The middle of a sorted list with one of its figures left out.
fn median_without(list: &[Figure<'_>], index: usize) -> f64 {
    let at = |place: usize| list[if place < index { place } else { place + 1 }].0;
    let n = list.len() - 1;
    f64::midpoint(at((n - 1) / 2), at(n / 2))
}

/// Readings that are 10 or 25.4 times off the others: no mean of them means anything.
fn times_off(name: &str, all: &[Figure<'_>], limit: f64) -> Option<Diagnostic> {
    if all.len() < 2 {
        return None;
    }
    let slip = |index: usize| {
        let others = median_without(all, index);
        let slip = slips::ratio(all[index].0, others)?;
        (on_grid((all[index].0 - others).abs()) > on_grid(APART * limit)).then_some((index, slip))
    };
    let found: Vec<(usize, &str)> = (0..all.len()).filter_map(slip).collect();
    let &(first, what) = found.first()?;
    let message = if found.len() == 1 {
        format!("`{name}` reads {} among readings of about {}: {what}", all[first].1, near(all, first))
    } else {
        format!("`{name}` reads {} and {}: {what}", all[0].1, all[all.len() - 1].1)
    };
    let help = "mend the figure; or write its unit behind it, such as `1.25 in`";
    Some(Diagnostic::error(Code::SlipOfUnit, message).help(help))
}

/// The text of a figure that stands for the others.
fn near<'a>(all: &[Figure<'a>], index: usize) -> &'a str {
    let middle = all.len() / 2;
    all[if middle == index { middle.saturating_sub(1) } else { middle }].1
}

/// The reading of one place that does not go with its repeats; or that the few there are do not agree.
fn odd_one(whose: &str, list: &[Figure<'_>], limit: f64, step: f64) -> Option<Diagnostic> {
    let odd = match list.len() {
        0 | 1 => return None,
        2 => None,
        3 => odd_of_three(list, limit, step),
        _ => by_test(list, limit),
    };
    if let Some(index) = odd.or_else(|| digit_off(list, limit)) {
        return Some(stands_off(whose, list, index));
    }
    let (least, most) = (list[0], list[list.len() - 1]);
    if list.len() >= ENOUGH_FOR_A_TEST || on_grid(most.0 - least.0) <= on_grid(APART * limit) {
        return None;
    }
    let digit = digits(least.1, most.1).map_or(String::new(), |what| format!("; the difference is {what}"));
    let message = format!(
        "{whose} reads {} and {}, {} mm apart, more than what it was read with explains{digit}",
        least.1,
        most.1,
        shortest(((most.0 - least.0) * 1e6).round() / 1e6)
    );
    let help = "clean the faces and take the readings again, until two in a row agree; they count as they stand";
    Some(Diagnostic::note(Code::OddReading, message).help(help))
}

/// Of three: one is odd if it is more than two limits of error away from its neighbour, and five times as far as the
/// other two are from each other. A rule of our own; no test of three readings says anything.
fn odd_of_three(list: &[Figure<'_>], limit: f64, step: f64) -> Option<usize> {
    let (lower, upper) = (list[1].0 - list[0].0, list[2].0 - list[1].0);
    let (far, close, index) = if lower > upper { (lower, upper, 0) } else { (upper, lower, 2) };
    let odd = on_grid(far) > on_grid(2.0 * limit) && on_grid(far) >= on_grid(TIMES_FARTHER * close.max(step));
    odd.then_some(index)
}

/// Of four or more: Grubbs' test at 1 %. A reading that is no farther from its neighbour than its instrument may be off
/// is let be: of readings that all agree but for one step of the last digit, the test would point at that one.
fn by_test(list: &[Figure<'_>], limit: f64) -> Option<usize> {
    let values: Vec<f64> = list.iter().map(|one| one.0).collect();
    let summary = summarise(&values)?;
    let sd = summary.sd.filter(|&sd| sd > 0.0)?;
    let last = list.len() - 1;
    let index = if summary.mean - values[0] > values[last] - summary.mean { 0 } else { last };
    let neighbour = if index == 0 { values[1] } else { values[last - 1] };
    let far = (values[index] - summary.mean).abs() / sd > grubbs::critical(list.len())?;
    (far && on_grid((values[index] - neighbour).abs()) > on_grid(limit)).then_some(index)
}

/// The least or the greatest reading, where the others agree with each other and one digit of it makes the difference.
fn digit_off(list: &[Figure<'_>], limit: f64) -> Option<usize> {
    let last = list.len() - 1;
    if last < 2 {
        return None;
    }
    let off = |index: usize| {
        let (least, most) = if index == 0 { (list[1], list[last]) } else { (list[0], list[last - 1]) };
        let away = if index == 0 { least.0 - list[0].0 } else { list[last].0 - most.0 };
        let agree = on_grid(most.0 - least.0) <= on_grid(2.0 * limit);
        agree && on_grid(away) > on_grid(APART * limit) && meant(list, index).is_some()
    };
    [0, last].into_iter().find(|&index| off(index))
}

/// The reading of the others that an odd one would be but for a slip of its digits, and which slip.
fn meant<'a>(list: &[Figure<'a>], index: usize) -> Option<(&'a str, &'static str)> {
    let odd = list[index].1;
    let others = list.iter().enumerate().filter(|&(other, _)| other != index);
    others.map(|(_, one)| one.1).find_map(|other| digits(odd, other).map(|what| (other, what)))
}

/// How two texts differ, if by one digit alone or by two neighbours that changed places.
fn digits(a: &str, b: &str) -> Option<&'static str> {
    if a.len() != b.len() {
        return None;
    }
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let differ: Vec<usize> = (0..a.len()).filter(|&at| a[at] != b[at]).take(3).collect();
    let digits = differ.iter().all(|&at| a[at].is_ascii_digit() && b[at].is_ascii_digit());
    match *differ.as_slice() {
        [_] if digits => Some("one digit"),
        [one, next] if digits && next == one + 1 && (a[one], a[next]) == (b[next], b[one]) => {
            Some("two digits that changed places")
        }
        _ => None,
    }
}

fn stands_off(whose: &str, list: &[Figure<'_>], index: usize) -> Diagnostic {
    let last = list.len() - 1;
    let (least, most) = if index == 0 { (list[1].1, list[last].1) } else { (list[0].1, list[last - 1].1) };
    let others = if least == most { least.to_owned() } else { format!("{least} to {most}") };
    let slip = |(meant, what): (&str, &str)| format!("; from {meant} it differs by {what}, misread perhaps");
    let digit = meant(list, index).map_or(String::new(), slip);
    let odd = list[index].1;
    let message = format!("{whose}: the reading {odd} stands off from the others ({others}){digit}");
    let help = format!("take {odd} again, and leave it out only if it was a slip; it counts as it stands");
    Diagnostic::note(Code::OddReading, message).help(help)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sorted<'a>(texts: &[&'a str]) -> Vec<Figure<'a>> {
        let mut list: Vec<Figure<'a>> = texts.iter().map(|text| (text.parse().unwrap(), *text)).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        list
    }

    /// What is said of repeats made with an instrument that is good to 0.03.
    fn said(texts: &[&str]) -> Option<String> {
        odd_one("`pocket`", &sorted(texts), 0.03, 0.01).map(|note| note.message)
    }

    #[test]
    fn sound_repeats_are_let_be() {
        for texts in [
            &["53.97"][..],
            &["53.97", "53.97", "53.97", "53.97", "53.97", "53.97"],
            // One step of the last digit: Grubbs alone would point at it.
            &["53.97", "53.97", "53.97", "53.97", "53.97", "53.97", "53.97", "53.98"],
            &["53.97", "54.05"],
            &["53.97", "53.99", "54.03"],
            &["53.94", "53.96", "53.98", "54.00", "54.02"],
        ] {
            assert_eq!(said(texts), None, "{texts:?}");
        }
    }

    #[test]
    fn the_odd_one_is_named() {
        for (texts, odd) in [
            (&["53.97", "54.08", "53.96"][..], "54.08"),
            (&["53.85", "53.97", "53.96"], "53.85"),
            (&["53.97", "53.96", "53.97", "53.96", "53.98", "54.07"], "54.07"),
            (&["53.80", "53.96", "53.97", "53.96", "53.97", "53.98"], "53.80"),
        ] {
            let said = said(texts).unwrap();
            assert!(said.contains(&format!("the reading {odd} stands off")), "{said}");
        }
    }

    #[test]
    fn a_digit_that_was_misread_is_named() {
        for (texts, meant) in [
            (&["53.97", "53.96", "54.97"][..], "53.97"),
            (&["53.97", "53.96", "53.79"], "53.97"),
            (&["53.91", "53.97", "53.94", "53.67"], "53.97"),
        ] {
            let said = said(texts).unwrap();
            assert!(said.contains(&format!("from {meant} it differs by")), "{said}");
        }
        assert!(said(&["53.97", "54.97"]).unwrap().contains("the difference is one digit"));
        assert!(said(&["53.97", "54.28"]).unwrap().contains("0.31 mm apart"));
    }

    #[test]
    fn ten_times_and_inches_are_a_slip() {
        for texts in [&["53.97", "5.397"][..], &["53.97", "53.96", "539.6"], &["25.4", "25.41", "1.000", "25.4"]] {
            let fault = times_off("pocket", &sorted(texts), 0.03).unwrap();
            assert_eq!(fault.code, Code::SlipOfUnit, "{}", fault.message);
        }
        // A play read with a dial: ten times, and still no more apart than the dial explains.
        assert!(times_off("play", &sorted(&["0.001", "0.010"]), 0.009).is_none());
        assert!(times_off("pocket", &sorted(&["53.97", "53.96"]), 0.03).is_none());
    }
}
