//! ISO 2768-1:1989 general tolerances for linear dimensions that carry no tolerance of their own (Table 1).
//!
//! The figures are in `data/iso2768_linear.csv`, whose header says how they were confirmed. Broken edges (Table 2) and
//! angles (Table 3) are not here.

use std::{fmt, str::FromStr, sync::LazyLock};

use super::table::{Table, on_grid};
use crate::length::from_grid_mm;

static LINEAR: LazyLock<Table> = LazyLock::new(|| Table::parse(include_str!("../../data/iso2768_linear.csv")));

/// Where Table 1 begins, in nanometres; the size itself is in its first range.
const FIRST_NM: i64 = 500_000;

/// A general tolerance class for linear dimensions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GeneralClass {
    /// `f`, fine.
    Fine,
    /// `m`, medium.
    Medium,
    /// `c`, coarse.
    Coarse,
    /// `v`, very coarse.
    VeryCoarse,
}

impl GeneralClass {
    /// Every class, finest first.
    pub const ALL: [Self; 4] = [Self::Fine, Self::Medium, Self::Coarse, Self::VeryCoarse];

    /// The letter of the standard.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::Fine => "f",
            Self::Medium => "m",
            Self::Coarse => "c",
            Self::VeryCoarse => "v",
        }
    }
}

impl fmt::Display for GeneralClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.letter())
    }
}

impl FromStr for GeneralClass {
    type Err = GeneralError;

    /// Reads the letter of a class.
    fn from_str(text: &str) -> Result<Self, GeneralError> {
        Self::ALL
            .into_iter()
            .find(|class| class.letter() == text)
            .ok_or_else(|| GeneralError::UnknownClass { class: text.to_owned() })
    }
}

/// Why there is no general tolerance.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GeneralError {
    /// The text is not one of the four letters.
    #[error(
        "`{class}` is not a general tolerance class for lengths: f (fine), m (medium), c (coarse) or v (very coarse)"
    )]
    UnknownClass {
        /// The text as given.
        class: String,
    },
    /// The standard gives no figure for this size and class.
    #[error(
        "{size_mm} mm has no general tolerance in class {class}, which runs {} {from_mm} mm up to and including {upto_mm} mm: give this size a tolerance of its own",
        if *from_included { "from" } else { "from over" }
    )]
    SizeOutside {
        /// The class.
        class: GeneralClass,
        /// The size as given.
        size_mm: f64,
        /// Where the class begins, in millimetres.
        from_mm: f64,
        /// Whether that size itself is in.
        from_included: bool,
        /// Where the class ends, in millimetres; that size is in.
        upto_mm: f64,
    },
}

/// The permissible deviation of a linear size, in millimetres: the limits are the size ± this (ISO 2768-1:1989, Table 1).
///
/// `size_mm` is the nominal size in millimetres, compared on a 1 nm grid. The result is the printed figure, exactly.
///
/// # Errors
/// [`GeneralError::SizeOutside`] below 0.5 mm (where the standard wants the deviation beside the size), over 4000 mm
/// (class `f`: over 2000 mm; class `v`: up to 3 mm), or for a size that is not a finite number.
pub fn linear_mm(size_mm: f64, class: GeneralClass) -> Result<f64, GeneralError> {
    // A size that is no number is put where no table reaches. Ranges leave out their lower end, but Table 1 prints its
    // first one as "0.5 up to 3": so 0.5 mm is looked up one step of the grid further in.
    let size_nm = match on_grid(size_mm).unwrap_or(0) {
        FIRST_NM => FIRST_NM + 1,
        other => other,
    };
    match LINEAR.cell(class.letter(), size_nm) {
        Ok(cell) => {
            assert!(cell.confirmed, "every cell of the ISO 2768-1 table is confirmed");
            Ok(cell.value)
        }
        Err((over_nm, upto_nm)) => Err(GeneralError::SizeOutside {
            class,
            size_mm,
            from_mm: from_grid_mm(over_nm),
            from_included: over_nm == FIRST_NM,
            upto_mm: from_grid_mm(upto_nm),
        }),
    }
}
