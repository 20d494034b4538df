//! A defect's life on its pages: opened, assigned, reworked, tested again or confirmed, and never by the wrong
//! person.

use fusewright::acts::job::{JobFile, load};
use fusewright::acts::record::{compose, record};
use fusewright::domain::entry::{Payload, TEXT_CHARS_MAX};
use fusewright::domain::ids::{EntryId, InstrumentId, PersonId};
use fusewright::domain::job::{Defect, Wants};
use fusewright::domain::person::{Person, Role};
use fusewright::storage::people::{self, NewPerson};
use reqwest::multipart::{Form, Part};
use uuid::Uuid;

use crate::support::{Client, MANAGER, OWNER, Reply, TECHNICIAN, TestApp, WORKSHOP};

const RESTED: &str = "before.battery_rested";
const SWARF: &str = "Swarf lies in the seat rail <b>";

async fn start() -> (TestApp, JobFile, InstrumentId) {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 1", "2026-01-01", "2026-12-31").await;
    let file = app.job_with_sheet().await;
    (app, file, meter)
}

async fn again(app: &TestApp, file: &JobFile) -> JobFile {
    load(&app.store, WORKSHOP, file.row.id).await.unwrap()
}

/// The technician's entry at a step.
async fn enter(app: &TestApp, file: &JobFile, payload: Payload) {
    let by = app.by(TECHNICIAN);
    let id = EntryId(fusewright::world::new_id(app.now()).unwrap());
    let body = compose(&by, id, &again(app, file).await, RESTED, payload);
    let bytes = vec![body.write().unwrap()];
    let (answers, _) = record(&app.store, &by, file.row.id, bytes).await.unwrap();
    assert!(answers.iter().all(Result::is_ok));
}

fn volts(value: &str, instrument: InstrumentId) -> Payload {
    Payload::Reading { value: value.parse().unwrap(), instrument }
}

