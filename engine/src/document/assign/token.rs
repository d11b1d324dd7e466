//! The words of a VALUE.

/// What a piece of a value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Digits with a point or an exponent, without a sign.
    Number,
    /// Letters: a unit, or `at least`.
    Word,
    Slash,
    Comma,
    Colon,
    Plus,
    Minus,
    /// `±`, `+-` or `+/-`.
    PlusMinus,
    /// `..`
    Dots,
    /// What has no meaning in a value.
    Other,
}

/// A piece of a value: its bytes, and whether a blank stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) spaced: bool,
}

/// Splits a value into its words.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let mut at = 0;
    let mut spaced = false;
    while let Some(c) = text[at..].chars().next() {
        if c.is_whitespace() {
            at += c.len_utf8();
            spaced = true;
            continue;
        }
        let (kind, length) = one(&text[at..], c);
        found.push(Token { kind, start: at, end: at + length, spaced });
        at += length;
        spaced = false;
    }
    found
}

fn one(rest: &str, c: char) -> (Kind, usize) {
    for (mark, kind) in [("+/-", Kind::PlusMinus), ("+-", Kind::PlusMinus), ("..", Kind::Dots)] {
        if rest.starts_with(mark) {
            return (kind, mark.len());
        }
    }
    let kind = match c {
        '0'..='9' | '.' => return (Kind::Number, number_length(rest)),
        '/' => Kind::Slash,
        ',' => Kind::Comma,
        ':' => Kind::Colon,
        '+' => Kind::Plus,
        // What a word processor makes of a minus.
        '-' | '−' | '–' => Kind::Minus,
        '±' => Kind::PlusMinus,
        _ if c.is_alphabetic() => {
            let end = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
            return (Kind::Word, end);
        }
        _ => Kind::Other,
    };
    (kind, c.len_utf8())
}

/// The length of a number: digits and points, but not `..`; an exponent only where digits follow it.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    while digit(end) || (bytes.get(end) == Some(&b'.') && bytes.get(end + 1) != Some(&b'.')) {
        end += 1;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if digit(signed) {
            end = signed;
            while digit(end) {
                end += 1;
            }
        }
    }
    // A lone point before `..` would have no length.
    end.max(1)
}

#[cfg(test)]
mod tests {
    use super::{Kind, tokens};

    fn split(text: &str) -> Vec<&str> {
        tokens(text).iter().map(|token| &text[token.start..token.end]).collect()
    }

    #[test]
    fn values_fall_into_words() {
        assert_eq!(split("53.97/53.96 mm"), ["53.97", "/", "53.96", "mm"]);
        assert_eq!(split("29.9..30.1"), ["29.9", "..", "30.1"]);
        assert_eq!(split("29..30"), ["29", "..", "30"]);
        assert_eq!(split("1e-3..2e+1"), ["1e-3", "..", "2e+1"]);
        assert_eq!(split("30+/-0.02"), ["30", "+/-", "0.02"]);
        assert_eq!(split("30 ± 20µm"), ["30", "±", "20", "µm"]);
        assert_eq!(split("3in"), ["3", "in"]);
        assert_eq!(split("..."), ["..", "."]);
        assert_eq!(tokens("30 -1")[1].kind, Kind::Minus);
        assert!(tokens("30 -1")[1].spaced);
    }
}
