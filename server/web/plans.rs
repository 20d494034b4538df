//! `/jobs/{job}/plan`: the form of the plan with its findings beside it, and the way to the sheet.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::session::Who;
use crate::acts::job::{JobFile, load};
use crate::acts::plan::{acknowledge as accept, make, save as keep};
use crate::acts::{ActError, By};
use crate::domain::change::smallest_change;
use crate::domain::document::Fault;
use crate::domain::finding::Finding;
use crate::domain::findings::findings;
use crate::domain::ids::JobId;
use crate::domain::plan::Plan;
use crate::domain::plan_file::read_plan;
use crate::domain::plan_form::{form_start, form_to_toml, toml_to_form};

mod drawings;
mod fields;
mod findings;
mod page;

use page::plan_page;

/// What a page of the plan is made from.
struct Shown<'a> {
    who: &'a Who,
    file: &'a JobFile,
    values: &'a [(String, String)],
    faults: &'a [Fault],
    /// Nothing before the first plan, or while the typed one has faults.
    plan: Option<&'a Plan>,
    findings: &'a [Finding],
    /// The edition that these figures are saved as; nothing while they are only tried.
    saved: Option<u32>,
}

impl<'a> Shown<'a> {
    /// The newest edition as it is saved.
    fn saved(who: &'a Who, file: &'a JobFile, values: &'a [(String, String)]) -> Self {
        Self {
            who,
            file,
            values,
            faults: &[],
            plan: file.plan.as_ref().map(|saved| &saved.plan),
            findings: file.findings(),
            saved: file.plan.as_ref().map(|saved| saved.row.edition),
        }
    }

    /// What was typed cannot be read.
    fn faulty(
        who: &'a Who,
        file: &'a JobFile,
        values: &'a [(String, String)],
        faults: &'a [Fault],
    ) -> Self {
        Self { who, file, values, faults, plan: None, findings: &[], saved: None }
    }
}

/// GET /jobs/{job}/plan
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let values = match &file.plan {
        Some(saved) => toml_to_form(&String::from_utf8_lossy(&saved.row.source)),
        None => start(&file),
    };
    Ok(plan_page(&Shown::saved(&who, &file, &values)))
}

/// A first plan knows what the job knows.
fn start(file: &JobFile) -> Vec<(String, String)> {
    let mut values = form_start(&file.kit);
    let known = [
        ("vehicle.description", &file.row.vehicle),
        ("vehicle.registration", &file.row.registration),
    ];
    for (key, value) in known {
        values.retain(|(name, _)| name != key);
        values.push((key.to_owned(), value.clone()));
    }
    values
}

/// POST /jobs/{job}/plan
pub(super) async fn save(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let text = form_to_toml(&file.kit, &fields);
    match keep(app.store(), &who.by(app.now()), job, &text).await {
        Ok(_) => Ok(Redirect::to(&format!("/jobs/{job}/plan#findings")).into_response()),
        Err(ActError::Document(faults)) => {
            let shown = plan_page(&Shown::faulty(&who, &file, &fields, &faults));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, shown).into_response())
        }
        Err(error) => Err(error.into()),
    }
}

/// POST /jobs/{job}/plan/preview: what the typed figures come to. Nothing is saved.
pub(super) async fn preview(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let (wanted, values): (Vec<_>, Vec<_>) =
        fields.into_iter().partition(|(name, _)| name == "apply");
    match tried(&file, values, wanted.last().map(|(_, finding)| finding.as_str())) {
        Ok((values, plan)) => {
            let findings = findings(&file.kit, &plan);
            let shown = Shown {
                plan: Some(&plan),
                findings: &findings,
                ..Shown::faulty(&who, &file, &values, &[])
            };
            Ok(plan_page(&shown))
        }
        Err((values, faults)) => {
            let shown = plan_page(&Shown::faulty(&who, &file, &values, &faults));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, shown).into_response())
        }
    }
}

/// What was typed under each field of the form.
type Values = Vec<(String, String)>;

/// The typed plan; with the smallest change for a finding typed in, where one is asked for.
fn tried(
    file: &JobFile,
    mut values: Values,
    finding: Option<&str>,
) -> Result<(Values, Plan), (Values, Vec<Fault>)> {
    let read = |values: &Values| read_plan(&form_to_toml(&file.kit, values), &file.kit);
    let plan = match read(&values) {
        Ok(plan) => plan,
        Err(faults) => return Err((values, faults)),
    };
    let mend = |id: &str| {
        let all = findings(&file.kit, &plan);
        smallest_change(&file.kit, &plan, all.iter().find(|one| one.id == id)?)
    };
    let Some(change) = finding.and_then(mend) else { return Ok((values, plan)) };
    for (key, value) in change.fields {
        values.retain(|(name, _)| *name != key);
        values.push((key, value));
    }
    match read(&values) {
        Ok(plan) => Ok((values, plan)),
        Err(faults) => Err((values, faults)),
    }
}

/// A caution accepted in writing.
#[derive(Debug, Deserialize)]
pub(super) struct AcceptForm {
    finding: String,
    reason: String,
}

/// POST /jobs/{job}/plan/acknowledge
pub(super) async fn acknowledge(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<AcceptForm>,
) -> Result<Redirect, WebError> {
    let by: By = who.by(app.now());
    accept(app.store(), &by, job, &form.finding, form.reason.trim()).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/plan#findings")))
}

/// POST /jobs/{job}/sheet
pub(super) async fn make_sheet(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Redirect, WebError> {
    make(app.store(), &who.by(app.now()), job).await?;
    Ok(Redirect::to(&format!("/jobs/{job}")))
}
