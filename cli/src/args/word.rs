//! Single words of the line.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf, is_separator};
use std::str::FromStr;

use clap::builder::{OsStringValueParser, PossibleValuesParser, TypedValueParser};
use shimwright_engine::length::{NumberFault, Typed, Unit, from_grid_mm, on_grid, parse_number};

/// What STACK names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stack {
    /// A file.
    File(PathBuf),
    /// Standard input.
    StandardInput,
    /// A preset.
    Preset(String),
}

impl Stack {
    /// Reads the word for STACK.
    ///
    /// # Errors
    /// That a NAME=VALUE stands in its place, or that it can be neither a preset nor a file.
    pub fn from_word(word: OsString) -> Result<Self, String> {
        if word == OsStr::new("-") {
            return Ok(Stack::StandardInput);
        }
        let text = word.to_string_lossy();
        let ending = Path::new(&word).extension().map(OsStr::to_ascii_lowercase);
        if text.contains(is_separator) || ending.is_some_and(|ending| ending == "yaml" || ending == "yml") {
            return Ok(Stack::File(PathBuf::from(word)));
        }
        if text.is_empty() {
            return Err("the name of a file or of a preset is due".to_owned());
        }
        if text.contains('=') {
            return Err("the stack comes first, then NAME=VALUE".to_owned());
        }
        match word.into_string() {
            Ok(name) => Ok(Stack::Preset(name)),
            Err(_) => Err("it is not UTF-8; for a file put ./ before it".to_owned()),
        }
    }
}

/// One NAME=VALUE.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    /// What stands before the first `=`, without spaces at its ends; never empty.
    pub name: String,
    /// What stands behind it, as typed.
    pub value: String,
}

impl Assignment {
    /// The whole of it, as the document's own reader of such words takes it.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}={}", self.name, self.value)
    }
}

impl FromStr for Assignment {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let Some((name, value)) = word.split_once('=') else {
            return Err("NAME=VALUE is due, such as depth=53.97".to_owned());
        };
        let name = name.trim();
        if name.is_empty() {
            return Err("there is no name before the =".to_owned());
        }
        Ok(Assignment { name: name.to_owned(), value: value.to_owned() })
    }
}

/// Steps from one length to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// The first, the last, and the step between two; the step is not negative.
    pub ends: [Typed; 3],
}

/// More steps than this are a slip of the pen.
const MOST_STEPS: f64 = 10_000.0;

impl FromStr for Steps {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let parts: Vec<&str> = word.split(':').collect();
        let [from, to, step] = parts.as_slice() else {
            return Err("FROM:TO:STEP is due, such as 0.10:0.60:0.05".to_owned());
        };
        let length = |text: &str| {
            parse_number(text).map_err(|fault| match fault {
                NumberFault::Comma => "use a point for the decimals, not a comma".to_owned(),
                _ => format!("`{}` is no length", text.trim()),
            })
        };
        let ends = [length(from)?, length(to)?, length(step)?];
        let [from, to, step] = ends.each_ref().map(|one| one.mm(Unit::Mm));
        if step <= 0.0 {
            return Err("the step must be greater than 0; where TO is below FROM it goes down".to_owned());
        }
        if (to - from).abs() / step > MOST_STEPS {
            return Err(format!("that is more than {MOST_STEPS} steps"));
        }
        Ok(Steps { ends })
    }
}

impl Steps {
    /// The decimals of the lengths as typed.
    #[must_use]
    pub fn decimals(&self) -> usize {
        let of = |one: &Typed| one.digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        self.ends.iter().map(of).max().unwrap_or(0)
    }

    /// The unit of a bare number, where `unit` is the document's.
    #[must_use]
    pub fn unit(&self, unit: Unit) -> Unit {
        self.ends[2].unit.unwrap_or(unit)
    }

