//! What feeler blades say, on the line: `0.15goes/0.20stops`, a stack `0.25+0.10goes/0.25+0.15stops`, or
//! `0.25+0.10blades` that fill the gap. A unit at the end is for all of it.

use super::numbers::{BLADES, Line, Number, close};
use super::token::{Kind, Token};
use super::{Assignment, Fault, fault};
use crate::document::diagnostic::Code;
use crate::document::source::Span;
use crate::document::tree::{Entry, Node};

const FELT: &str = "what a feeler says is written 0.15goes/0.20stops, stacked blades 0.25+0.10goes/0.25+0.15stops";

impl Assignment {
    /// Whether the value says which blades go in.
    pub(super) fn is_felt(&self) -> bool {
        let line = Line::of(&self.value);
        line.tokens().iter().any(|token| is_word(&line, *token))
    }

    /// The readings with feeler blades: pairs of what goes and what stops, or stacks.
    pub(super) fn felt(&self) -> Result<Vec<Node>, Fault> {
        let mut line = Line::of(&self.value);
        line.commas()?;
        let mut groups: Vec<(&str, Span, usize)> = Vec::new();
        let mut numbers: Vec<Number> = Vec::new();
        while line.peek().is_some() {
            if !groups.is_empty() && !line.take(Kind::Slash) {
                // A unit that closes the value, or the next blade behind a blank.
                if let Some(unit) = closing(&mut line)? {
                    numbers.iter_mut().for_each(|number| number.close_with(unit));
                    break;
                }
            }
            let before = numbers.len();
            numbers.push(line.number(FELT)?);
            while line.take(Kind::Plus) {
                numbers.push(line.number(FELT)?);
            }
            let Some(word) = line.peek().filter(|token| is_word(&line, *token)) else {
                return Err(line.unreadable(FELT));
            };
            line.take(Kind::Word);
            groups.push((line.text(word), line.span(word), numbers.len() - before));
        }
        line.end(FELT)?;
        let mut numbers = close(&self.value, numbers)?.into_iter();
        let mut found: Vec<Node> = Vec::new();
        // One that is still open: it has what goes or what stops, and waits for the other.
        let mut open: Option<Vec<Entry>> = None;
        for (word, at, count) in groups {
            let blades: Vec<Node> = numbers.by_ref().take(count).map(|number| number.node()).collect();
            let blades = if count == 1 { blades.into_iter().next() } else { Some(Node::list(blades, self.value.at)) };
            let entry = Entry::new(word, blades.expect("each group has a number at least"));
            match open.take() {
                None if word == "blades" => found.push(Node::map(vec![entry], self.value.at)),
                None => open = Some(vec![entry]),
                Some(mut entries) if word != "blades" && entries[0].key.text != word => {
                    entries.push(entry);
                    found.push(Node::map(entries, self.value.at));
                }
                Some(_) => return Err(fault(Code::BadValue, at, format!("`{word}` stands in the wrong place"), FELT)),
            }
        }
        if open.is_some() {
            let message = format!("`{}` says only one side: what goes and what stops belong together", self.value.text);
            return Err(self.fault(message, FELT));
        }
        Ok(found)
    }
}

fn is_word(line: &Line<'_>, token: Token) -> bool {
    token.kind == Kind::Word && BLADES.contains(&line.text(token))
}

/// The unit at the end of the value, if the next word is one.
fn closing(line: &mut Line<'_>) -> Result<Option<crate::length::Unit>, Fault> {
    match line.peek() {
        Some(word) if word.kind == Kind::Word => {
            line.take(Kind::Word);
            line.unit(word).map(Some)
        }
        _ => Ok(None),
    }
}
