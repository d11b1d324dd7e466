//! Probabilities and shares in words.

/// What a probability may lie below a round figure and still count as it: the exact method's own error bound is of
/// this size, and `0.29 × 100` is a hair below 29 in binary.
const HAIR: f64 = 1e-9;

/// How likely something wanted is, of so many: `97 in 100`, `998 in 1000`, `more than 999 in 1000`. Rounded down,
/// so that the words never promise more than the figure, and 94.8 in 100 is not shown as the 95 that it misses.
#[must_use]
pub fn chance(probability: f64) -> String {
    of_so_many(probability, |parts| (parts + HAIR * parts).floor())
}

/// How likely something unwanted is: as [`chance`], but rounded up, so that the words never make it smaller.
#[must_use]
pub fn risk(probability: f64) -> String {
    of_so_many(probability, |parts| (parts - HAIR * parts).ceil())
}

fn of_so_many(probability: f64, round: impl Fn(f64) -> f64) -> String {
    let p = probability.clamp(0.0, 1.0);
    if p.is_nan() {
        return "not known".to_owned();
    }
    if p == 0.0 || p == 1.0 {
        return format!("{} in 100", p * 100.0);
    }
    if p < 0.001 {
        return "fewer than 1 in 1000".to_owned();
    }
    if p > 0.999 {
        return "more than 999 in 1000".to_owned();
    }
    if (0.01..=0.99).contains(&p) {
        return format!("{} in 100", round(p * 100.0));
    }
    format!("{} in 1000", round(p * 1000.0))
}

/// A share that someone wants, with the digits that it has: `997 of 1000 units`, `9973 in 10000`.
#[must_use]
pub fn share_wanted(share: f64, of_units: bool) -> String {
    // Beyond seven digits a share was not typed by hand; ten bury the noise of the multiplication.
    let digits = format!("{share:.10}");
    let digits = digits.trim_start_matches("0.").trim_end_matches('0');
    let (digits, of) = match digits.len() {
        0..=2 => (format!("{digits:0<2}"), 100),
        3..=7 => (digits.to_owned(), 10_u64.pow(digits.len() as u32)),
        _ => return level(share),
    };
    if of_units { format!("{digits} of {of} units") } else { format!("{digits} in {of}") }
}

/// A share in whole per cent: `12 %`; `under 1 %` and `over 99 %` where rounding would make it none or all.
#[must_use]
pub fn share(share: f64) -> String {
    let percent = share * 100.0;
    let whole = percent.round();
    if share > 0.0 && whole == 0.0 {
        "under 1 %".to_owned()
    } else if share < 1.0 && whole == 100.0 {
        "over 99 %".to_owned()
    } else {
        // Adding nought turns `-0` into `0`.
        format!("{} %", whole + 0.0)
    }
}

/// A level that someone chose, with the digits it has: `95 %`, `99.73 %`.
#[must_use]
pub fn level(fraction: f64) -> String {
    // Ten digits bury the noise of the multiplication: 0.9973 × 100 is 99.72999999999999.
    let text = format!("{:.10}", fraction * 100.0);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_promise_no_more_than_there_is() {
        for (p, expected) in [
            (1.0, "100 in 100"),
            (1.0 - 1e-15, "more than 999 in 1000"),
            (0.9991, "more than 999 in 1000"),
            (0.999, "999 in 1000"),
            (0.9989, "998 in 1000"),
            (0.998, "998 in 1000"),
            (0.991_082, "991 in 1000"),
            (0.99, "99 in 100"),
            (0.9899, "98 in 100"),
            (0.97, "97 in 100"),
            (0.95, "95 in 100"),
            (0.95 - 1e-12, "95 in 100"),
            (0.948, "94 in 100"),
            (0.29, "29 in 100"),
            (0.01, "1 in 100"),
            (0.0099, "9 in 1000"),
            (0.001, "1 in 1000"),
            (0.0009, "fewer than 1 in 1000"),
            (1e-300, "fewer than 1 in 1000"),
            (0.0, "0 in 100"),
            (f64::NAN, "not known"),
        ] {
            assert_eq!(chance(p), expected, "{p}");
        }
    }

    #[test]
    fn every_hundredth_and_thousandth_is_itself() {
        for whole in 1..=99 {
            let p = f64::from(whole) / 100.0;
            assert_eq!((chance(p), risk(p)), (format!("{whole} in 100"), format!("{whole} in 100")));
        }
        for whole in (1..10).chain(991..1000) {
            let p = f64::from(whole) / 1000.0;
            assert_eq!((chance(p), risk(p)), (format!("{whole} in 1000"), format!("{whole} in 1000")));
        }
    }

    #[test]
    fn risks_are_not_made_smaller() {
        for (p, expected) in [
            (0.052, "6 in 100"),
            (0.0012, "2 in 1000"),
            (0.0001, "fewer than 1 in 1000"),
            (0.9899, "99 in 100"),
            (0.9989, "999 in 1000"),
            (0.0, "0 in 100"),
        ] {
            assert_eq!(risk(p), expected, "{p}");
        }
    }

    #[test]
    fn a_share_wanted_keeps_its_digits() {
        for (share, expected) in [
            (0.95, "95 of 100 units"),
            (0.9, "90 of 100 units"),
            (0.997, "997 of 1000 units"),
            (0.9973, "9973 of 10000 units"),
            (0.505, "505 of 1000 units"),
            (0.999_999_99, "99.999999 %"),
        ] {
            assert_eq!(share_wanted(share, true), expected);
        }
        assert_eq!(share_wanted(0.99, false), "99 in 100");
    }

    #[test]
    fn shares_and_levels() {
        for (value, expected) in [
            (0.0, "0 %"),
            (-0.0, "0 %"),
            (1e-6, "under 1 %"),
            (0.005, "1 %"),
            (0.124, "12 %"),
            (0.996, "over 99 %"),
            (1.0, "100 %"),
            (-0.2, "-20 %"),
        ] {
            assert_eq!(share(value), expected, "{value}");
        }
        assert_eq!((level(0.95), level(0.9973), level(0.999)), ("95 %".into(), "99.73 %".into(), "99.9 %".into()));
        assert_eq!(level(1.0), "100 %");
    }
}
