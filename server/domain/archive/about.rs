//! What `job.json` says: everything about the job that is stored beside its chain. A key that is not known
//! is a fault, so that nothing stands in an archive that nobody reads.

use serde::{Deserialize, Serialize};

use super::super::entry::Digest;
use super::super::ids::{CustomerId, DeviceId, JobId, KitId, Moment, PersonId, WorkshopId};
use super::super::instrument::Instrument;
use super::super::number::Decimal;
use super::super::person::Role;

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct About {
    pub format: String,
    pub workshop: WorkshopAbout,
    pub job: JobAbout,
    pub kit: KitAbout,
    /// From the first edition on.
    pub plans: Vec<PlanAbout>,
    pub sheets: Vec<SheetAbout>,
    /// Everybody whom the job names, by id.
    pub people: Vec<PersonAbout>,
    pub devices: Vec<DeviceAbout>,
    /// Those that readings rest on, with their calibrations.
    pub instruments: Vec<Instrument>,
    pub photos: Vec<PhotoAbout>,
    /// The first version first.
    pub certificates: Vec<CertificateAbout>,
    pub withdrawals: Vec<WithdrawalAbout>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkshopAbout {
    pub id: WorkshopId,
    pub name: String,
    pub address: String,
    pub phone: String,
    pub email: String,
    pub certificate_prefix: String,
    pub place: String,
    pub one_person_release: bool,
    pub insulation_least_megohm: Decimal,
    pub created_ms: Moment,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobAbout {
    pub id: JobId,
    pub number: u64,
    pub vehicle: String,
    pub registration: String,
    pub customer: CustomerId,
    pub technician: Option<PersonId>,
    pub opened_ms: Moment,
    pub opened_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitAbout {
    pub id: KitId,
    pub sha256: Digest,
    pub imported_ms: Moment,
    pub imported_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanAbout {
    pub edition: u32,
    pub sha256: Digest,
    pub saved_ms: Moment,
    pub saved_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetAbout {
    pub edition: u32,
    pub sha256: Digest,
    pub made_ms: Moment,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonAbout {
    pub id: PersonId,
    pub name: String,
    pub role: Role,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceAbout {
    pub id: DeviceId,
    pub label: String,
    pub first_seen_ms: Moment,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoAbout {
    /// Of what the device sent: the name that entries use.
    pub sha256: Digest,
    /// Of the file in the archive. Another one where the server wrote the photo anew when it came.
    pub file: Digest,
    pub width: u32,
    pub height: u32,
    pub received_ms: Moment,
    pub received_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CertificateAbout {
    /// As it is stored, without hyphens.
    pub number: String,
    pub version: u32,
    /// The check code printed on it.
    pub code: String,
    pub register_index: u64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WithdrawalAbout {
    pub number: String,
    pub reason: String,
    pub asked_by: PersonId,
    pub confirmed_by: PersonId,
    pub register_index: u64,
}

/// Who ordered the work, in a file of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CustomerLine {
    pub name: String,
    pub contact: String,
    pub address: String,
}

impl About {
    pub fn person(&self, id: PersonId) -> Option<&PersonAbout> {
        self.people.iter().find(|person| person.id == id)
    }

    /// The exact bytes of the file.
    pub fn text(&self) -> Vec<u8> {
        pretty(self)
    }
}

impl CustomerLine {
    pub fn text(&self) -> Vec<u8> {
        pretty(self)
    }
}

/// Strings, numbers and lists: writing them as JSON cannot fail.
fn pretty(value: &impl Serialize) -> Vec<u8> {
    let mut text = serde_json::to_vec_pretty(value).unwrap_or_default();
    text.push(b'\n');
    text
}
