//! The re-inspection of a job of the demo that has its certificate.

use super::{Job, Opening};
use crate::acts::again::{self, open};
use crate::acts::{ActError, By};
use crate::cli::demo::cast::Cast;
use crate::domain::ids::{JobId, Moment};
use crate::storage::{Store, jobs};
use crate::world::new_id;

impl<'a> Job<'a> {
    pub(in crate::cli::demo) async fn inspect_again(
        store: &'a Store,
        cast: &'a Cast,
        (opening, earlier): (&'a Opening, u64),
        now: Moment,
    ) -> Result<Self, ActError> {
        let row = jobs::find(store, cast.workshop, earlier).await?;
        let row = row.ok_or_else(|| ActError::Ours("no such demo job".to_owned()))?;
        let hand = cast.hand("rosalind")?;
        let by = By { person: hand.person.clone(), device: hand.device, now };
        let (id, technician) = (JobId(new_id(now)?), row.technician);
        let asked = again::Opening { id, earlier: row.id, technician };
        let file = open(store, &by, asked).await?;
        let mut job = Self { store, cast, opening, id, number: file.row.number, now, file: None };
        job.pass_minutes(20);
        job.file = Some(file);
        Ok(job)
    }
}
