//! The kit editor: check, draft and save; two editions beside each other; where an edition is used.

use fusewright::storage::kits;

use crate::support::{KIT_TEXT, Reply, TestApp, WORKSHOP};

fn next(text: &str) -> String {
    text.replace("edition = 1", "edition = 2")
}

#[track_caller]
fn is_silent(reply: &Reply, words: &[&str]) {
    for one in words {
        reply.is_silent_about(one);
    }
}

#[tokio::test]
async fn the_editor_opens_with_the_next_edition_and_the_sheet_it_makes() {
    let app = TestApp::start().await;
    let kit = app.kit().await;
    let manager = app.manager().await;
    let page = manager.get(&format!("/kits/{kit}/edit")).await;
    page.has_status(200).says("edition = 2\n").says("Save as edition 2").says("The sheet it makes");
    page.says("Made with an assumed vehicle").says("Nothing is changed yet");
    page.is_silent_about("Throw the draft away");
    let job = app.job_with_sheet().await;
    let page = manager.get(&format!("/kits/{}/edit", job.row.kit)).await;
    page.says(&format!("the newest plan of this kit, that of job {}", job.row.number));
    manager.get("/kits/new/edit").await.has_status(200).says("Nothing is wrong").says("NEW-KIT");
}

#[tokio::test]
async fn a_check_names_each_fault_with_its_line_and_keeps_the_text_as_a_draft() {
    let app = TestApp::start().await;
    let address = format!("/kits/{}/edit", app.kit().await);
    let manager = app.manager().await;
    let text = next(KIT_TEXT).replace("mass_kg = 29.5", "mass_kg = \"<b>heavy\"");
    let sent = text.replace('\n', "\r\n");
    let reply = manager.post(&format!("{address}/check"), &[("text", &sent)]).await;
    reply.has_status(422).says("data-line=\"8\"").says("One thing has to be put right.");
    reply
        .says("&#60;b&#62;heavy")
        .is_silent_about("<b>heavy")
        .says("Kept on the server as your draft");
    manager.get(&address).await.says("&#60;b&#62;heavy").says("Throw the draft away");
    // Nobody else sees it, and it is no edition.
    app.owner().await.get(&address).await.is_silent_about("heavy");
    assert_eq!(kits::list(&app.store, WORKSHOP).await.unwrap().len(), 1);
    manager.post(&format!("{address}/drop"), &[]).await.has_status(303);
    manager.get(&address).await.is_silent_about("heavy").says("Nothing is changed yet");
}

#[tokio::test]
async fn a_sound_text_becomes_the_next_edition_byte_for_byte_and_the_draft_is_gone() {
    let app = TestApp::start().await;
    let address = format!("/kits/{}/edit", app.kit().await);
    let manager = app.manager().await;
    let text = next(KIT_TEXT).replace("mass_kg = 29.5", "mass_kg = 30.5");
    manager.post(&format!("{address}/check"), &[("text", &text)]).await.has_status(200);
    let saved = manager.post(&address, &[("text", &text)]).await;
    let path = saved.has_status(303).location().to_owned();
    assert_eq!(manager.get(&format!("{path}/file")).await.bytes, text.as_bytes());
    let again = manager.get(&address).await;
    // A check that was on its way arrives late: it brings no draft back.
    manager.post(&format!("{address}/check"), &[("text", &text)]).await.has_status(200);
    manager.get(&address).await.is_silent_about("Throw the draft away");
    again.says("edition = 3\n").says("Save as edition 3").is_silent_about("mass_kg = 30.5");
}

#[tokio::test]
async fn an_edition_that_somebody_else_saved_meanwhile_is_told_and_the_text_is_kept() {
    let app = TestApp::start().await;
    let address = format!("/kits/{}/edit", app.kit().await);
    let (manager, owner) = (app.manager().await, app.owner().await);
    let theirs = next(KIT_TEXT).replace("mass_kg = 29.5", "mass_kg = 31");
    owner.post(&address, &[("text", &theirs)]).await.has_status(303);
    let ours = next(KIT_TEXT).replace("mass_kg = 29.5", "mass_kg = 30.5");
    let reply = manager.post(&address, &[("text", &ours)]).await;
    reply.has_status(422).says("Edition 2 of TRAY-40 is already here with other content.");
    reply.says("data-line=\"3\"").says("mass_kg = 30.5");
    manager.get(&address).await.says("mass_kg = 30.5").says("Throw the draft away");
}

#[tokio::test]
async fn another_workshops_kit_is_neither_edited_nor_compared() {
    let app = TestApp::start().await;
    let kit = app.kit().await;
    let stranger = app.stranger().await;
    for path in ["edit", "compare?from=1&to=1"] {
        stranger.get(&format!("/kits/{kit}/{path}")).await.has_status(404);
    }
    for path in ["edit", "edit/check", "edit/drop"] {
        stranger.post(&format!("/kits/{kit}/{path}"), &[("text", "x")]).await.has_status(404);
    }
}

#[tokio::test]
async fn two_editions_are_compared_by_figures_and_by_the_steps_of_the_sheet() {
    let app = TestApp::start().await;
    let kit = app.kit().await;
    let manager = app.manager().await;
    let address = format!("/kits/{kit}/edit");
    let part = "\n[[parts]]\nid = \"latch\"\nname = \"Latch\"\nnumber = \"L-4\"\nphase = \"mount\"\nbatch = true\n";
    let text = next(KIT_TEXT).replace("upper = 0.6", "upper = 0.5") + part;
    manager.post(&address, &[("text", &text)]).await.has_status(303);
    let page = manager.get(&format!("/kits/{kit}/compare?from=1&to=2")).await;
    page.has_status(200).says("Steps of its own").says("at most 0.6 mm").says("at most 0.5 mm");
    page.says("Batch: Latch").says("the limit was at most 0.6 mm, now at most 0.5 mm");
    is_silent(&page, &["<caption>Circuits", "<caption>Mounting", "Nothing but the number"]);
    let same = manager.get(&format!("/kits/{kit}/compare?from=2&to=2")).await;
    same.says("Nothing but the number differs").says("The same steps with the same limits.");
    manager.get(&format!("/kits/{kit}/compare?from=1&to=3")).await.has_status(404);
    manager.get(&format!("/kits/{kit}/compare?from=1")).await.has_status(422);
    manager.get(&format!("/kits/{kit}")).await.says("compare?from=1&#38;to=2");
}

#[tokio::test]
async fn where_an_edition_is_used_goes_on_page_by_page() {
    let app = TestApp::start().await;
    for number in 0..21 {
        app.pass_minutes(1);
        app.job_registered(&format!("AB {number:02}")).await;
    }
    let kit = kits::list(&app.store, WORKSHOP).await.unwrap().remove(0).id;
    let manager = app.manager().await;
    let first = manager.get(&format!("/kits/{kit}")).await;
    first.says("AB 20").says("AB 01").says("To plan").is_silent_about("AB 00");
    let later = first.text.split("href=\"").find(|link| link.contains("?before=")).unwrap();
    let later = later.split('#').next().unwrap();
    let last = manager.get(later).await;
    last.has_status(200).says("AB 00").is_silent_about("AB 01");
    manager.get(&format!("/kits/{kit}?before=x")).await.has_status(200).says("AB 20");
}
