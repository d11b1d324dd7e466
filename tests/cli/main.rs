//! The tool as it is run.

mod commands;
mod pages;
mod presets;
mod tool;
