//! The jobs of one vehicle. A vehicle has no row of its own: it is the line of re-inspections that a job
//! stands in, and every job under the same registration whose identification number does not say otherwise.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, WorkshopId};

use super::super::columns::Columns as _;
use super::super::{StorageError, Store};
use super::{JobRow, job, select};

/// Jobs that one vehicle's page shows.
pub const VEHICLE_JOBS_MAX: u32 = 200;
/// Characters of the mark that a vehicle is found by.
const MARK_CHARS_MAX: usize = 50;
/// Shorter ends of an identification number are shared by too many vehicles to say anything.
const VIN_CHARS_MIN: u32 = 6;

/// A registration or identification number in the form that two of them are compared in: letters and
/// digits of any script, in capitals.
pub fn plain_mark(text: &str) -> String {
    let kept = text.chars().filter(|c| c.is_alphanumeric());
    kept.flat_map(char::to_uppercase).take(MARK_CHARS_MAX).collect()
}

/// A job of a vehicle, with its newest certificate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfVehicle {
    pub job: JobRow,
    pub vin: String,
    pub certificate: Option<NewestCertificate>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewestCertificate {
    pub number: String,
    pub issued: Moment,
    pub withdrawn: bool,
}

/// The columns of a job with those of its newest certificate.
macro_rules! select_with_certificate {
    ($rest:literal) => {
        select!(
            ", j.vin, n.number as certificate, n.issued_ms, w.at_ms as withdrawn_ms",
            "left join certificate n on n.workshop_id = j.workshop_id and n.job_id = j.id \
             and n.version = (select max(version) from certificate v \
             where v.workshop_id = j.workshop_id and v.job_id = j.id) \
             left join withdrawal w on w.workshop_id = n.workshop_id and w.number = n.number ",
            $rest
        )
    };
}

/// Everything that is connected with job $2: by a re-inspection either way, or by the registration, unless
/// two identification numbers contradict each other: one that was noted longer does not.
macro_rules! same_vehicle {
    () => {
        "with recursive same (id) as (select $2 \
         union select r.earlier_job_id from same s join reinspection r \
         on r.workshop_id = $1 and r.job_id = s.id \
         union select r.job_id from same s join reinspection f \
         on f.workshop_id = $1 and f.job_id = s.id \
         join reinspection r on r.workshop_id = $1 and r.first_job_id = f.first_job_id \
         union select r.job_id from same s join reinspection r \
         on r.workshop_id = $1 and r.first_job_id = s.id \
         union select o.id from same s join job j on j.workshop_id = $1 and j.id = s.id \
         join job o on o.workshop_id = $1 and o.plate = j.plate and o.plate <> '' \
         and (o.vin = '' or j.vin = '' or substr(o.vin, -length(j.vin)) = j.vin \
         or substr(j.vin, -length(o.vin)) = o.vin)) "
    };
}

const OF_VEHICLE: &str = concat!(
    same_vehicle!(),
    select_with_certificate!("j.id in (select id from same) order by j.number desc limit $3")
);

const WITH_SAME_VIN: &str = concat!(
    same_vehicle!(),
    select_with_certificate!(
        "j.vin in (select v.vin from job v where v.workshop_id = $1 \
         and v.id in (select id from same) and length(v.vin) >= $4) \
         and j.id not in (select id from same) order by j.number desc limit $3"
    )
);

/// Every job of the vehicle that a job was about, the newest first.
pub async fn of_vehicle(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<OfVehicle>, StorageError> {
    let query = sqlx::query(OF_VEHICLE).bind(workshop.0).bind(job.0).bind(VEHICLE_JOBS_MAX);
    read(&query.fetch_all(store.readers()).await?)
}

/// Jobs under another registration whose identification number ends alike: perhaps the same vehicle.
pub async fn with_same_vin(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<OfVehicle>, StorageError> {
    let query = sqlx::query(WITH_SAME_VIN)
        .bind(workshop.0)
        .bind(job.0)
        .bind(VEHICLE_JOBS_MAX)
        .bind(VIN_CHARS_MIN);
    read(&query.fetch_all(store.readers()).await?)
}

fn read(rows: &[SqliteRow]) -> Result<Vec<OfVehicle>, StorageError> {
    rows.iter()
        .map(|row| {
            let number = row.text_or_none("certificate")?;
            let issued = row.signed_or_none("issued_ms")?.map(Moment);
            let withdrawn = row.signed_or_none("withdrawn_ms")?.is_some();
            let certificate = number.zip(issued);
            Ok(OfVehicle {
                job: job(row)?,
                vin: row.text("vin")?,
                certificate: certificate.map(|(number, issued)| NewestCertificate {
                    number,
                    issued,
                    withdrawn,
                }),
            })
        })
        .collect()
}
