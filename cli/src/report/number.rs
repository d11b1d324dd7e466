//! Figures for people: as many digits as the uncertainty bears, no more.
//!
//! Source: JCGM 100:2008, 7.2.6: an uncertainty is given to two significant digits at most, and the value to the
//! same place. Rounding is done on the decimal digits of a number and takes halves away from zero, as at a bench:
//! `0.0995` has the two figures `0.10`, whichever side of it the binary number lies.

use std::fmt;

use shimwright_engine::length::{Unit, shortest};

/// Places beyond the nanometre are not shown; an uncertainty below half of one counts as none.
fn most_decimals(unit: Unit) -> i32 {
    match unit {
        Unit::Mm => 6,
        Unit::Inch => 7,
        Unit::Thou => 4,
        Unit::Um => 3,
    }
}

/// Decimals for a length of which neither the uncertainty nor the typed digits are known: a micrometre, or a tenth
/// of a thou.
#[must_use]
pub fn usual_decimals(unit: Unit) -> i32 {
    match unit {
        Unit::Mm => 3,
        Unit::Inch => 4,
        Unit::Thou => 1,
        Unit::Um => 0,
    }
}

/// The number at a decimal place, halves away from zero; never `-0`. A negative place is one before the point: -1
/// for tens.
#[must_use]
pub fn to_place(number: f64, decimals: i32) -> String {
    if !number.is_finite() {
        return shortest(number);
    }
    let digits = Digits::of(number).rounded_at(decimals);
    let text = digits.text(decimals);
    if number < 0.0 && !digits.is_zero() { format!("-{text}") } else { text }
}

/// The same with a sign before it in any case, `+` for nought.
#[must_use]
pub fn signed(number: f64, decimals: i32) -> String {
    let text = to_place(number, decimals);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// The decimal place that shows two significant figures of an uncertainty, in the uncertainty's own unit. Nothing
/// for an uncertainty of nought.
#[must_use]
pub fn place_of(uncertainty: f64) -> Option<i32> {
    if !(uncertainty.is_finite() && uncertainty > 0.0) {
        return None;
    }
    let digits = Digits::of(uncertainty);
    let place = 1 - digits.exponent;
    // Rounding may carry into the next place: 0.0995 is 0.10, not 0.100.
    Some(if digits.rounded_at(place).exponent > digits.exponent { place - 1 } else { place })
}

/// A length in a unit, with its uncertainty where it has one, both to the same place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figures {
    /// The value.
    pub value: String,
    /// The uncertainty, if there is one worth a nanometre.
    pub uncertainty: Option<String>,
    /// The unit of both.
    pub unit: Unit,
    /// The decimal place of both.
    pub decimals: i32,
}

impl fmt::Display for Figures {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.uncertainty {
            Some(uncertainty) => write!(f, "{} ± {uncertainty} {}", self.value, self.unit),
            None => write!(f, "{} {}", self.value, self.unit),
        }
    }
}

/// A value and its uncertainty (standard or expanded, as the caller says beside it), both in millimetres, shown in
/// `unit`: two significant figures of the uncertainty, the value to the same place. Without an uncertainty the value
/// has the usual decimals of the unit.
#[must_use]
pub fn figures(value_mm: f64, uncertainty_mm: f64, unit: Unit) -> Figures {
    let uncertainty = unit.from_mm(uncertainty_mm);
    let most = most_decimals(unit);
    let decimals = place_of(uncertainty).map(|place| place.min(most));
    let shown = decimals.map(|place| to_place(uncertainty, place));
    // Rounded at the last place that is shown at all, a very small uncertainty is nought.
    let shown = shown.filter(|text| text.bytes().any(|digit| matches!(digit, b'1'..=b'9')));
    let decimals = shown.as_ref().and(decimals).unwrap_or_else(|| usual_decimals(unit));
    Figures { value: to_place(unit.from_mm(value_mm), decimals), uncertainty: shown, unit, decimals }
}

