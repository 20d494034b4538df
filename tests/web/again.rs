//! Inspecting again: from the certificate over the new job to the paper that compares.

use fusewright::acts::archive::check;
use fusewright::acts::job::load;
use fusewright::acts::plan;
use fusewright::acts::record::{compose, record};
use fusewright::domain::certificate::on_paper;
use fusewright::domain::entry::{Digest, Payload, Signature};
use fusewright::domain::ids::{EntryId, JobId};
use fusewright::domain::step::StepKind;
use fusewright::storage::certificates::{self, CertificateRow};
use fusewright::storage::photos::{self, NewPhoto};
use fusewright::storage::picture::reencode;
use fusewright::storage::{Conflict, instruments, reinspections};
use serde_json::Value;

use super::upload::jpeg;
use crate::documents::tools::words;
use crate::domain::cast::{METER, dec, exact_instrument, good, small_wrench};
use crate::support::{Client, MANAGER, TECHNICIAN, TestApp, WORKSHOP};

const DROP: &str = "prove.supply.drop_out";
const SPRING: &str = "00000000-0000-0000-0000-00000000a9a1";
const OTHER: &str = "00000000-0000-0000-0000-00000000a9a2";

/// Instruments that stay in calibration, and a photo to name.
pub(super) async fn equipped() -> TestApp {
    let app = TestApp::start().await;
    for mut tool in [exact_instrument(), small_wrench()] {
        tool.calibrations[0].due_on.replace_range(.., "2030-12-31");
        instruments::append(&app.store, WORKSHOP, tool, app.now()).await.unwrap();
    }
    let sent = jpeg(3);
    let sha256 = Digest::of(&sent);
    let (picture, received) = (reencode(&sent).unwrap(), app.now());
    let new = NewPhoto { sha256, picture, received, received_by: TECHNICIAN };
    photos::append(&app.store, WORKSHOP, new).await.unwrap();
    app
}

/// Records every step well, but what `other` says otherwise.
pub(super) async fn work(app: &TestApp, job: JobId, other: &[(&str, Payload)]) {
    let by = app.by(TECHNICIAN);
    let file = load(&app.store, WORKSHOP, job).await.unwrap();
    let mut bodies = Vec::new();
    for state in &file.state.steps {
        let said = other.iter().find(|(key, _)| *key == state.step.key);
        let payload = match said.map_or_else(|| good(&state.step), |(_, payload)| payload.clone()) {
            Payload::Photo { .. } => Payload::Photo { photos: vec![Digest::of(&jpeg(3))] },
            payload => payload,
        };
        bodies.push((state.step.key.clone(), payload));
    }
    let signature = Signature { name: "Tove Lind".to_owned(), strokes: String::new() };
    bodies.push((String::new(), Payload::Submit { signature }));
    for some in bodies.chunks(50) {
        let file = load(&app.store, WORKSHOP, job).await.unwrap();
        let write = |(step, payload): &(String, Payload)| {
            let id = EntryId(fusewright::world::new_id(app.now()).unwrap());
            compose(&by, id, &file, step, payload.clone()).write().unwrap()
        };
        let (answers, _) =
            record(&app.store, &by, job, some.iter().map(write).collect()).await.unwrap();
        for answer in answers {
            assert!(answer.is_ok(), "{answer:?}");
        }
    }
}

pub(super) async fn release(app: &TestApp, job: JobId) -> CertificateRow {
    let owner = app.owner().await;
    let release = format!("/jobs/{job}/release");
    owner.post(&release, &[("name", "Olga Tamm")]).await.has_status(303);
    certificates::list(&app.store, WORKSHOP, job).await.unwrap().pop().unwrap()
}

/// A job that was done and released, with its certificate.
pub(super) async fn released(app: &TestApp) -> (JobId, CertificateRow) {
    let job = app.job_with_sheet().await.row.id;
    work(app, job, &[]).await;
    let row = release(app, job).await;
    (job, row)
}