    /// Each length in millimetres, `unit` being that of a bare number. A unit behind the step counts for all three.
    #[must_use]
    pub fn mm(&self, unit: Unit) -> Vec<f64> {
        let unit = self.unit(unit);
        let [from, to, step] = self.ends.each_ref().map(|one| on_grid(one.mm(unit)));
        let count = (to - from).abs() / step.max(1);
        let signed = if to < from { -step } else { step };
        (0..=count).map(|index| from_grid_mm(from + index * signed)).collect()
    }
}

/// Changes of one dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// The dimension.
    pub name: String,
    /// By how much it is changed.
    pub steps: Steps,
}

impl FromStr for Sweep {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let Assignment { name, value } = word.parse().map_err(|_| "NAME=FROM:TO:STEP is due".to_owned())?;
        Ok(Sweep { name, steps: value.parse()? })
    }
}

pub(super) fn stack_parser() -> impl TypedValueParser<Value = Stack> {
    OsStringValueParser::new().try_map(|word| Stack::from_word(word).map_err(Fault))
}

pub(super) fn unit_parser() -> impl TypedValueParser<Value = Unit> {
    PossibleValuesParser::new(Unit::ALL.map(Unit::word))
        .map(|word| Unit::from_word(&word).expect("every word on offer names a unit"))
}

/// A sentence as an error, which the parser asks for.
#[derive(Debug)]
struct Fault(String);

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Fault {}

pub(super) fn confidence(word: &str) -> Result<f64, String> {
    let word = word.trim();
    let percent = word.strip_suffix('%');
    let value = match percent {
        // The decimal point is moved in the digits: 99.73 / 100 is not the double nearest to 0.9973.
        Some(digits) => number(digits).and_then(|_| number(&format!("{}e-2", digits.trim())))?,
        None => number(word)?,
    };
    if value > 0.5 && value < 1.0 {
        Ok(value)
    } else if percent.is_none() && value > 50.0 && value < 100.0 {
        Err(format!("write {word}%, or {}", value / 100.0))
    } else {
        Err("it must lie between 0.5 and 1 (50% and 100%), both left out".to_owned())
    }
}

/// A number of things, one at least.
pub(super) fn count_above_zero(word: &str) -> Result<usize, String> {
    match whole(word)? {
        0 => Err("it must be greater than 0".to_owned()),
        number => usize::try_from(number).map_err(|_| "that is too many".to_owned()),
    }
}

/// More builds than this are not tried out at once.
const MOST_BUILDS: usize = 1_000;

pub(super) fn builds(word: &str) -> Result<usize, String> {
    count_above_zero(word).and_then(|number| {
        if number <= MOST_BUILDS { Ok(number) } else { Err(format!("{MOST_BUILDS} is the most that is tried out")) }
    })
}

pub(super) fn above_zero(word: &str) -> Result<f64, String> {
    let value = number(word)?;
    if value > 0.0 { Ok(value) } else { Err("it must be greater than 0".to_owned()) }
}

pub(super) fn from_zero_to_one(word: &str) -> Result<f64, String> {
    let value = number(word)?;
    if (0.0..=1.0).contains(&value) { Ok(value) } else { Err("it must lie between 0 and 1".to_owned()) }
}

pub(super) fn whole(word: &str) -> Result<u64, String> {
    word.trim().parse().map_err(|_| "a whole number is due, 0 or more".to_owned())
}

/// How many digits are to stand still.
pub(super) fn digits(word: &str) -> Result<u32, String> {
    let fault = || "a whole number from 1 to 6 is due".to_owned();
    word.trim().parse().ok().filter(|digits| (1..=6).contains(digits)).ok_or_else(fault)
}

pub(super) fn threads(word: &str) -> Result<u16, String> {
    let fault = || "a whole number from 1 to 1024 is due".to_owned();
    word.trim().parse().ok().filter(|count| (1..=1024).contains(count)).ok_or_else(fault)
}

fn number(word: &str) -> Result<f64, String> {
    let word = word.trim();
    if word.contains(',') {
        return Err("use a point for the decimals, not a comma".to_owned());
    }
    word.parse().ok().filter(|value: &f64| value.is_finite()).ok_or_else(|| "a number is due".to_owned())
}
