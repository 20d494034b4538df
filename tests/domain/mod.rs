//! The rules of the job.

pub(crate) mod any_plan;
pub(crate) mod cast;
pub(crate) mod certificate;
mod change;
mod curves;
mod diagnosis;
mod document;
mod editions;
mod entry;
mod findings;
mod instrument;
mod instrument_choice;
mod job;
mod kit_check;
mod number;
mod outbox_file;
mod plan_file;
mod plan_form;
mod plausible;
mod reinspection;
mod release;
mod search;
pub(crate) mod sheet;
mod solar_open;
mod step_form;
mod verdict;
mod wiring;