/// Decimals for a length that was typed to `step_mm` (the place value of its last digit), shown in `unit`: the
/// coarsest place that loses none of the typed digits. What was typed as 0.60 mm is 0.60 mm, and 0.0236 in.
#[must_use]
pub fn decimals_as_typed(step_mm: f64, unit: Unit) -> i32 {
    let step = unit.from_mm(step_mm);
    if !(step.is_finite() && step > 0.0) {
        return usual_decimals(unit);
    }
    // Conversions are rounded: a step of 10 um is 10.000000000000002 at worst, and must stay a step of 10.
    const RELATIVE_NOISE: f64 = 1e-12;
    let place = (-step.log10() - RELATIVE_NOISE).ceil() as i32;
    place.clamp(0, most_decimals(unit))
}

/// A length in millimetres that was typed to `step_mm`, in `unit`, without the unit's word.
#[must_use]
pub fn as_typed(mm: f64, step_mm: f64, unit: Unit) -> String {
    to_place(unit.from_mm(mm), decimals_as_typed(step_mm, unit))
}

/// A length in two units: `0.60 mm (0.0236 in)`.
#[must_use]
pub fn in_both(mm: f64, step_mm: f64, unit: Unit, other: Unit) -> String {
    let (first, second) = (as_typed(mm, step_mm, unit), as_typed(mm, step_mm, other));
    format!("{first} {unit} ({second} {other})")
}

/// The decimal digits of a number without its sign: `digits[0].digits[1]… × 10^exponent`.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Digits {
    digits: Vec<u8>,
    exponent: i32,
}

impl Digits {
    /// The shortest digits that stand for the number. The number is finite.
    fn of(number: f64) -> Self {
        let text = format!("{:e}", number.abs());
        let (mantissa, exponent) = text.split_once('e').expect("the exponent is always written");
        let digits = mantissa.bytes().filter(u8::is_ascii_digit).map(|digit| digit - b'0').collect();
        Digits { digits, exponent: exponent.parse().expect("an exponent is a whole number") }
    }

    fn is_zero(&self) -> bool {
        self.digits.iter().all(|&digit| digit == 0)
    }

    /// Without the digits behind a decimal place, halves up.
    fn rounded_at(&self, decimals: i32) -> Self {
        let keep = i64::from(self.exponent) + i64::from(decimals) + 1;
        let zero = || Digits { digits: vec![0], exponent: 0 };
        let Ok(keep) = usize::try_from(keep) else { return zero() };
        if keep >= self.digits.len() {
            return self.clone();
        }
        let mut result = Digits { digits: self.digits[..keep].to_vec(), exponent: self.exponent };
        if self.digits[keep] >= 5 {
            result.count_up();
        }
        if result.digits.is_empty() { zero() } else { result }
    }

    /// One more in the last place.
    fn count_up(&mut self) {
        for digit in self.digits.iter_mut().rev() {
            if *digit < 9 {
                *digit += 1;
                return;
            }
            *digit = 0;
        }
        self.digits.insert(0, 1);
        self.exponent += 1;
    }

