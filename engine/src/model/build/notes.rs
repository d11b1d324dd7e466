//! Notes on readings: what was assumed, what a reader should know of them, and readings that the drawing contradicts.

use super::Builder;
use crate::document::diagnostic::{Code, Diagnostic};
use crate::document::resolved::{Dimension, Gap, InstrumentRef, Readings};
use crate::document::source::Span;
use crate::length::{on_grid, shortest};
use crate::measure::{Measured, ScatterRule, stack_error_mm};
use crate::model;
use crate::model::form::Form;

/// Readings that are outside their drawing by more than their own doubt.
pub(super) struct Contradiction {
    /// The dimension, as an index into the document's.
    dimension: usize,
    value_mm: f64,
    /// Twice the standard uncertainty of the value.
    doubt_mm: f64,
}

/// A figure for a sentence, without the noise of binary sums.
fn rounded(mm: f64) -> f64 {
    (mm * 1e6).round() / 1e6
}

impl Builder<'_> {
    fn note_with_help(&mut self, code: Code, at: Span, path: String, message: String, help: &str) {
        self.diagnostics.push(Diagnostic::note(code, message).at(at).path(path).help(help));
    }

    pub(super) fn say_what_was_assumed(
        &mut self,
        name: &str,
        readings: &Readings,
        measured: &Measured,
        at: Span,
        path: &str,
    ) {
        let name = &name.replace(".found", " as found");
        if let InstrumentRef::Assumed(index) = readings.instrument {
            let instrument = &self.document.instruments[index];
            let stated = instrument.limit_of_error_mm.unwrap_or(0.0);
            let limit = if readings.felt { stated } else { stated.max(readings.step_mm / 2.0) };
            let with = match instrument.name.strip_suffix(' ') {
                Some(none) => none.to_owned(),
                None if instrument.shipped => format!("no instrument named, the shipped {} assumed", instrument.name),
                None => format!("no instrument named, `{}` assumed", instrument.name),
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
            // What the hand can feel is inside the step between two blades.
            ScatterRule::Unknown if readings.felt => {}
            ScatterRule::Unknown => {
                let once = if readings.places.len() > 1 { "once at each place" } else { "once" };
                let (code, message) = if measured.parts.is_empty() {
                    (
                        Code::Assumed,
                        format!("`{name}` was read {once}, with nothing said of the tool: it is reckoned as exact"),
                    )
                } else {
                    let message =
                        format!("`{name}` was read {once}: nothing is known of its scatter, and none is reckoned");
                    (Code::NoScatter, message)
                };
                self.note(code, at, path.to_owned(), message);
            }
            ScatterRule::Few { freedom } => {
                let repeats = if freedom == 1 { "one repeat" } else { "two repeats" };
                let message = format!("the scatter of `{name}` rests on {repeats}, so it is reckoned wide");
                self.note(Code::FewRepeats, at, path.to_owned(), message);
            }
            ScatterRule::Pooled { .. } | ScatterRule::Repeatability => {}
        }
        if let Some((index, blades)) = measured.stack_of {
            let most = blades * stack_error_mm(&self.document.instruments[index]);
            let message = format!(
                "`{name}` was felt with stacked blades; oil and air make a stack thicker than its marks, so 0 to {} mm is \
                 reckoned on top of them, and the middle of that is in the value",
                shortest(rounded(most))
            );
            let help = "one blade of that thickness, or a dial, tells more";
            self.note_with_help(Code::Stacked, at, path.to_owned(), message, help);
        }
        if let Some(face) = measured.face.as_ref().filter(|face| face.not_flat) {
            let ((low, least), (high, most)) = (&face.least, &face.most);
            let message = format!(
                "`{name}` is not flat: it reads least at {low} ({} mm) and most at {high} ({} mm), {} mm apart where {} is \
                 allowed. Of a thickness or a height, {high} is the high spot and {low} the low one; of a depth, the other \
                 way round",
                shortest(rounded(*least)),
                shortest(rounded(*most)),
                shortest(rounded(most - least)),
                shortest(rounded(readings.allow_spread_mm.unwrap_or(0.0)))
            );
            let help = "look for a burr or dirt at both and read again; no mean of the two is a flat face, so the answer \
                        is worked at both";
            self.note_with_help(Code::NotFlat, at, path.to_owned(), message, help);
        }
    }

    /// Says of a target that it is outside the band: a slip of a digit, or a band that has moved on.
    pub(super) fn say_what_aims_outside(&mut self, written: &Gap, gap: &model::Gap) {
        let Some(target) = written.target.as_ref().filter(|_| written.target_written) else { return };
        let place = |form: &Option<Form>| form.as_ref().map(|form| on_grid(form.mean_mm(&self.columns)));
        let (Some(aim), low, high) = (place(&gap.target), place(&gap.low), place(&gap.high)) else { return };
        let side = match (low.is_some_and(|low| aim < low), high.is_some_and(|high| aim > high)) {
            (true, _) => "below",
            (_, true) => "above",
            _ => return,
        };
        let message = format!("the target of `{}`, {}, is {side} its band", gap.name, target.text);
        let help = "a pack that brings it to target is out of band; mend the target or the band";
        self.note_with_help(Code::TargetOutside, target.at, format!("gaps.{}.target", gap.name), message, help);
    }

    /// Remembers a reading that is outside the drawing's limits by more than its own doubt.
    pub(super) fn contradiction(&mut self, index: usize, dimension: &Dimension, form: &Form) {
        // Two standard uncertainties: the customary expanded uncertainty (JCGM 100:2008, 6.2).
        let doubt_mm = 2.0 * form.variance_mm2(&self.columns).map_or(0.0, f64::sqrt);
        let value_mm = form.mean_mm(&self.columns);
        if outside(dimension, value_mm, doubt_mm) == Some(true) {
            self.contradictions.push(Contradiction { dimension: index, value_mm, doubt_mm });
        }
    }

    /// Says which readings contradict their drawing. Two that fit each other's drawing have changed places, perhaps.
    pub(super) fn say_what_contradicts(&mut self) {
        let mut left = std::mem::take(&mut self.contradictions);
        while !left.is_empty() {
            let one = left.remove(0);
            let fits = |reading: &Contradiction, drawing: &Contradiction| {
                let dimension = &self.document.dimensions[drawing.dimension];
                outside(dimension, reading.value_mm, reading.doubt_mm) == Some(false)
            };
            // Looked for among a few only: where many contradict, the drawing is another one.
            let partner = left.iter().take(MOST_PARTNERS).position(|other| fits(&one, other) && fits(other, &one));
            match partner.map(|at| left.remove(at)) {
                Some(other) => self.swapped(&one, &other),
                None => self.contradicts(&one),
            }
        }
    }

    fn swapped(&mut self, one: &Contradiction, other: &Contradiction) {
        let (first, second) = (&self.document.dimensions[one.dimension], &self.document.dimensions[other.dimension]);
        let message = format!(
            "`{}` reads {} mm and `{}` reads {} mm: each is outside its own drawing and fits the other's; the readings are \
             swapped, perhaps",
            first.name,
            shortest(rounded(one.value_mm)),
            second.name,
            shortest(rounded(other.value_mm))
        );
        let path = format!("dimensions.{}", first.name);
        let note = Diagnostic::note(Code::Swapped, message).at(first.at).path(path);
        let help = "change them round if they were written down the wrong way round; they count as they stand";
        self.diagnostics.push(note.other(second.at, "the other one").help(help));
    }

    fn contradicts(&mut self, one: &Contradiction) {
        let dimension = &self.document.dimensions[one.dimension];
        let typed = dimension.drawing.as_ref().map_or("", |drawing| drawing.typed.as_str());
        let message = format!(
            "`{}` reads {} mm, outside its drawing ({typed}) by more than the doubt of the reading; the reading counts",
            dimension.name,
            shortest(rounded(one.value_mm))
        );
        let help = "see that it is the right part and the right drawing, clean it, and read it again";
        self.note_with_help(Code::Contradicts, dimension.at, format!("dimensions.{}", dimension.name), message, help);
    }
}

/// More contradictions than this are not looked through for one that changed places with another.
const MOST_PARTNERS: usize = 100;

/// Whether a value is outside a drawing's limits by more than its doubt; none where the drawing has no limits.
fn outside(dimension: &Dimension, value_mm: f64, doubt_mm: f64) -> Option<bool> {
    let (low, high) = dimension.drawing.as_ref()?.limits_mm?;
    Some((low - value_mm).max(value_mm - high) > doubt_mm)
}
