//! How results are shown: bytes and text, made from what the core found. No file, no terminal, no clock here.
//!
//! [`columns`] is the one list of what a row says. [`csv`], [`table`] and [`json`] show a ranking; [`report`] and
//! [`json`] show everything of one candidate; [`card`] is what the workshop takes along; [`why`] is what stands beside it;
//! [`trace`] shows one duty cycle, stretch by stretch.
#![expect(
    clippy::format_push_string,
    clippy::format_collect,
    reason = "a text is put together once in a run"
)]

pub mod account;
pub mod card;
pub mod cautions;
pub mod changes;
pub mod checks;
pub mod columns;
pub mod csv;
pub mod doubted;
pub mod faults;
pub mod figures;
pub mod findings;
pub mod formats;
mod grid;
pub mod groups;
pub mod json;
pub mod kept;
pub mod map;
pub mod mark;
pub mod measure;
pub mod phrases;
pub mod picked;
pub mod report;
pub mod scored;
pub mod settings;
pub mod stamp;
pub mod standing;
pub mod table;
pub mod thumb;
pub mod trace;
pub mod usable_volume;
pub mod varied;
pub mod warming;
pub mod warnings;
pub mod why;
pub mod winners;
