//! `/jobs`: a new job, who does it, and one job at a glance. The list of them is the desk.

use askama::Template;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault};
use super::page::{Frame, page};
use super::session::Who;
use crate::domain::ids::{CustomerId, JobId, KitId, PersonId};
use crate::storage::customers::{self, Customer};
use crate::storage::jobs::{self, NewJob};
use crate::storage::{kits, people};

mod glance;
mod submit;

pub(super) use glance::show;
pub(super) use submit::SubmitView;

const VEHICLE_CHARS_MAX: usize = 300;
const REGISTRATION_CHARS_MAX: usize = 50;
const CUSTOMER_CHARS_MAX: usize = 200;
const CONTACT_CHARS_MAX: usize = 500;
const ADDRESS_CHARS_MAX: usize = 1_000;

#[derive(Template)]
#[template(path = "pages/job_new.html")]
struct NewJobPage {
    frame: Frame,
    /// Made with the page, so that the same form sent twice opens one job.
    id: String,
    vehicle: Field,
    registration: Field,
    kit: Field,
    kits: Vec<Choice>,
    technician: Field,
    technicians: Vec<Choice>,
    customer: Field,
    contact: Field,
    address: Field,
    faults: Vec<FormFault>,
}

/// GET /jobs/new
pub(super) async fn new_page(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let id = app.new_id()?.to_string();
    Ok(page(&new_job_page(&app, &who, Filled::with([("id", id)])).await?))
}

async fn new_job_page(app: &App, who: &Who, mut filled: Filled) -> Result<NewJobPage, WebError> {
    let kits = kits::list(app.store(), who.workshop()).await?;
    let people = people::list(app.store(), who.workshop()).await?;
    let kits = kits.into_iter().map(|kit| {
        let text = format!("{}, edition {}: {}", kit.code, kit.edition, kit.title);
        (kit.id.to_string(), text)
    });
    let may_work = people.into_iter().filter(|person| !person.disabled);
    let people = may_work.map(|person| (person.id.to_string(), person.name));
    let none = |words: &str| std::iter::once((String::new(), words.to_owned()));
    Ok(NewJobPage {
        frame: Frame::new("New job", who, "/jobs"),
        id: filled.text("id").to_owned(),
        vehicle: filled.field("vehicle", "Vehicle").hint("For example: panel van, long"),
        registration: filled.field("registration", "Registration").hint("As on the plate"),
        kit: filled.field("kit", "Kit and edition"),
        kits: filled.choices("kit", none("Choose").chain(kits)),
        technician: filled.field("technician", "Technician").optional(),
        technicians: filled.choices("technician", none("Nobody yet").chain(people)),
        customer: filled.field("customer", "Name"),
        contact: filled.field("contact", "Telephone or e-mail").optional(),
        address: filled.field("address", "Address").optional(),
        faults: filled.into_faults(),
    })
}

/// POST /jobs/new
pub(super) async fn open(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some((new, customer)) = checked(&app, &who, &mut filled)? else {
        let again = page(&new_job_page(&app, &who, filled).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let id = new.id;
    if jobs::load(app.store(), who.workshop(), id).await?.is_none() {
        customers::append(app.store(), who.workshop(), customer).await?;
    }
    jobs::append(app.store(), who.workshop(), new).await?;
    Ok(Redirect::to(&format!("/jobs/{id}/plan")).into_response())
}

/// The job that the form describes, and whom it is for.
fn checked(
    app: &App,
    who: &Who,
    filled: &mut Filled,
) -> Result<Option<(NewJob, Customer)>, WebError> {
    let id = filled.text("id").parse::<JobId>().ok();
    if id.is_none() {
        filled.suggest("id", app.new_id()?.to_string());
        filled.fault("id", "The form had lost its number and has a new one now. Send it again.");
    }
    let vehicle = filled.line("vehicle", VEHICLE_CHARS_MAX);
    let registration = filled.line("registration", REGISTRATION_CHARS_MAX);
    let kit = filled.text("kit").parse::<KitId>().ok();
    if kit.is_none() {
        filled.fault("kit", "Choose a kit.");
    }
    let technician = filled.text("technician").parse::<PersonId>().ok();
    let name = filled.line("customer", CUSTOMER_CHARS_MAX);
    let contact = filled.maybe_line("contact", CONTACT_CHARS_MAX);
    let address = filled.maybe_line("address", ADDRESS_CHARS_MAX);
    let (Some(id), Some(kit), true) = (id, kit, filled.is_sound()) else { return Ok(None) };
    // The same form again, after a lost answer, opens nothing twice: the customer's id is the job's.
    let customer = CustomerId(id.0);
    let (opened, opened_by) = (app.now(), who.person.id);
    let new = NewJob { id, customer, kit, vehicle, registration, technician, opened, opened_by };
    Ok(Some((new, Customer { id: customer, name, contact, address })))
}

/// Who does the work.
#[derive(Debug, Deserialize)]
pub(super) struct AssignForm {
    technician: String,
}

/// POST /jobs/{job}/assign
pub(super) async fn assign(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<AssignForm>,
) -> Result<Redirect, WebError> {
    let technician = form.technician.parse::<PersonId>().ok();
    jobs::assign(app.store(), who.workshop(), job, technician, app.now()).await?;
    Ok(Redirect::to(&format!("/jobs/{job}")))
}
