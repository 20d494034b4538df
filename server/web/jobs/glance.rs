//! `/jobs/{job}`: one job at a glance, and the one next thing to do.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

use super::super::app::App;
use super::super::defects::{JobDefects, of_job};
use super::super::error::WebError;
use super::super::form::{Choice, day_words};
use super::super::page::{Frame, page};
use super::super::session::Who;
use super::super::views::{AsideView, ComparedView, Mark, Tape};
use super::SubmitView;
use crate::acts::again::{MayInspect, may_inspect};
use crate::acts::job::{JobFile, load};
use crate::acts::recall::{self, FoundLater};
use crate::domain::certificate::on_paper;
use crate::domain::finding::Outcome;
use crate::domain::findings::worst;
use crate::domain::ids::JobId;
use crate::domain::job::{Stage, StepState};
use crate::domain::person::{Person, Role};
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::{people, reinspections};

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
    defects: JobDefects,
    aside: Vec<AsideView>,
    /// Of a re-inspection: what is not as it was, and a sentence about the rest.
    compared: Vec<ComparedView>,
    unchanged: Option<String>,
    vehicle_href: String,
    /// Where it is inspected again, and in which words.
    again: Option<(String, &'static str, String)>,
    facts: Vec<(&'static str, String)>,
    plan: String,
    plan_href: String,
    review_href: Option<String>,
    labels_href: Option<String>,
    certificate: Option<(String, String)>,
    handover_href: Option<String>,
    links_href: Option<String>,
    archive_href: Option<String>,
    technicians: Vec<Choice>,
    assign_href: String,
}

/// GET /jobs/{job}
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let certificate = certificates::list(app.store(), who.workshop(), job).await?.pop();
    let people = people::list(app.store(), who.workshop()).await?;
    let here = format!("/jobs/{job}");
    let (compared, same) = ComparedView::changed(&file);
    Ok(page(&JobPage {
        frame: Frame::new(format!("Job {}", file.row.number), &who, "/jobs"),
        number: file.row.number,
        lede: format!("{}, {}. {}.", file.row.vehicle, file.row.registration, file.kit.title),
        tape: tape(&file),
        sheet_href: format!("{here}/sheet"),
        main: main_way(&file, &here, &who),
        submit: SubmitView::of(&app, &who, &file)?.filter(|submit| submit.is_due.is_some()),
        defects: of_job(&file, &who),
        attention: attention(&file, &here, &who),
        aside: AsideView::all(&file),
        compared,
        unchanged: unchanged(same),
        vehicle_href: format!("/vehicles/{job}"),
        again: again(&app, &who, &file).await?,
        facts: [facts(&file), measured_again(&app, &who, &file).await?].concat(),
        plan: plan_words(&file),
        plan_href: format!("{here}/plan"),
        review_href: (who.is_manager() && file.state.sheet.is_some())
            .then(|| format!("{here}/review")),
        labels_href: file.plan.as_ref().map(|_| format!("{here}/labels")),
        certificate: certificate.as_ref().map(certificate_link),
        links_href: certificate.as_ref().map(|_| format!("{here}/links")),
        handover_href: certificate
            .filter(|row| row.withdrawn.is_none())
            .map(|_| format!("{here}/handover")),
        archive_href: who.person.role.covers(Role::Owner).then(|| format!("{here}/archive")),
        technicians: technicians(&who, &file, people),
        assign_href: format!("{here}/assign"),
    }))
}

/// Nothing without a sheet.
fn tape(file: &JobFile) -> Option<Tape> {
    let here = file.state.next_due().map(|step| step.number);
    file.state.sheet.as_ref().map(|_| Tape::of(&file.state, here))
}

fn unchanged(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("1 measurement is as it was, as far as the instruments can show.".to_owned()),
        _ => Some(format!(
            "{count} measurements are as they were, as far as the instruments can show."
        )),
    }
}

