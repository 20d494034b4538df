//! The plan board: a week of jobs, moves by form, who saw what, and the technician's list that follows.

use fusewright::acts::job::JobFile;
use fusewright::domain::ids::JobId;
use fusewright::storage::board::load;
use time::Date;
use time::macros::date;

use crate::support::{Client, MANAGER, Reply, TECHNICIAN, TestApp, WORKSHOP};

/// The tests' morning is a Wednesday.
const TODAY: Date = date!(2026 - 11 - 25);

async fn start() -> (TestApp, JobId, Client) {
    let app = TestApp::start().await;
    let job = app.job_registered("AB 12 CDE").await;
    let manager = app.manager().await;
    (app, job, manager)
}

async fn saw(app: &TestApp, job: JobId) -> String {
    let there = load(&app.store, WORKSHOP, job).await.unwrap().unwrap();
    let person = there.technician.map(|id| id.0.to_string()).unwrap_or_default();
    format!("{}.{person}", there.planned.version)
}

async fn place(app: &TestApp, client: &Client, job: JobId, fields: &[(&str, &str)]) -> Reply {
    let (saw, technician) = (saw(app, job).await, TECHNICIAN.0.to_string());
    let mut all = vec![("saw", saw.as_str()), ("technician", technician.as_str())];
    all.extend(fields);
    client.post(&format!("/jobs/{job}/day"), &all).await
}

async fn day_of(app: &TestApp, job: JobId) -> Option<Date> {
    load(&app.store, WORKSHOP, job).await.unwrap().unwrap().planned.day
}

#[tokio::test]
async fn a_job_without_a_day_gets_one_and_stands_in_its_week() {
    let (app, job, manager) = start().await;
    let page = manager.get("/board").await;
    page.has_status(200).says("2026-W48").says("Without a day").says(&format!("j-{job}"));
    let form = manager.get(&format!("/jobs/{job}/day?week=2026-W48")).await;
    form.has_status(200).says("value=\"4\"").says("To the job");
    let reply =
        place(&app, &manager, job, &[("day", "2026-11-26"), ("days", "1"), ("hours", "6,5")]).await;
    reply.has_status(303);
    assert!(reply.location().starts_with("/board?week=2026-W48&done=moved#j-"));
    manager.get(reply.location()).await.says("6 h 30 min of 8 h").says("Moved.");
    assert_eq!(day_of(&app, job).await, Some(date!(2026 - 11 - 26)));
    manager.get("/board?week=2026-W49").await.is_silent_about(&format!("j-{job}"));
}

/// What the board's script sends: no days and no hours.
#[tokio::test]
async fn a_card_that_is_dragged_keeps_its_hours() {
    let (app, job, manager) = start().await;
    place(&app, &manager, job, &[("day", "2026-11-26"), ("days", "2"), ("hours", "9")])
        .await
        .has_status(303);
    place(&app, &manager, job, &[("day", "2026-11-27")]).await.has_status(303);
    let span = load(&app.store, WORKSHOP, job).await.unwrap().unwrap().planned.span().unwrap();
    assert_eq!((span.first, span.days, span.minutes), (date!(2026 - 11 - 27), 2, 540));
}

#[tokio::test]
async fn whoever_saw_it_elsewhere_is_told_where_it_is_and_may_send_again() {
    let (app, job, manager) = start().await;
    let old = saw(&app, job).await;
    place(&app, &manager, job, &[("day", "2026-11-26")]).await.has_status(303);
    let technician = TECHNICIAN.0.to_string();
    let late = [("saw", old.as_str()), ("technician", technician.as_str()), ("day", "2026-11-27")];
    let reply = manager.post(&format!("/jobs/{job}/day"), &late).await;
    reply.has_status(409).says("moved meanwhile").says("Tove Lind, on Thursday 26 November");
    reply
        .says("value=\"2026-11-27\"")
        .says(&format!("name=\"saw\" value=\"{}\"", saw(&app, job).await));
    assert_eq!(day_of(&app, job).await, Some(date!(2026 - 11 - 26)));
}

#[tokio::test]
async fn what_cannot_be_planned_comes_back_with_a_sentence_at_its_limit_and_beyond() {
    let (app, job, manager) = start().await;
    for (name, good, bad) in [
        ("days", "14", "15"),
        ("days", "1", "0"),
        ("hours", "200", "200.1"),
        ("hours", "0.25", "0.2"),
        ("hours", "4", "79228162514264337593543950335"),
        ("day", "2028-11-24", "2028-11-25"),
        ("day", "", "tomorrow"),
        ("technician", "", "nobody"),
    ] {
        let reply = place(&app, &manager, job, &[(name, bad)]).await;
        assert_eq!(reply.status, 422, "{name} {bad}");
        reply
            .says("errors__list")
            .says(&format!("value=\"{}\"", if name == "technician" { "" } else { bad }));
        place(&app, &manager, job, &[(name, good)]).await.has_status(303);
    }
    let lost = manager.post(&format!("/jobs/{job}/day"), &[("day", "2026-11-26")]).await;
    lost.has_status(422).says("lost what it saw");
}

