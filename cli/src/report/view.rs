//! What every report needs beside its figures: the document, the model, the unit and the width.

use shimwright_engine::analyse::{ByNumber, Chances, Verdict};
use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::resolved::{Document, Gap as Written, Linear, Readings};
use shimwright_engine::length::{Unit, from_grid_mm, on_grid};
use shimwright_engine::model::{Face, Gap, Model, Origin};
use shimwright_engine::select::{Choice, Shim};

use super::number::{decimals_as_typed, figures, to_place, usual_decimals};
use super::odds::chance;
use super::text::hanging;

/// The notes without which the answer would be believed too much.
const FIRST: &[Code] = &[
    Code::Assumed,
    Code::NotFlat,
    Code::OddReading,
    Code::Swapped,
    Code::Contradicts,
    Code::TargetOutside,
    Code::Stacked,
    Code::FewRepeats,
];

/// What a limit may be off a decimal place, in units of that place, and still be on it.
const HAIR: f64 = 1e-6;

/// Tails of production below this rest on the law far beyond the drawing's own limits.
const LAW_TAIL: f64 = 1e-4;

/// The surroundings of a report.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The document as resolved.
    pub document: &'a Document,
    /// The model that was asked.
    pub model: &'a Model,
    /// The unit of the answer.
    pub unit: Unit,
    /// The columns there are.
    pub width: usize,
    /// The most decimals that the words show.
    most_decimals: i32,
}

impl<'a> View<'a> {
    /// The view of a document and its model.
    #[must_use]
    pub fn new(document: &'a Document, model: &'a Model, unit: Unit, width: usize) -> View<'a> {
        // The words show no finer place than the readings, or a micrometre where those are coarser: a mean of
        // hundredths may be told from its neighbour by a thousandth, not by less.
        let finest = readings(document).map(|readings| decimals_as_typed(readings.step_mm, unit)).max();
        let most_decimals = usual_decimals(unit).max(finest.unwrap_or(0));
        View { document, model, unit, width, most_decimals }
    }
}

fn readings(document: &Document) -> impl Iterator<Item = &Readings> {
    let dimensions = document.dimensions.iter().filter_map(|one| one.readings.as_ref());
    dimensions.chain(document.gaps.iter().filter_map(|gap| gap.found.as_ref()))
}