async fn opened(client: &Client, file: &JobFile, fields: [(&'static str, String); 2]) -> Reply {
    let form = fields.into_iter().fold(Form::new(), |form, (name, text)| form.text(name, text));
    client.post_parts(&format!("/jobs/{}/defects", file.row.id), form).await
}

/// A manager's defect of the job as a whole.
async fn raised(app: &TestApp, file: &JobFile) -> Defect {
    let fields = [("text", SWARF.to_owned()), ("step", String::new())];
    opened(&app.manager().await, file, fields).await.has_status(303);
    again(app, file).await.state.defects().pop().unwrap()
}

async fn rework(client: &Client, here: &str, text: &str) -> Reply {
    let id = Uuid::now_v7().to_string();
    client.post(&format!("{here}/rework"), &[("id", &id), ("text", text)]).await
}

fn address(file: &JobFile, defect: &Defect) -> String {
    format!("/jobs/{}/defects/{}", file.row.id, defect.id)
}

#[tokio::test]
async fn a_failing_result_is_on_the_list_until_it_was_reworked_and_passes() {
    let (app, file, meter) = start().await;
    enter(&app, &file, volts("11.0", meter)).await;
    let manager = app.manager().await;
    let page = manager.get("/defects").await;
    page.has_status(200).says("11.0 V. Outside").says("Tove Lind").says("mark--fail");
    let defect = again(&app, &file).await.state.defects().pop().unwrap();
    let here = address(&file, &defect);
    let technician = app.technician().await;
    technician.get("/defects").await.says(&here);
    rework(&technician, &here, "Posts cleaned.").await.has_status(303);
    technician.get(&here).await.says("Waits for a passing re-test").says("Posts cleaned.");
    enter(&app, &file, volts("12.7", meter)).await;
    manager.get("/defects").await.is_silent_about(&here);
    manager.get("/defects?state=closed").await.says(&here);
    technician.get(&here).await.says("Passed again").is_silent_about("Note what was done");
}

#[tokio::test]
async fn technician_job_and_step_say_what_is_wrong() {
    let (app, file, meter) = start().await;
    enter(&app, &file, volts("11.0", meter)).await;
    let defect = again(&app, &file).await.state.defects().pop().unwrap();
    let link = format!("href=\"{}\"", address(&file, &defect));
    let technician = app.technician().await;
    technician.get(&format!("/jobs/{}", file.row.id)).await.says(&link);
    technician.get(&format!("/jobs/{}/sheet", file.row.id)).await.says(&link);
}

#[tokio::test]
async fn a_managers_defect_is_closed_by_another_managers_look_after_the_rework() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let here = address(&file, &defect);
    let confirm = format!("{here}/confirm");
    let seen = [("seen", "The rail is clean.")];
    let (manager, owner) = (app.manager().await, app.owner().await);
    manager.post(&confirm, &seen).await.has_status(422).says("That comes first");
    rework(&owner, &here, "Vacuumed out.").await.has_status(303);
    owner.get(&here).await.says("does not confirm it").is_silent_about("It is put right");
    owner.post(&confirm, &seen).await.has_status(422).says("The rail is clean.");
    manager.get(&here).await.says("It is put right");
    manager
        .post(&confirm, &[("seen", " ")])
        .await
        .has_status(422)
        .says("Write what you looked at.");
    manager.post(&confirm, &seen).await.has_status(303);
    manager.post(&confirm, &seen).await.has_status(422).says("closed already");
    rework(&owner, &here, "Once more.").await.has_status(422).says("closed already");
    let state = again(&app, &file).await.state;
    assert_eq!(state.defect(defect.id).unwrap().wants(), Wants::Nothing);
}

#[tokio::test]
async fn where_one_person_may_do_both_they_may_confirm_too() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let here = address(&file, &defect);
    let manager = app.manager().await;
    rework(&manager, &here, "Vacuumed out.").await.has_status(303);
    let seen = [("seen", "Clean.")];
    manager.post(&format!("{here}/confirm"), &seen).await.has_status(422);
    let workshop = fusewright::storage::workshops::load(&app.store, WORKSHOP).await.unwrap();
    let mut workshop = workshop.unwrap();
    workshop.one_person_release = true;
    fusewright::storage::workshops::change(&app.store, &workshop).await.unwrap();
    manager.post(&format!("{here}/confirm"), &seen).await.has_status(303);
}

#[tokio::test]
async fn a_confirmation_never_takes_the_place_of_a_re_test() {
    let (app, file, meter) = start().await;
    enter(&app, &file, volts("11.0", meter)).await;
    let defect = again(&app, &file).await.state.defects().pop().unwrap();
    let here = address(&file, &defect);
    rework(&app.technician().await, &here, "Posts cleaned.").await.has_status(303);
    let seen = [("seen", "Looks good.")];
    let reply = app.manager().await.post(&format!("{here}/confirm"), &seen).await;
    reply.has_status(422).says("Measure again");
}

#[tokio::test]
async fn technicians_open_none_confirm_none_and_see_only_their_own() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let (technician, here) = (app.technician().await, address(&file, &defect));
    let fields = [("text", "x".to_owned()), ("step", String::new())];
    opened(&technician, &file, fields).await.has_status(403);
    technician.post(&format!("{here}/confirm"), &[("seen", "x")]).await.has_status(403);
    technician.post(&format!("{here}/assign"), &[("person", "")]).await.has_status(403);
    technician.get("/defects").await.says(&here).is_silent_about("name=\"person\"");
    let given = [("person", MANAGER.0.to_string())];
    let given: Vec<(&str, &str)> = given.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let manager = app.manager().await;
    manager.post(&format!("{here}/assign"), &given).await.has_status(303);
    technician.get("/defects").await.is_silent_about(&here);
    let theirs = format!("/defects?person={}", MANAGER.0);
    technician.get(&theirs).await.is_silent_about(&here);
    manager.get(&theirs).await.says(&here).says("Mika Saari");
    manager.get(&format!("/defects?person={}", TECHNICIAN.0)).await.is_silent_about(&here);
    manager.get("/defects?kit=OTHER").await.is_silent_about(&here);
}

