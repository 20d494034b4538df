//! The rules of the job, without I/O, clock or chance: what is fitted, planned, proved and released.

pub mod certificate;
pub mod change;
pub mod curves;
pub mod diagnosis;
pub mod document;
pub mod entry;
pub mod figures;
pub mod finding;
pub mod findings;
pub mod ids;
pub mod instrument;
pub mod job;
pub mod kit;
pub mod kit_check;
pub mod limits;
pub mod number;
pub mod person;
pub mod plan;
pub mod plan_file;
pub mod plan_form;
pub mod plausible;
pub mod release;
pub mod seal;
pub mod sheet;
pub mod step;
pub mod verdict;
