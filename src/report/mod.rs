//! How results are shown: bytes and text, made from what the core found. No file, no terminal, no clock here.
//!
//! [`columns`] is the one list of what a row says. [`ranked`] and [`csv`] show a ranking; [`candidate`] everything about one
//! combination; [`card`] what the workshop takes along; [`alternatives`], [`faults`], [`sensitivity`], [`robustness`] and
//! [`changes`] the other answers; [`trace`] one duty cycle, interval by interval. [`document`] is the model that [`terminal`]
//! renders as text; [`views`] is the JSON. Nothing here simulates.
#![expect(
    clippy::format_push_string,
    clippy::format_collect,
    reason = "a text is put together once in a run"
)]

pub mod account;
pub mod alternatives;
pub mod best_choice;
pub mod candidate;
pub mod card;
pub mod cautions;
pub mod changes;
pub mod checked;
pub mod checkpoint;
pub mod checks;
pub mod columns;
pub mod csv;
pub mod digits;
pub mod document;
pub mod faults;
pub mod flags;
pub mod formats;
pub mod groups;
pub mod mark;
pub mod misses;
pub mod phrases;
pub mod ranked;
pub mod robustness;
pub mod rules_of_thumb;
pub mod score_csv;
pub mod selected_row;
pub mod sensitivity;
pub mod settings;
pub mod setups;
pub mod stamp;
pub mod terminal;
pub mod trace;
pub mod views;
pub mod warnings;
pub mod winner_labels;