/// Only a manager opens a re-inspection; everybody is led to one that is under way.
async fn again(
    app: &App,
    who: &Who,
    file: &JobFile,
) -> Result<Option<(String, &'static str, String)>, WebError> {
    let job = file.row.id;
    if file.state.released.is_none() {
        return Ok(None);
    }
    let standing = reinspections::standing(app.store(), who.workshop(), job).await?;
    let to = |href: String, words, small: &str| Some((href, words, small.to_owned()));
    Ok(match may_inspect(job, standing) {
        MayInspect::Yes { .. } if who.is_manager() => {
            let small = "the same readings, beside their first values";
            to(format!("/jobs/{job}/again"), "Inspect again", small)
        }
        MayInspect::UnderWay(open) if open != job => {
            to(format!("/jobs/{open}"), "Re-inspection", "under way")
        }
        MayInspect::Newer(newer) => to(format!("/jobs/{newer}"), "Re-inspection", "in force"),
        _ => None,
    })
}

fn certificate_link(row: &CertificateRow) -> (String, String) {
    let shown = on_paper(&row.number);
    let shown = if row.withdrawn.is_some() { format!("{shown}, withdrawn") } else { shown };
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

/// What was found about its instruments since the release: the certificate stands, the page says so.
fn found_later(file: &JobFile, who: &Who) -> Vec<Attention> {
    let point = |found: FoundLater| {
        let recall = &found.recall;
        let results = match found.results {
            1 => "1 result here rests on it".to_owned(),
            count => format!("{count} results here rest on it"),
        };
        let own = format!("/instruments/{}/recalls/{}", found.instrument, recall.id);
        Attention {
            href: if who.is_manager() { own } else { "/instruments".to_owned() },
            mark: Mark { kind: "caution", word: "Found since" },
            title: format!(
                "{} was out of tolerance since {}",
                found.label,
                day_words(&recall.from)
            ),
            detail: format!(
                "{}. {results}; the certificate stands as it was issued.",
                recall.reason.trim_end_matches('.')
            ),
        }
    };
    recall::found_later(file).into_iter().map(point).collect()
}

/// What was found since the release; then steps that would keep the certificate back, once something was
/// recorded.
fn attention(file: &JobFile, here: &str, who: &Who) -> Vec<Attention> {
    let wants = |step: &&StepState| {
        !step.is_good() && (step.verdict().is_some() || step.is_clash() || step.reopened.is_some())
    };
    let steps = file.state.steps.iter().filter(wants);
    found_later(file, who)
        .into_iter()
        .chain(steps.map(|step| Attention {
            href: format!("{here}/sheet?open={}#s-{}", step.step.key, step.number),
            mark: Mark::of_step(step),
            title: format!("{}. {}", step.number, step.step.title),
            detail: attention_words(step),
        }))
        .collect()
}

fn attention_words(step: &StepState) -> String {
    if let Some(words) = &step.reopened {
        return words.text.clone();
    }
    let judged = step.result().and_then(|result| result.judged.as_ref().ok());
    judged
        .map(|judgement| format!("{}. {}", judgement.value, judgement.sentence))
        .unwrap_or_default()
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

/// Of a re-inspection: which certificate it measures again, and whether that still stands.
async fn measured_again(
    app: &App,
    who: &Who,
    file: &JobFile,
) -> Result<Vec<(&'static str, String)>, WebError> {
    let Some(of) = &file.row.again else { return Ok(Vec::new()) };
    let row = certificates::load(app.store(), who.workshop(), &of.certificate).await?;
    let number = row.map_or_else(|| on_paper(&of.certificate), |row| certificate_link(&row).1);
    Ok(vec![("Re-inspection of", number)])
}

fn plan_words(file: &JobFile) -> String {
    let Some(saved) = &file.plan else { return "none yet".to_owned() };
    let cautions =
        file.findings().iter().filter(|finding| finding.outcome == Outcome::Caution).count();
    let outcome = match worst(file.findings()) {
        Outcome::Stop => "a finding says stop".to_owned(),
        Outcome::Caution => format!("{cautions} cautions"),
        Outcome::Ok => "all ok".to_owned(),
    };
    format!("edition {}, {outcome}", saved.row.edition)
}

/// Whom the work can be given to; only a manager gives it, and only before the release.
fn technicians(who: &Who, file: &JobFile, people: Vec<Person>) -> Vec<Choice> {
    if !who.is_manager() || file.state.released.is_some() {
        return Vec::new();
    }
    let picked = file.row.technician.map(|id| id.to_string()).unwrap_or_default();
    people
        .into_iter()
        .filter(|person| !person.disabled)
        .map(|person| Choice::new(person.id.to_string(), person.name, &picked))
        .collect()
}
