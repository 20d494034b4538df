//! Workshops.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::certificate::PaperSize;
use crate::domain::ids::{Moment, WorkshopId};
use crate::domain::number::Decimal;
use crate::domain::paper_style::{DayStyle, DecimalMark, Language, OtherUnit, PaperStyle};

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
    pub papers: Papers,
    pub created: Moment,
}

/// What papers say of the workshop beside its name and address, and how they say it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Papers {
    /// The number it is registered or licensed under, as it is printed.
    pub registration: String,
    /// Whom the customer calls, one line each; telephone and e-mail where nothing stands here.
    pub call: String,
    pub style: PaperStyle,
}

impl Workshop {
    /// Whom the customer calls: a telephone first, that is what a person at the roadside needs.
    pub fn call(&self) -> Vec<String> {
        let own: Vec<&str> = self.papers.call.lines().collect();
        let lines = if own.is_empty() { vec![&*self.phone, &*self.email] } else { own };
        lines.into_iter().map(str::trim).filter(|l| !l.is_empty()).map(str::to_owned).collect()
    }
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
         one_person_release, insulation_least_megohm, created_ms, paper, registration, call_lines, \
         language, decimal_mark, day_style, other_units) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)",
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
    .bind(workshop.papers.registration)
    .bind(workshop.papers.call)
    .bind(workshop.papers.style.language.word())
    .bind(workshop.papers.style.mark.word())
    .bind(workshop.papers.style.days.word())
    .bind(unit_words(&workshop.papers.style))
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
                     place = $6, one_person_release = $7, insulation_least_megohm = $8, paper = $9, \
                     registration = $10, call_lines = $11, language = $12, decimal_mark = $13, \
                     day_style = $14, other_units = $15 where id = $1",
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
                .bind(workshop.papers.registration)
                .bind(workshop.papers.call)
                .bind(workshop.papers.style.language.word())
                .bind(workshop.papers.style.mark.word())
                .bind(workshop.papers.style.days.word())
                .bind(unit_words(&workshop.papers.style))
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
        papers: papers(row)?,
        created: row.moment("created_ms")?,
    })
}

fn papers(row: &SqliteRow) -> Result<Papers, StorageError> {
    let (language, mark) = (row.text("language")?, row.text("decimal_mark")?);
    let (days, units) = (row.text("day_style")?, row.text("other_units")?);
    Ok(Papers {
        registration: row.text("registration")?,
        call: row.text("call_lines")?,
        style: PaperStyle {
            language: Language::find(&language)
                .ok_or_else(|| StorageError::unreadable("language", language))?,
            mark: DecimalMark::find(&mark)
                .ok_or_else(|| StorageError::unreadable("decimal_mark", mark))?,
            days: DayStyle::find(&days)
                .ok_or_else(|| StorageError::unreadable("day_style", days))?,
            units: units.split_whitespace().filter_map(OtherUnit::find).collect(),
        },
    })
}

fn unit_words(style: &PaperStyle) -> String {
    style.units.iter().map(|unit| unit.word()).collect::<Vec<_>>().join(" ")
}

/// The workshop's mark as a PNG, if it has one.
pub async fn logo(store: &Store, id: WorkshopId) -> Result<Option<Vec<u8>>, StorageError> {
    let row = sqlx::query_scalar("select png from workshop_logo where workshop_id = $1").bind(id.0);
    Ok(row.fetch_optional(store.readers()).await?)
}

/// Keeps a mark in the place of the one before, or none.
pub async fn change_logo(
    store: &Store,
    id: WorkshopId,
    png: Option<Vec<u8>>,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let gone =
                    sqlx::query("delete from workshop_logo where workshop_id = $1").bind(id.0);
                gone.execute(&mut *db).await?;
                if let Some(png) = png {
                    let new =
                        sqlx::query("insert into workshop_logo (workshop_id, png) values ($1, $2)");
                    new.bind(id.0).bind(png).execute(db).await?;
                }
                Ok(())
            })
        })
        .await
}
