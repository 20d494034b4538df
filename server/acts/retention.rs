//! What goes after the time that a workshop chose: counted first, done once a day, written down each time.

use super::ActError;
use crate::domain::entry::{Body, Digest};
use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::storage::photos;
use crate::storage::retention::{self, Deletion, Ended, Retention};
use crate::storage::{Store, entries, workshops};

/// A month as it is counted here: the longest there is, so that nothing goes early.
const MONTH_DAYS: i64 = 31;

/// What would go now.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Due {
    /// Of jobs that were never released, by job.
    pub photos: Vec<JobPhotos>,
    pub links: u64,
    pub sessions: u64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobPhotos {
    pub number: u64,
    pub photos: Vec<Digest>,
}

fn before(now: Moment, months: u32) -> Moment {
    now.plus_days(-MONTH_DAYS * i64::from(months))
}

/// Counts and changes nothing.
pub async fn due(
    store: &Store,
    workshop: WorkshopId,
    kept: Retention,
    now: Moment,
) -> Result<Due, ActError> {
    let mut due = Due::default();
    if let Some(months) = kept.photos_months {
        for (job, number) in retention::forgotten_jobs(store, workshop, before(now, months)).await?
        {
            let photos = photos_of(store, workshop, job).await?;
            due.photos.push(JobPhotos { number, photos });
        }
        due.photos.retain(|job| !job.photos.is_empty());
    }
    for (what, months) in ended(kept) {
        let count = retention::count_ended(store, workshop, what, before(now, months)).await?;
        match what {
            Ended::Links => due.links = count,
            Ended::Sessions => due.sessions = count,
        }
    }
    Ok(due)
}

fn ended(kept: Retention) -> impl Iterator<Item = (Ended, u32)> {
    let links = kept.links_months.map(|months| (Ended::Links, months));
    links.into_iter().chain(kept.sessions_months.map(|months| (Ended::Sessions, months)))
}

/// The photos that a job's entries name, that are here, and that no other job names.
async fn photos_of(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<Digest>, ActError> {
    let mut found: Vec<Digest> = Vec::new();
    for raw in entries::raw_list(store, workshop, job).await? {
        for photo in Body::read(&raw.body)?.payload.photos() {
            let is_new = !found.contains(photo);
            if is_new
                && photos::load(store, workshop, photo).await?.is_some()
                && !retention::is_named_elsewhere(store, workshop, job, photo).await?
            {
                found.push(photo.clone());
            }
        }
    }
    Ok(found)
}

/// Lets go what is due, in every workshop.
pub async fn keep_to(store: &Store, now: Moment) -> Result<(), ActError> {
    for workshop in workshops::list(store).await? {
        let kept = retention::load(store, workshop.id).await?;
        for job in due(store, workshop.id, kept, now).await?.photos {
            let names: Vec<String> = job.photos.iter().map(Digest::to_string).collect();
            let line = Deletion {
                at: now,
                kind: "photos".to_owned(),
                job_number: Some(job.number),
                count: job.photos.len() as u64,
                names: names.join(" "),
            };
            photos::delete(store, workshop.id, job.photos, line).await?;
        }
        for (what, months) in ended(kept) {
            let moments = (before(now, months), now);
            retention::delete_ended(store, workshop.id, what, moments).await?;
        }
    }
    Ok(())
}
