//! The desk: jobs by what they wait for, words and filters over all of them, and what a technician sees of it.

use fusewright::acts::job::load;
use fusewright::acts::record::{compose, record};
use fusewright::domain::entry::Payload;
use fusewright::domain::ids::{EntryId, JobId};

use super::again::{equipped, release, work};
use crate::support::{Reply, TECHNICIAN, TestApp, WORKSHOP};

/// The part of the page under a heading.
fn group<'a>(page: &'a Reply, word: &str) -> &'a str {
    let head = format!("id=\"g-{word}\"");
    let Some(at) = page.text.find(&head) else { panic!("no group {word} in {}", page.text) };
    let rest = &page.text[at..];
    &rest[..rest.find("</section>").unwrap()]
}

fn holds(page: &Reply, word: &str, job: JobId) -> bool {
    group(page, word).contains(&format!("href=\"/jobs/{job}"))
}

/// Records a note with the technician's name under it.
async fn note(app: &TestApp, job: JobId, text: &str) {
    let file = load(&app.store, WORKSHOP, job).await.unwrap();
    let id = EntryId(fusewright::world::new_id(app.now()).unwrap());
    let key = file.state.steps[0].step.key.clone();
    let payload = Payload::Unable { reason: text.to_owned() };
    let body = compose(&app.by(TECHNICIAN), id, &file, &key, payload).write().unwrap();
    record(&app.store, &app.by(TECHNICIAN), job, vec![body]).await.unwrap();
}

#[tokio::test]
async fn each_job_stands_under_what_it_waits_for_until_it_waits_for_something_else() {
    let app = equipped().await;
    let planning = app.job_registered("KD 19 WEM").await;
    let ready = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    let desk = manager.get("/jobs").await;
    assert!(holds(&desk, "plan", planning) && holds(&desk, "parts", ready));
    desk.is_silent_about("id=\"g-review\"").is_silent_about("id=\"g-technician\"");
    note(&app, ready, "The key is missing.").await;
    let desk = manager.get("/jobs").await;
    assert!(holds(&desk, "technician", ready));
    desk.is_silent_about("id=\"g-parts\"");
    work(&app, ready, &[]).await;
    let desk = manager.get("/jobs").await;
    assert!(group(&desk, "review").contains(&format!("href=\"/jobs/{ready}/review\"")));
    release(&app, ready).await;
    let desk = manager.get("/jobs").await;
    assert!(holds(&desk, "released", ready));
    desk.is_silent_about("id=\"g-review\"");
}

#[tokio::test]
async fn a_job_waits_for_its_customer_until_the_link_is_opened() {
    let app = equipped().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    let manager = app.manager().await;
    manager.get("/jobs").await.is_silent_about("id=\"g-customer\"");
    let made = manager.post(&format!("/jobs/{job}/links"), &[("days", "90")]).await;
    assert!(holds(&manager.get("/jobs").await, "customer", job));
    let at = made.text.find("/handover/open/").unwrap();
    let link: String = made.text[at..].chars().take_while(|c| !matches!(c, '<' | '"')).collect();
    app.nobody().get(&link).await.has_status(303);
    manager.get("/jobs").await.is_silent_about("id=\"g-customer\"");
}

#[tokio::test]
async fn words_find_a_job_by_whatever_is_known_of_it() {
    let app = equipped().await;
    let job = app.job_registered("KD 19 WEM").await;
    let other = app.job_with_sheet().await.row.id;
    note(&app, other, "Grommet of the bulkhead has aged.").await;
    let manager = app.manager().await;
    for (words, found, not) in [("wem", job, other), ("bulkhead grom", other, job)] {
        let page = manager.get(&format!("/jobs?find={}", words.replace(' ', "+"))).await;
        assert!(holds(page.has_status(200), "found", found), "{words}");
        page.is_silent_about(&format!("/jobs/{not}"));
    }
    let nothing = manager.get("/jobs?find=zeppelin").await;
    nothing.has_status(200).says("No job is like that.").says("value=\"zeppelin\"");
    app.technician().await.get("/jobs?find=wem").await.says(&format!("/jobs/{job}"));
    app.stranger().await.get("/jobs?find=wem").await.is_silent_about(&job.to_string());
}

#[tokio::test]
async fn filters_narrow_and_stay_typed() {
    let app = equipped().await;
    let planning = app.job_registered("KD 19 WEM").await;
    let ready = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    let page = manager.get("/jobs?waits=parts").await;
    assert!(holds(&page, "parts", ready));
    page.is_silent_about(&planning.to_string());
    let page = manager.get("/jobs?waits=plan&vehicle=kd+19&customer=weir").await;
    assert!(holds(&page, "found", planning));
    page.is_silent_about(&ready.to_string()).says("value=\"kd 19\"").says("value=\"weir\"");
    let page = manager.get("/jobs?from=2026-11-25&to=2026-11-25").await;
    assert!(holds(&page, "found", planning) && holds(&page, "found", ready));
    manager.get("/jobs?from=2026-11-26").await.says("No job is like that.");
    let person = format!("/jobs?person={}", TECHNICIAN.0);
    assert!(holds(&manager.get(&person).await, "found", ready));
}

#[tokio::test]
async fn days_that_are_none_come_back_with_a_sentence() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for (wrong, sentence) in [
        ("from=soon", "Write a date as 2026-11-25."),
        ("from=2026-11-26&to=2026-11-25", "Choose a day that is not before the first."),
    ] {
        let page = manager.get(&format!("/jobs?{wrong}&find=van")).await;
        page.has_status(422).says(sentence).says("value=\"van\"");
    }
}

#[tokio::test]
async fn technicians_have_the_words_and_no_filters() {
    let app = TestApp::start().await;
    let job = app.job_registered("KD 19 WEM").await;
    let technician = app.technician().await;
    let page = technician.get("/jobs").await;
    page.has_status(200).says("name=\"find\"").is_silent_about("More filters");
    // A filter in the address narrows nothing for whoever has no field for it.
    technician.get("/jobs?customer=nobody").await.says(&format!("/jobs/{job}"));
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_ended_with_the_same_question() {
    let app = TestApp::start().await;
    for number in 0..53 {
        app.job_registered(&format!("KD {number} WEM")).await;
    }
    let manager = app.manager().await;
    let desk = manager.get("/jobs").await;
    assert_eq!(group(&desk, "plan").matches("job-row\"").count(), 20);
    assert!(group(&desk, "plan").contains(">53</span>"));
    for (query, word) in [("waits=plan", "plan"), ("find=wem", "found")] {
        let first = manager.get(&format!("/jobs?{query}")).await;
        assert_eq!(group(&first, word).matches("job-row\"").count(), 50);
        let at = first.text.find(&format!("/jobs?{query}&")).unwrap();
        let next: String = first.text[at..].chars().take_while(|c| *c != '"').collect();
        let second = manager.get(&next.replace("&#38;", "&").replace("&amp;", "&")).await;
        assert_eq!(group(&second, word).matches("job-row\"").count(), 3, "{query}");
        second.is_silent_about("rel=\"next\"");
    }
}