    /// Written out, with exactly so many decimals.
    fn text(&self, decimals: i32) -> String {
        let digit = |power: i32| {
            let at = usize::try_from(self.exponent - power).ok();
            char::from(b'0' + at.and_then(|at| self.digits.get(at)).copied().unwrap_or(0))
        };
        let mut text: String = (0..=self.exponent.max(0)).rev().map(digit).collect();
        if decimals > 0 {
            text.push('.');
            text.extend((1..=decimals).map(|place| digit(-place)));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_at_a_place() {
        for (number, decimals, expected) in [
            (0.125_83, 3, "0.126"),
            (53.97, 2, "53.97"),
            (53.97, 4, "53.9700"),
            (0.05, 1, "0.1"),
            (2.675, 2, "2.68"), // below the half in binary
            (1.005, 2, "1.01"),
            (-0.125, 2, "-0.13"),
            (-0.004, 2, "0.00"),
            (-0.0, 2, "0.00"),
            (0.004_999, 2, "0.00"),
            (0.0004, 2, "0.00"),
            (9.996, 2, "10.00"),
            (99.5, 0, "100"),
            (0.5, 0, "1"),
            (0.4, 0, "0"),
            (1234.0, -1, "1230"),
            (1235.0, -1, "1240"),
            (995.0, -1, "1000"),
            (4.0, -1, "0"),
            (5.0, -1, "10"),
            (5.0, -2, "0"),
            (1e-9, 3, "0.000"),
            (1e15, 1, "1000000000000000.0"),
        ] {
            assert_eq!(to_place(number, decimals), expected, "{number} to {decimals}");
        }
        assert_eq!(
            (signed(0.1, 2), signed(-0.1, 2), signed(-0.001, 2)),
            ("+0.10".into(), "-0.10".into(), "+0.00".into())
        );
    }

    #[test]
    fn two_figures_of_an_uncertainty() {
        for (uncertainty, place, shown) in [
            (0.030_203, 3, "0.030"),
            (0.0995, 2, "0.10"),
            (0.099_49, 3, "0.099"),
            (0.0994, 3, "0.099"),
            (9.95, 0, "10"),
            (9.94, 1, "9.9"),
            (99.5, -1, "100"),
            (0.1, 2, "0.10"),
            (1.0, 1, "1.0"),
            (123.0, -1, "120"),
            (0.000_012, 6, "0.000012"),
        ] {
            assert_eq!(place_of(uncertainty), Some(place), "{uncertainty}");
            assert_eq!(to_place(uncertainty, place), shown);
        }
        assert_eq!([place_of(0.0), place_of(f64::NAN), place_of(-1.0)], [None; 3]);
    }

    #[test]
    fn values_follow_their_uncertainty() {
        for (value, uncertainty, unit, expected) in [
            (0.125_83, 0.030_203, Unit::Mm, "0.126 ± 0.030 mm"),
            (2.1623, 0.0995, Unit::Mm, "2.16 ± 0.10 mm"),
            (0.125_83, 0.030_203, Unit::Um, "126 ± 30 um"),
            (0.125_83, 0.030_203, Unit::Thou, "5.0 ± 1.2 thou"),
            (0.125_83, 0.030_203, Unit::Inch, "0.0050 ± 0.0012 in"),
            (-0.000_4, 0.02, Unit::Mm, "0.000 ± 0.020 mm"),
            (-0.01, 0.03, Unit::Mm, "-0.010 ± 0.030 mm"),
            (1.234, 0.302, Unit::Um, "1230 ± 300 um"),
            (0.6, 0.0, Unit::Mm, "0.600 mm"),
            (0.6, 1e-9, Unit::Mm, "0.600 mm"),
            (0.6, 4e-7, Unit::Mm, "0.600 mm"),
            (0.6, 6e-7, Unit::Mm, "0.600000 ± 0.000001 mm"),
            (25.4, 0.0, Unit::Inch, "1.0000 in"),
        ] {
            assert_eq!(figures(value, uncertainty, unit).to_string(), expected);
        }
    }

    #[test]
    fn typed_digits_are_kept_in_every_unit() {
        for (mm, step, unit, expected) in [
            (0.6, 0.01, Unit::Mm, "0.60"),
            (0.6, 0.1, Unit::Mm, "0.6"),
            (52.0, 1.0, Unit::Mm, "52"),
            (520.0, 10.0, Unit::Mm, "520"),
            (0.6, 0.01, Unit::Inch, "0.0236"),
            (0.6, 0.01, Unit::Thou, "23.6"),
            (0.6, 0.01, Unit::Um, "600"),
            (0.024 * 25.4, 0.0254, Unit::Mm, "0.61"),
            (0.024 * 25.4, 0.0254, Unit::Inch, "0.024"),
            (0.024 * 25.4, 0.0254, Unit::Thou, "24"),
            (0.326, 0.001, Unit::Mm, "0.326"),
            (0.1, 0.0, Unit::Mm, "0.100"),
        ] {
            assert_eq!(as_typed(mm, step, unit), expected, "{mm} typed to {step}, in {unit}");
        }
        assert_eq!(in_both(0.6, 0.01, Unit::Mm, Unit::Inch), "0.60 mm (0.0236 in)");
    }
}
