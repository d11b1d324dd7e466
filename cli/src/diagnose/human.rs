//! The report for people: the words, the place, the text with the fault marked, and what to do.

use annotate_snippets::renderer::{Effects, Style};
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use shimwright_engine::document::diagnostic::{Diagnostic, Diagnostics, Severity};
use shimwright_engine::document::source::{Sources, Span};

use super::excerpt::{Excerpt, near};
use super::in_order;
use crate::exit::{Outcome, of_faults};
use crate::report::place::Places;
use crate::report::text::{columns_of, hanging, harmless, wrap};

/// Faults shown with the text around them. Those that follow get one line each: a file with so many has something
/// else wrong with it, and the first ones say what.
const MOST_EXCERPTS: usize = 40;

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
    let place = one.at.map_or_else(String::new, |span| {
        let place = places.of(sources, span);
        format!("{}:{}:{}: ", harmless(&sources.get(span.source).name), place.line, place.column)
    });
    format!("{place}{}[{}]: {}\n", one.severity.word(), one.code.name(), harmless(&one.message))
}

fn with_excerpt(one: &Diagnostic, sources: &Sources, places: &mut Places, width: usize) -> String {
    let level = match one.severity {
        Severity::Error => Level::ERROR,
        Severity::Note => Level::NOTE,
    };
    let lead = columns_of(&format!("{}[{}]: ", one.severity.word(), one.code.name()));
    let message = wrap(&harmless(&one.message), room(width, lead)).join("\n");
    let title = level.primary_title(message).id(one.code.name());
    let elements = places_shown(one, sources, places);
    if !elements.iter().any(|element| matches!(element, Element::Cause(_))) {
        let title = renderer(width).render(&[Group::with_title(title)]);
        return without_excerpt(&title, one, sources, places, width);
    }
    let mut group = Group::with_title(title).elements(elements);
    if let Some(help) = &one.help {
        // The advice stands behind the column of line numbers, which is as wide as the greatest of them.
        let spans = [one.at, one.other.as_ref().map(|(span, _)| *span)];
        let greatest = spans.into_iter().flatten().map(|span| places.of(sources, span).line).max().unwrap_or(0);
        let lead = columns_of(&format!("{greatest} = help: "));
        group = group.element(Level::HELP.message(wrap(&harmless(help), room(width, lead)).join("\n")));
    }
    let text = renderer(width).render(&[group]);
    text.lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// A fault that no line can be shown for, in the layout of the others: there is no column of line numbers, and the
/// library would begin at the edge.
fn without_excerpt(title: &str, one: &Diagnostic, sources: &Sources, places: &mut Places, width: usize) -> String {
    let mut text = format!("{title}\n");
    if let Some(at) = one.at {
        let place = places.of(sources, at);
        let name = harmless(&sources.get(at.source).name);
        text.push_str(&format!(" --> {name}:{}:{}\n", place.line, place.column));
    }
    if let Some(help) = &one.help {
        text.push_str(&hanging("  = help: ", &harmless(help), width));
    }
    text
}

/// The columns left behind a lead; some are left however long the lead is.
fn room(width: usize, lead: usize) -> usize {
    width.saturating_sub(lead).max(24)
}

/// The elements for the place of a fault and for the other place that has to do with it.
fn places_shown(one: &Diagnostic, sources: &Sources, places: &mut Places) -> Vec<Element<'static>> {
    let Some(at) = one.at else { return Vec::new() };
    let Some((other, phrase)) = &one.other else {
        return vec![located(&[(at, None)], sources, places)];
    };
    let phrase = Some(harmless(phrase));
    if near(sources, places, at, *other) {
        return vec![located(&[(at, None), (*other, phrase)], sources, places)];
    }
    vec![located(&[(at, None)], sources, places), located(&[(*other, phrase)], sources, places)]
}

/// The lines of the spans, each span marked: the fault itself without a phrase, what has to do with it behind one.
/// Where a line is too long to show, the place alone.
fn located(marks: &[(Span, Option<String>)], sources: &Sources, places: &mut Places) -> Element<'static> {
    let (first, _) = marks[0];
    let name = harmless(&sources.get(first.source).name);
    let spans: Vec<Span> = marks.iter().map(|(span, _)| *span).collect();
    let Some(excerpt) = Excerpt::cut(sources, places, &spans) else {
        let place = places.of(sources, first);
        return Element::Origin(Origin::path(name).line(place.line).char_column(place.column));
    };
    let annotations = excerpt.marks.into_iter().zip(marks).map(|(range, (_, phrase))| match phrase {
        None => AnnotationKind::Primary.span(range),
        Some(phrase) => AnnotationKind::Context.span(range).label(phrase.clone()),
    });
    let snippet = Snippet::source(excerpt.text).line_start(excerpt.first_line).path(name).annotations(annotations);
    Element::Cause(snippet)
}

fn renderer(width: usize) -> Renderer {
    // Bold and nothing else: a report says the same on paper and to an eye that does not tell red from green.
    const BOLD: Style = Style::new().effects(Effects::BOLD);
    Renderer::plain().term_width(width).error(BOLD).note(BOLD).help(BOLD).emphasis(BOLD).context(BOLD)
}
