//! The customer's paper: who gets it, when, and on which paper.

use fusewright::documents::words::{Words, files, message_ids};
use fusewright::domain::paper_style::Language;

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

/// English sentences of a page or paper that another language has in other words.
fn english_sentences() -> Vec<String> {
    let (english, german) =
        (Words::of_language(Language::English), Words::of_language(Language::German));
    files(Language::English)
        .iter()
        .flat_map(|(_, text)| message_ids(text))
        // A part before the first argument will do.
        .map(|id| (english.say(id), german.say(id)))
        .filter(|(one, other)| one != other)
        .filter_map(|(one, _)| one.split('{').next().map(|part| part.trim().to_owned()))
        .filter(|part| part.len() > 11 && part.contains(' '))
        .collect()
}

#[tokio::test]
async fn a_job_has_its_own_language_on_paper_on_labels_and_on_the_customers_pages() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let row = app.certificate(job, b"%PDF one").await;
    let manager = app.manager().await;
    let at = format!("/jobs/{job}/language");
    manager.post(&at, &[("language", "fr")]).await.has_status(422);
    app.technician().await.post(&at, &[("language", "de")]).await.has_status(403);
    app.stranger().await.post(&at, &[("language", "de")]).await.has_status(404);
    manager.post(&at, &[("language", "de")]).await.has_status(303);
    manager.get(&format!("/jobs/{job}/links")).await.says("value=\"de\" selected");

    let paper = manager.get(&format!("/jobs/{job}/handover")).await;
    let labels = manager.get(&format!("/jobs/{job}/labels.pdf?form=a4-21&first=1")).await;
    let roadside = app.nobody().get(&format!("/verify/{}/{}/safe", row.number, row.code)).await;
    roadside.says("<html lang=\"de\">").says("Sicherung finden").says("Werkstatt anrufen");
    let (paper, labels) = (words(&paper.bytes), words(&labels.bytes));
    assert!(paper.contains("Sicher machen") && paper.contains("Seite 1 von"), "{paper}");
    assert!(labels.contains("Sicherung 50 A"), "{labels}");
    for told in [&paper, &labels, &roadside.text] {
        let left: Vec<String> =
            english_sentences().into_iter().filter(|part| told.contains(part.as_str())).collect();
        assert_eq!(left, Vec::<String>::new());
    }

    manager.post(&at, &[("language", "")]).await.has_status(303);
    let english = manager.get(&format!("/jobs/{job}/handover")).await;
    let english = words(&english.bytes);
    assert!(english.contains("Make it safe") && !english.contains("Sicher machen"));
    let said = english_sentences().iter().filter(|part| english.contains(part.as_str())).count();
    assert!(said > 40, "{said}");
}
