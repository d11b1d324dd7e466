//! What readings say: the value, its doubt, and the scatter pooled over all readings of an instrument.

mod measured;
mod reading;
mod scatter;

pub use measured::{Face, Measured, Part, Role, measure, shim, stack_error_mm, zero_of};
pub use reading::Reading;
pub use scatter::{Scatter, ScatterRule};
