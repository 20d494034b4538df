//! Documents: what stands on the paper, what every reader and an independent signature library say
//! about the sealed file, and that no text and no changed byte gets past.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic: that is how a test fails"
)]

mod by_hand;
mod certificate;
mod clauses;
mod control_chart;
mod drawing;
mod drawing_on_paper;
mod gauge;
mod handover;
mod labels;
mod languages;
mod printable;
mod sample;
mod sample_lines;
pub(crate) mod seal_import;
mod sealed;
mod sign;
pub(crate) mod table_file;
mod time_stamp;
pub(crate) mod tools;
mod typeset;
mod verify;
mod words;
