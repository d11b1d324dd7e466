//! Turns of an adjusting screw in words.

use super::number::to_place;

/// A hexagon has so many flats.
const FLATS: f64 = 6.0;
/// Hundredths of a turn are finer than a spanner is set.
const TURNS: i32 = 2;

/// Turns as a number: `0.15 turns`.
#[must_use]
pub fn turns(turns: f64) -> String {
    format!("{} turns", to_place(turns, TURNS))
}

/// How far that is, for a spanner: `60°, 1 flat`.
#[must_use]
pub fn by_spanner(turns: f64) -> String {
    let flats = to_place(turns.abs() * FLATS, 1);
    let flats = flats.trim_end_matches(".0");
    let word = if flats == "1" { "flat" } else { "flats" };
    format!("{}°, {flats} {word}", to_place(turns.abs() * 360.0, 0))
}