impl View<'_> {
    /// A length to a decimal place, in the unit of the answer.
    #[must_use]
    pub fn length(&self, mm: f64, decimals: i32) -> String {
        to_place(self.unit.from_mm(as_summed(mm)), decimals)
    }

    /// A limit to a decimal place, cut so that a lower limit never becomes smaller, nor an upper one greater.
    #[must_use]
    pub fn inwards(&self, mm: f64, decimals: i32, lower: bool) -> String {
        let scale = 10_f64.powi(decimals);
        let places = self.unit.from_mm(mm) * scale;
        // A limit that is a whole number of places but for the rounding of doubles is that number.
        let cut = if lower { (places - HAIR).ceil() } else { (places + HAIR).floor() };
        to_place(cut / scale, decimals)
    }

    /// The decimal place that an uncertainty bears, and the instruments too.
    #[must_use]
    pub fn decimals(&self, u_mm: f64) -> i32 {
        figures(0.0, u_mm, self.unit).decimals.min(self.most_decimals)
    }

    /// A length to the place that its uncertainty bears.
    #[must_use]
    pub fn value(&self, mm: f64, u_mm: f64) -> String {
        self.length(mm, self.decimals(u_mm))
    }

    /// An end of a band: as typed where it is a number in the unit of the answer, else reckoned.
    #[must_use]
    pub fn end(&self, written: Option<&Linear>, mm: f64) -> String {
        let bare = |end: &&Linear| end.is_constant() && !end.text.contains(char::is_alphabetic);
        match written.filter(bare).filter(|_| self.unit == self.document.unit) {
            Some(end) => end.text.clone(),
            None => self.plain(mm),
        }
    }

    /// A length that was worked from typed figures: `0.100` for the middle of 0.07 and 0.13 would claim a digit that
    /// nobody wrote.
    #[must_use]
    pub fn plain(&self, mm: f64) -> String {
        let text = self.length(mm, usual_decimals(self.unit));
        let short = text.trim_end_matches('0');
        let decimals = short.len() - short.find('.').map_or(short.len(), |point| point + 1);
        if text.contains('.') && decimals < 2 { self.length(mm, 2) } else { short.to_owned() }
    }

    /// The band and the target of a gap in words; empty where it has neither.
    #[must_use]
    pub fn band(&self, written: &Written, accept_mm: (Option<f64>, Option<f64>), target_mm: Option<f64>) -> String {
        let low = accept_mm.0.map(|low| self.end(written.low.as_ref(), low));
        let high = accept_mm.1.map(|high| self.end(written.high.as_ref(), high));
        let unit = self.unit;
        let mut words = match (low, high) {
            (Some(low), Some(high)) => format!("band {low} to {high} {unit}"),
            (Some(low), None) => format!("band: at least {low} {unit}"),
            (None, Some(high)) => format!("band: at most {high} {unit}"),
            (None, None) => String::new(),
        };
        if let Some(target) = target_mm.filter(|_| written.target_written || !words.is_empty()) {
            let target = self.end(written.target.as_ref().filter(|_| written.target_written), target);
            if !words.is_empty() {
                words.push_str(", ");
            }
            words.push_str(&format!("aim {target}"));
        }
        words
    }

    /// The shims of a pack in words: `0.30 + 0.50`, or `no shims`.
    #[must_use]
    pub fn pack(&self, choice: &Choice) -> String {
        if choice.shims.is_empty() {
            return "no shims".to_owned();
        }
        self.shims(choice.shims.iter())
    }

    /// A pack as the thing to do: what is to be put in, and what stays in.
    #[must_use]
    pub fn pack_to_fit(&self, choice: &Choice) -> String {
        let (staying, moving): (Vec<&Shim>, Vec<&Shim>) = choice.shims.iter().partition(|shim| shim.stays);
        match (staying.is_empty(), moving.is_empty()) {
            (true, _) => self.pack(choice),
            (false, true) => format!("nothing more; {} stays", self.shims(staying.into_iter())),
            (false, false) => {
                let stay = if staying.len() == 1 { "stays" } else { "stay" };
                format!("{} beside {}, which {stay}", self.shims(moving.into_iter()), self.shims(staying.into_iter()))
            }
        }
    }

    fn shims<'s>(&self, shims: impl Iterator<Item = &'s Shim>) -> String {
        let shims: Vec<&Shim> = shims.collect();
        // A label carries its unit where that is not the document's; beside such a one the others need theirs too.
        let carries = |shim: &&Shim| shim.label.contains(' ');
        let mixed = shims.iter().any(carries) || self.unit != self.document.unit;
        let one = |shim: &&Shim| {
            let mut notes = Vec::new();
            if shim.thickness_mm != shim.size_mm {
                let is = self.length(shim.thickness_mm, usual_decimals(self.unit));
                let how = if shim.from == Origin::Lapped { "lap it to" } else { "measured" };
                notes.push(if mixed { format!("{how} {is} {}", self.unit) } else { format!("{how} {is}") });
            }
            if let Some(pack) = shim.moved_from {
                notes.push(format!("from {}", self.model.packs[pack].name));
            }
            match shim.from {
                Origin::Bought => notes.push("to buy".to_owned()),
                Origin::Made => notes.push("made to size".to_owned()),
                Origin::Kit | Origin::Fitted | Origin::Turned | Origin::Lapped => {}
            }
            let label = match mixed && !carries(shim) {
                true => format!("{} {}", shim.label, self.document.unit),
                false => shim.label.clone(),
            };
            if notes.is_empty() { label } else { format!("{label} ({})", notes.join(", ")) }
        };
        together(&shims.iter().map(one).collect::<Vec<_>>())
    }

    /// By how much a number is outside its band, in words; empty where it is in.
    #[must_use]
    pub fn miss(&self, miss_mm: Option<f64>, u_mm: f64) -> String {
        miss_mm.map_or(String::new(), |miss| format!(" by {}", self.length(miss, self.decimals(u_mm).max(2))))
    }

    /// How sure a verdict is, in words. `miss` is by how much the number is outside the band, in words.
    #[must_use]
    pub fn sure(&self, verdict: Verdict, number: ByNumber, chances: &Chances, measured: bool, miss: &str) -> String {
        let odds = odds(chances);
        let odds = if measured { odds } else { format!("{} units", odds.replace(" in ", " of ")) };
        let side = number.side();
        match (verdict, number) {
            (Verdict::In, _) => format!("in band, {odds}"),
            (Verdict::SomeWill, _) => format!("in band in {odds}"),
            (Verdict::CannotTell, ByNumber::In) => format!("in band by the number, but cannot tell: {odds}"),
            (Verdict::CannotTell, _) => format!("{side}{miss} by the number, but cannot tell: {odds} that it is in"),
            (Verdict::Out, ByNumber::In) => format!("out: in band by the number, but that holds in {odds} only"),
            (Verdict::Out, _) => format!("out of band, {side}{miss}"),
        }
    }

    /// On a face that is not flat the answer is worked at both spots: the gap as it would be at each.
    #[must_use]
    pub fn spots(&self, gap: &Gap, expected_mm: f64, u_mm: f64) -> String {
        let at = |change: f64| self.value(expected_mm + change, u_mm);
        let one = |face: &Face| {
            let line = format!(
                "{} with {} as it reads at {}: {}; as it reads at {}: {}. Dress the face or find the burr, then read again",
                gap.name,
                face.dimension,
                face.least.0,
                at(face.least.1),
                face.most.0,
                at(face.most.1)
            );
            hanging("mind: ", &line, self.width)
        };
        gap.not_flat.iter().map(one).collect()
    }

    /// A word on a tail of production that rests on the law far beyond the drawing's own limits.
    #[must_use]
    pub fn law_tail(&self, chances: &Chances, measured: bool) -> String {
        let outside = chances.below + chances.above;
        if measured || outside == 0.0 || outside >= LAW_TAIL {
            return String::new();
        }
        hanging("  ", "so few out of band hold only if the law holds that far out", self.width)
    }

    /// What a reader must know before believing the answer: what was assumed, and faces that are not flat.
    #[must_use]
    pub fn mind(&self, notes: &[Diagnostic]) -> String {
        self.sentences("mind: ", notes.iter().filter(|note| FIRST.contains(&note.code)))
    }

    /// The other notes.
    #[must_use]
    pub fn notes(&self, notes: &[Diagnostic]) -> String {
        self.sentences("note: ", notes.iter().filter(|note| !FIRST.contains(&note.code)))
    }

    fn sentences<'n>(&self, lead: &str, notes: impl Iterator<Item = &'n Diagnostic>) -> String {
        let sentence = |note: &Diagnostic| match &note.help {
            Some(help) => format!("{}: {help}", note.message),
            None => note.message.clone(),
        };
        let mut said: Vec<String> = Vec::new();
        for sentence in notes.map(sentence) {
            // Two packs of one kit have the same to say of it.
            if !said.contains(&sentence) {
                said.push(sentence);
            }
        }
        said.iter().map(|sentence| hanging(lead, sentence, self.width)).collect()
    }

    /// What ends an answer in words: the notes that were not said first, and the cautions.
    #[must_use]
    pub fn ending(&self, notes: &[Diagnostic]) -> String {
        let other = self.notes(notes);
        let before = if other.is_empty() { String::new() } else { format!("\n{other}") };
        before + &self.list("Take care", &self.document.cautions, false)
    }

    /// A heading and numbered or dashed sentences under it; empty where there are none.
    #[must_use]
    pub fn list(&self, heading: &str, lines: &[String], numbered: bool) -> String {
        if lines.is_empty() {
            return String::new();
        }
        let mut text = format!("\n{heading}\n");
        for (index, line) in lines.iter().enumerate() {
            let lead = if numbered { format!("  {}. ", index + 1) } else { "  - ".to_owned() };
            text.push_str(&hanging(&lead, line, self.width));
        }
        text
    }
}

