//! From YAML text to a tree. The only place that knows which YAML library is in use.

mod fault;

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::{DuplicateKeyPolicy, MergeKeyPolicy, NonFiniteFloatPolicy, Options, Spanned};

use super::diagnostic::{Code, Diagnostic};
use super::source::{SourceId, Sources, Span};
use super::tree::{Entry, Key, Node, Scalar, Value};

/// The largest text that is read, in bytes. A stack of ten thousand dimensions is below 1 MB.
pub const LARGEST_TEXT: usize = 8 << 20;

/// Nodes allowed: enough for the largest text with short lines.
const MOST_NODES: usize = 1_000_000;
/// Levels allowed. The deepest form of a document has six.
const MOST_LEVELS: usize = 64;

/// Reads the text of a source into a tree.
///
/// # Errors
/// The first fault of a text that is not YAML; a library cannot go on behind it.
pub fn read(sources: &Sources, id: SourceId) -> Result<Node, Box<Diagnostic>> {
    let source = sources.get(id);
    let text = &source.text;
    if text.len() > LARGEST_TEXT {
        let message = format!("the file has {} bytes; the most that is read is {LARGEST_TEXT}", text.len());
        return Err(Box::new(Diagnostic::error(Code::TooLarge, message)));
    }
    match serde_yaml::from_str_with_options::<Spanned<Raw>>(text, options()) {
        Ok(raw) => {
            let node = Builder { id, text }.node(raw);
            match node.value {
                Value::Null => {
                    let fault = Diagnostic::error(Code::Empty, "there is nothing in it but blanks and remarks");
                    Err(Box::new(fault.at(Span { source: id, start: 0, end: 0 })))
                }
                _ => Ok(node),
            }
        }
        Err(error) => Err(Box::new(fault::explain(&error, text, id))),
    }
}

fn options() -> Options {
    serde_yaml::options! {
        // Double keys are passed on: we report both lines.
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        merge_keys: MergeKeyPolicy::Error,
        non_finite_float_policy: NonFiniteFloatPolicy::AsString,
        strict_booleans: true,
        underscored_numbers_as_strings: true,
        leading_zero_numbers_as_strings: true,
        reject_unsupported_tags: true,
        with_snippet: false,
        budget: serde_yaml::budget! {
            max_nodes: MOST_NODES,
            max_events: 2 * MOST_NODES,
            max_depth: MOST_LEVELS,
            max_anchors: 0,
            max_aliases: 0,
            max_total_scalar_bytes: LARGEST_TEXT,
        },
    }
}

/// A node as the library hands it over, its scalars' values thrown away where the text is in the source.
enum Raw {
    Null,
    /// The scalar's own text where it was read as a text, else nothing: the source has the digits as typed.
    Scalar(Option<String>),
    List(Vec<Spanned<Raw>>),
    Map(Vec<(Spanned<Raw>, Spanned<Raw>)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_i64<E>(self, _: i64) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_u64<E>(self, _: u64) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_i128<E>(self, _: i128) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_u128<E>(self, _: u128) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_f64<E>(self, _: f64) -> Result<Raw, E> {
        Ok(Raw::Scalar(None))
    }

    fn visit_str<E>(self, text: &str) -> Result<Raw, E> {
        Ok(Raw::Scalar(Some(text.to_owned())))
    }

    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Raw, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = access.next_element()? {
            items.push(item);
        }
        Ok(Raw::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = access.next_entry()? {
            entries.push(entry);
        }
        Ok(Raw::Map(entries))
    }
}

struct Builder<'a> {
    id: SourceId,
    text: &'a str,
}

impl Builder<'_> {
    fn node(&self, raw: Spanned<Raw>) -> Node {
        let at = self.span(&raw);
        let value = match raw.value {
            Raw::Null => Value::Null,
            Raw::Scalar(read) => Value::Scalar(self.scalar(read, at)),
            Raw::List(items) => Value::List(items.into_iter().map(|item| self.node(item)).collect()),
            Raw::Map(entries) => Value::Map(entries.into_iter().map(|(key, value)| self.entry(key, value)).collect()),
        };
        Node { value, at }
    }

    fn entry(&self, key: Spanned<Raw>, value: Spanned<Raw>) -> Entry {
        let at = self.span(&key);
        let text = match key.value {
            Raw::Scalar(read) => self.scalar(read, at).text,
            // A list or a map as a key has no meaning here; its text makes an unknown key that shows itself.
            Raw::Null | Raw::List(_) | Raw::Map(_) => self.text.get(at.start..at.end).unwrap_or("?").to_owned(),
        };
        Entry { key: Key { text, at }, value: self.node(value) }
    }

    fn scalar(&self, read: Option<String>, at: Span) -> Scalar {
        let source = self.text.get(at.start..at.end).unwrap_or("").trim_end();
        let quoted = source.starts_with(['"', '\'']) || is_block(self.text, at.start);
        match read {
            // The source is preferred for a plain scalar on one line: `.nan` and `1e400` reach us as another text.
            Some(text) if quoted || source.contains('\n') => Scalar { text, quoted },
            _ => Scalar { text: source.to_owned(), quoted },
        }
    }

    fn span(&self, raw: &Spanned<Raw>) -> Span {
        let span = raw.referenced.span();
        let start = span.byte_offset().map_or(0, |at| usize::try_from(at).unwrap_or(0));
        let length = span.byte_len().map_or(0, |length| usize::try_from(length).unwrap_or(0));
        // The library's span of a block list or map is empty, that of one in brackets covers the bracket.
        Span { source: self.id, start, end: (start + length).min(self.text.len()) }
    }
}

