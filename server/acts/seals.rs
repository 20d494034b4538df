//! The workshop's seals, one after another: changing to the next, and what the register says of each.

use serde::Deserialize;

use super::ActError;
use crate::documents::sign::SealKey;
use crate::documents::verify::is_signed_by;
use crate::domain::certificate::{SealLine, SealList};
use crate::domain::ids::Moment;
use crate::storage::seal_changes::{self, StoredChange};
use crate::storage::workshops::{self, Workshop};
use crate::storage::{Store, certificates};

/// Puts a new seal in the place of the old one: a line in the register of every workshop, signed by both.
/// Once this is durable the new one is the seal. Nobody else may add lines meanwhile.
pub async fn change(
    store: &Store,
    old: &SealKey,
    new: &SealKey,
    now: Moment,
) -> Result<(), ActError> {
    check_unused(store, old, new).await?;
    let mut changes = Vec::new();
    for workshop in workshops::list(store).await? {
        let (index, prev) = seal_changes::next_line(store, workshop.id).await?;
        let unsigned = StoredChange {
            index,
            prev,
            at: now,
            old_certificate: old.certificate_der().to_vec(),
            new_certificate: new.certificate_der().to_vec(),
            old_signature: Vec::new(),
            new_signature: Vec::new(),
        };
        let text = unsigned.statement(&workshop.certificate_prefix).text();
        let (old_signature, new_signature) = (old.sign(text.as_bytes()), new.sign(text.as_bytes()));
        changes.push((workshop.id, StoredChange { old_signature, new_signature, ..unsigned }));
    }
    Ok(seal_changes::append(store, changes).await?)
}

/// Seals follow on each other in one line; one that comes back would make a ring of it.
pub async fn check_unused(store: &Store, old: &SealKey, new: &SealKey) -> Result<(), ActError> {
    let new = new.fingerprint();
    let mut is_used = new == old.fingerprint();
    for workshop in workshops::list(store).await? {
        let before = seal_changes::list(store, workshop.id).await?;
        is_used |= before.iter().any(|change| change.old_seal() == new);
    }
    if is_used {
        return Err(ActError::Rule(
            "This seal is in use, or was before. Take a new key and certificate.".to_owned(),
        ));
    }
    Ok(())
}

/// The newest change there is, whatever the workshop.
pub async fn last_change(store: &Store) -> Result<Option<StoredChange>, ActError> {
    let mut last: Option<StoredChange> = None;
    for workshop in workshops::list(store).await? {
        let newest = seal_changes::list(store, workshop.id).await?.pop();
        if newest.as_ref().map(|change| change.at) > last.as_ref().map(|change| change.at) {
            last = newest;
        }
    }
    Ok(last)
}

/// What a record says of its seal.
#[derive(Deserialize)]
struct Said {
    seal_fingerprint: String,
}

/// The fingerprint of the seal in use, in hexadecimal, as far as anything stored tells: the newest change, or
/// else the newest certificate.
pub async fn in_use(store: &Store) -> Result<Option<String>, ActError> {
    if let Some(change) = last_change(store).await? {
        return Ok(Some(crate::domain::seal::hex(&change.new_seal())));
    }
    for workshop in workshops::list(store).await? {
        let newest = certificates::newest_record(store, workshop.id).await?;
        let said = newest.and_then(|record| serde_json::from_slice::<Said>(&record).ok());
        if let Some(said) = said {
            return Ok(Some(said.seal_fingerprint));
        }
    }
    Ok(None)
}

/// Every seal of a workshop, the first one first.
pub async fn list(
    store: &Store,
    present: &SealKey,
    workshop: &Workshop,
) -> Result<SealList, ActError> {
    let changes = seal_changes::list(store, workshop.id).await?;
    let mut seals = Vec::new();
    let mut since = None;
    for change in &changes {
        seals.push(SealLine { fingerprint: change.old_seal(), since, until: Some(change.at) });
        since = Some(change.at);
    }
    seals.push(SealLine { fingerprint: present.fingerprint(), since, until: None });
    Ok(SealList { workshop: workshop.certificate_prefix.clone(), seals })
}

/// Changes whose signatures do not fit: the line of each, and what is wrong with it.
pub async fn faults(
    store: &Store,
    workshop: &Workshop,
) -> Result<Vec<(u64, &'static str)>, ActError> {
    let mut found = Vec::new();
    for change in seal_changes::list(store, workshop.id).await? {
        let text = change.statement(&workshop.certificate_prefix).text();
        let fits = |certificate: &[u8], signature: &[u8]| {
            is_signed_by(certificate, text.as_bytes(), signature)
        };
        if !fits(&change.old_certificate, &change.old_signature) {
            found.push((change.index, "the change is not signed by the seal before"));
        }
        if !fits(&change.new_certificate, &change.new_signature) {
            found.push((change.index, "the change is not signed by the new seal"));
        }
    }
    Ok(found)
}
