//! What readings say: the value, its doubt, and the scatter pooled over all readings of an instrument.

mod measured;
mod scatter;
mod summary;

pub use measured::{Face, Measured, Part, Role, measure, shim, value_of};
pub use scatter::{Scatter, ScatterRule};
pub use summary::{Pooled, Summary, pool, summarise};