/// The same by a plan with a caution that was accepted.
async fn released_with_caution(app: &TestApp) -> (JobId, CertificateRow) {
    let (job, by) = (app.job().await, app.by(MANAGER));
    let bare = crate::support::PLAN_TEXT.replace("supported = true", "supported = false");
    let file = plan::save(&app.store, &by, job, &bare).await.unwrap();
    let open: Vec<String> = file.open_cautions().iter().map(|f| f.id.clone()).collect();
    assert!(!open.is_empty());
    for caution in open {
        plan::acknowledge(&app.store, &by, job, &caution, "A rib lies beneath.").await.unwrap();
    }
    plan::make(&app.store, &by, job).await.unwrap();
    work(app, job, &[]).await;
    let row = release(app, job).await;
    (job, row)
}

pub(super) async fn open(client: &Client, earlier: JobId, id: &str) -> JobId {
    let fields = [("id", id), ("technician", &TECHNICIAN.to_string())];
    let reply = client.post(&format!("/jobs/{earlier}/again"), &fields).await;
    assert_eq!(reply.has_status(303).location(), format!("/jobs/{id}"));
    id.parse().unwrap()
}

fn year_later(app: &TestApp) {
    app.pass_minutes(365 * 24 * 60);
}

/// Something more than the first time, and still inside the limit.
async fn grown(app: &TestApp, job: JobId) -> Payload {
    let file = load(&app.store, WORKSHOP, job).await.unwrap();
    let Some(StepKind::PathDrop { planned_milliohm, .. }) =
        file.state.step(DROP).map(|state| state.step.kind.clone())
    else {
        panic!("no drop")
    };
    Payload::PathDrop {
        drop_v: (planned_milliohm + dec("0.10")) * dec("10") / dec("1000"),
        current_a: dec("10"),
        instrument: METER,
        current_instrument: METER,
    }
}

/// The whole way, a year later.
#[tokio::test]
async fn a_re_inspection_ends_in_a_certificate_that_names_the_first_and_compares() {
    let app = equipped().await;
    let (first, paper) = released_with_caution(&app).await;
    year_later(&app);
    let manager = app.manager().await;
    manager.get(&format!("/jobs/{first}")).await.says("Inspect again");
    let asked = manager.get(&format!("/jobs/{first}/again")).await;
    asked.has_status(200).says(&on_paper(&paper.number)).says("stood accepted in writing");
    let again = open(&manager, first, SPRING).await;
    open(&manager, first, SPRING).await;

    let file = load(&app.store, WORKSHOP, again).await.unwrap();
    assert_eq!(file.row.customer_name, "Jonas Weir");
    assert!(file.state.acknowledged[0].reason.starts_with("As accepted in job 1 by Mika Saari"));
    assert!(file.state.acknowledged[0].reason.ends_with("A rib lies beneath."));
    assert_eq!(file.row.again.as_ref().unwrap().certificate, paper.number);
    let sheet = app.technician().await.get(&format!("/jobs/{again}/sheet?open={DROP}")).await;
    sheet.has_status(200).says("on 2026-11-25; limit at most").is_silent_about("Template laid");

    let drop = grown(&app, again).await;
    work(&app, again, &[(DROP, drop)]).await;
    for page in ["", "/review"] {
        let page = manager.get(&format!("/jobs/{again}{page}")).await;
        page.has_status(200).says("0.10 mΩ more").says("Grown");
    }
    papers_compare(&app, (again, &paper)).await;
    let record: Value = serde_json::from_slice(&paper.record).unwrap();
    assert_eq!(record["reinspection_of"], Value::Null);
}

/// Record, certificate and handover of the re-inspection of a certificate.
async fn papers_compare(app: &TestApp, (again, paper): (JobId, &CertificateRow)) {
    let row = release(app, again).await;
    let pdf = certificates::pdf(&app.store, &row).await.unwrap();
    let record: Value = serde_json::from_slice(&row.record).unwrap();
    assert_eq!(record["reinspection_of"], on_paper(&paper.number));
    assert_eq!(
        record["vehicle"]["odometer_km"], "none",
        "what the note says, not the plan's figure"
    );
    let manager = app.manager().await;
    let handover = manager.get(&format!("/jobs/{again}/handover")).await;
    for pdf in [pdf, handover.has_status(200).bytes.clone()] {
        let words = words(&pdf);
        let named = format!("Re-inspection of certificate {}", on_paper(&paper.number));
        for stands in [named.as_str(), "First value and present value", "0.10 mΩ more", "Grown"] {
            assert!(words.contains(stands), "{stands} is missing in {words}");
        }
    }
}

