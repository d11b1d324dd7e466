//! Data of published standards, embedded, with the rules that go with them.
//!
//! Sizes are nominal sizes in millimetres. A size is placed in a range "over .. up to and including .." on a grid of
//! 1 nm, never as raw binary, so a size on the edge of a range belongs to the range the printed table gives it.

pub mod iso2768;
pub mod iso286;
pub mod material;
mod table;

pub use iso2768::GeneralClass;
