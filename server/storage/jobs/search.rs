//! Search over jobs: words as people type them, and filters, in one question to the index of words.
//!
//! What is found stands in the order in which jobs were opened, the newest first: the index holds it in that
//! order, so a word that half of all jobs have costs no more than one page of them.

use std::fmt::Write as _;

use sqlx::Row as _;
use uuid::Uuid;

use crate::domain::ids::{Moment, PersonId, WorkshopId};

use super::super::{StorageError, Store};
use super::{JOBS_LISTED, JOBS_LISTED_MAX, JobRow, find, job, select};

/// Words of one search that are looked for; more say nothing more.
pub const WORDS_MAX: usize = 12;
/// Characters of one search that are read.
const CHARS_MAX: usize = 400;
/// A shorter last word stands for itself and not for all that begins with it.
const PREFIX_CHARS_MIN: usize = 2;
/// Pages of the index that are merged in one write.
const MERGED_PAGES: i64 = 200;
/// The columns that free words are looked for in.
const EVERYWHERE: &str = "{number customer vehicle kit people notes}";

/// Which jobs. What is empty does not narrow.
#[derive(Debug, Clone, Default)]
pub struct Search {
    /// Looked for in everything that is known of a job.
    pub words: String,
    pub customer: String,
    /// Looked for in vehicle, registration and the end of the identification number.
    pub vehicle: String,
    /// The code of a kit, whatever edition.
    pub kit: String,
    pub person: Option<PersonId>,
    pub stages: Vec<String>,
    /// Opened then or later.
    pub from: Option<Moment>,
    /// Opened before.
    pub until: Option<Moment>,
    /// Where the page before ended.
    pub before: Option<i64>,
    /// 0 stands for [`JOBS_LISTED`].
    pub limit: u32,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub jobs: Vec<JobRow>,
    /// Where the next page begins, if there is one.
    pub next: Option<i64>,
}

/// $1 workshop, $2 what the index is asked, $3 and $4 documents from and before, $5 and $6 opened from and
/// before, $7 rows.
pub const SQL_SEARCH: &str = "select s.doc, s.job_id from job_text t cross join job_search s \
     on s.doc = t.rowid where job_text match $2 and t.rowid >= $3 and t.rowid < $4 \
     and s.workshop_id = $1 and s.opened_ms >= $5 and s.opened_ms < $6 \
     order by t.rowid desc limit $7";

/// The documents of the jobs that were opened in a span of time.
const SQL_SPAN: &str = "select min(doc) as first, max(doc) as last from job_search \
     where workshop_id = $1 and opened_ms >= $2 and opened_ms < $3";

const SQL_LOAD: &str =
    select!("j.id in (select unhex(value) from json_each($2)) order by j.number desc");

/// Jobs that have all of it, the newest first. A job whose number was typed stands before all others.
pub async fn search(
    store: &Store,
    workshop: WorkshopId,
    asked: &Search,
) -> Result<Found, StorageError> {
    let nothing = Found { jobs: Vec::new(), next: None };
    let Some(question) = question(workshop, asked) else { return Ok(nothing) };
    let limit = if asked.limit == 0 { JOBS_LISTED } else { asked.limit.min(JOBS_LISTED_MAX) };
    let Some(span) = span(store, workshop, asked).await? else { return Ok(nothing) };
    let (from, until) = opened(asked);
    let rows = sqlx::query(SQL_SEARCH)
        .bind(workshop.0)
        .bind(question)
        .bind(span.0)
        .bind(asked.before.map_or(span.1, |before| before.min(span.1)))
        .bind(from)
        .bind(until)
        // One more than is shown tells whether there is a next page.
        .bind(limit + 1)
        .fetch_all(store.readers())
        .await?;
    let shown = rows.get(..limit as usize).unwrap_or(&rows);
    let next = if shown.len() < rows.len() { shown.last() } else { None };
    let next = next.map(|row| row.try_get("doc")).transpose()?;
    let ids: Result<Vec<Uuid>, _> = shown.iter().map(|row| row.try_get("job_id")).collect();
    let mut jobs = load_in_order(store, workshop, &ids?).await?;
    put_first(store, workshop, asked, &mut jobs).await?;
    Ok(Found { jobs, next })
}

/// Merges the parts of the index into one, step by step, so that others write in between. Words that were
/// changed or erased are in no part of it then; until then they are found by nobody, and still lie in the file.
pub async fn drop_old_words(store: &Store) -> Result<(), StorageError> {
    // A negative number begins with all parts, positive ones go on.
    let mut pages = -MERGED_PAGES;
    while merge(store, pages).await? {
        pages = MERGED_PAGES;
    }
    Ok(())
}