/// What the papers of a re-inspection say otherwise, the archive works out by the same lines.
#[tokio::test]
async fn the_archive_of_a_re_inspection_holds_like_any_other() {
    let app = equipped().await;
    let (first, paper) = released(&app).await;
    year_later(&app);
    let again = open(&app.manager().await, first, SPRING).await;
    work(&app, again, &[]).await;
    let row = release(&app, again).await;
    let reply = app.owner().await.get(&format!("/jobs/{again}/archive")).await;
    let archive = std::io::Cursor::new(reply.has_status(200).bytes.clone());
    let (contents, report) = check(archive).unwrap();
    assert_eq!(report.faults, [""; 0]);
    assert_eq!(contents.about.certificates[0].number, row.number);
    let record: Value = serde_json::from_slice(&row.record).unwrap();
    assert_eq!(record["reinspection_of"], on_paper(&paper.number));
}

#[tokio::test]
async fn of_one_line_one_re_inspection_is_under_way_and_it_starts_from_the_newest() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    let second = open(&manager, first, SPRING).await;
    let at = format!("/jobs/{first}/again");
    manager.get(&at).await.has_status(422).says("under way already");
    manager.post(&at, &[("id", OTHER)]).await.has_status(422).says("under way already");
    manager.get(&format!("/jobs/{first}")).await.says(&format!("href=\"/jobs/{second}\""));

    work(&app, second, &[]).await;
    release(&app, second).await;
    manager.get(&at).await.has_status(422).says("later certificate of this vehicle");
    manager.get(&format!("/jobs/{second}/again")).await.has_status(200);
    let third = open(&manager, second, OTHER).await;
    let line = reinspections::earlier_certificates(&app.store, WORKSHOP, third).await.unwrap();
    let jobs: Vec<JobId> = line.iter().map(|row| row.job).collect();
    assert_eq!(jobs, [first, second], "the first value is the oldest");
}

/// Both looked before either opened: the record itself decides.
#[tokio::test]
async fn two_that_open_at_once_get_one_job_and_one_refusal() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    open(&manager, first, SPRING).await;
    let file = load(&app.store, WORKSHOP, first).await.unwrap();
    let new = fusewright::storage::jobs::NewJob {
        id: OTHER.parse().unwrap(),
        customer: file.row.customer,
        kit: file.row.kit,
        vehicle: file.row.vehicle,
        registration: file.row.registration,
        technician: None,
        opened: app.now(),
        opened_by: MANAGER,
    };
    let refused = reinspections::append(&app.store, WORKSHOP, (new, first)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::ReinspectionUnderWay));
}

#[tokio::test]
async fn what_has_no_certificate_is_not_inspected_again() {
    let app = equipped().await;
    let job = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    let at = format!("/jobs/{job}/again");
    manager.get(&at).await.has_status(422).says("certificate in force");
    manager.post(&at, &[("id", SPRING)]).await.has_status(422).says("certificate in force");
    manager.get(&format!("/jobs/{job}")).await.is_silent_about(&at);
}

#[tokio::test]
async fn the_plan_of_a_re_inspection_stays() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let again = open(&app.manager().await, first, SPRING).await;
    let other = crate::support::PLAN_TEXT.replace("length_out_m = 3.4", "length_out_m = 3.5");
    let by = app.by(MANAGER);
    let same = crate::support::PLAN_TEXT;
    assert!(plan::save(&app.store, &by, again, same).await.is_ok());
    let other = if other == same { same.replacen("= 3", "= 2", 1) } else { other };
    let refused = plan::save(&app.store, &by, again, &other).await.unwrap_err();
    assert!(refused.to_string().contains("that plan stays"), "{refused}");
}

#[tokio::test]
async fn a_form_without_its_number_comes_back_and_a_foreign_one_opens_nothing() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    let at = format!("/jobs/{first}/again");
    manager.post(&at, &[("id", "no id")]).await.has_status(422).says("lost its number");
    let own = first.to_string();
    manager.post(&at, &[("id", &own)]).await.has_status(422).says("Load the page again");
    let technician = app.technician().await;
    technician.post(&at, &[("id", SPRING)]).await.has_status(403);
    technician.get(&format!("/jobs/{first}")).await.is_silent_about(&at);
    app.stranger().await.get(&at).await.has_status(404);
}