#[tokio::test]
async fn conflicts_are_said_in_words() {
    let (app, job, manager) = start().await;
    let other = app.job_registered("AB 12 CDE").await;
    for job in [job, other] {
        let fields = [("day", "2026-11-26"), ("hours", "5")];
        place(&app, &manager, job, &fields).await.has_status(303);
    }
    let technician = TECHNICIAN.0.to_string();
    let away = [("person", technician.as_str()), ("from", "2026-11-26"), ("until", "2026-11-27")];
    manager.post("/board/away", &away).await.has_status(303);
    let page = manager.get("/board").await;
    page.says("Tove Lind has 10 h on Thursday 26 November; a day has 8 h.");
    page.says("AB 12 CDE is in jobs 1 and 2 on Thursday 26 November.");
    page.says("Job 1: Tove Lind is away on Thursday 26 November.");
    page.says("its plan is not accepted").says("10 h of 8 h: too much");
    let back = [("person", technician.as_str()), ("day", "2026-11-26")];
    manager.post("/board/away/back", &back).await.has_status(303);
    manager.get("/board").await.is_silent_about("is away on Thursday 26");
    app.pass_minutes(3 * 24 * 60);
    let manager = app.manager().await;
    manager.get("/board").await.says("Job 1 is late: planned for Thursday 26 November, not begun.");
    let next = manager.get("/board?week=2026-W49").await;
    next.says("Late: planned earlier").is_silent_about("Tove Lind has 10 h");
}

#[tokio::test]
async fn nobody_is_away_backwards_for_ever_or_unknown() {
    let (_app, _, manager) = start().await;
    let technician = TECHNICIAN.0.to_string();
    for (person, from, until, status) in [
        (technician.as_str(), "2026-11-26", "2026-11-25", 422),
        (technician.as_str(), "2026-11-26", "2027-01-26", 303),
        (technician.as_str(), "2026-11-26", "2027-01-27", 422),
        (technician.as_str(), "2026-11-26", "", 303),
        (technician.as_str(), "2126-11-26", "", 422),
        (technician.as_str(), "", "", 422),
        ("somebody", "2026-11-26", "", 422),
    ] {
        let fields = [("person", person), ("from", from), ("until", until)];
        let reply = manager.post("/board/away", &fields).await;
        assert_eq!(reply.status, status, "{person} {from} {until}");
    }
}

#[tokio::test]
async fn a_week_that_is_none_is_this_one() {
    let (_app, _, manager) = start().await;
    for week in ["", "2026-W54", "<script>", "-W1"] {
        let page = manager.get(&format!("/board?week={week}")).await;
        page.has_status(200).says("2026-W48").is_silent_about("<script>alert");
    }
}

#[tokio::test]
async fn another_workshop_plans_nothing_here() {
    let (app, job, manager) = start().await;
    let stranger = app.stranger().await;
    stranger.get(&format!("/jobs/{job}/day")).await.has_status(404);
    place(&app, &stranger, job, &[("day", "2026-11-26")]).await.has_status(404);
    stranger.get("/board").await.has_status(200).is_silent_about(&job.to_string());
    let technician = TECHNICIAN.0.to_string();
    let away = [("person", technician.as_str()), ("from", "2026-11-26"), ("until", "")];
    stranger.post("/board/away", &away).await.has_status(422);
    manager.get("/board").await.is_silent_about("board__away");
}

#[tokio::test]
async fn a_technicians_list_follows_the_board() {
    let (app, job, manager) = start().await;
    let technician = app.technician().await;
    technician.get("/jobs").await.has_status(200).says("Without a day");
    for (day, title) in [
        ("2026-11-25", "Today <span class=\"today__day\">Wednesday 25 November"),
        ("2026-11-24", "late, planned for Tuesday 24 November"),
        ("2026-11-26", "Tomorrow <span class=\"today__day\">Thursday 26 November"),
        ("2026-11-27", "Later this week"),
        ("2026-11-30", "After this week"),
    ] {
        place(&app, &manager, job, &[("day", day)]).await.has_status(303);
        technician.get("/jobs").await.says(title);
    }
    assert_eq!(TODAY, app.now().utc().date());
    let manager_id = MANAGER.0.to_string();
    place(&app, &manager, job, &[("technician", manager_id.as_str())]).await.has_status(303);
    technician.get("/jobs").await.is_silent_about("today__day");
    manager.get("/jobs").await.is_silent_about("today__day");
}

#[tokio::test]
async fn a_job_with_its_sheet_is_no_caution() {
    let app = TestApp::start().await;
    let file: JobFile = app.job_with_sheet().await;
    let manager = app.manager().await;
    place(&app, &manager, file.row.id, &[("day", "2026-11-26")]).await.has_status(303);
    manager.get("/board").await.is_silent_about("What does not fit");
}
