//! Workshops.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::certificate::PaperSize;
use crate::domain::ids::{Moment, WorkshopId};
use crate::domain::number::Decimal;

use super::columns::Columns as _;
use super::error::{one_row, taken};
use super::{Conflict, StorageError, Store};

/// The business that answers for the work, with what it has settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Workshop {
    pub id: WorkshopId,
    pub name: String,
    pub address: String,
    pub phone: String,
    pub email: String,
    /// Two to four capitals; begins each certificate number.
    pub certificate_prefix: String,
    /// Where certificates are signed: the town.
    pub place: String,
    /// Whoever did the work may also release it.
    pub one_person_release: bool,
    pub insulation_least_megohm: Decimal,
    /// What certificates and handovers are made for.
    pub paper: PaperSize,
    pub created: Moment,
}

pub async fn append(store: &Store, workshop: &Workshop) -> Result<(), StorageError> {
    let workshop = workshop.clone();
    store.write(move |db| Box::pin(insert(db, workshop))).await
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: Workshop,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into workshop (id, name, address, phone, email, certificate_prefix, place, \
         one_person_release, insulation_least_megohm, created_ms, paper) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(workshop.id.0)
    .bind(workshop.name)
    .bind(workshop.address)
    .bind(workshop.phone)
    .bind(workshop.email)
    .bind(workshop.certificate_prefix)
    .bind(workshop.place)
    .bind(i64::from(workshop.one_person_release))
    .bind(workshop.insulation_least_megohm.to_string())
    .bind(workshop.created.0)
    .bind(workshop.paper.word())
    .execute(db)
    .await
    .map_err(taken(Conflict::PrefixTaken))?;
    Ok(())
}

/// Changes everything but the id, the prefix (numbers carry it) and when it was made.
pub async fn change(store: &Store, workshop: &Workshop) -> Result<(), StorageError> {
    let workshop = workshop.clone();
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update workshop set name = $2, address = $3, phone = $4, email = $5, \
                     place = $6, one_person_release = $7, insulation_least_megohm = $8, paper = $9 \
                     where id = $1",
                )
                .bind(workshop.id.0)
                .bind(workshop.name)
                .bind(workshop.address)
                .bind(workshop.phone)
                .bind(workshop.email)
                .bind(workshop.place)
                .bind(i64::from(workshop.one_person_release))
                .bind(workshop.insulation_least_megohm.to_string())
                .bind(workshop.paper.word())
                .execute(db)
                .await?;
                one_row(&changed)
            })
        })
        .await
}

pub async fn load(store: &Store, id: WorkshopId) -> Result<Option<Workshop>, StorageError> {
    let row = sqlx::query("select * from workshop where id = $1")
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| workshop(&row)).transpose()
}

pub async fn list(store: &Store) -> Result<Vec<Workshop>, StorageError> {
    let rows = sqlx::query("select * from workshop order by name, id");
    rows.fetch_all(store.readers()).await?.iter().map(workshop).collect()
}

fn workshop(row: &SqliteRow) -> Result<Workshop, StorageError> {
    let insulation = row.text("insulation_least_megohm")?;
    let paper = row.text("paper")?;
    Ok(Workshop {
        id: WorkshopId(row.uuid("id")?),
        name: row.text("name")?,
        address: row.text("address")?,
        phone: row.text("phone")?,
        email: row.text("email")?,
        certificate_prefix: row.text("certificate_prefix")?,
        place: row.text("place")?,
        one_person_release: row.flag("one_person_release")?,
        insulation_least_megohm: Decimal::from_str_exact(&insulation)
            .map_err(|error| StorageError::unreadable("insulation_least_megohm", error))?,
        paper: PaperSize::find(&paper).ok_or_else(|| StorageError::unreadable("paper", paper))?,
        created: row.moment("created_ms")?,
    })
}
