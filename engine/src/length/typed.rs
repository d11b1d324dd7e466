//! A number as it was typed: its value, its digits and the unit behind it.

use super::Unit;

/// A number with an optional unit, as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// The number, in its own unit.
    pub number: f64,
    /// The number's text without the unit, for showing it as typed.
    pub digits: String,
    /// The unit written behind it, if any.
    pub unit: Option<Unit>,
    /// The place value of the last digit, in the number's own unit: 0.01 for `53.97`.
    pub step: f64,
}

impl Typed {
    /// The length in millimetres, `default` being the unit of a bare number.
    #[must_use]
    pub fn mm(&self, default: Unit) -> f64 {
        self.unit.unwrap_or(default).to_mm(self.number)
    }

    /// The place value of the last digit, in millimetres.
    #[must_use]
    pub fn step_mm(&self, default: Unit) -> f64 {
        self.unit.unwrap_or(default).to_mm(self.step)
    }

    /// The digits as typed, with their unit only where it is not the document's: `default` is the unit of a bare number.
    #[must_use]
    pub fn label(&self, default: Unit, document: Unit) -> String {
        match self.unit.unwrap_or(default) {
            unit if unit == document => self.digits.clone(),
            unit => format!("{} {unit}", self.digits),
        }
    }

    /// The text as typed, with its unit where one was written.
    #[must_use]
    pub fn text(&self) -> String {
        match self.unit {
            Some(unit) => format!("{} {unit}", self.digits),
            None => self.digits.clone(),
        }
    }
}

/// Why a text is not a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NumberFault {
    /// There is nothing there.
    Empty,
    /// A comma stands where a decimal point is due.
    Comma,
    /// The number is too large to mean a length, or is infinite or not a number.
    NotFinite,
    /// The word behind the number is no unit.
    UnknownUnit(String),
    /// It is not a number at all.
    NotANumber,
}

/// Reads a number with an optional unit behind it: `0.024`, `0.024 in`, `-3um`.
///
/// # Errors
/// A [`NumberFault`] that says what is wrong with the text.
pub fn parse_number(text: &str) -> Result<Typed, NumberFault> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberFault::Empty);
    }
    let end = digits_end(text);
    let (digits, rest) = text.split_at(end);
    let word = rest.trim();
    if digits.is_empty() {
        return Err(if is_non_finite_word(text) { NumberFault::NotFinite } else { NumberFault::NotANumber });
    }
    if word.starts_with(',') && word[1..].trim_start().starts_with(|c: char| c.is_ascii_digit()) {
        return Err(NumberFault::Comma);
    }
    let unit = match word {
        "" => None,
        _ => match Unit::from_word(word) {
            Some(unit) => Some(unit),
            None if word.chars().all(char::is_alphabetic) || Unit::meant_by(word).is_some() => {
                return Err(NumberFault::UnknownUnit(word.to_owned()));
            }
            None => return Err(NumberFault::NotANumber),
        },
    };
    let number: f64 = digits.parse().map_err(|_| NumberFault::NotANumber)?;
    // 1e12 mm is further than the moon: a slip, and the 1 nm grid ends not far beyond.
    if !number.is_finite() || number.abs() > 1e12 {
        return Err(NumberFault::NotFinite);
    }
    Ok(Typed { number, digits: digits.to_owned(), unit, step: step_of(digits) })
}

/// The shortest text that reads back as the same number.
#[must_use]
pub fn shortest(number: f64) -> String {
    // `-0` is a figure that nobody would write.
    if number == 0.0 { "0".to_owned() } else { format!("{number}") }
}

fn is_non_finite_word(text: &str) -> bool {
    let bare = text.trim_start_matches(['+', '-']).trim_start_matches('.').to_ascii_lowercase();
    matches!(bare.as_str(), "nan" | "inf" | "infinity")
}

/// The end of the leading number of `text`: sign, digits, point, exponent.
fn digits_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let first_digit = at;
    let mut digits = 0;
    while at < bytes.len() && (bytes[at].is_ascii_digit() || bytes[at] == b'.') {
        digits += usize::from(bytes[at].is_ascii_digit());
        at += 1;
    }
    if digits == 0 {
        return 0;
    }
    debug_assert!(at > first_digit, "a digit was counted, so the number has a length");
    // An exponent counts only when digits follow it: `1e3`, but not the `e` of `1 eighth`.
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let mut look = at + 1;
        if matches!(bytes.get(look), Some(b'+' | b'-')) {
            look += 1;
        }
        if matches!(bytes.get(look), Some(b) if b.is_ascii_digit()) {
            while matches!(bytes.get(look), Some(b) if b.is_ascii_digit()) {
                look += 1;
            }
            at = look;
        }
    }
    at
}

fn step_of(digits: &str) -> f64 {
    let (mantissa, exponent) = match digits.find(['e', 'E']) {
        Some(at) => (&digits[..at], digits[at + 1..].parse::<i32>().unwrap_or(0)),
        None => (digits, 0),
    };
    let decimals = mantissa.find('.').map_or(0, |point| mantissa.len() - point - 1);
    let decimals = i32::try_from(decimals).unwrap_or(i32::MAX);
    let power = exponent.saturating_sub(decimals).clamp(-300, 300);
    // Parsing `1e-2` gives the nearest double to 0.01, which repeated division would not.
    format!("1e{power}").parse().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::{NumberFault, Unit, parse_number, shortest};

    #[test]
    fn digits_and_units_are_kept() {
        let typed = parse_number(" 0.0240 in").unwrap();
        assert_eq!((typed.digits.as_str(), typed.unit, typed.step), ("0.0240", Some(Unit::Inch), 0.0001));
        assert_eq!(typed.mm(Unit::Mm), 0.024 * 25.4);
        assert_eq!(parse_number("53.97").unwrap().step, 0.01);
        assert_eq!(parse_number("52").unwrap().step, 1.0);
        assert_eq!(parse_number("+1.5e-3").unwrap().step, 1e-4);
        assert_eq!(parse_number("3um").unwrap().mm(Unit::Inch), 0.003);
    }

    #[test]
    fn what_is_no_number_says_why() {
        assert_eq!(parse_number("").unwrap_err(), NumberFault::Empty);
        assert_eq!(parse_number("0,05").unwrap_err(), NumberFault::Comma);
        assert_eq!(parse_number(".nan").unwrap_err(), NumberFault::NotFinite);
        assert_eq!(parse_number("1e400").unwrap_err(), NumberFault::NotFinite);
        assert_eq!(parse_number("3 cm").unwrap_err(), NumberFault::UnknownUnit("cm".to_owned()));
        assert_eq!(parse_number("1.2.3").unwrap_err(), NumberFault::NotANumber);
        assert_eq!(parse_number("wide").unwrap_err(), NumberFault::NotANumber);
    }

    #[test]
    fn shortest_reads_back() {
        assert_eq!(shortest(0.1), "0.1");
        assert_eq!(shortest(-0.0), "0");
    }
}
