//! `/jobs`: the list, a new job, and one job at a glance.

use askama::Template;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault};
use super::page::{Frame, page};
use super::session::Who;
use super::today::{TodayGroup, today};
use super::views::{Tape, ago};
use crate::domain::ids::{CustomerId, JobId, KitId, PersonId};
use crate::domain::job::Stage;
use crate::storage::customers::{self, Customer};
use crate::storage::jobs::{self, Filter, JobRow, NewJob, PageMark};
use crate::storage::{kits, people};

mod glance;
mod submit;

pub(super) use glance::show;
pub(super) use submit::SubmitView;

/// Jobs of each stage on the first page; the rest is a click away.
const LISTED: u32 = 50;
const VEHICLE_CHARS_MAX: usize = 300;
const REGISTRATION_CHARS_MAX: usize = 50;
const CUSTOMER_CHARS_MAX: usize = 200;
const CONTACT_CHARS_MAX: usize = 500;
const ADDRESS_CHARS_MAX: usize = 1_000;

/// What the address of the list may say.
#[derive(Debug, Default, Deserialize)]
pub(super) struct ListQuery {
    #[serde(default)]
    find: String,
    #[serde(default)]
    stage: String,
    #[serde(default)]
    before: String,
}

struct ListedJob {
    href: String,
    number: u64,
    vehicle: String,
    what: String,
    stage: String,
    person: String,
    tape: Option<Tape>,
}

struct Group {
    word: &'static str,
    title: &'static str,
    jobs: Vec<ListedJob>,
}

#[derive(Template)]
#[template(path = "pages/jobs.html")]
struct JobsPage {
    frame: Frame,
    find: String,
    groups: Vec<Group>,
    may_open: Option<()>,
    empty: Option<&'static str>,
    later: Option<String>,
    /// A technician's own jobs by day, on the first page.
    today: Vec<TodayGroup>,
}

/// GET /jobs
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let stages = Stage::parse(&query.stage).map(|stage| vec![stage.word().to_owned()]);
    let filter = Filter {
        stages: stages.unwrap_or_default(),
        technician: None,
        text: query.find.clone(),
        before: query.before.parse::<PageMark>().ok(),
        limit: LISTED,
    };
    let found = jobs::list(app.store(), who.workshop(), &filter).await?;
    let later = found.next.map(|mark| {
        let find = super::error::encode(&query.find);
        format!("/jobs?stage={}&find={find}&before={mark}", query.stage)
    });
    let is_first = query.before.is_empty() && query.find.is_empty() && query.stage.is_empty();
    let today = if is_first { today(&app, &who).await? } else { Vec::new() };
    let groups = groups(&app, &who, found.jobs);
    Ok(page(&JobsPage {
        frame: Frame::new("Jobs", &who, "/jobs"),
        find: query.find,
        empty: groups.is_empty().then_some("No job here. Clear the search, or open a new job."),
        groups,
        may_open: who.is_manager().then_some(()),
        later,
        today,
    }))
}

/// What waits for this person first.
fn groups(app: &App, who: &Who, rows: Vec<JobRow>) -> Vec<Group> {
    let order = if who.is_manager() {
        [
            Stage::Review,
            Stage::Planning,
            Stage::Returned,
            Stage::Working,
            Stage::Ready,
            Stage::Released,
        ]
    } else {
        [
            Stage::Returned,
            Stage::Working,
            Stage::Ready,
            Stage::Review,
            Stage::Planning,
            Stage::Released,
        ]
    };
    let mut groups: Vec<Group> = order
        .map(|stage| Group { word: stage.word(), title: stage.title(), jobs: Vec::new() })
        .into();
    for row in rows {
        if let Some(group) = groups.iter_mut().find(|group| group.word == row.stage) {
            group.jobs.push(listed(app, who, row));
        }
    }
    groups.retain(|group| !group.jobs.is_empty());
    groups
}

fn listed(app: &App, who: &Who, row: JobRow) -> ListedJob {
    let review = who.is_manager() && row.stage == Stage::Review.word();
    ListedJob {
        href: format!("/jobs/{}{}", row.id, if review { "/review" } else { "" }),
        number: row.number,
        vehicle: format!("{}, {}", row.vehicle, row.registration),
        what: format!("{}, {}", row.kit_title, row.customer_name),
        stage: ago(app.now(), row.updated),
        person: row.technician_name.unwrap_or_else(|| "nobody yet".to_owned()),
        tape: (row.steps_total > 0).then(|| Tape::new(&row.flags, None)),
    }
}

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
