//! What is done at the start and once a day while the server runs.

use std::path::Path;
use std::time::Duration;

use tokio::task::JoinHandle;

use super::{Failure, seal};
use crate::acts::{retention, status_list};
use crate::domain::ids::Moment;
use crate::storage::{Store, jobs};
use crate::world::Clock;

const DAY: Duration = Duration::from_hours(24);

/// One day's acts.
pub(super) async fn day(store: &Store, key_folder: &Path, now: Moment) -> Result<(), Failure> {
    status_list::keep_young(store, now).await?;
    retention::keep_to(store, now).await?;
    seal::drop_old_keys(store, key_folder, now).await
}

/// Does them every day from tomorrow on, until it is aborted. What fails is told and tried again.
pub(super) fn keep(store: Store, key_folder: &Path, clock: Clock) -> JoinHandle<()> {
    let key_folder = key_folder.to_owned();
    tokio::spawn(async move {
        loop {
            // Takes some seconds where there are many jobs, so that no start waits for it.
            if let Err(why) = jobs::drop_old_words(&store).await {
                tracing::error!("erased words still lie in the index: {why}");
            }
            tokio::time::sleep(DAY).await;
            if let Err(why) = day(&store, &key_folder, clock.now()).await {
                tracing::error!("{}", why.sentence);
            }
        }
    })
}
