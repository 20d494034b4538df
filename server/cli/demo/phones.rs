//! The demo's phones and PINs. The phones are enrolled, but their secrets are thrown away: whoever looks
//! around enrols the browser in their hand.

use std::path::PathBuf;

use super::cast::Cast;
use crate::acts::ActError;
use crate::domain::ids::Moment;
use crate::domain::person::Role;
use crate::domain::seal::sha256;
use crate::storage::devices;
use crate::storage::enrol_codes::{self, Given, NewCode};
use crate::storage::phones::{self, NewPhone};
use crate::storage::pins::{self, NewPin};
use crate::storage::{Store, pepper};
use crate::web::{Cost, fresh_pin, hash_password, mixed_pin};
use crate::world::random;

/// Where the demo keeps its seal and what its PINs are mixed with.
pub(super) fn key_folder(store: &Store) -> PathBuf {
    store.folder().join("keys")
}

/// Whose PIN is which: sign-in name, PIN.
pub(super) type Pins = Vec<(&'static str, String)>;

/// Gives each technician a PIN, and enrols the phone that they record with.
pub(super) async fn share(store: &Store, cast: &Cast, at: Moment) -> Result<Pins, ActError> {
    let pepper = pepper::append(&key_folder(store), random()?).await?;
    let mut told = Pins::new();
    for part in super::cast::PEOPLE.iter().filter(|part| part.role == Role::Technician) {
        let pin = fresh_pin()?;
        let mixed = mixed_pin(&pepper, &pin).map_err(ActError::Ours)?;
        let hash = tokio::task::spawn_blocking(move || hash_password(&mixed, Cost::REAL)).await;
        let hash = hash.map_err(|why| ActError::Ours(why.to_string()))?.map_err(ActError::Ours)?;
        let (person, manager) = (cast.hand(part.sign_in)?.person.id, cast.hand("rosalind")?);
        let issued_by = manager.person.id;
        let new = NewPin { workshop: cast.workshop, person, hash, issued: at, issued_by };
        pins::append(store, new).await?;
        enrol(store, cast, part.sign_in, at).await?;
        told.push((part.sign_in, pin));
    }
    Ok(told)
}

async fn enrol(store: &Store, cast: &Cast, sign_in: &str, at: Moment) -> Result<(), ActError> {
    let (workshop, link_sha256) = (cast.workshop, sha256(&random::<16>()?));
    let made_by = cast.hand("rosalind")?.person.id;
    let typed_sha256 = sha256(&random::<16>()?);
    let code = NewCode { workshop, made_by, link_sha256, typed_sha256, made: at };
    enrol_codes::append(store, code).await?;
    let device = devices::load(store, workshop, cast.hand(sign_in)?.device).await?;
    let device = device.ok_or_else(|| ActError::Ours(format!("{sign_in} has no phone")))?;
    let (secret_sha256, given) = (sha256(&random::<32>()?), Given::Link(link_sha256));
    phones::append(store, NewPhone { workshop, device, secret_sha256, given, at }).await?;
    Ok(())
}
