//! `/jobs`: the list, a new job, and one job at a glance.

use askama::Template;
use axum::extract::{Form, Path, Query, State};
use axum::response::{Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::page::{Frame, page};
use super::session::Who;
use super::views::{Mark, Tape, ago};
use crate::acts::job::{JobFile, load};
use crate::domain::finding::Outcome;
use crate::domain::findings::worst;
use crate::domain::ids::{CustomerId, JobId, KitId, PersonId};
use crate::domain::job::{Stage, StepState};
use crate::domain::release::{may_submit, open_points};
use crate::domain::verdict::Verdict;
use crate::storage::certificates::CertificateRow;
use crate::storage::customers::{self, Customer};
use crate::storage::jobs::{self, Filter, JobRow, NewJob, PageMark};
use crate::storage::{certificates, kits, people};

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
        // A technician sees the jobs that are theirs or nobody's; all when searching.
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
        [Stage::Review, Stage::Planning, Stage::Returned, Stage::Working, Stage::Ready, Stage::Released]
    } else {
        [Stage::Returned, Stage::Working, Stage::Ready, Stage::Review, Stage::Planning, Stage::Released]
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

struct Attention {
    href: String,
    mark: Mark,
    title: String,
    detail: String,
}

#[derive(Template)]
#[template(path = "pages/job.html")]
struct JobPage {
    frame: Frame,
    number: u64,
    lede: String,
    tape: Option<Tape>,
    sheet_href: String,
    main: Option<(String, String)>,
    submit: Option<SubmitView>,
    attention: Vec<Attention>,
    facts: Vec<(&'static str, String)>,
    plan: String,
    plan_href: String,
    review_href: Option<String>,
    certificate: Option<(String, String)>,
    technicians: Vec<Choice>,
    assign_href: String,
}

/// The form that signs the work, when nothing is due.
pub(super) struct SubmitView {
    action: String,
    id: String,
    name: String,
}

/// GET /jobs/{job}
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let certificate = certificates::list(app.store(), who.workshop(), job).await?.pop();
    let people = people::list(app.store(), who.workshop()).await?;
    let technicians = if who.is_manager() && file.state.released.is_none() {
        let picked = file.row.technician;
        let open = people.into_iter().filter(|person| !person.disabled);
        open.map(|person| Choice {
            selected: (Some(person.id) == picked).then_some("selected"),
            value: person.id.to_string(),
            text: person.name,
        })
        .collect()
    } else {
        Vec::new()
    };
    let here = format!("/jobs/{job}");
    Ok(page(&JobPage {
        frame: Frame::new(format!("Job {}", file.row.number), &who, "/jobs"),
        number: file.row.number,
        lede: format!("{}, {}. {}.", file.row.vehicle, file.row.registration, file.kit.title),
        tape: file.state.sheet.as_ref().map(|_| {
            Tape::of(&file.state, file.state.next_due().map(|step| step.number))
        }),
        sheet_href: format!("{here}/sheet"),
        main: main_way(&file, &here, &who),
        submit: submit_view(&app, &who, &file)?,
        attention: attention(&file, &here),
        facts: facts(&file),
        plan: plan_words(&file),
        plan_href: format!("{here}/plan"),
        review_href: (who.is_manager() && file.state.sheet.is_some())
            .then(|| format!("{here}/review")),
        certificate: certificate.as_ref().map(certificate_link),
        technicians,
        assign_href: format!("{here}/assign"),
    }))
}

fn certificate_link(row: &CertificateRow) -> (String, String) {
    let shown = crate::domain::certificate::CertificateNumber::parse(&row.number)
        .map_or_else(|_| row.number.clone(), |number| number.to_string());
    (format!("/certificates/{}", row.number), shown)
}

/// The one next thing to do on this job.
fn main_way(file: &JobFile, here: &str, who: &Who) -> Option<(String, String)> {
    let to = |part: &str, words: String| Some((format!("{here}{part}"), words));
    match file.state.stage() {
        Stage::Planning => to("/plan", "Go to the plan".to_owned()),
        Stage::Review if who.is_manager() => to("/review", "Review".to_owned()),
        Stage::Released => None,
        _ => {
            let due = file.state.next_due()?;
            to(&format!("/sheet#s-{}", due.number), format!("Go on at step {}", due.number))
        }
    }
}

fn submit_view(app: &App, who: &Who, file: &JobFile) -> Result<Option<SubmitView>, WebError> {
    if file.state.submitted.is_some() || may_submit(&file.state).is_err() {
        return Ok(None);
    }
    Ok(Some(SubmitView {
        action: format!("/jobs/{}/submit", file.row.id),
        id: app.new_id()?.to_string(),
        name: who.person.name.clone(),
    }))
}

/// Steps that would keep the certificate back, once something was recorded.
fn attention(file: &JobFile, here: &str) -> Vec<Attention> {
    let wants = |step: &&StepState| {
        !step.is_good() && (step.verdict().is_some() || step.is_clash() || step.reopened.is_some())
    };
    file.state
        .steps
        .iter()
        .filter(wants)
        .map(|step| Attention {
            href: format!("{here}/sheet?open={}#s-{}", step.step.key, step.number),
            mark: Mark::of_step(step),
            title: format!("{}. {}", step.number, step.step.title),
            detail: attention_words(step),
        })
        .collect()
}

fn attention_words(step: &StepState) -> String {
    if let Some(words) = &step.reopened {
        return words.text.clone();
    }
    let judged = step.result().and_then(|result| result.judged.as_ref().ok());
    judged.map(|judgement| format!("{}. {}", judgement.value, judgement.sentence)).unwrap_or_default()
}

fn facts(file: &JobFile) -> Vec<(&'static str, String)> {
    let mut facts = vec![
        ("Registration", file.row.registration.clone()),
        ("Customer", file.row.customer_name.clone()),
        ("Kit", format!("{}, edition {}", file.kit.code, file.kit.edition)),
        ("Technician", file.row.technician_name.clone().unwrap_or_else(|| "nobody yet".to_owned())),
    ];
    if let Some(saved) = &file.plan {
        let vehicle = &saved.plan.vehicle;
        facts.insert(1, ("VIN tail", format!("…{}", vehicle.vin_tail)));
        let supply = format!(
            "{} V, {}, {} Ah",
            vehicle.nominal_voltage_v.normalize(),
            vehicle.battery.label(),
            vehicle.battery_ah.normalize()
        );
        facts.insert(2, ("Supply", supply));
    }
    facts
}

fn plan_words(file: &JobFile) -> String {
    let Some(saved) = &file.plan else { return "none yet".to_owned() };
    let cautions =
        saved.findings.iter().filter(|finding| finding.outcome == Outcome::Caution).count();
    let outcome = match worst(&saved.findings) {
        Outcome::Stop => "a finding says stop".to_owned(),
        Outcome::Caution => format!("{cautions} cautions"),
        Outcome::Ok => "all ok".to_owned(),
    };
    format!("edition {}, {outcome}", saved.row.edition)
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

/// Whether anything keeps the certificate back; used by the review page too.
pub(super) fn open_count(file: &JobFile) -> usize {
    open_points(&file.state).len()
}

/// How many results a verdict has.
pub(super) fn tally(file: &JobFile, verdict: Verdict) -> usize {
    file.state.steps.iter().filter(|step| step.verdict() == Some(verdict)).count()
}
