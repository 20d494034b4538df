//! Trends over the jobs of a period: what the page and the files show. And the filling of results that
//! were never derived, of jobs from before that was done.

pub mod tables;

use std::collections::BTreeMap;

use time::Date;

use super::ActError;
use super::job::{load, refresh};
use crate::domain::ids::{InstrumentId, JobId, Moment, PersonId, WorkshopId};
use crate::domain::trends::{
    Course, Failing, JobResult, PathKey, PathTrend, Rate, failing, path_trend, paths, rates,
};
use crate::storage::results::{Window, list, list_courses, list_unread};
use crate::storage::{Store, instruments, kits, people, workshops};

/// What is asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    pub from: Date,
    /// With the day itself.
    pub to: Date,
    pub kit: Option<String>,
    pub path: Option<PathKey>,
    pub person: Option<PersonId>,
    pub instrument: Option<InstrumentId>,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Trends {
    /// Measured results that fit what was asked, the newest first.
    pub results: Vec<JobResult>,
    /// There are more than are read at once.
    pub is_cut: bool,
    pub by_month: Vec<Rate<String>>,
    pub by_kit: Vec<Rate<String>>,
    pub by_person: Vec<Rate<PersonId>>,
    pub by_instrument: Vec<Rate<InstrumentId>>,
    pub failing: Vec<Failing>,
    /// Paths to choose from, with title and how often they were measured.
    pub paths: Vec<(PathKey, String, usize)>,
    /// Of the path that was asked for, else of the one measured most.
    pub path: Option<PathTrend>,
    /// Of jobs released in the period.
    pub courses: Vec<Course>,
    /// Some jobs are not read yet.
    pub is_filling: bool,
    /// Code and title of the newest edition.
    pub kits: BTreeMap<String, String>,
    people: BTreeMap<PersonId, String>,
    instruments: BTreeMap<InstrumentId, String>,
}

/// Reads and works out the trends of a period.
pub async fn trends(
    store: &Store,
    workshop: WorkshopId,
    asked: &Asked,
) -> Result<Trends, ActError> {
    let window = window(asked);
    let (mut results, is_cut) = list(store, workshop, &window).await?;
    results.retain(|result| fits(result, asked));
    let paths = paths(&results);
    let known = |key: &&PathKey| paths.iter().any(|(known, _, _)| known == *key);
    let chosen = asked.path.as_ref().filter(known);
    let key = chosen.or(paths.first().map(|(key, _, _)| key)).cloned();
    Ok(Trends {
        by_month: rates(&results, |result| [month(result.counted.recorded)]),
        by_kit: rates(&results, |result| [result.kit.clone()]),
        by_person: rates(&results, |result| [result.counted.person]),
        by_instrument: rates(&results, instruments_of),
        failing: failing(&results),
        path: key.map(|key| path_trend(&results, &key)),
        paths,
        results,
        is_cut,
        courses: list_courses(store, workshop, &window).await?,
        is_filling: is_reading(store, workshop).await?,
        kits: kit_titles(store, workshop).await?,
        people: names(store, workshop).await?,
        instruments: labels(store, workshop).await?,
    })
}

/// Whether some jobs were not read yet: what was derived from all of them is not whole.
pub async fn is_reading(store: &Store, workshop: WorkshopId) -> Result<bool, ActError> {
    Ok(!list_unread(store, workshop, None).await?.is_empty())
}

fn window(asked: &Asked) -> Window {
    let until = Moment::start_of(asked.to).plus_days(1);
    Window { from: Moment::start_of(asked.from), until, kit: asked.kit.clone() }
}

fn fits(result: &JobResult, asked: &Asked) -> bool {
    let counted = &result.counted;
    asked.person.is_none_or(|person| person == counted.person)
        && asked.instrument.is_none_or(|instrument| counted.instruments.contains(&instrument))
}

/// `2026-11`
fn month(at: Moment) -> String {
    at.date().chars().take(7).collect()
}

/// Each once: drop and current may be read with the same instrument.
fn instruments_of(result: &JobResult) -> Vec<InstrumentId> {
    let mut instruments = result.counted.instruments.clone();
    instruments.dedup();
    instruments
}

async fn kit_titles(
    store: &Store,
    workshop: WorkshopId,
) -> Result<BTreeMap<String, String>, ActError> {
    let mut titles = BTreeMap::new();
    for kit in kits::list(store, workshop).await? {
        titles.entry(kit.code).or_insert(kit.title);
    }
    Ok(titles)
}

async fn names(
    store: &Store,
    workshop: WorkshopId,
) -> Result<BTreeMap<PersonId, String>, ActError> {
    let people = people::list(store, workshop).await?;
    Ok(people.into_iter().map(|person| (person.id, person.name)).collect())
}

async fn labels(
    store: &Store,
    workshop: WorkshopId,
) -> Result<BTreeMap<InstrumentId, String>, ActError> {
    let all = instruments::list(store, workshop).await?;
    Ok(all.into_iter().map(|instrument| (instrument.id, instrument.label)).collect())
}

impl Trends {
    pub fn name_of(&self, person: PersonId) -> String {
        self.people.get(&person).cloned().unwrap_or_else(|| "somebody who left".to_owned())
    }

    pub fn label_of(&self, instrument: InstrumentId) -> String {
        let known = self.instruments.get(&instrument).cloned();
        known.unwrap_or_else(|| "an instrument that is not known here".to_owned())
    }

    pub fn has_person(&self, person: PersonId) -> bool {
        self.people.contains_key(&person)
    }

    pub fn has_instrument(&self, instrument: InstrumentId) -> bool {
        self.instruments.contains_key(&instrument)
    }

    /// People and instruments to choose from, in the order of their names.
    pub fn people(&self) -> Vec<(PersonId, &str)> {
        sorted(self.people.iter())
    }

    pub fn instruments(&self) -> Vec<(InstrumentId, &str)> {
        sorted(self.instruments.iter())
    }
}

fn sorted<'a, K: Copy + 'a>(all: impl Iterator<Item = (&'a K, &'a String)>) -> Vec<(K, &'a str)> {
    let mut named: Vec<(K, &str)> = all.map(|(id, name)| (*id, name.as_str())).collect();
    named.sort_by_key(|(_, name)| *name);
    named
}

/// Derives the results of jobs that have none yet, one after another. A job that cannot be read is told and
/// passed over. Gives how many were filled.
pub async fn fill(store: &Store) -> Result<usize, ActError> {
    let mut filled = 0;
    for workshop in workshops::list(store).await? {
        let mut after = None;
        loop {
            let unread = list_unread(store, workshop.id, after).await?;
            let Some(last) = unread.last().copied() else { break };
            after = Some(last);
            for job in unread {
                filled += usize::from(fill_one(store, workshop.id, job).await);
            }
        }
    }
    Ok(filled)
}

async fn fill_one(store: &Store, workshop: WorkshopId, job: JobId) -> bool {
    let read = async { refresh(store, &load(store, workshop, job).await?).await };
    read.await.inspect_err(|why| tracing::warn!("job {job} is left out of trends: {why}")).is_ok()
}
