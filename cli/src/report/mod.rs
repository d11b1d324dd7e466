//! What is shown to people and to programs: plain functions from figures to text.

pub mod answer_json;
pub mod ask;
mod beside;
pub mod doubt;
pub mod expect;
pub mod gap;
pub mod heat;
pub mod json;
pub mod method_figures;
pub mod number;
pub mod odds;
pub mod pick;
pub mod place;
pub mod plan;
pub mod plan_json;
pub mod preset;
pub mod reach;
pub mod screw;
pub mod settle;
pub mod stock;
pub mod sum;
pub mod text;
mod unsure;
pub mod verify;
pub mod verify_json;
pub mod view;
