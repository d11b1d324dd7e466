//! The engine against the world outside it.

mod additive_model;
mod brute_force;
mod certified_data;
mod choice_of_a_pack;
mod contract;
mod coverage;
mod drive_shaft;
mod end_play;
mod exact_closed_forms;
mod exact_properties;
mod exact_published;
mod fewer_readings;
mod guard;
mod iso2768_published;
mod iso286_errors;
mod iso286_published;
mod iso286_rules;
mod monte_carlo;
mod properties;
mod published_stacks;
mod settle;
mod shouldered_screw;
mod summary;
mod type_a;
mod verify;
