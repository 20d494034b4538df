//! Recall: which vehicles carry a part, by its batch or serial number, on the page and as CSV.

use fusewright::acts::job;
use fusewright::acts::record::{compose, record};
use fusewright::domain::entry::Payload;
use fusewright::domain::ids::{EntryId, JobId};
use fusewright::domain::parts::KIT_SERIAL;

use crate::support::{TECHNICIAN, TestApp};

async fn write_down(app: &TestApp, id: JobId, serial: &str) {
    app.pass_minutes(1);
    let by = app.by(TECHNICIAN);
    let file = job::load(&app.store, crate::support::WORKSHOP, id).await.unwrap();
    let entry = EntryId(fusewright::world::new_id(app.now()).unwrap());
    let payload = Payload::Note { text: serial.to_owned() };
    let body = compose(&by, entry, &file, KIT_SERIAL, payload).write().unwrap();
    record(&app.store, &by, id, vec![body]).await.unwrap().0[0].as_ref().unwrap();
}

#[tokio::test]
async fn a_kit_is_found_by_the_number_on_its_plate_and_a_corrected_one_says_so() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    write_down(&app, file.row.id, "26-41820").await;
    write_down(&app, file.row.id, "26-41833").await;
    let manager = app.manager().await;
    let page = manager.get("/parts?part=tray&value=2641833").await;
    page.has_status(200).says("26-41833").says("Carries it").says(&file.row.registration);
    page.says("Not released").is_silent_about("26-41820");
    page.says("/parts.csv?part=tray&#38;value=2641833\"");
    let old = manager.get("/parts?value=26-41820&exact=on").await;
    old.says("value=26-41820&#38;exact=on\"");
    old.says("Corrected").is_silent_about("Carries it").says("1 corrected since");
    manager.get("/parts?value=99").await.says("Nothing of this was written down on any job.");
}

#[tokio::test]
async fn the_file_holds_what_the_page_finds_and_text_stays_text() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    write_down(&app, file.row.id, "=26-41820,<b>").await;
    let manager = app.manager().await;
    let reply = manager.get("/parts.csv?value=26-4").await;
    reply.has_status(200).says("Batch or serial number").says("\"'=26-41820,<b>\"");
    assert_eq!(reply.header("content-disposition"), "attachment; filename=\"parts.csv\"");
    let page = manager.get("/parts?value=26").await;
    page.is_silent_about("41820,<b>").says("41820,&#60;b&#62;");
    manager.get("/parts.csv?part=-").await.has_status(422).says("Write a part, a batch");
}

#[tokio::test]
async fn another_workshop_finds_nothing_and_a_long_question_is_told_so() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    write_down(&app, file.row.id, "26-41820").await;
    let stranger = app.stranger().await;
    stranger.get("/parts?value=26").await.has_status(200).is_silent_about("26-41820");
    stranger.get("/parts?part=tray").await.is_silent_about("TRAY-40");
    let long = format!("/parts?value={}", "7".repeat(81));
    app.manager().await.get(&long).await.has_status(422).says("at most 80");
    app.manager().await.get("/parts?value=26&before=x_y").await.has_status(200).says("26-41820");
}
