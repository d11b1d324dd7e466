//! What readings say: the value, its doubt, and the scatter pooled over all readings of an instrument.

mod measured;
mod scatter;

pub use measured::{Face, Measured, Part, Role, measure, shim, stack_error_mm};
pub use scatter::{Scatter, ScatterRule};
