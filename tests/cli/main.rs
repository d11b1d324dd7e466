//! The tool as it is run.

mod bad;
mod commands;
mod demos;
mod drawing;
mod edges;
mod hostile;
mod instruments;
mod lines;
mod narrow;
mod notes;
mod pages;
mod presets;
mod reach;
mod settle;
mod stations;
mod tables;
mod temperature;
mod tolerances;
mod tool;
mod values;
mod verify;
