//! `/jobs`: the list, a new job, and one job at a glance.

use askama::Template;
use axum::extract::{Form, Path, Query, State};
use axum::response::{Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::page::{Frame, page};
use super::session::Who;
use super::views::{Tape, ago};
use crate::domain::ids::{CustomerId, JobId, KitId, PersonId};
use crate::domain::job::Stage;
use crate::storage::customers::{self, Customer};
use crate::storage::jobs::{self, Filter, JobRow, NewJob, PageMark};
use crate::storage::{kits, people};

mod glance;

pub(super) use glance::show;

/// Jobs of each stage on the first page; the rest is a click away.
const LISTED: u32 = 50;

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
    let groups = groups(&app, &who, found.jobs);
    Ok(page(&JobsPage {
        frame: Frame::new("Jobs", &who, "/jobs"),
        find: query.find,
        empty: groups.is_empty().then_some("No job here. Clear the search, or open a new job."),
        groups,
        may_open: who.is_manager().then_some(()),
        later,
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

struct Choice {
    value: String,
    text: String,
    selected: Option<&'static str>,
}

#[derive(Template)]
#[template(path = "pages/job_new.html")]
struct NewJobPage {
    frame: Frame,
    form: NewJobForm,
    kits: Vec<Choice>,
    technicians: Vec<Choice>,
    fault: Option<String>,
}

/// What the form of a new job brings.
#[derive(Debug, Default, Clone, Deserialize)]
pub(super) struct NewJobForm {
    #[serde(default)]
    id: String,
    #[serde(default)]
    customer: String,
    #[serde(default)]
    contact: String,
    #[serde(default)]
    address: String,
    #[serde(default)]
    vehicle: String,
    #[serde(default)]
    registration: String,
    #[serde(default)]
    kit: String,
    #[serde(default)]
    technician: String,
}

/// GET /jobs/new
pub(super) async fn new_page(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let form = NewJobForm { id: app.new_id()?.to_string(), ..NewJobForm::default() };
    new_job_page(&app, &who, form, None).await
}

async fn new_job_page(
    app: &App,
    who: &Who,
    form: NewJobForm,
    fault: Option<String>,
) -> Result<Response, WebError> {
    let kits = kits::list(app.store(), who.workshop()).await?;
    let people = people::list(app.store(), who.workshop()).await?;
    let choice = |value: String, text: String, picked: &str| Choice {
        selected: (value == picked).then_some("selected"),
        value,
        text,
    };
    Ok(page(&NewJobPage {
        frame: Frame::new("New job", who, "/jobs"),
        kits: kits
            .into_iter()
            .map(|kit| {
                let text = format!("{}, edition {}: {}", kit.code, kit.edition, kit.title);
                choice(kit.id.to_string(), text, &form.kit)
            })
            .collect(),
        technicians: people
            .into_iter()
            .filter(|person| !person.disabled)
            .map(|person| choice(person.id.to_string(), person.name, &form.technician))
            .collect(),
        form,
        fault,
    }))
}

/// POST /jobs/new
pub(super) async fn open(
    State(app): State<App>,
    who: Who,
    Form(form): Form<NewJobForm>,
) -> Result<Response, WebError> {
    use axum::response::IntoResponse as _;
    if let Some(fault) = missing(&form) {
        return new_job_page(&app, &who, form, Some(fault)).await;
    }
    let (Ok(id), Ok(kit)) = (form.id.parse::<JobId>(), form.kit.parse::<KitId>()) else {
        return new_job_page(&app, &who, form, Some("Choose a kit.".to_owned())).await;
    };
    // The same form again, after a lost answer, opens nothing twice: the customer's id is the job's.
    let customer = Customer {
        id: CustomerId(id.0),
        name: form.customer.trim().to_owned(),
        contact: form.contact.trim().to_owned(),
        address: form.address.trim().to_owned(),
    };
    if jobs::load(app.store(), who.workshop(), id).await?.is_none() {
        customers::append(app.store(), who.workshop(), customer).await?;
    }
    let new = NewJob {
        id,
        customer: CustomerId(id.0),
        kit,
        vehicle: form.vehicle.trim().to_owned(),
        registration: form.registration.trim().to_owned(),
        technician: form.technician.parse().ok(),
        opened: app.now(),
        opened_by: who.person.id,
    };
    jobs::append(app.store(), who.workshop(), new).await?;
    Ok(Redirect::to(&format!("/jobs/{id}/plan")).into_response())
}

/// The first thing that is missing, as a sentence.
fn missing(form: &NewJobForm) -> Option<String> {
    let asked = [
        (&form.customer, "Write the customer's name."),
        (&form.vehicle, "Write what vehicle it is, for example: panel van, long."),
        (&form.registration, "Write the vehicle's registration."),
    ];
    asked.into_iter().find(|(text, _)| text.trim().is_empty()).map(|(_, words)| words.to_owned())
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
