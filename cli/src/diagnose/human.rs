//! The report for people: the place in words, the line as it stands with the offending part underlined, what is wrong,
//! and what to write.

use shimwright_engine::document::assign::COMMAND_LINE;
use shimwright_engine::document::diagnostic::{Diagnostic, Diagnostics, Severity};
use shimwright_engine::document::source::{Sources, Span};

use super::excerpt::Excerpt;
use super::in_order;
use crate::exit::{Outcome, of_faults};
use crate::report::place::{Place, Places};
use crate::report::text::{hanging, harmless};

/// Faults shown with the text around them. Those that follow get one line each: a file with so many has something
/// else wrong with it, and the first ones say what.
const MOST_EXCERPTS: usize = 40;

/// Bold and nothing else: a report says the same on paper and to an eye that does not tell red from green.
const BOLD: &str = "\u{1b}[1m";
const PLAIN: &str = "\u{1b}[0m";

/// What stands before a line of the text.
const INDENT: &str = "    ";

/// The report of everything that is wrong, for a terminal of `width` columns. It carries styling (bold only), which
/// the terminal's writer takes out where it is not wanted; what comes out of a file is made harmless.
#[must_use]
pub fn human(diagnostics: &Diagnostics, sources: &Sources, width: usize) -> String {
    let mut places = Places::new();
    let mut report = String::new();
    for (number, one) in in_order(diagnostics).into_iter().enumerate() {
        if number < MOST_EXCERPTS {
            report.push_str(&with_excerpt(one, sources, &mut places, width));
            report.push('\n');
        } else {
            report.push_str(&in_one_line(one, sources, &mut places));
        }
    }
    let errors = diagnostics.iter().filter(|one| one.severity == Severity::Error).count();
    // Where nothing is wrong with the document, the fault itself says what was not done.
    if errors > 0 && of_faults(diagnostics) == Outcome::Wrong {
        let faults = if errors == 1 { "1 fault".to_owned() } else { format!("{errors} faults") };
        report.push_str(&format!("{faults}; nothing was worked out\n"));
    }
    report
}

/// Notes as sentences, each behind `note: ` and wrapped to `width`, with its place and its advice. No styling.
#[must_use]
pub fn notes<'a>(all: impl IntoIterator<Item = &'a Diagnostic>, sources: &Sources, width: usize) -> String {
    let mut places = Places::new();
    let mut result = String::new();
    for one in all {
        let mut sentence = harmless(&one.message);
        if let Some(span) = one.at {
            let place = places.of(sources, span);
            let name = harmless(&sources.get(span.source).name);
            sentence.push_str(&format!(" ({name}, line {})", place.line));
        }
        if let Some(help) = &one.help {
            sentence.push_str(&format!("; {}", harmless(help)));
        }
        result.push_str(&hanging(&format!("{}: ", one.severity.word()), &sentence, width));
    }
    result
}

fn in_one_line(one: &Diagnostic, sources: &Sources, places: &mut Places) -> String {
    let place = one.at.map_or_else(String::new, |span| format!("{}: ", place(span, sources, places)));
    format!("{place}{}{}\n", lead_of(one), harmless(&one.message))
}

/// A note among faults says that it is one.
fn lead_of(one: &Diagnostic) -> &'static str {
    match one.severity {
        Severity::Error => "",
        Severity::Note => "note: ",
    }
}

fn with_excerpt(one: &Diagnostic, sources: &Sources, places: &mut Places, width: usize) -> String {
    let mut text = String::new();
    let mut indent = "";
    if let Some(at) = one.at {
        text.push_str(&format!("{BOLD}{}{PLAIN}\n", place(at, sources, places)));
        text.push_str(&quoted(at, sources, width));
        indent = "  ";
    }
    text.push_str(&hanging(&format!("{indent}{}", lead_of(one)), &harmless(&one.message), width));
    if let (Some(at), Some((other, phrase))) = (one.at, &one.other) {
        text.push_str(&second(at, *other, phrase, sources, places, width));
    }
    if let Some(help) = &one.help {
        text.push_str(&hanging(&format!("{indent}advice: "), &harmless(help), width));
    }
    text
}

/// A place in words: `box.yaml, line 4, column 30`.
fn place(span: Span, sources: &Sources, places: &mut Places) -> String {
    let place = places.of(sources, span);
    let name = harmless(&sources.get(span.source).name);
    // A value of the command line is a text of its own, with one line.
    if name == COMMAND_LINE { format!("{name}, column {}", place.column) } else { in_file(&name, place) }
}

fn in_file(name: &str, place: Place) -> String {
    format!("{name}, line {}, column {}", place.line, place.column)
}

/// The line of a span with the span underlined; nothing where the line is too long to show.
fn quoted(span: Span, sources: &Sources, width: usize) -> String {
    let Some(excerpt) = Excerpt::cut(sources, span) else { return String::new() };
    let [line, mark] = excerpt.lines(width.saturating_sub(INDENT.len()));
    let spaces = mark.len() - mark.trim_start().len();
    format!("{INDENT}{}\n{INDENT}{}{BOLD}{}{PLAIN}\n", line.trim_end(), &mark[..spaces], &mark[spaces..])
}

/// The other place that has to do with a fault, with its line where that is another one.
fn second(at: Span, other: Span, phrase: &str, sources: &Sources, places: &mut Places, width: usize) -> String {
    let (here, there) = (places.of(sources, at), places.of(sources, other));
    let phrase = harmless(phrase);
    if at.source != other.source {
        return format!("  {phrase}, {}:\n{}", place(other, sources, places), quoted(other, sources, width));
    }
    if here.line == there.line {
        return format!("  {phrase}: column {}\n", there.column);
    }
    format!("  {phrase}, line {}:\n{}", there.line, quoted(other, sources, width))
}
