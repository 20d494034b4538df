//! `/jobs/{job}/again`: a manager looks at what a re-inspection takes over, and opens it.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault, day_words};
use super::page::{Frame, page};
use super::session::Who;
use crate::acts::again::{Offer, Opening, offer, open};
use crate::domain::certificate::on_paper;
use crate::domain::ids::{JobId, PersonId};
use crate::domain::person::Person;
use crate::storage::people;

#[derive(Template)]
#[template(path = "pages/again.html")]
struct AgainPage {
    frame: Frame,
    number: u64,
    back: String,
    action: String,
    lede: String,
    facts: Vec<(&'static str, String)>,
    /// What becomes of the cautions of the plan; nothing where it has none.
    cautions: Vec<String>,
    id: String,
    technician: Field,
    technicians: Vec<Choice>,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/again
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let offered = offer(app.store(), &who.by(app.now()), job).await?;
    let technician = offered.file.row.technician.map(|id| id.to_string()).unwrap_or_default();
    let filled = Filled::with([("id", app.new_id()?.to_string()), ("technician", technician)]);
    let people = people::list(app.store(), who.workshop()).await?;
    Ok(page(&again_page(&who, &offered, people, filled)))
}

fn again_page(who: &Who, offered: &Offer, people: Vec<Person>, mut filled: Filled) -> AgainPage {
    let row = &offered.file.row;
    let may_work = people.into_iter().filter(|person| !person.disabled);
    let none = std::iter::once((String::new(), "Nobody yet".to_owned()));
    let people = none.chain(may_work.map(|person| (person.id.to_string(), person.name)));
    AgainPage {
        frame: Frame::new(format!("Inspect again, job {}", row.number), who, "/jobs"),
        number: row.number,
        back: format!("/jobs/{}", row.id),
        action: format!("/jobs/{}/again", row.id),
        lede: format!("{}, {}. {}.", row.vehicle, row.registration, row.kit_title),
        facts: facts(offered),
        cautions: cautions(offered),
        id: filled.text("id").to_owned(),
        technicians: filled.choices("technician", people),
        technician: filled.field("technician", "Technician").optional(),
        faults: filled.into_faults(),
    }
}

fn facts(offered: &Offer) -> Vec<(&'static str, String)> {
    let file = &offered.file;
    let measured = file.state.steps.iter().filter(|step| step.step.kind.is_measurement()).count();
    let released = file.state.released.as_ref().map(|signed| signed.act.received.date());
    vec![
        ("Certificate", on_paper(&offered.certificate)),
        ("Released", released.map_or_else(|| "–".to_owned(), |day| day_words(&day))),
        ("Customer", file.row.customer_name.clone()),
        ("Kit", format!("{}, edition {}", file.row.kit_code, file.row.kit_edition)),
        ("Measurements", format!("{measured}, with the same limits")),
    ]
}

fn cautions(offered: &Offer) -> Vec<String> {
    let counted = |count: usize| {
        if count == 1 { "1 caution".to_owned() } else { format!("{count} cautions") }
    };
    let accepted = (offered.accepted > 0).then(|| {
        format!(
            "{} of the plan stood accepted in writing. By opening the job you accept the same for it; \
             the reasons are taken over.",
            counted(offered.accepted)
        )
    });
    let open = (offered.open > 0).then(|| {
        format!(
            "{} more by the rules as they are now. The sheet is made once you have accepted them on \
             the plan's page.",
            counted(offered.open)
        )
    });
    accepted.into_iter().chain(open).collect()
}

/// POST /jobs/{job}/again
pub(super) async fn act(
    State(app): State<App>,
    who: Who,
    Path(earlier): Path<JobId>,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let by = who.by(app.now());
    let Ok(id) = filled.text("id").parse::<JobId>() else {
        let offered = offer(app.store(), &by, earlier).await?;
        filled.suggest("id", app.new_id()?.to_string());
        filled.fault("id", "The form had lost its number and has a new one now. Send it again.");
        let people = people::list(app.store(), who.workshop()).await?;
        let again = page(&again_page(&who, &offered, people, filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let technician = filled.text("technician").parse::<PersonId>().ok();
    let file = open(app.store(), &by, Opening { id, earlier, technician }).await?;
    let there = if file.state.sheet.is_some() { "" } else { "/plan" };
    Ok(Redirect::to(&format!("/jobs/{id}{there}")).into_response())
}
