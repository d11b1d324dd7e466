//! The engine against the world outside it.

mod contract;
