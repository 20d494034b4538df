//! `fusewright seal import`: key and certificate from a PKCS#12 file become the seal.

use std::path::Path;

use super::super::{Failure, Outcome};
use super::keep::{self, Incoming, passphrase, read_small};
use super::renew::{changed, in_use, open};
use super::{CERTIFICATE, KEY, has_sealed};
use crate::documents::seal_import::import;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::Store;
use crate::world::Clock;

pub(super) async fn run(file: Incoming) -> Outcome {
    let (folder, now) = (file.place.path(), Clock::system().now());
    let bytes = read_small(&file.file)?.ok_or_else(|| {
        Failure::new(format!("{} is larger than any file with one key.", file.file.display()))
    })?;
    let seal = import(&bytes, &passphrase()?, now.utc()).map_err(Failure::new)?;
    let is_first = [KEY, CERTIFICATE].iter().all(|name| !folder.join(name).exists());
    if is_first && !file.place.data().join("fusewright.db").exists() {
        keep::place(&seal, &folder)?;
        keep::show(&seal);
        return Ok(0);
    }
    let store = open(file.place.data()).await?;
    let done = if is_first {
        first(&store, &folder, &seal).await
    } else {
        next(&store, &folder, &seal, now).await
    };
    store.close().await;
    done.map(|()| 0)
}

/// Into a folder that has no seal yet, or not any more.
async fn first(store: &Store, folder: &Path, seal: &SealKey) -> Result<(), Failure> {
    if has_sealed(store).await? {
        return Err(Failure::new(format!(
            "{} holds no seal, but certificates were issued with one. Put it back first, so that it can authorise \
             the new one.",
            folder.display()
        )));
    }
    keep::place(seal, folder)?;
    keep::show(seal);
    Ok(())
}

/// In the place of the seal in use.
async fn next(store: &Store, folder: &Path, new: &SealKey, now: Moment) -> Result<(), Failure> {
    let old = in_use(store, folder).await?;
    changed(store, folder, (&old, new), now).await
}
