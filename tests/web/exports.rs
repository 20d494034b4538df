//! A whole job as one file: who gets it, and that it holds.

use std::io::Cursor;

use fusewright::acts::archive::check;
use fusewright::storage::certificates;

use super::outbox_file::loaded_day;
use super::sync::Phone;
use crate::support::{TestApp, WORKSHOP};

/// A job that was really released, by its phone's file.
async fn released() -> Phone {
    let phone = Phone::new().await;
    loaded_day(&phone).await;
    let owner = phone.app.owner().await;
    let release = format!("/jobs/{}/release", phone.job);
    owner.post(&release, &[("name", "Olga Tamm")]).await.has_status(303);
    phone
}

#[tokio::test]
async fn the_owner_gets_a_released_job_as_an_archive_that_holds() {
    let phone = released().await;
    let at = format!("/jobs/{}/archive", phone.job);
    let owner = phone.app.owner().await;
    owner.get(&format!("/jobs/{}", phone.job)).await.says(&format!("href=\"{at}\""));
    let reply = owner.get(&at).await;
    assert_eq!(reply.has_status(200).header("content-type"), "application/zip");
    assert_eq!(reply.header("content-length"), reply.bytes.len().to_string());
    assert!(reply.header("content-disposition").contains("attachment; filename=\"job-1.zip\""));
    let (contents, report) = check(Cursor::new(&reply.bytes)).unwrap();
    assert_eq!(report.faults, [""; 0]);
    let rows = certificates::list(&phone.app.store, WORKSHOP, phone.job).await.unwrap();
    assert_eq!(contents.about.certificates[0].number, rows[0].number);
    assert_eq!(contents.customer.unwrap().name, "Jonas Weir");
    let aside = phone.app.store.folder().join("tmp");
    assert_eq!(std::fs::read_dir(aside).unwrap().count(), 0, "its name goes at once");
    assert_eq!(owner.get(&at).await.bytes, reply.bytes);

    let without = owner.get(&format!("{at}?customer=left-out")).await;
    let (contents, report) = check(Cursor::new(&without.has_status(200).bytes)).unwrap();
    assert_eq!((contents.customer, report.faults.len()), (None, 0));
    owner.get(&format!("{at}?customer=maybe")).await.has_status(422).says("customer=left-out");
}

#[tokio::test]
async fn nobody_but_the_owner_of_this_workshop_gets_it() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let at = format!("/jobs/{job}/archive");
    for client in [app.technician().await, app.manager().await] {
        client.get(&at).await.has_status(403);
        client.get(&format!("/jobs/{job}")).await.is_silent_about(&at);
    }
    app.stranger().await.get(&at).await.has_status(404);
    assert_eq!(app.nobody().get(&at).await.status, 303);
    app.owner().await.get(&at).await.has_status(200);
}

#[tokio::test]
async fn what_would_not_hold_is_not_given_out() {
    let phone = released().await;
    let rows = certificates::list(&phone.app.store, WORKSHOP, phone.job).await.unwrap();
    let file = phone.app.store.folder().join(format!("certificates/{}.pdf", rows[0].number));
    let at = format!("/jobs/{}/archive", phone.job);
    std::fs::remove_file(&file).unwrap();
    phone.app.owner().await.get(&at).await.has_status(500);

    // A certificate whose file was never one: the sample of the other tests.
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    let reply = app.owner().await.get(&format!("/jobs/{job}/archive")).await;
    reply.has_status(422).says("it would not hold").says("cannot be read as a PDF");
}
