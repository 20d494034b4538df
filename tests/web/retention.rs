//! What may go after a time: counted before it goes, gone when it is due and not a day earlier, written down.

use fusewright::acts::job::load;
use fusewright::acts::record::{compose, record};
use fusewright::acts::retention::keep_to;
use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::ids::{EntryId, JobId};
use fusewright::storage::photos::{self, NewPhoto};
use fusewright::storage::picture::reencode;
use fusewright::storage::{links, retention};

use super::upload::jpeg;
use crate::support::{TECHNICIAN, TestApp, WORKSHOP};

/// Counted as the longest month each.
const YEAR_DAYS: i64 = 12 * 31;

/// A photo that is here, by its seed.
async fn photo(app: &TestApp, seed: u8) -> Digest {
    let sent = jpeg(seed);
    let sha256 = Digest::of(&sent);
    let (picture, received) = (reencode(&sent).unwrap(), app.now());
    let new = NewPhoto { sha256: sha256.clone(), picture, received, received_by: TECHNICIAN };
    photos::append(&app.store, WORKSHOP, new).await.unwrap();
    sha256
}

async fn names(app: &TestApp, job: JobId, photos: &[&Digest]) {
    let file = load(&app.store, WORKSHOP, job).await.unwrap();
    let payload = Payload::Photo { photos: photos.iter().copied().cloned().collect() };
    let id = EntryId(fusewright::world::new_id(app.now()).unwrap());
    let by = app.by(TECHNICIAN);
    let entry = compose(&by, id, &file, "before.condition", payload).write().unwrap();
    let (answers, _) = record(&app.store, &by, job, vec![entry]).await.unwrap();
    assert!(answers.iter().all(Result::is_ok), "{answers:?}");
}

async fn is_here(app: &TestApp, photo: &Digest) -> bool {
    photos::jpeg(&app.store, WORKSHOP, photo).await.unwrap().is_some()
}

#[tokio::test]
async fn photos_of_a_job_that_was_never_released_go_when_they_are_due_and_no_others() {
    let app = TestApp::start().await;
    let (forgotten, certified) =
        (app.job_with_sheet().await.row.id, app.job_with_sheet().await.row.id);
    let [own, shared, kept] = [photo(&app, 1).await, photo(&app, 2).await, photo(&app, 3).await];
    names(&app, forgotten, &[&own, &shared]).await;
    names(&app, certified, &[&shared, &kept]).await;
    app.certificate(certified, b"%PDF one").await;
    let owner = app.owner().await;
    owner.get("/settings/retention").await.says("ask your adviser").says("Nothing.");
    owner.post("/settings/retention", &[("photos", "12")]).await.has_status(303);

    keep_to(&app.store, app.now().plus_days(YEAR_DAYS - 1)).await.unwrap();
    assert!(is_here(&app, &own).await, "a day early");
    app.pass_minutes((YEAR_DAYS + 1) * 24 * 60);
    let owner = app.owner().await;
    let page = owner.get("/settings/retention").await;
    page.says("1 photos of job 1, which was never released");
    assert!(is_here(&app, &own).await, "counting lets nothing go");

    keep_to(&app.store, app.now()).await.unwrap();
    let here =
        [is_here(&app, &own).await, is_here(&app, &shared).await, is_here(&app, &kept).await];
    assert_eq!(here, [false, true, true]);
    let gone = retention::deletions(&app.store, WORKSHOP).await.unwrap();
    assert_eq!(gone.len(), 1);
    assert_eq!((gone[0].job_number, gone[0].count), (Some(1), 1));
    assert_eq!(gone[0].names, own.to_string());
    owner.get("/settings/retention").await.says(&own.to_string());
    // The chain is whole, and a second day finds nothing more.
    assert!(load(&app.store, WORKSHOP, forgotten).await.is_ok());
    keep_to(&app.store, app.now()).await.unwrap();
    assert_eq!(retention::deletions(&app.store, WORKSHOP).await.unwrap(), gone);
    // Sent once more it is here again.
    assert_eq!(photo(&app, 1).await, own);
    assert!(is_here(&app, &own).await);
}

#[tokio::test]
async fn without_a_time_nothing_goes_however_old_it_is() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let own = photo(&app, 1).await;
    names(&app, job, &[&own]).await;
    keep_to(&app.store, app.now().plus_days(50 * 366)).await.unwrap();
    assert!(is_here(&app, &own).await);
    assert_eq!(retention::deletions(&app.store, WORKSHOP).await.unwrap(), []);
}

#[tokio::test]
async fn links_and_sign_ins_that_ended_go_after_their_months_and_live_ones_stay() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    let manager = app.manager().await;
    manager.post(&format!("/jobs/{job}/links"), &[("days", "30")]).await.has_status(200);
    let owner = app.owner().await;
    let months = [("links", "1"), ("sessions", "1")];
    owner.post("/settings/retention", &months).await.has_status(303);
    let count = || async { links::list(&app.store, WORKSHOP, job).await.unwrap().len() };
    let made = app.now();
    keep_to(&app.store, made.plus_days(60)).await.unwrap();
    assert_eq!(count().await, 1, "it ended 30 days ago");
    keep_to(&app.store, made.plus_days(62)).await.unwrap();
    assert_eq!(count().await, 0);
    let gone = retention::deletions(&app.store, WORKSHOP).await.unwrap();
    assert!(gone.iter().any(|line| line.kind == "links" && line.count == 1), "{gone:?}");
    assert!(gone.iter().any(|line| line.kind == "sessions" && line.count >= 2), "{gone:?}");
}

#[tokio::test]
async fn months_are_whole_and_inside_their_band() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    for (name, months, status) in [
        ("photos", "12", 303),
        ("photos", "11", 422),
        ("photos", "600", 303),
        ("photos", "601", 422),
        ("links", "1", 303),
        ("links", "0", 422),
        ("sessions", "-1", 422),
        ("sessions", "1.5", 422),
        ("sessions", "", 303),
    ] {
        let reply = owner.post("/settings/retention", &[(name, months)]).await;
        assert_eq!(reply.status, status, "{name} {months}");
    }
    let reply = owner.post("/settings/retention", &[("photos", "soon")]).await;
    reply.has_status(422).says("or nothing to keep it for good").says("value=\"soon\"");
}
