//! Planning: a plan edition is saved with its findings; cautions are accepted; the sheet is made.

use super::decide::decide;
use super::job::{JobFile, SavedPlan, load};
use super::{ActError, By, again};
use crate::domain::entry::{Digest, Payload};
use crate::domain::finding::Outcome;
use crate::domain::findings::worst;
use crate::domain::ids::JobId;
use crate::domain::plan_file::read_plan;
use crate::domain::sheet::{Making, Sheet, WorkshopLimits, make_sheet};
use crate::storage::plans::NewPlan;
use crate::storage::sheets::NewSheet;
use crate::storage::workshops::Workshop;
use crate::storage::{Store, limit_choices, plans, sheets};

/// Saves a plan as the job's next edition. The same text again changes nothing.
pub async fn save(store: &Store, by: &By, job: JobId, text: &str) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    if file.state.released.is_some() {
        return Err(crate::domain::release::Refusal::Released.into());
    }
    read_plan(text, &file.kit).map_err(ActError::Document)?;
    again::keep_to_plan(store, by, &file, text).await?;
    let latest = file.plan.as_ref().map(|saved| &saved.row);
    let again = latest.filter(|row| row.source == text.as_bytes());
    // A plan whose entry was kept out by another change is entered now.
    if again.is_some_and(|row| row.edition == file.state.plan_edition) {
        return Ok(file);
    }
    let edition = again.map_or(latest.map_or(1, |row| row.edition + 1), |row| row.edition);
    let new = NewPlan {
        job,
        edition,
        source: text.as_bytes().to_vec(),
        saved: by.now,
        saved_by: by.person.id,
    };
    plans::append(store, by.workshop(), new).await?;
    let sha256 = Digest::of(text.as_bytes());
    decide(store, by, &file, "", Payload::Plan { edition, sha256 }).await
}

/// Accepts a caution of the newest plan in writing.
pub async fn acknowledge(
    store: &Store,
    by: &By,
    job: JobId,
    finding: &str,
    reason: &str,
) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let plan = file.plan.as_ref().map_or(0, |saved| saved.row.edition);
    if !file.open_cautions().iter().any(|caution| caution.id == finding) {
        return Err(ActError::Rule(
            "There is no such open caution in the newest plan. Look at its findings again."
                .to_owned(),
        ));
    }
    let payload =
        Payload::Acknowledge { plan, finding: finding.to_owned(), reason: reason.to_owned() };
    decide(store, by, &file, "", payload).await
}

/// Makes the sheet from kit and newest plan, if nothing stands in the way.
pub async fn make(store: &Store, by: &By, job: JobId) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let saved = file.plan.as_ref().ok_or_else(|| {
        ActError::Rule("Save a plan first: the sheet is made from it.".to_owned())
    })?;
    if worst(file.findings()) == Outcome::Stop {
        return Err(ActError::Rule(
            "A finding says stop. Change the plan until it is gone, then make the sheet."
                .to_owned(),
        ));
    }
    let open = file.open_cautions().len();
    if open > 0 {
        return Err(ActError::Rule(format!(
            "{open} cautions are not accepted in writing yet. Accept them or change the plan."
        )));
    }
    if file.state.sheet.as_ref().is_some_and(|sheet| sheet.plan_edition == saved.row.edition) {
        return Ok(file);
    }
    let sheet = sheet_of(store, by, &file, saved).await?;
    let payload = Payload::Sheet {
        edition: sheet.edition,
        plan: sheet.plan_edition,
        kit_sha256: Digest::from_bytes(&file.kit_row.sha256),
        plan_sha256: Digest::from_bytes(&saved.row.sha256),
        sheet_sha256: sheet.digest(),
    };
    let new = NewSheet { job, sheet, made: by.now };
    sheets::append(store, by.workshop(), new).await?;
    decide(store, by, &file, "", payload).await
}

/// The next edition of the sheet: from kit and plan, or from the sheet that is measured again.
async fn sheet_of(
    store: &Store,
    by: &By,
    file: &JobFile,
    saved: &SavedPlan,
) -> Result<Sheet, ActError> {
    let editions = (saved.row.edition, file.sheets.last().map_or(1, |sheet| sheet.edition + 1));
    if let Some(of) = &file.row.again {
        return again::sheet(store, by, of, editions).await;
    }
    let workshop = limits_of(store, &file.workshop).await?;
    let (plan_edition, edition) = editions;
    let making =
        Making { kit: &file.kit, plan: &saved.plan, plan_edition, edition, workshop: &workshop };
    Ok(make_sheet(making))
}

/// What the workshop's limits are now: its newest choice, or the usual ones.
pub async fn limits_of(store: &Store, workshop: &Workshop) -> Result<WorkshopLimits, ActError> {
    let chosen = limit_choices::latest(store, workshop.id).await?;
    Ok(chosen.unwrap_or_else(|| WorkshopLimits {
        insulation_least_megohm: workshop.insulation_least_megohm,
        ..WorkshopLimits::default()
    }))
}
