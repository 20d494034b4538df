//! What people did that no job's chain holds. Rows are only added.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{DeviceId, Moment, PersonId, WorkshopId};

use super::columns::{Columns as _, pattern};
use super::{StorageError, Store};

/// An act that was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditRow {
    pub at: Moment,
    pub person: PersonId,
    pub device: DeviceId,
    /// The pattern of the route.
    pub act: String,
    /// The address, which names what it was done to.
    pub address: String,
}

/// The same as it is read: with what person and device are called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedAct {
    /// In the workshop, from 1 and without a gap: later acts have larger numbers.
    pub number: i64,
    pub row: AuditRow,
    pub person: String,
    pub device: String,
}

/// Which acts are asked for. What is nothing asks for all.
#[derive(Debug, Clone, Default)]
pub struct AuditFilter {
    pub person: Option<PersonId>,
    pub act: Option<String>,
    /// At or after.
    pub from: Option<Moment>,
    /// Before.
    pub until: Option<Moment>,
    pub text: Option<AuditText>,
    /// The page goes on below this number.
    pub below: Option<i64>,
    pub limit: u32,
}

/// A text that is looked for: in what devices are called and in addresses, and where any of these is named.
#[derive(Debug, Clone, Default)]
pub struct AuditText {
    pub text: String,
    /// People whose name holds it: as those who acted, or as whom it was done to.
    pub people: Vec<PersonId>,
    /// Acts whose words hold it.
    pub acts: Vec<String>,
    /// What else is called so, as ids in addresses.
    pub about: Vec<String>,
}

impl AuditText {
    /// As the question takes it: pattern, people, acts and parts of addresses, the lists as JSON.
    fn asked(&self) -> [String; 4] {
        let hex = |person: &PersonId| person.0.simple().to_string();
        let ids = self.people.iter().map(ToString::to_string);
        let about: Vec<String> = ids.chain(self.about.iter().cloned()).collect();
        [
            pattern(&self.text),
            json(&self.people.iter().map(hex).collect::<Vec<_>>()),
            json(&self.acts),
            json(&about),
        ]
    }
}

/// A list of texts always has a JSON form.
fn json(texts: &[String]) -> String {
    serde_json::to_string(texts).unwrap_or_else(|_| "[]".to_owned())
}

/// Adds the act under the next number of its workshop.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    row: AuditRow,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "insert into audit (workshop_id, number, at_ms, person_id, device_id, act, \
                     at_address) select $1, coalesce(max(number), 0) + 1, $2, $3, $4, $5, $6 \
                     from audit where workshop_id = $1",
                )
                .bind(workshop.0)
                .bind(row.at.0)
                .bind(row.person.0)
                .bind(row.device.0)
                .bind(row.act)
                .bind(row.address)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// The newest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    filter: &AuditFilter,
) -> Result<Vec<NamedAct>, StorageError> {
    let text = filter.text.as_ref().map(AuditText::asked);
    let rows = sqlx::query(
        "select a.*, p.name as person, d.label as device from audit a \
         join person p on p.workshop_id = a.workshop_id and p.id = a.person_id \
         join device d on d.workshop_id = a.workshop_id and d.id = a.device_id \
         where a.workshop_id = $1 and ($2 is null or a.person_id = $2) \
         and ($3 is null or a.act = $3) and ($4 is null or a.at_ms >= $4) \
         and ($5 is null or a.at_ms < $5) and ($6 is null or a.number < $6) \
         and ($8 is null or d.label like $8 escape '\\' or a.at_address like $8 escape '\\' \
         or lower(hex(a.person_id)) in (select value from json_each($9)) \
         or a.act in (select value from json_each($10)) \
         or exists (select 1 from json_each($11) k where instr(a.at_address, k.value) > 0)) \
         order by a.number desc limit $7",
    )
    .bind(workshop.0)
    .bind(filter.person.map(|person| person.0))
    .bind(filter.act.as_deref())
    .bind(filter.from.map(|from| from.0))
    .bind(filter.until.map(|until| until.0))
    .bind(filter.below)
    .bind(filter.limit)
    .bind(text.as_ref().map(|[pattern, ..]| pattern.clone()))
    .bind(text.as_ref().map(|[_, people, ..]| people.clone()))
    .bind(text.as_ref().map(|[_, _, acts, _]| acts.clone()))
    .bind(text.as_ref().map(|[.., about]| about.clone()))
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(named).collect()
}

fn named(row: &SqliteRow) -> Result<NamedAct, StorageError> {
    let (person, device) = (row.text("person")?, row.text("device")?);
    let number = row.number("number")?;
    let row = AuditRow {
        at: row.moment("at_ms")?,
        person: PersonId(row.uuid("person_id")?),
        device: DeviceId(row.uuid("device_id")?),
        act: row.text("act")?,
        address: row.text("at_address")?,
    };
    Ok(NamedAct { number, row, person, device })
}
