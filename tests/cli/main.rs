//! The tool as it is run.

mod bad;
mod commands;
mod hostile;
mod notes;
mod pages;
mod presets;
mod settle;
mod tool;
mod values;
mod verify;
