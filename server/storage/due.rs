//! Vehicles whose certificate is in force, by the day it was issued: what is due follows from that day.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Rows that one query gives at most.
pub const DUE_ROWS_MAX: u32 = 5_000;

/// A certificate in force that no later one of its line takes the place of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueRow {
    pub job: JobId,
    pub job_number: u64,
    pub vehicle: String,
    pub registration: String,
    pub kit_title: String,
    pub customer_name: String,
    pub certificate: String,
    pub version: u32,
    pub issued: Moment,
    pub is_reinspection: bool,
    /// The re-inspection that is under way, with its number.
    pub under_way: Option<(JobId, u64)>,
}

/// Where a list goes on: behind this certificate.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct DueMark {
    pub issued: Moment,
    pub certificate: String,
}

/// Which of them.
#[derive(Debug, Clone)]
pub struct Window {
    pub after: DueMark,
    /// Without re-inspections: their joints have settled.
    pub first_jobs_only: bool,
    pub limit: u32,
}

/// $1 workshop, $2 and $3 mark, $4 first jobs only, $5 rows.
pub const SQL_DUE: &str = "select c.number as certificate, c.version, c.issued_ms, j.id, \
    j.number as job_number, j.vehicle, j.registration, k.title as kit_title, \
    u.name as customer_name, r.first_job_id, o.id as open_id, o.number as open_number \
    from certificate c \
    cross join job j on j.workshop_id = c.workshop_id and j.id = c.job_id \
    cross join kit k on k.workshop_id = j.workshop_id and k.id = j.kit_id \
    cross join customer u on u.workshop_id = j.workshop_id and u.id = j.customer_id \
    left join reinspection r on r.workshop_id = j.workshop_id and r.job_id = j.id \
    left join job o on o.workshop_id = j.workshop_id and o.id = (select x.job_id from reinspection x \
    where x.workshop_id = j.workshop_id and x.first_job_id = coalesce(r.first_job_id, j.id) \
    and not exists (select 1 from certificate d where d.workshop_id = x.workshop_id \
    and d.job_id = x.job_id) limit 1) \
    where c.workshop_id = $1 and (c.issued_ms, c.number) > ($2, $3) \
    and ($4 = 0 or r.job_id is null) \
    and not exists (select 1 from certificate n where n.workshop_id = c.workshop_id \
    and n.job_id = c.job_id and n.version = c.version + 1) \
    and not exists (select 1 from withdrawal w where w.workshop_id = c.workshop_id \
    and w.number = c.number) \
    and not exists (select 1 from certificate l where l.workshop_id = c.workshop_id \
    and l.job_id in (select coalesce(r.first_job_id, j.id) union all select x.job_id \
    from reinspection x where x.workshop_id = c.workshop_id \
    and x.first_job_id = coalesce(r.first_job_id, j.id)) \
    and (l.issued_ms, l.register_idx) > (c.issued_ms, c.register_idx) \
    and not exists (select 1 from certificate n where n.workshop_id = l.workshop_id \
    and n.job_id = l.job_id and n.version = l.version + 1) \
    and not exists (select 1 from withdrawal w where w.workshop_id = l.workshop_id \
    and w.number = l.number)) \
    order by c.issued_ms, c.number limit $5";

/// The oldest certificate first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    window: &Window,
) -> Result<Vec<DueRow>, StorageError> {
    let rows = sqlx::query(SQL_DUE)
        .bind(workshop.0)
        .bind(window.after.issued.0)
        .bind(&window.after.certificate)
        .bind(i64::from(window.first_jobs_only))
        .bind(window.limit.min(DUE_ROWS_MAX))
        .fetch_all(store.readers())
        .await?;
    rows.iter().map(due_row).collect()
}

fn due_row(row: &SqliteRow) -> Result<DueRow, StorageError> {
    let open = row.uuid_or_none("open_id")?.map(JobId);
    let open_number = row.signed_or_none("open_number")?.map(i64::unsigned_abs);
    Ok(DueRow {
        job: JobId(row.uuid("id")?),
        job_number: row.number("job_number")?,
        vehicle: row.text("vehicle")?,
        registration: row.text("registration")?,
        kit_title: row.text("kit_title")?,
        customer_name: row.text("customer_name")?,
        certificate: row.text("certificate")?,
        version: row.number("version")?,
        issued: row.moment("issued_ms")?,
        is_reinspection: row.uuid_or_none("first_job_id")?.is_some(),
        under_way: open.zip(open_number),
    })
}
