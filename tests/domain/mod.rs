//! The rules of the job.

mod any_plan;
mod cast;
mod certificate;
mod change;
mod document;
mod entry;
mod findings;
mod instrument;
mod job;
mod kit_check;
mod number;
mod plan_file;
mod plan_form;
mod plausible;
mod release;
mod sheet;
mod verdict;
