//! ISO 286 tolerance classes: the limit deviations of a shaft (`h9`) or a hole (`H7`), nominal sizes to 500 mm.
//!
//! Standard tolerances and fundamental deviations are tabulated (`data/iso286_it.csv`, `data/iso286_dev.csv`, whose
//! headers say how each figure was confirmed); the rules of ISO 286-1 that join them are here:
//!
//! | class | limits (es, ES upper; ei, EI lower; IT the standard tolerance) |
//! |---|---|
//! | `a`..`h` | es from the table, ei = es − IT |
//! | `k`..`u`, `j5`..`j7` | ei from the table, es = ei + IT; `k` is 0 outside grades 4 to 7 |
//! | `js`, `JS` | ± IT/2, not rounded (ISO 286-2 lets an odd IT of grades 7 to 11 be rounded to the even figure below) |
//! | `A`..`H` | EI = −es of the shaft letter, ES = EI + IT |
//! | `J6`..`J8` | ES from the table, EI = ES − IT |
//! | `K` `M` `N` to grade 8, `P`..`U` to grade 7 | ES = −ei of the shaft letter + Δ, EI = ES − IT |
//! | the same above those grades | ES = −ei (no Δ) |
//! | `N9` and coarser, over 3 mm | ES = 0 |
//! | `M6`, over 250 to 315 mm | ES = −9 µm |
//!
//! Δ(n) = IT(n) − IT(n−1), 0 up to 3 mm. From memory, not seen in print: `M` above grade 8 without Δ; `K` above grade 8
//! and holes `K`..`U` finer than grade 3 not tabulated; grades 14 and coarser, and `N9` and coarser, not for sizes up
//! to 1 mm.

use std::sync::LazyLock;

use super::table::{Table, on_grid};
use crate::length::from_grid_mm;

static TOLERANCES: LazyLock<Table> = LazyLock::new(|| Table::parse(include_str!("../../data/iso286_it.csv")));
static DEVIATIONS: LazyLock<Table> = LazyLock::new(|| Table::parse(include_str!("../../data/iso286_dev.csv")));

/// Shaft letters of the table, in the order of the standard; a hole has the same in capitals.
const LETTERS: [&str; 18] = ["a", "b", "c", "d", "e", "f", "g", "h", "j", "js", "k", "m", "n", "p", "r", "s", "t", "u"];
const FINEST_GRADE: u8 = 1;
const COARSEST_GRADE: u8 = 18;
const ONE_MM: i64 = 1_000_000;
const LARGEST: i64 = 500 * ONE_MM;

/// Limit deviations from the nominal size, in micrometres; `lower_um` is less than `upper_um`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviations {
    /// Lower limit deviation (ei of a shaft, EI of a hole).
    pub lower_um: f64,
    /// Upper limit deviation (es of a shaft, ES of a hole).
    pub upper_um: f64,
}

/// Why a tolerance class gives no limits.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ClassError {
    /// The text is not a letter and a grade.
    #[error(
        "`{class}` is not a tolerance class: write the letter and the grade together, such as h9 for a shaft or H7 for a hole"
    )]
    Malformed {
        /// The text as given.
        class: String,
    },
    /// The text names a fit, which is two classes.
    #[error("`{class}` is a fit of two parts: give the hole and the shaft a class each")]
    Fit {
        /// The text as given.
        class: String,
    },
    /// The letter has no column in the table.
    #[error(
        "`{letter}` is not a letter of the table: shafts have {}, holes the same in capitals",
        LETTERS.join(" ")
    )]
    UnknownLetter {
        /// The letter or letters as given.
        letter: String,
    },
    /// The grade is not tabulated for this letter (at this size).
    #[error("`{letter}` goes with grades {least} to {most} at this size, not with {grade}")]
    UnknownGrade {
        /// The letter as given.
        letter: String,
        /// The grade as given.
        grade: String,
        /// Finest grade there is.
        least: u8,
        /// Coarsest grade there is.
        most: u8,
    },
    /// The size is in no range of the class.
    #[error(
        "{size_mm} mm is outside the table for {class}, which runs from over {over_mm} mm up to and including {upto_mm} mm"
    )]
    SizeOutside {
        /// The class as given.
        class: String,
        /// The size as given.
        size_mm: f64,
        /// The class begins over this size, in millimetres.
        over_mm: f64,
        /// The class ends with this size, in millimetres.
        upto_mm: f64,
    },
    /// The figure was seen in too few printings to be used.
    #[error(
        "{class} is not given: its grade was found in one printing of the table only, and no second one confirms it; write the tolerance in figures"
    )]
    Unverified {
        /// The class as given.
        class: String,
    },
}

