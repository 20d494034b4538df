//! The language of one job's papers.

use crate::domain::ids::{JobId, WorkshopId};
use crate::domain::paper_style::Language;
use crate::storage::{StorageError, Store};

/// Nothing where the papers follow the workshop.
pub async fn language(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Option<Language>, StorageError> {
    let found: Option<String> = sqlx::query_scalar(
        "select language from job_language where workshop_id = $1 and job_id = $2",
    )
    .bind(workshop.0)
    .bind(job.0)
    .fetch_optional(store.readers())
    .await?;
    let known = |word: String| {
        Language::find(&word).ok_or_else(|| StorageError::unreadable("language", word))
    };
    found.map(known).transpose()
}

pub async fn change_language(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    language: Option<Language>,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let gone = "delete from job_language where workshop_id = $1 and job_id = $2";
                sqlx::query(gone).bind(workshop.0).bind(job.0).execute(&mut *db).await?;
                if let Some(language) = language {
                    let new =
                        "insert into job_language (workshop_id, job_id, language) values ($1, $2, $3)";
                    let new = sqlx::query(new).bind(workshop.0).bind(job.0);
                    new.bind(language.word()).execute(db).await?;
                }
                Ok(())
            })
        })
        .await
}
