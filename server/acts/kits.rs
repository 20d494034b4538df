//! Kits before any job: the sheet that a kit makes, and what becomes of a sheet from one edition to the next.

use super::ActError;
use super::plan::limits_of;
use crate::domain::ids::WorkshopId;
use crate::domain::kit::Kit;
use crate::domain::plan::Plan;
use crate::domain::plan_form::{standard_plan, toml_to_form};
use crate::domain::sheet::{Making, Sheet, WorkshopLimits, make_sheet};
use crate::storage::{Store, plans, workshops};

/// A sheet as it would be made, and with which plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Preview {
    pub sheet: Sheet,
    /// As a full sentence.
    pub made_with: String,
}

/// The newest plan of a job with a kit of the same code; without one that fits, an assumed one.
struct Sample {
    fields: Vec<(String, String)>,
    words: String,
}

const ASSUMED: &str = "Made with an assumed vehicle and the kit's own figures: no job with this kit \
    has a plan that fits it yet.";

/// The sheet that a kit makes with the newest plan there is for it.
pub async fn preview(store: &Store, workshop: WorkshopId, kit: &Kit) -> Result<Preview, ActError> {
    let limits = limits(store, workshop).await?;
    let sample = sample(store, workshop, &kit.code).await?;
    let (plan, made_with) = plan_for(kit, &sample)?;
    Ok(Preview { sheet: sheet_of(kit, &plan, &limits), made_with })
}

/// The sheets of two editions with the same plan.
pub async fn preview_both(
    store: &Store,
    workshop: WorkshopId,
    (old, new): (&Kit, &Kit),
) -> Result<(Preview, Preview), ActError> {
    let limits = limits(store, workshop).await?;
    let mut sample = sample(store, workshop, &new.code).await?;
    // One plan for both, or the sheets would differ by more than the kit.
    if [old, new].into_iter().any(|kit| standard_plan(kit, &sample.fields).is_err()) {
        sample.fields.clear();
    }
    let of = |kit: &Kit| {
        let (plan, made_with) = plan_for(kit, &sample)?;
        Ok::<_, ActError>(Preview { sheet: sheet_of(kit, &plan, &limits), made_with })
    };
    Ok((of(old)?, of(new)?))
}

async fn limits(store: &Store, workshop: WorkshopId) -> Result<WorkshopLimits, ActError> {
    let row = workshops::load(store, workshop).await?;
    let row = row.ok_or(ActError::ours("a session without its workshop"))?;
    limits_of(store, &row).await
}

async fn sample(store: &Store, workshop: WorkshopId, code: &str) -> Result<Sample, ActError> {
    let Some((job, plan)) = plans::find_of_kit(store, workshop, code).await? else {
        return Ok(Sample { fields: Vec::new(), words: String::new() });
    };
    let fields = toml_to_form(&String::from_utf8_lossy(&plan.source));
    let words = format!(
        "Made with the newest plan of this kit, that of job {job}; what it does not say is assumed."
    );
    Ok(Sample { fields, words })
}

fn plan_for(kit: &Kit, sample: &Sample) -> Result<(Plan, String), ActError> {
    if !sample.fields.is_empty()
        && let Ok(plan) = standard_plan(kit, &sample.fields)
    {
        return Ok((plan, sample.words.clone()));
    }
    let plan = standard_plan(kit, &[]).map_err(ActError::Document)?;
    Ok((plan, ASSUMED.to_owned()))
}

fn sheet_of(kit: &Kit, plan: &Plan, workshop: &WorkshopLimits) -> Sheet {
    make_sheet(Making { kit, plan, plan_edition: 1, edition: kit.edition, workshop })
}