/// The limit deviations of a tolerance class at a nominal size (ISO 286-1 and -2), in micrometres from that size.
///
/// `size_mm` is in millimetres, over 0 up to and including 500, compared on a 1 nm grid. `class` is a letter of the table
/// and a grade: lower case for a shaft, capitals for a hole. Only letters `a`..`h`, `j`, `js`, `k`, `m`, `n`, `p`..`u`
/// and grades 1 to 16 are confirmed well enough to be given.
///
/// # Precision
/// Table figures are whole or half micrometres or one decimal, so results are those figures to the last bit or two.
///
/// # Errors
/// [`ClassError`] says which of text, letter, grade, size or table is at fault, and the range that holds.
pub fn limits(size_mm: f64, class: &str) -> Result<Deviations, ClassError> {
    let class = Class::parse(class)?;
    let place = Place::find(size_mm, class)?;
    // The deviation first: its range may be the narrower one, and is then the one to name.
    let fundamental = place.fundamental()?;
    let tolerance = place.tolerance()?;
    let (lower_um, upper_um) = match fundamental {
        Edge::Upper(upper) => (upper - tolerance, upper),
        Edge::Lower(lower) => (lower, lower + tolerance),
        Edge::Middle => (-tolerance / 2.0, tolerance / 2.0),
    };
    Ok(Deviations { lower_um, upper_um })
}

/// The limit that the table or a rule gives; the other follows from the standard tolerance.
enum Edge {
    Upper(f64),
    Lower(f64),
    Middle,
}

/// A class taken apart: its letter is in the table (in one case or the other) and its grade is 1 to 18.
#[derive(Clone, Copy)]
struct Class<'a> {
    text: &'a str,
    letter: &'a str,
    grade: u8,
}

impl<'a> Class<'a> {
    fn parse(text: &'a str) -> Result<Self, ClassError> {
        let class = || text.to_owned();
        if text.contains('/') {
            return Err(ClassError::Fit { class: class() });
        }
        let after_letters = text.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(text.len());
        let (letter, digits) = text.split_at(after_letters);
        let one_case = letter.bytes().all(|b| b.is_ascii_lowercase()) || letter.bytes().all(|b| b.is_ascii_uppercase());
        let whole = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
        if letter.is_empty() || !one_case || !whole {
            return Err(ClassError::Malformed { class: class() });
        }
        if !LETTERS.contains(&letter.to_ascii_lowercase().as_str()) {
            return Err(ClassError::UnknownLetter { letter: letter.to_owned() });
        }
        let (least, most) = match letter {
            "j" => (5, 7),
            "J" => (6, 8),
            "K" | "M" | "N" | "P" | "R" | "S" | "T" | "U" => (3, COARSEST_GRADE),
            _ => (FINEST_GRADE, COARSEST_GRADE),
        };
        // `01` and `0` are grades of the standard finer than 1; a leading zero is never just a way to write 1.
        let grade = digits.parse().ok().filter(|_| !digits.starts_with('0'));
        match grade {
            Some(grade) if (least..=most).contains(&grade) => Ok(Self { text, letter, grade }),
            _ => Err(ClassError::UnknownGrade { letter: letter.to_owned(), grade: digits.to_owned(), least, most }),
        }
    }
}

impl Class<'_> {
    /// The class is only for sizes over this one, in nanometres.
    fn least_nm(self) -> i64 {
        let coarse = self.grade >= 14 || (self.letter == "N" && self.grade > 8);
        if coarse || matches!(self.letter, "a" | "A" | "b" | "B") { ONE_MM } else { 0 }
    }
}

/// A class at a size.
struct Place<'a> {
    class: Class<'a>,
    size_mm: f64,
    size_nm: i64,
}

impl<'a> Place<'a> {
    fn find(size_mm: f64, class: Class<'a>) -> Result<Self, ClassError> {
        let place = Self {
            class,
            size_mm,
            // A size that is no number is put where no table reaches.
            size_nm: on_grid(size_mm).unwrap_or(0),
        };
        if class.letter == "K" && class.grade > 8 && place.size_nm > 3 * ONE_MM {
            return Err(ClassError::UnknownGrade {
                letter: class.letter.to_owned(),
                grade: class.grade.to_string(),
                least: 3,
                most: 8,
            });
        }
        Ok(place)
    }

    fn outside(&self, (over_nm, upto_nm): (i64, i64)) -> ClassError {
        ClassError::SizeOutside {
            class: self.class.text.to_owned(),
            size_mm: self.size_mm,
            over_mm: from_grid_mm(over_nm.max(self.class.least_nm())),
            upto_mm: from_grid_mm(upto_nm),
        }
    }

    fn figure(&self, table: &Table, column: &str) -> Result<f64, ClassError> {
        let cell = table.cell(column, self.size_nm).map_err(|range| self.outside(range))?;
        if self.size_nm <= self.class.least_nm() {
            return Err(self.outside((0, LARGEST)));
        }
        if !cell.confirmed {
            return Err(ClassError::Unverified { class: self.class.text.to_owned() });
        }
        Ok(cell.value)
    }

