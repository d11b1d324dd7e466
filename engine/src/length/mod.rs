//! Lengths as people write them, and the grid on which they are compared.

mod grid;
mod typed;
mod unit;

pub use grid::{SAME_WITHIN_MM, from_grid_mm, on_grid};
pub use typed::{NumberFault, Typed, parse_number, shortest};
pub use unit::Unit;