#[tokio::test]
async fn a_form_that_comes_back_keeps_what_was_typed() {
    let (app, file, _) = start().await;
    let manager = app.manager().await;
    let fields = [("text", String::new()), ("step", RESTED.to_owned())];
    let reply = opened(&manager, &file, fields).await;
    reply.has_status(422).says("Write what is wrong.").says("before.battery_rested\" selected");
    let long = "x".repeat(TEXT_CHARS_MAX + 1);
    let fields = [("text", long.clone()), ("step", String::new())];
    opened(&manager, &file, fields).await.has_status(422).says(&long);
    let fields = [("text", SWARF.to_owned()), ("step", "no.such".to_owned())];
    let reply = opened(&manager, &file, fields).await;
    reply.has_status(422).says("no such step").says("&#60;b&#62;");
    let form = Form::new().text("text", SWARF).part("photo", Part::bytes(vec![1, 2, 3]));
    let path = format!("/jobs/{}/defects", file.row.id);
    manager.post_parts(&path, form).await.has_status(422).says("id=\"photo-error\"");
    assert!(again(&app, &file).await.state.defects().is_empty());
}

#[tokio::test]
async fn a_defect_is_given_to_people_who_work_here_and_to_nobody_else() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let assign = format!("{}/assign", address(&file, &defect));
    let manager = app.manager().await;
    let gone = PersonId(Uuid::from_u128(0x77));
    let (name, sign_in) = ("Gone Away".to_owned(), "gone".to_owned());
    let role = Role::Technician;
    let person = Person { id: gone, workshop: WORKSHOP, name, sign_in, role, disabled: true };
    let new = NewPerson { person, password_hash: "none".to_owned(), created: app.now() };
    people::append(&app.store, new).await.unwrap();
    for id in [gone.0.to_string(), Uuid::from_u128(0x78).to_string(), "somebody".to_owned()] {
        manager.post(&assign, &[("person", &id)]).await.has_status(422).says("Choose somebody");
    }
    manager.post(&assign, &[("person", &OWNER.0.to_string())]).await.has_status(303);
}

#[tokio::test]
async fn another_workshop_finds_none_of_it() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let (stranger, here) = (app.stranger().await, address(&file, &defect));
    stranger.get("/defects").await.has_status(200).is_silent_about(&here);
    stranger.get(&here).await.has_status(404);
    rework(&stranger, &here, "Mine.").await.has_status(404);
    stranger.post(&format!("{here}/confirm"), &[("seen", "x")]).await.has_status(404);
    let person = OWNER.0.to_string();
    stranger.post(&format!("{here}/assign"), &[("person", &person)]).await.has_status(404);
    let fields = [("text", "x".to_owned()), ("step", String::new())];
    opened(&stranger, &file, fields).await.has_status(404);
}

#[tokio::test]
async fn the_same_rework_sent_twice_is_noted_once() {
    let (app, file, _) = start().await;
    let defect = raised(&app, &file).await;
    let (technician, here) = (app.technician().await, address(&file, &defect));
    let id = Uuid::now_v7().to_string();
    for _ in 0..2 {
        let fields = [("id", id.as_str()), ("text", "Vacuumed out.")];
        technician.post(&format!("{here}/rework"), &fields).await.has_status(303);
    }
    let state = again(&app, &file).await.state;
    assert_eq!(state.defect(defect.id).unwrap().reworks.len(), 1);
}

#[tokio::test]
async fn a_release_that_is_refused_names_the_defect() {
    let (app, file, _) = start().await;
    raised(&app, &file).await;
    let release = format!("/jobs/{}/release", file.row.id);
    let reply = app.manager().await.post(&release, &[("name", "Mika Saari")]).await;
    reply.has_status(422).says("points are open");
    let review = app.manager().await.get(&format!("/jobs/{}/review", file.row.id)).await;
    review.says("Defect of the job as a whole: Swarf lies in the seat rail");
}
