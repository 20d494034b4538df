//! Withdrawing a certificate: one manager asks and says why, another confirms. Nothing is deleted.

use super::{ActError, By};
use crate::domain::ids::Moment;
use crate::domain::person::{Person, Role};
use crate::domain::release::Refusal;
use crate::storage::Store;
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::people;
use crate::storage::withdrawals::{self, Confirmed, Request, Withdrawal};

/// A reason says something, and fits on a page.
pub const REASON_CHARS_MIN: usize = 10;
pub const REASON_CHARS_MAX: usize = 500;

/// The certificate of that number, for somebody who may withdraw it.
pub async fn certificate(store: &Store, by: &By, number: &str) -> Result<CertificateRow, ActError> {
    if !by.person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager.into());
    }
    let row = certificates::load(store, by.workshop(), number).await?;
    row.ok_or(ActError::NoCertificate)
}

/// What is wrong with a reason, as a sentence that says what to write.
pub fn reason_fault(reason: &str) -> Option<String> {
    let (least, most) = (REASON_CHARS_MIN, REASON_CHARS_MAX);
    (!(least..=most).contains(&reason.chars().count())).then(|| {
        format!("Write in {least} to {most} characters why the certificate stands no longer.")
    })
}

/// Asks that a certificate be withdrawn. It stays in force until somebody else confirms.
pub async fn ask(
    store: &Store,
    by: &By,
    row: &CertificateRow,
    reason: &str,
) -> Result<Request, ActError> {
    if let Some(newer) = row.replaced_by.as_ref().filter(|_| row.withdrawn.is_none()) {
        return Err(ActError::Rule(format!(
            "Certificate {newer} has taken the place of this one. Withdraw that one."
        )));
    }
    if let Some(fault) = reason_fault(reason) {
        return Err(ActError::Rule(fault));
    }
    let request = Request {
        number: row.number.clone(),
        reason: reason.to_owned(),
        asked_by: by.person.id,
        asked: by.now,
    };
    Ok(withdrawals::ask(store, by.workshop(), request).await?)
}

/// Withdraws it, on the request that was looked at. Whoever asked does not confirm.
pub async fn confirm(
    store: &Store,
    by: &By,
    row: &CertificateRow,
    asked: Moment,
) -> Result<Withdrawal, ActError> {
    let request = withdrawals::load_request(store, by.workshop(), &row.number).await?;
    if request.is_some_and(|request| request.asked_by == by.person.id) {
        let second = second_person(store, &by.person).await?;
        let who = second.map_or(NO_SECOND, |_| "Another manager or owner confirms it.");
        return Err(ActError::Rule(format!("You asked for this withdrawal yourself. {who}")));
    }
    let confirmed = Confirmed { number: row.number.clone(), asked, by: by.person.id, at: by.now };
    Ok(withdrawals::confirm(store, by.workshop(), confirmed).await?)
}

/// Leaves it in force.
pub async fn drop_request(
    store: &Store,
    by: &By,
    row: &CertificateRow,
    asked: Moment,
) -> Result<(), ActError> {
    Ok(withdrawals::drop_request(store, by.workshop(), &row.number, asked).await?)
}

/// What somebody does who is the only one.
pub const NO_SECOND: &str = "A second person has to confirm it, and there is none: add a second \
    manager or owner under People, who then signs in and confirms it here.";

/// Somebody else who could confirm.
pub async fn second_person(store: &Store, first: &Person) -> Result<Option<Person>, ActError> {
    let people = people::list(store, first.workshop).await?;
    let may = |person: &Person| {
        person.id != first.id && !person.disabled && person.role.covers(Role::Manager)
    };
    Ok(people.into_iter().find(may))
}
