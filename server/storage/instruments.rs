//! Measuring instruments and torque tools with their calibrations.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{CalibrationId, InstrumentId, Moment, WorkshopId};
use crate::domain::instrument::{Calibration, Instrument, Range};

use super::columns::Columns as _;
use super::error::one_row;
use super::recalls::{self, Recalls};
use super::{StorageError, Store};

/// Adds an instrument with the calibrations it carries.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    instrument: Instrument,
    created: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| Box::pin(insert_with_calibrations(db, workshop, instrument, created)))
        .await
}

pub(super) async fn insert_with_calibrations(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    instrument: Instrument,
    created: Moment,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into instrument (workshop_id, id, label, kind, serial, ranges, created_ms, \
         retired_ms) values ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(workshop.0)
    .bind(instrument.id.0)
    .bind(instrument.label)
    .bind(instrument.kind)
    .bind(instrument.serial)
    .bind(ranges_text(&instrument.ranges)?)
    .bind(created.0)
    .bind(instrument.retired.then_some(created.0))
    .execute(&mut *db)
    .await?;
    for calibration in instrument.calibrations {
        insert(&mut *db, workshop, instrument.id, calibration).await?;
    }
    for recall in &instrument.recalls {
        recalls::insert(&mut *db, (workshop, instrument.id), recall, None).await?;
    }
    Ok(())
}

pub async fn append_calibration(
    store: &Store,
    workshop: WorkshopId,
    instrument: InstrumentId,
    calibration: Calibration,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, workshop, instrument, calibration))).await
}

async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    instrument: InstrumentId,
    calibration: Calibration,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into calibration (workshop_id, instrument_id, id, done_on, due_on, certificate) \
         values ($1, $2, $3, $4, $5, $6)",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(calibration.id.0)
    .bind(calibration.done_on)
    .bind(calibration.due_on)
    .bind(calibration.certificate)
    .execute(db)
    .await?;
    Ok(())
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: InstrumentId,
) -> Result<Option<Instrument>, StorageError> {
    let row = sqlx::query("select * from instrument where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    let Some(row) = row else { return Ok(None) };
    let mut known = known(store, workshop, Some(id)).await?;
    instrument(&row, &mut known).map(Some)
}

/// By label, retired ones last.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<Instrument>, StorageError> {
    let rows = sqlx::query(
        "select * from instrument where workshop_id = $1 \
         order by retired_ms is not null, label, id",
    )
    .bind(workshop.0)
    .fetch_all(store.readers())
    .await?;
    let mut known = known(store, workshop, None).await?;
    rows.iter().map(|row| instrument(row, &mut known)).collect()
}

/// Takes an instrument out of use; its readings stay what they are.
pub async fn retire(
    store: &Store,
    workshop: WorkshopId,
    id: InstrumentId,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update instrument set retired_ms = coalesce(retired_ms, $3) \
                     where workshop_id = $1 and id = $2",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(now.0)
                .execute(db)
                .await?;
                one_row(&changed)
            })
        })
        .await
}

/// How many instruments in use want care on a day: none of their calibrations goes on beyond `warn`, or they
/// are recalled. The same rule as `Instrument::standing`, for the number in the navigation.
pub async fn count_due(
    store: &Store,
    workshop: WorkshopId,
    (today, warn): (&str, &str),
) -> Result<u64, StorageError> {
    let row = sqlx::query(
        "select count(*) as due from instrument i where i.workshop_id = $1 and i.retired_ms is null \
         and (not exists (select 1 from calibration c where c.workshop_id = $1 \
         and c.instrument_id = i.id and c.done_on <= $2 and c.due_on > $3) \
         or exists (select 1 from instrument_recall r where r.workshop_id = $1 \
         and r.instrument_id = i.id and (r.found_on >= $2 or not exists (select 1 from calibration c \
         where c.workshop_id = $1 and c.instrument_id = i.id and c.done_on >= r.found_on \
         and instr(replace(r.doubted, '-', ''), lower(hex(c.id))) = 0))))",
    )
    .bind(workshop.0)
    .bind(today)
    .bind(warn)
    .fetch_one(store.readers())
    .await?;
    row.number("due")
}

async fn known(
    store: &Store,
    workshop: WorkshopId,
    instrument: Option<InstrumentId>,
) -> Result<(Calibrations, Recalls), StorageError> {
    let calibrations = calibrations(store, workshop, instrument).await?;
    Ok((calibrations, recalls::list(store, workshop, instrument).await?))
}

type Calibrations = BTreeMap<InstrumentId, Vec<Calibration>>;

/// In the order they were done; of one instrument, or of all.
async fn calibrations(
    store: &Store,
    workshop: WorkshopId,
    instrument: Option<InstrumentId>,
) -> Result<Calibrations, StorageError> {
    let rows = sqlx::query(
        "select * from calibration where workshop_id = $1 \
         and ($2 is null or instrument_id = $2) order by instrument_id, done_on, id",
    )
    .bind(workshop.0)
    .bind(instrument.map(|id| id.0))
    .fetch_all(store.readers())
    .await?;
    let mut all = Calibrations::new();
    for row in &rows {
        let instrument = InstrumentId(row.uuid("instrument_id")?);
        all.entry(instrument).or_default().push(Calibration {
            id: CalibrationId(row.uuid("id")?),
            done_on: row.text("done_on")?,
            due_on: row.text("due_on")?,
            certificate: row.text("certificate")?,
        });
    }
    Ok(all)
}

fn instrument(
    row: &SqliteRow,
    (calibrations, recalls): &mut (Calibrations, Recalls),
) -> Result<Instrument, StorageError> {
    let id = InstrumentId(row.uuid("id")?);
    let ranges: Vec<Range> = serde_json::from_str(&row.text("ranges")?)
        .map_err(|error| StorageError::unreadable("ranges", error))?;
    Ok(Instrument {
        id,
        label: row.text("label")?,
        kind: row.text("kind")?,
        serial: row.text("serial")?,
        ranges,
        calibrations: calibrations.remove(&id).unwrap_or_default(),
        recalls: recalls.remove(&id).unwrap_or_default(),
        retired: !row.is_null("retired_ms")?,
    })
}

fn ranges_text(ranges: &[Range]) -> Result<String, StorageError> {
    serde_json::to_string(ranges).map_err(|error| StorageError::unreadable("ranges", error))
}
