//! Where every certificate of a workshop stands, in one moment's view of the register.

use crate::domain::ids::{Moment, WorkshopId};

use super::super::columns::{Columns as _, stored};
use super::super::{StorageError, Store, imports};
use super::{LAST_LINE, end};

/// The register's end, and each certificate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// How many lines the register has.
    pub lines: u64,
    /// The value of its last line.
    pub head: [u8; 32],
    /// When the last line was added; nothing where there is none.
    pub last: Option<Moment>,
    /// By number. Without those that came here from elsewhere, unless they are withdrawn.
    pub certificates: Vec<Status>,
}

/// One certificate, without its record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Status {
    pub number: String,
    pub replaced_by: Option<String>,
    pub withdrawn: Option<Moment>,
}

pub async fn standing(store: &Store, workshop: WorkshopId) -> Result<Standing, StorageError> {
    // One transaction: a line that is added meanwhile is not half seen.
    let mut view = store.readers().begin().await?;
    let last = sqlx::query(LAST_LINE).bind(workshop.0).fetch_optional(&mut *view).await?;
    let (lines, head) = end(last.as_ref())?;
    // What came from elsewhere may have been withdrawn there since: it is not said to be in force.
    let imported = imports::look(&mut view, workshop).await?;
    let ours_from = imported.map_or(0, |imported| imported.register_lines);
    let rows = sqlx::query(
        "select c.number, n.number as replaced_by, w.at_ms as withdrawn_ms from certificate c \
         left join certificate n on n.workshop_id = c.workshop_id and n.job_id = c.job_id \
         and n.version = c.version + 1 \
         left join withdrawal w on w.workshop_id = c.workshop_id and w.number = c.number \
         where c.workshop_id = $1 and (c.register_idx >= $2 or w.number is not null) \
         order by c.number",
    )
    .bind(workshop.0)
    .bind(stored(ours_from))
    .fetch_all(&mut *view)
    .await?;
    let last = last.map(|row| row.moment("at_ms")).transpose()?;
    let certificates = rows.iter().map(|row| {
        Ok(Status {
            number: row.text("number")?,
            replaced_by: row.text_or_none("replaced_by")?,
            withdrawn: row.signed_or_none("withdrawn_ms")?.map(Moment),
        })
    });
    let certificates = certificates.collect::<Result<_, StorageError>>()?;
    Ok(Standing { lines, head, last, certificates })
}
