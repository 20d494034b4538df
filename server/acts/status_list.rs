//! The status list of a workshop, as its register stands.

use super::ActError;
use crate::documents::sign::SealKey;
use crate::domain::certificate::{Standing, StatusLine, StatusList};
use crate::storage::Store;
use crate::storage::certificates::{self, Status};
use crate::storage::workshops::Workshop;

pub async fn status_list(
    store: &Store,
    key: &SealKey,
    workshop: &Workshop,
) -> Result<StatusList, ActError> {
    let now = certificates::standing(store, workshop.id).await?;
    Ok(StatusList {
        workshop: workshop.certificate_prefix.clone(),
        made: now.last.unwrap_or(workshop.created),
        seal: key.fingerprint(),
        register: (now.lines, now.head),
        lines: now.certificates.into_iter().map(line).collect(),
    })
}

fn line(status: Status) -> StatusLine {
    let standing = match (status.withdrawn, status.replaced_by) {
        (Some(at), _) => Standing::Withdrawn(at),
        (None, Some(newer)) => Standing::ReplacedBy(newer),
        (None, None) => Standing::InForce,
    };
    StatusLine { number: status.number, standing }
}
