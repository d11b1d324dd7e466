//! The engine of shimwright: from the text of a stack of parts to figures about its gaps.
//!
//! Everything is one linear map. With the parts' dimensions and errors x, the packs of shims p and the gaps y:
//!
//! ```text
//! y = S·x + P·p + c
//! ```
//!
//! A gap is positive when open and negative when parts interfere. Lengths are millimetres inside; what was typed is
//! kept beside. The way of the data is one direction: text -> [`document`] (tree, as written, resolved) -> [`model`]
//! -> [`analyse`] and [`select`], which are pure functions that return plain structs. The engine reads no file, has
//! no clock and prints nothing.

pub mod analyse;
pub mod document;
pub mod law;
pub mod length;
pub mod measure;
pub mod model;

pub mod number;
pub mod select;

pub mod standards;
