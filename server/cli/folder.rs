//! A data folder that is there already, for commands that only look into it or add to it.

use std::path::Path;

use super::Failure;
use crate::domain::person::{Person, Role};
use crate::storage::workshops::Workshop;
use crate::storage::{Store, people, workshops};

/// Opens a folder that a server has used. One that is not there is not made.
pub(super) async fn open(folder: &Path) -> Result<Store, Failure> {
    must_be_there(folder)?;
    Ok(Store::open(folder).await?)
}

/// The same, also while the server runs.
pub(super) async fn open_beside(folder: &Path) -> Result<Store, Failure> {
    must_be_there(folder)?;
    Ok(Store::open_beside(folder).await?)
}

pub(super) fn must_be_there(folder: &Path) -> Result<(), Failure> {
    let is_there = folder.join("fusewright.db").is_file();
    is_there.then_some(()).ok_or_else(|| {
        Failure::new(format!(
            "There is no database in {}. Name the server's folder with --data.",
            folder.display()
        ))
    })
}

/// The workshop of the folder.
pub(super) async fn only_workshop(store: &Store) -> Result<Workshop, Failure> {
    let mut all = workshops::list(store).await?;
    if all.len() > 1 {
        return Err(Failure::new("The folder holds several workshops; use the server's pages."));
    }
    all.pop().ok_or_else(not_set_up)
}

fn not_set_up() -> Failure {
    Failure::new("The workshop is not set up yet. Start the server and open its address first.")
}

/// The same, and the owner who answers for it.
pub(super) async fn workshop(store: &Store) -> Result<(Workshop, Person), Failure> {
    let workshop = only_workshop(store).await?;
    let people = people::list(store, workshop.id).await?;
    let owner = people.into_iter().find(|person| person.role == Role::Owner && !person.disabled);
    Ok((workshop, owner.ok_or_else(not_set_up)?))
}
