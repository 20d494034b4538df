//! `fusewright seal renew`: a new key and certificate take the place of those in use.

use std::path::Path;

use super::super::folder::must_be_there;
use super::super::{Failure, Outcome, say};
use super::change::{self, OLD_KEY_DAYS, old_files};
use super::keep::{self, Place};
use super::{VALID_YEARS, check_in_use, name};
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::domain::seal::hex;
use crate::storage::{OpenError, Store};
use crate::world::{Clock, random};

pub(super) async fn run(place: Place) -> Outcome {
    let (folder, now) = (place.path(), Clock::system().now());
    let store = open(place.data()).await?;
    let done = renew(&store, &folder, now).await;
    store.close().await;
    done.map(|()| 0)
}

/// The server reads its seal once, at the start, and would go on with the old one. The lock of the data folder
/// tells whether there is one, and keeps it from starting meanwhile.
pub(super) async fn open(data: &Path) -> Result<Store, Failure> {
    must_be_there(data)?;
    Store::open(data).await.map_err(|why| match why {
        OpenError::Locked { folder } => Failure::new(format!(
            "The server is running on {}, and holds the seal. Stop it, change the seal, and start it again.",
            folder.display()
        )),
        other => other.into(),
    })
}

async fn renew(store: &Store, folder: &Path, now: Moment) -> Result<(), Failure> {
    let old = in_use(store, folder).await?;
    let new = SealKey::create(&name(store).await?, random()?, now.utc(), VALID_YEARS);
    changed(store, folder, (&old, &new.map_err(Failure::new)?), now).await
}

/// The seal of the folder, if it is the one that the register knows.
pub(super) async fn in_use(store: &Store, folder: &Path) -> Result<SealKey, Failure> {
    change::finish(store, folder).await?;
    let old = keep::load(folder)?;
    check_in_use(store, &old, folder).await?;
    Ok(old)
}

/// Changes the seal and says so.
pub(super) async fn changed(
    store: &Store,
    folder: &Path,
    (old, new): (&SealKey, &SealKey),
    now: Moment,
) -> Result<(), Failure> {
    change::change(store, folder, (old, new), now).await?;
    let (certificate, key) = old_files(folder, &old.fingerprint());
    keep::show(new);
    say(format!(
        "Before        {}\n\
         Papers sealed with the old one stay valid; its certificate is kept in {}.\n\
         Its key lies in {} for {OLD_KEY_DAYS} days, in case a copy of the database from before has to be put back; \
         then it is deleted.\n\
         Publish the new fingerprint, back up the database, and make a copy of the seal with `fusewright seal backup`.",
        hex(&old.fingerprint()),
        certificate.display(),
        key.display(),
    ));
    Ok(())
}
