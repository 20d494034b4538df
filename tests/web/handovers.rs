//! The customer's paper: who gets it, when, and on which paper.

use crate::documents::tools::words;
use crate::support::TestApp;

#[tokio::test]
async fn a_job_with_its_certificate_gives_the_paper_to_whoever_works_here() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let row = app.certificate(job, b"%PDF one").await;
    let at = format!("/jobs/{job}/handover");
    for client in [app.technician().await, app.owner().await] {
        let reply = client.get(&at).await;
        assert_eq!(reply.has_status(200).header("content-type"), "application/pdf");
        assert!(reply.header("content-disposition").contains(&row.number));
        assert!(reply.bytes.starts_with(b"%PDF-"), "no PDF");
    }
    let reply = app.manager().await.get(&format!("{at}?paper=letter")).await;
    let words = words(&reply.has_status(200).bytes);
    for stands in ["HP 21 KLN", "Jonas Weir", "Find the fuse", "50 A", "BY-26-00001-"] {
        assert!(words.contains(stands), "{stands} is missing in {words}");
    }
    assert!(words.replace(' ', "").contains(&format!("/verify/{}/{}", row.number, row.code)));
}

#[tokio::test]
async fn before_the_certificate_a_sentence_says_what_comes_first() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let at = format!("/jobs/{job}/handover");
    let manager = app.manager().await;
    manager.get(&at).await.has_status(409).says("Release the job first").says("Back to the job");
    for page in [format!("/jobs/{job}"), format!("/jobs/{job}/review")] {
        manager.get(&page).await.has_status(200).is_silent_about(&at);
    }
    app.certificate(job, b"%PDF one").await;
    manager.get(&format!("/jobs/{job}")).await.says(&format!("href=\"{at}\""));
}

#[tokio::test]
async fn another_paper_size_is_refused_with_the_ones_there_are() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    let manager = app.manager().await;
    let reply = manager.get(&format!("/jobs/{job}/handover?paper=a3")).await;
    reply.has_status(422).says("Ask for a4 or for letter");
}

#[tokio::test]
async fn another_workshop_and_an_unknown_job_find_nothing() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    app.stranger().await.get(&format!("/jobs/{job}/handover")).await.has_status(404);
    let nothing = "/jobs/00000000-0000-0000-0000-0000000000aa/handover";
    app.manager().await.get(nothing).await.has_status(404);
    assert_eq!(app.nobody().get(&format!("/jobs/{job}/handover")).await.status, 303);
}
