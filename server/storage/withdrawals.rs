//! Certificates that are withdrawn: one person asks, another confirms, and the register has a line.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{Moment, PersonId, WorkshopId};
use crate::domain::seal::sha256;

use super::certificates::{CertificateRow, LAST_LINE, Line, certificate, end, insert_line, select};
use super::columns::{Columns as _, stored};
use super::{Conflict, StorageError, Store};

/// Somebody asked that a certificate be withdrawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    pub number: String,
    pub reason: String,
    pub asked_by: PersonId,
    pub asked: Moment,
}

/// It was withdrawn, for good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withdrawal {
    pub number: String,
    pub reason: String,
    pub asked_by: PersonId,
    pub confirmed_by: PersonId,
    pub at: Moment,
    /// Its line in the register.
    pub index: u64,
}

/// The second person's word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confirmed {
    pub number: String,
    /// Which request was looked at.
    pub asked: Moment,
    pub by: PersonId,
    pub at: Moment,
}

/// Asks for a withdrawal. The same request again is the stored one; another beside it is refused.
pub async fn ask(
    store: &Store,
    workshop: WorkshopId,
    request: Request,
) -> Result<Request, StorageError> {
    store.write(move |db| Box::pin(insert_request(db, workshop, request))).await
}

async fn insert_request(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: Request,
) -> Result<Request, StorageError> {
    if find(&mut *db, workshop, &new.number).await?.is_some() {
        return Err(Conflict::Withdrawn.into());
    }
    if let Some(there) = find_open(&mut *db, workshop, &new.number).await? {
        let same = there.reason == new.reason && there.asked_by == new.asked_by;
        return if same { Ok(there) } else { Err(Conflict::WithdrawalAsked.into()) };
    }
    sqlx::query(
        "insert into withdrawal_request (workshop_id, number, reason, asked_by, asked_ms) \
         values ($1, $2, $3, $4, $5)",
    )
    .bind(workshop.0)
    .bind(&new.number)
    .bind(&new.reason)
    .bind(new.asked_by.0)
    .bind(new.asked.0)
    .execute(db)
    .await?;
    Ok(new)
}

/// Drops the request that was looked at: the certificate stays in force. Dropped already is dropped.
pub async fn drop_request(
    store: &Store,
    workshop: WorkshopId,
    number: &str,
    asked: Moment,
) -> Result<(), StorageError> {
    let number = number.to_owned();
    store
        .write(move |db| {
            Box::pin(async move {
                if find(&mut *db, workshop, &number).await?.is_some() {
                    return Err(Conflict::Withdrawn.into());
                }
                if find_open(&mut *db, workshop, &number).await?.is_some_and(|r| r.asked != asked) {
                    return Err(Conflict::WithdrawalMoved.into());
                }
                delete_request(db, workshop, &number).await
            })
        })
        .await
}

async fn delete_request(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    number: &str,
) -> Result<(), StorageError> {
    sqlx::query("delete from withdrawal_request where workshop_id = $1 and number = $2")
        .bind(workshop.0)
        .bind(number)
        .execute(db)
        .await?;
    Ok(())
}

/// Withdraws the certificate: the register's line, and the reason beside it. Asked again, the answer is
/// the same withdrawal.
pub async fn confirm(
    store: &Store,
    workshop: WorkshopId,
    confirmed: Confirmed,
) -> Result<Withdrawal, StorageError> {
    store.write(move |db| Box::pin(withdraw(db, workshop, confirmed))).await
}

async fn withdraw(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    confirmed: Confirmed,
) -> Result<Withdrawal, StorageError> {
    let Confirmed { number, asked, by, at } = confirmed;
    if let Some(there) = find(&mut *db, workshop, &number).await? {
        return Ok(there);
    }
    let request = find_open(&mut *db, workshop, &number).await?;
    let request = request.filter(|request| request.asked == asked);
    let request = request.ok_or(Conflict::WithdrawalMoved)?;
    let found = sqlx::query(select!("c.workshop_id = $1 and c.number = $2"));
    let found = found.bind(workshop.0).bind(&number).fetch_one(&mut *db).await?;
    let line = next_line(&mut *db, &certificate(&found)?, at).await?;
    let Request { reason, asked_by, .. } = request;
    let new = Withdrawal { number, reason, asked_by, confirmed_by: by, at, index: line.index };
    insert_line(&mut *db, workshop, line).await?;
    insert(&mut *db, workshop, &new).await?;
    delete_request(db, workshop, &new.number).await?;
    Ok(new)
}

/// The line that says of a certificate that it is withdrawn.
async fn next_line(
    db: &mut SqliteConnection,
    row: &CertificateRow,
    at: Moment,
) -> Result<Line, StorageError> {
    let last = sqlx::query(LAST_LINE).bind(row.workshop.0).fetch_optional(db).await?;
    let (index, prev) = end(last.as_ref())?;
    Ok(Line {
        index,
        prev,
        kind: WITHDRAW.to_owned(),
        number: row.number.clone(),
        record_sha256: sha256(&row.record),
        pdf_sha256: row.pdf_sha256,
        at,
        hash: [0; 32],
    })
}

/// The kind of its line.
pub(super) const WITHDRAW: &str = "withdraw";

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: &Withdrawal,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into withdrawal (workshop_id, number, reason, asked_by, confirmed_by, at_ms, \
         register_idx) values ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(workshop.0)
    .bind(&new.number)
    .bind(&new.reason)
    .bind(new.asked_by.0)
    .bind(new.confirmed_by.0)
    .bind(new.at.0)
    .bind(stored(new.index))
    .execute(db)
    .await?;
    Ok(())
}

/// The open request, if there is one.
pub async fn load_request(
    store: &Store,
    workshop: WorkshopId,
    number: &str,
) -> Result<Option<Request>, StorageError> {
    find_open(&mut *store.readers().acquire().await?, workshop, number).await
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    number: &str,
) -> Result<Option<Withdrawal>, StorageError> {
    find(&mut *store.readers().acquire().await?, workshop, number).await
}

async fn find_open(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    number: &str,
) -> Result<Option<Request>, StorageError> {
    let row =
        sqlx::query("select * from withdrawal_request where workshop_id = $1 and number = $2");
    let row = row.bind(workshop.0).bind(number).fetch_optional(db).await?;
    row.map(|row| {
        Ok(Request {
            number: row.text("number")?,
            reason: row.text("reason")?,
            asked_by: PersonId(row.uuid("asked_by")?),
            asked: row.moment("asked_ms")?,
        })
    })
    .transpose()
}

async fn find(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    number: &str,
) -> Result<Option<Withdrawal>, StorageError> {
    let row = sqlx::query("select * from withdrawal where workshop_id = $1 and number = $2");
    let row = row.bind(workshop.0).bind(number).fetch_optional(db).await?;
    row.map(|row| withdrawal(&row)).transpose()
}

pub(super) fn withdrawal(row: &SqliteRow) -> Result<Withdrawal, StorageError> {
    Ok(Withdrawal {
        number: row.text("number")?,
        reason: row.text("reason")?,
        asked_by: PersonId(row.uuid("asked_by")?),
        confirmed_by: PersonId(row.uuid("confirmed_by")?),
        at: row.moment("at_ms")?,
        index: row.number("register_idx")?,
    })
}
