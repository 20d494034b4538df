//! What the review shows beside the results: the plan, photos of now and before, both clocks, the queue.

use fusewright::acts::job::load;
use fusewright::acts::record::{compose, record};
use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::ids::EntryId;
use fusewright::storage::photos::{self, NewPhoto};
use fusewright::storage::picture::reencode;

use super::again::{equipped, open, release, released, work};
use super::upload::jpeg;
use crate::support::{TECHNICIAN, WORKSHOP};

const AGAIN: &str = "00000000-0000-0000-0000-00000000a9a3";
/// A step that asks for a photo.
const CONDITION: &str = "before.condition";

#[tokio::test]
async fn the_plan_stands_on_the_review_with_every_finding_and_who_accepted_it() {
    let app = equipped().await;
    let file = app.job_with_sheet().await;
    let page = app.manager().await.get(&format!("/jobs/{}/review?show=plan", file.row.id)).await;
    assert!(file.findings().len() > 10);
    let accepted = file.findings().iter().filter(|f| file.accepted_words(f).is_some()).count();
    assert_eq!(page.text.matches("<b>Accepted by ").count(), accepted);
    for finding in file.findings() {
        page.says(&format!("/jobs/{}/plan#{}\"", file.row.id, finding.id));
    }
}

#[tokio::test]
async fn a_photo_that_was_replaced_stands_beside_the_one_that_counts() {
    let app = equipped().await;
    let file = app.job_with_sheet().await;
    let sent = jpeg(4);
    let (sha256, picture) = (Digest::of(&sent), reencode(&sent).unwrap());
    let new = NewPhoto { sha256, picture, received: app.now(), received_by: TECHNICIAN };
    photos::append(&app.store, WORKSHOP, new).await.unwrap();
    for seed in [3, 4] {
        let file = load(&app.store, WORKSHOP, file.row.id).await.unwrap();
        let id = EntryId(fusewright::world::new_id(app.now()).unwrap());
        let payload = Payload::Photo { photos: vec![Digest::of(&jpeg(seed))] };
        let by = app.by(TECHNICIAN);
        let body = compose(&by, id, &file, CONDITION, payload).write().unwrap();
        record(&app.store, &by, file.row.id, vec![body]).await.unwrap();
        app.pass_minutes(1);
    }
    let address = format!("/jobs/{}/review?show=photos", file.row.id);
    let page = app.manager().await.get(&address).await;
    let [first, second] = [3, 4].map(|seed| page.text.find(&Digest::of(&jpeg(seed)).to_string()));
    assert!(first.unwrap() < second.unwrap());
    page.says("Replaced since. Tove Lind, 2026-11-25").says("<p>Tove Lind, 2026-11-25");
}

#[tokio::test]
async fn a_re_inspection_shows_the_photos_of_the_first_time_beside_its_own() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    let second = open(&manager, first, AGAIN).await;
    work(&app, second, &[]).await;
    let page = manager.get(&format!("/jobs/{second}/review?show=photos")).await;
    page.says("<p>Job 1, 2026-11-25</p>").says("<p>Tove Lind, 2026-11-25");
}

#[tokio::test]
async fn a_result_says_its_instrument_and_when_it_was_recorded_and_received() {
    let app = equipped().await;
    let job = app.job_with_sheet().await.row.id;
    work(&app, job, &[]).await;
    let manager = app.manager().await;
    let page = manager.get(&format!("/jobs/{job}/review?step=before.battery_rested")).await;
    page.says("<dt>Instrument</dt><dd>Meter 1</dd>");
    page.says("<dt>On the phone</dt><dd>2026-11-25").says("<dt>Received</dt><dd>2026-11-25");
    let all = manager.get(&format!("/jobs/{job}/review?show=all")).await;
    all.says("Meter 1, Tove Lind, 2026-11-25");
}

#[tokio::test]
async fn the_next_job_for_review_is_named_once_this_one_is_decided() {
    let app = equipped().await;
    let (one, other) = (app.job_with_sheet().await.row.id, app.job_with_sheet().await.row.id);
    assert_ne!(one, other);
    work(&app, one, &[]).await;
    work(&app, other, &[]).await;
    let manager = app.manager().await;
    let page = manager.get(&format!("/jobs/{one}/review")).await;
    page.says(&format!("class=\"queue__job\" href=\"/jobs/{other}/review\""));
    page.is_silent_about("Next for review");
    release(&app, one).await;
    let page = manager.get(&format!("/jobs/{one}/review")).await;
    page.says(&format!("href=\"/jobs/{other}/review\">Next for review: job"));
}
