//! What people do to a job, end to end: open, plan, make the sheet, record, decide, issue.
//!
//! Pages, phones and the command line all come through here, so that a rule holds whatever the way
//! in. Rules are `domain`'s; this floor loads, asks them, and appends.

pub mod again;
pub mod archive;
pub mod certificate;
pub mod decide;
pub mod defects;
pub mod due;
pub mod export;
pub mod handover;
pub mod import;
pub mod job;
pub mod kits;
pub mod labels;
pub mod links;
pub mod outbox_file;
mod paper;
pub mod plan;
pub mod recall;
pub mod record;
pub mod retention;
pub mod seals;
pub mod status_list;
pub mod time_stamps;
pub mod trends;
pub mod withdraw;

use crate::domain::document::Fault;
use crate::domain::entry::BodyFault;
use crate::domain::ids::{DeviceId, Moment, WorkshopId};
use crate::domain::person::Person;
use crate::domain::release::Refusal;
use crate::storage::StorageError;
use crate::storage::entries::AppendRefused;
use crate::world::NoChance;

/// Who acts, where and when.
#[derive(Debug, Clone)]
pub struct By {
    pub person: Person,
    pub device: DeviceId,
    pub now: Moment,
}

impl By {
    pub fn workshop(&self) -> WorkshopId {
        self.person.workshop
    }
}

/// Why something was not done.
#[derive(Debug, thiserror::Error)]
pub enum ActError {
    #[error("There is no such job in this workshop.")]
    NoJob,
    #[error("There is no such certificate in this workshop.")]
    NoCertificate,
    /// A rule, as a full sentence.
    #[error("{0}")]
    Rule(String),
    #[error("{0}.")]
    Refused(#[from] Refusal),
    #[error("{0}.")]
    Body(#[from] BodyFault),
    /// Not for good: what it needs is still on its way.
    #[error("{0}")]
    Waits(&'static str),
    /// Something has to be done before.
    #[error("{0}")]
    TooEarly(&'static str),
    #[error("{0}")]
    Append(#[from] AppendRefused),
    #[error("{} faults were found in the document.", .0.len())]
    Document(Vec<Fault>),
    #[error(transparent)]
    Storage(#[from] StorageError),
    #[error(transparent)]
    Chance(#[from] NoChance),
    /// A fault of the program or the machine.
    #[error("{0}")]
    Ours(String),
}

impl ActError {
    fn ours(error: impl std::fmt::Display) -> Self {
        Self::Ours(error.to_string())
    }
}
