//! The customer's link: opens the handover of a released job without an account, for a while.

use super::job::load;
use super::{ActError, By};
use crate::domain::ids::{JobId, LinkId};
use crate::domain::seal::sha256;
use crate::storage::links::{self, NewLink};
use crate::storage::{Store, certificates};
use crate::world::secret;

/// How long a link can be valid, in days; the first that is not chosen otherwise.
pub const DAYS: [i64; 4] = [90, 7, 30, 365];

/// Makes a link for a job whose certificate is in force. What comes back is its secret, 256 bits of
/// chance in hexadecimal: it is kept nowhere and can be shown once.
pub async fn make(
    store: &Store,
    by: &By,
    job: JobId,
    id: LinkId,
    days: i64,
) -> Result<String, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let newest = certificates::list(store, by.workshop(), job).await?.pop();
    if newest.is_none_or(|row| row.withdrawn.is_some()) {
        return Err(ActError::TooEarly(
            "A link shows the handover of a certificate in force. Release the job first, or issue the \
             new certificate, then make the link.",
        ));
    }
    let token = secret()?;
    let new = NewLink {
        id,
        job: file.row.id,
        token_sha256: digest(&token),
        made_by: by.person.id,
        made: by.now,
        expires: by.now.plus_days(days),
    };
    links::append(store, by.workshop(), new).await?;
    Ok(token)
}

/// What the record keeps of a link's secret.
pub fn digest(token: &str) -> [u8; 32] {
    sha256(token.as_bytes())
}
