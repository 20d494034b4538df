//! Measuring instruments and torque tools with their calibrations.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{CalibrationId, InstrumentId, Moment, WorkshopId};
use crate::domain::instrument::{Calibration, Instrument, Range};

use super::columns::Columns as _;
use super::error::one_row;
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
    let mut calibrations = calibrations(store, workshop, Some(id)).await?;
    instrument(&row, &mut calibrations).map(Some)
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
    let mut calibrations = calibrations(store, workshop, None).await?;
    rows.iter().map(|row| instrument(row, &mut calibrations)).collect()
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

fn instrument(row: &SqliteRow, all: &mut Calibrations) -> Result<Instrument, StorageError> {
    let id = InstrumentId(row.uuid("id")?);
    let ranges: Vec<Range> = serde_json::from_str(&row.text("ranges")?)
        .map_err(|error| StorageError::unreadable("ranges", error))?;
    Ok(Instrument {
        id,
        label: row.text("label")?,
        kind: row.text("kind")?,
        serial: row.text("serial")?,
        ranges,
        calibrations: all.remove(&id).unwrap_or_default(),
        retired: !row.is_null("retired_ms")?,
    })
}

fn ranges_text(ranges: &[Range]) -> Result<String, StorageError> {
    serde_json::to_string(ranges).map_err(|error| StorageError::unreadable("ranges", error))
}