    fn tolerance(&self) -> Result<f64, ClassError> {
        self.figure(&TOLERANCES, &format!("IT{}", self.class.grade))
    }

    fn deviation(&self, column: &str) -> Result<f64, ClassError> {
        self.figure(&DEVIATIONS, column)
    }

    /// The fundamental deviation, by the rules of the module's table.
    fn fundamental(&self) -> Result<Edge, ClassError> {
        let Class { letter, grade, .. } = self.class;
        Ok(match letter {
            "js" | "JS" => Edge::Middle,
            "j" => Edge::Lower(self.deviation(&format!("j{grade}"))?),
            "J" => Edge::Upper(self.deviation(&format!("J{grade}"))?),
            "a" | "b" | "c" | "d" | "e" | "f" | "g" | "h" => Edge::Upper(self.deviation(letter)?),
            "k" if !(4..=7).contains(&grade) => Edge::Lower(0.0),
            "k" | "m" | "n" | "p" | "r" | "s" | "t" | "u" => Edge::Lower(self.deviation(letter)?),
            "A" | "B" | "C" | "D" | "E" | "F" | "G" | "H" => Edge::Lower(self.mirrored()?),
            _ => Edge::Upper(self.hole_upper()?),
        })
    }

    /// The deviation of the shaft with the same letter, turned over at the zero line.
    fn mirrored(&self) -> Result<f64, ClassError> {
        // 0 − x, because −x would make the zero of `h` a negative zero and print it as −0.
        Ok(0.0 - self.deviation(&self.class.letter.to_ascii_lowercase())?)
    }

    /// ES of holes `K` to `U`.
    fn hole_upper(&self) -> Result<f64, ClassError> {
        let Class { letter, grade, .. } = self.class;
        // Looked up before the special cases, so that they too answer for the size.
        let mirrored = self.mirrored()?;
        if letter == "N" && grade > 8 && self.size_nm > 3 * ONE_MM {
            return Ok(0.0);
        }
        if letter == "M" && grade == 6 && (250 * ONE_MM + 1..=315 * ONE_MM).contains(&self.size_nm) {
            return Ok(-9.0);
        }
        let last_with_delta = if matches!(letter, "K" | "M" | "N") { 8 } else { 7 };
        if grade > last_with_delta {
            return Ok(mirrored);
        }
        Ok(mirrored + self.deviation(&format!("delta{grade}"))?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper ends of the 13 ranges of the standard tolerances.
    const ENDS_MM: [i64; 13] = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500];

    fn value(table: &Table, column: &str, size_mm: i64) -> f64 {
        let cell = table.cell(column, size_mm * ONE_MM);
        cell.unwrap_or_else(|_| panic!("{column} at {size_mm}")).value
    }

    #[test]
    fn delta_is_the_difference_of_two_standard_tolerances() {
        // ISO 286-1; 0 up to 3 mm. Every figure is a multiple of 0.5 over 3 mm, so the difference is exact.
        for size in ENDS_MM {
            for grade in 3..=8 {
                let tolerance = |grade| value(&TOLERANCES, &format!("IT{grade}"), size);
                let difference = if size <= 3 { 0.0 } else { tolerance(grade) - tolerance(grade - 1) };
                assert_eq!(
                    value(&DEVIATIONS, &format!("delta{grade}"), size),
                    difference,
                    "grade {grade} up to {size} mm"
                );
            }
        }
    }

    #[test]
    fn only_it17_and_it18_are_unverified() {
        for size in ENDS_MM {
            for grade in FINEST_GRADE..=COARSEST_GRADE {
                let column = format!("IT{grade}");
                let cell = TOLERANCES.cell(&column, size * ONE_MM).expect("to 500 mm");
                assert_eq!(cell.confirmed, grade <= 16, "{column} up to {size} mm");
            }
        }
    }

    #[test]
    fn the_tables_are_the_ones_that_were_confirmed() {
        // Cells and sum of figures weighed by their row, taken from the confirmed tables by a separate program (Python):
        // a figure changed or moved by accident is found even where no published fit touches it.
        for (text, cells, weighed) in [
            (include_str!("../../data/iso286_it.csv"), 234, 37350818.9),
            (include_str!("../../data/iso286_dev.csv"), 622, 4081277.0),
        ] {
            let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
            let figures = rows.map(|row| -> f64 {
                let figure = row.split(',').nth(3).expect("a figure");
                figure.parse().expect("a figure")
            });
            let (mut count, mut sum) = (0, 0.0);
            for (row, figure) in (1..).zip(figures) {
                count += 1;
                sum += f64::from(row) * figure;
            }
            assert_eq!(count, cells);
            // The tenths of IT1 to IT3 round in binary, far below the 0.1 that the smallest slip would make.
            assert!((sum - weighed).abs() < 1e-3, "{sum}");
        }
    }
}