/// From so many equal shims on they are counted and not spelt out.
const FEWEST_COUNTED: usize = 4;

/// Shims in words, one behind the other: `0.30 + 0.50`, `4 x 0.10 + 0.50`.
#[must_use]
pub fn together(labels: &[String]) -> String {
    let runs = labels.chunk_by(|a, b| a == b).flat_map(|run| match run.len() {
        count if count >= FEWEST_COUNTED => vec![format!("{count} x {}", run[0])],
        _ => run.to_vec(),
    });
    runs.collect::<Vec<_>>().join(" + ")
}

/// A sum of typed lengths without the rounding of doubles, so that 0.0925 is not shown as 0.092 in one place and, summed
/// otherwise, as 0.093 in another.
fn as_summed(mm: f64) -> f64 {
    // Sums of a few lengths of a metre round by less than this, and readings are a thousand times coarser.
    const ROUNDING_MM: f64 = 1e-10;
    let on_the_grid = from_grid_mm(on_grid(mm));
    if (mm - on_the_grid).abs() < ROUNDING_MM { on_the_grid } else { mm }
}

/// The probability of being in band in words. Only what is certain is 100 in 100: a probability that rounds to one
/// is not.
#[must_use]
pub fn odds(chances: &Chances) -> String {
    let certain = chances.below == 0.0 && chances.above == 0.0 && chances.error_bound == 0.0;
    if certain { chance(1.0) } else { almost(chances.within) }
}

/// A probability in words that is not certain, however near to one it is.
#[must_use]
pub fn almost(probability: f64) -> String {
    chance(probability.min(1.0 - 1e-12))
}
