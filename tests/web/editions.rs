//! The sheet, the job and the review after the plan changed under somebody's hands.

use fusewright::acts::job::load;
use fusewright::acts::plan;
use fusewright::domain::entry::Payload;

use super::sync::{Phone, states};
use crate::domain::cast::{METER, dec, good};
use crate::support::{MANAGER, PLAN_TEXT, WORKSHOP};

const RESTED: &str = "before.battery_rested";
const DROP: &str = "prove.supply.drop_out";

/// A longer supply: its drops have other limits.
async fn change_plan(phone: &Phone) {
    let (store, by) = (&phone.app.store, phone.app.by(MANAGER));
    let text = PLAN_TEXT.replacen("length_out_m = 3.4", "length_out_m = 3.8", 1);
    let file = plan::save(store, &by, phone.job, &text).await.unwrap();
    for caution in file.open_cautions() {
        plan::acknowledge(store, &by, phone.job, &caution.id, "Seen, and sound.").await.unwrap();
    }
    plan::make(store, &by, phone.job).await.unwrap();
}

#[tokio::test]
async fn the_sheet_says_what_a_new_plan_did_to_what_was_recorded() {
    let phone = Phone::new().await;
    let file = phone.file().await;
    let drop = good(&file.state.step(DROP).unwrap().step);
    let first = [phone.volts(1, "12.6"), phone.text(2, DROP, drop.clone())];
    assert_eq!(states(&phone.send(&first).await), ["recorded", "recorded"]);
    let sheet = format!("/jobs/{}/sheet", phone.job);
    phone.client.get(&sheet).await.is_silent_about("carried over");
    change_plan(&phone).await;
    let page = phone.client.get(&sheet).await;
    page.has_status(200)
        .says("Sheet 2: the plan changed. 1 result carried over, 1 step due again, 0 new, 0 gone.")
        .says("Carried over from sheet 1: this step is the same on sheet 2.")
        .says("Due again: the limit was at most ")
        .says("Your earlier result is kept below.");
    // A phone that comes back with the old sheet.
    let late = [
        phone.text(3, DROP, drop),
        phone.text(4, "before.no_such_step", Payload::Confirm {}),
        phone.text(5, RESTED, Payload::Reading { value: dec("12.7"), instrument: METER }),
    ];
    let rows = phone.send(&late).await;
    assert_eq!(states(&rows), ["recorded", "recorded", "recorded"]);
    let sentence = rows[0]["verdict"]["sentence"].as_str().unwrap();
    assert!(sentence.starts_with("Made for sheet 1: the limit was "), "{sentence}");
    assert_eq!(rows[1]["verdict"]["kind"], "uncounted");
    assert_eq!(rows[2]["verdict"]["kind"], "pass");
}

#[tokio::test]
async fn what_no_step_takes_is_shown_on_the_job_and_the_review() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    let pages = ["", "/review"].map(|part| format!("/jobs/{}{part}", phone.job));
    for page in &pages {
        manager.get(page).await.has_status(200).is_silent_about("Kept, not counted");
    }
    let text = "Bracket <b>bent</b>".to_owned();
    let gone = phone.text(1, "before.no_such_step", Payload::Note { text });
    phone.send(&[gone]).await;
    for page in &pages {
        manager
            .get(page)
            .await
            .says("Kept, not counted")
            .says("Bracket &#60;b&#62;bent&#60;/b&#62;")
            .says("The sheet has no such step any more. It is kept and not counted.")
            .says("Tove Lind, 2026-11-25 08:00");
    }
}

#[tokio::test]
async fn the_certificate_refuses_while_a_step_is_due_again() {
    let phone = Phone::new().await;
    let drop = good(&phone.file().await.state.step(DROP).unwrap().step);
    phone.send(&[phone.text(1, DROP, drop)]).await;
    change_plan(&phone).await;
    let manager = phone.app.manager().await;
    let job = format!("/jobs/{}", phone.job);
    let reply = manager.post(&format!("{job}/release"), &[("name", "Mika Saari")]).await;
    reply.has_status(422).says("No certificate can be made");
    manager.post(&format!("{job}/certificate"), &[]).await.has_status(422);
    manager.get(&format!("{job}/review")).await.says("the sheet changed, not done again yet");
    let state = load(&phone.app.store, WORKSHOP, phone.job).await.unwrap().state;
    assert!(state.released.is_none());
}