/// Whether anything was left to merge.
async fn merge(store: &Store, pages: i64) -> Result<bool, StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let changes = "select total_changes()";
                let before: i64 = sqlx::query_scalar(changes).fetch_one(&mut *db).await?;
                let merge = "insert into job_text (job_text, rank) values ('merge', $1)";
                sqlx::query(merge).bind(pages).execute(&mut *db).await?;
                let after: i64 = sqlx::query_scalar(changes).fetch_one(db).await?;
                // The statement itself counts as one (SQLite FTS5, 6.8).
                Ok(after - before > 1)
            })
        })
        .await
}

fn opened(asked: &Search) -> (i64, i64) {
    (asked.from.map_or(i64::MIN, |from| from.0), asked.until.map_or(i64::MAX, |until| until.0))
}

/// The first document, and the one behind the last; none where nothing was opened then.
async fn span(
    store: &Store,
    workshop: WorkshopId,
    asked: &Search,
) -> Result<Option<(i64, i64)>, StorageError> {
    if asked.from.is_none() && asked.until.is_none() {
        return Ok(Some((0, i64::MAX)));
    }
    let (from, until) = opened(asked);
    let query = sqlx::query(SQL_SPAN).bind(workshop.0).bind(from).bind(until);
    let row = query.fetch_one(store.readers()).await?;
    let ends: (Option<i64>, Option<i64>) = (row.try_get("first")?, row.try_get("last")?);
    Ok(ends.0.zip(ends.1).map(|(first, last)| (first, last.saturating_add(1))))
}

/// The jobs of these ids, in their order.
pub(super) async fn load_in_order(
    store: &Store,
    workshop: WorkshopId,
    ids: &[Uuid],
) -> Result<Vec<JobRow>, StorageError> {
    let list: Vec<String> = ids.iter().map(|id| format!("\"{}\"", id.simple())).collect();
    let list = format!("[{}]", list.join(","));
    let query = sqlx::query(SQL_LOAD).bind(workshop.0).bind(list);
    let rows = query.fetch_all(store.readers()).await?;
    let mut jobs = rows.iter().map(job).collect::<Result<Vec<_>, _>>()?;
    let place = |job: &JobRow| ids.iter().position(|id| *id == job.id.0);
    jobs.sort_by_cached_key(place);
    Ok(jobs)
}

/// Whoever types a number mostly means the job.
async fn put_first(
    store: &Store,
    workshop: WorkshopId,
    asked: &Search,
    jobs: &mut Vec<JobRow>,
) -> Result<(), StorageError> {
    let Ok(number) = asked.words.trim().parse::<u32>() else { return Ok(()) };
    let lone = Search { words: asked.words.clone(), ..Search::default() };
    let is_alone = question(workshop, asked) == question(workshop, &lone);
    if !is_alone || asked.from.is_some() || asked.until.is_some() {
        return Ok(());
    }
    jobs.retain(|job| job.number != u64::from(number));
    if asked.before.is_none()
        && let Some(meant) = find(store, workshop, u64::from(number)).await?
    {
        jobs.insert(0, meant);
    }
    Ok(())
}

/// What the index is asked; nothing where words were typed and none of them has a letter or digit.
fn question(workshop: WorkshopId, asked: &Search) -> Option<String> {
    let mut all = vec![format!("keys : zzw{}", workshop.0.simple())];
    if !asked.kit.is_empty() {
        all.push(format!("keys : zzk{}", hex(asked.kit.as_bytes())));
    }
    all.extend(asked.person.map(|person| format!("keys : zzp{}", person.0.simple())));
    if !asked.stages.is_empty() {
        let letters = |word: &String| word.chars().filter(char::is_ascii_lowercase).collect();
        let any: Vec<String> = asked.stages.iter().map(letters).collect();
        all.push(format!("keys : (zzs{})", any.join(" OR zzs")));
    }
    for (columns, typed) in
        [(EVERYWHERE, &asked.words), ("customer", &asked.customer), ("vehicle", &asked.vehicle)]
    {
        let words = terms(columns, typed);
        if words.is_empty() && !typed.trim().is_empty() {
            return None;
        }
        all.extend(words);
    }
    Some(all.join(" AND "))
}

/// Each word between quotes, so that nothing in it is a command; the last one may be unfinished.
fn terms(columns: &str, typed: &str) -> Vec<String> {
    let typed: String = typed.chars().take(CHARS_MAX).map(harmless).collect();
    let words = typed.split_whitespace().filter(|word| word.contains(char::is_alphanumeric));
    let words: Vec<&str> = words.take(WORDS_MAX).collect();
    let mut terms: Vec<String> =
        words.iter().map(|word| format!("{columns} : \"{word}\"")).collect();
    let ends = words.last().and_then(|word| word.rsplit(|c: char| !c.is_alphanumeric()).next());
    if let Some(last) = terms.last_mut()
        && ends.is_some_and(|end| end.chars().count() >= PREFIX_CHARS_MIN)
    {
        last.push_str(" *");
    }
    terms
}

fn harmless(c: char) -> char {
    if c == '"' || c.is_control() { ' ' } else { c }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a text cannot fail.
        let _written = write!(text, "{byte:02x}");
        text
    })
}