/// Whether the scalar that starts at `start` is a block (`|` or `>`): its indicator ends the line before.
fn is_block(text: &str, start: usize) -> bool {
    // Only spaces may stand before a block's first line; looking back ends at the first thing that is none.
    let Some(line_end) = text.get(..start).map(|before| before.trim_end_matches(' ')) else { return false };
    let Some(previous) = line_end.strip_suffix('\n') else { return false };
    let previous = previous.trim_end_matches(['\r', ' ']);
    [" |", " >", " |-", " >-", " |+", " >+"].iter().any(|mark| previous.ends_with(mark))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> Result<Node, Box<Diagnostic>> {
        let mut sources = Sources::new();
        let id = sources.add("test", text);
        read(&sources, id)
    }

    fn code(text: &str) -> Code {
        tree(text).unwrap_err().code
    }

    #[test]
    fn digits_stay_as_typed() {
        let node = tree("a: 53.970\nb: { c: 1e400, d: .nan, e: 017, f: 1_000, g: \"0.50\" }\n").unwrap();
        assert_eq!(node.get("a").unwrap().text(), Some("53.970"));
        let b = node.get("b").unwrap();
        for (key, text) in [("c", "1e400"), ("d", ".nan"), ("e", "017"), ("f", "1_000"), ("g", "0.50")] {
            assert_eq!(b.get(key).unwrap().text(), Some(text));
        }
        assert!(matches!(&b.get("g").unwrap().value, Value::Scalar(scalar) if scalar.quoted));
    }

    #[test]
    fn blocks_are_texts() {
        let node = tree("a: |\n  one\n    two\nb: 1\n").unwrap();
        assert_eq!(node.get("a").unwrap().text(), Some("one\n  two\n"));
        assert_eq!(node.get("b").unwrap().text(), Some("1"));
    }

    #[test]
    fn double_keys_are_kept() {
        assert_eq!(tree("a: 1\na: 2\n").unwrap().entries().unwrap().len(), 2);
    }

    #[test]
    fn faults_have_codes_of_their_own() {
        assert_eq!(code(""), Code::Empty);
        assert_eq!(code("a: &x [1]\nb: *x\n"), Code::Alias);
        assert_eq!(code("a: {x: 1}\nb:\n  <<: {y: 2}\n"), Code::Alias);
        assert_eq!(code("a: !word 3\n"), Code::Tag);
        assert_eq!(code("a: - b - c\n"), Code::ChainDash);
        assert_eq!(code("title: box: two\n"), Code::ColonInText);
        assert_eq!(code("a: { b: - c }\n"), Code::ChainDash);
        assert_eq!(code("a: { note: box: two }\n"), Code::ColonInText);
        assert_eq!(code("a: { b: 1 c: 2 }\n"), Code::Yaml);
        assert_eq!(code("title: *box*\n"), Code::Alias);
        assert_eq!(code("a: { chain: b - bearing #2 - c }\nd: 1\n"), Code::HashInText);
        assert_eq!(code("a:\n  bearing #2: 3\n  b: 1\n"), Code::HashInText);
        assert_eq!(code("a:\n\tb: 1\n"), Code::Tab);
        assert_eq!(code("a: \"open\n"), Code::Yaml);
        assert_eq!(code("a: 1\n---\nb: 2\n"), Code::Yaml);
        assert_eq!(code(&"[".repeat(100_000)), Code::TooLarge);
        assert_eq!(code(&"- ".repeat(100_000)), Code::TooLarge);
        assert_eq!(code(&" ".repeat(LARGEST_TEXT + 1)), Code::TooLarge);
    }

    #[test]
    fn places_point_at_the_value() {
        let mut sources = Sources::new();
        let id = sources.add("test", "ünit: mm\nb: [1, 22]\n");
        let node = read(&sources, id).unwrap();
        let Value::List(items) = &node.get("b").unwrap().value else { panic!("a list was written") };
        assert_eq!(sources.text(items[1].at), "22");
        assert_eq!(sources.line_column(items[1].at), (2, 8));
    }
}
