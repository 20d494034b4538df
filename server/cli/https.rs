//! HTTPS as the settings want it: the certificate opened, shown and kept up to date.

use std::path::Path;
use std::sync::Arc;

use tokio::task::JoinHandle;

use super::Failure;
use crate::config::{Https, Reach, host};
use crate::web::tls::{Acme, Files, LOOK_EVERY, Pair, Shown, Wanted};
use crate::world::Clock;

/// Folder below the data folder for what a certificate authority gave.
const ACME_FOLDER: &str = "acme";

/// A certificate, and what keeps it up to date.
pub(super) enum Secured {
    Files(Files),
    Acme { acme: Acme, directory: String },
}

/// Certificate files, if they are wanted. They are opened before anything is made, so that a wrong
/// name leaves nothing behind.
pub(super) fn open_files(reach: &Reach, clock: &Clock) -> Result<Option<Secured>, Failure> {
    let Some(Https::Files { certificate, key }) = &reach.https else { return Ok(None) };
    let pair = Pair { certificate: certificate.clone(), key: key.clone() };
    Ok(Some(Secured::Files(Files::open(pair, host(&reach.origin), clock.clone())?)))
}

/// An authority's certificate, if it is wanted, as it is kept below the data folder.
pub(super) fn open_acme(
    reach: &Reach,
    data: &Path,
    clock: &Clock,
) -> Result<Option<Secured>, Failure> {
    let Some(Https::Acme { contact, directory, root }) = &reach.https else { return Ok(None) };
    let wanted = Wanted {
        host: host(&reach.origin).to_owned(),
        contact: contact.clone(),
        directory: directory.clone(),
        root: root.clone(),
    };
    let acme = Acme::open(wanted, &data.join(ACME_FOLDER), clock.clone())?;
    Ok(Some(Secured::Acme { acme, directory: directory.clone() }))
}

impl Secured {
    pub(super) fn shown(&self) -> Arc<Shown> {
        match self {
            Self::Files(files) => files.shown(),
            Self::Acme { acme, .. } => acme.shown(),
        }
    }

    /// What the console says of it.
    pub(super) fn greeting(&self) -> String {
        let until = self.shown().certificate().map(|shown| shown.ends.date());
        match (self, until) {
            (Self::Files(_), until) => {
                format!("HTTPS: certificate from files, until {}", until.unwrap_or_default())
            }
            (Self::Acme { directory, .. }, Some(until)) => {
                format!("HTTPS: certificate from {directory}, until {until}")
            }
            (Self::Acme { directory, .. }, None) => format!(
                "HTTPS: asking {directory} for a certificate; it looks at port 443 of the address \
                 above"
            ),
        }
    }

    /// Looks for a renewal until it is told to end.
    pub(super) fn keep(self) -> JoinHandle<()> {
        match self {
            Self::Files(files) => tokio::spawn(files.watch(LOOK_EVERY)),
            Self::Acme { acme, .. } => tokio::spawn(acme.keep()),
        }
    }
}
