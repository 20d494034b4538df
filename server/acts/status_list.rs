//! The status list of a workshop, as its register stands.

use super::ActError;
use crate::documents::sign::SealKey;
use crate::domain::certificate::{Standing, StatusLine, StatusList};
use crate::domain::ids::Moment;
use crate::storage::certificates::{self, Status};
use crate::storage::workshops::{self, Workshop};
use crate::storage::{Store, epochs};

/// Where nothing happened for longer, the register gets a line, so that its list does not run out.
const QUIET_DAYS_MAX: i64 = 25;

/// Keeps every workshop's list young. Asked at the start and once a day.
pub async fn keep_young(store: &Store, now: Moment) -> Result<(), ActError> {
    for workshop in workshops::list(store).await? {
        let (place, since) = ((workshop.id, workshop.created), now.plus_days(-QUIET_DAYS_MAX));
        epochs::append(store, place, since, now).await?;
    }
    Ok(())
}

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
