//! The board: what it shows, how jobs are moved, and that the technician's list follows.

use fusewright::domain::ids::JobId;

use crate::support::{Client, Reply, TECHNICIAN, TestApp};

const WEEK: &str = "/board?week=2026-W48";
const WEDNESDAY: &str = "2026-11-25";

fn cell<'a>(page: &'a Reply, day: &str, person: &str) -> &'a str {
    let head = format!("data-day=\"{day}\" data-person=\"{person}\" data-label");
    let Some(at) = page.text.find(&head) else { panic!("no cell {head} in {}", page.text) };
    let rest = &page.text[at..];
    &rest[..rest.find("</td>").unwrap()]
}

async fn move_to(manager: &Client, job: JobId, change: &[(&str, &str)]) -> Reply {
    let tove = TECHNICIAN.to_string();
    let usual = [
        ("week", "2026-W48"),
        ("person", &tove),
        ("was", &tove),
        ("seen", "0"),
        ("day", WEDNESDAY),
        ("hours", "4"),
    ];
    let fields: Vec<(&str, &str)> = usual
        .into_iter()
        .map(|(name, value)| {
            let other = change.iter().find(|(changed, _)| *changed == name);
            (name, other.map_or(value, |(_, value)| *value))
        })
        .collect();
    manager.post(&format!("/board/{job}"), &fields).await
}

#[tokio::test]
async fn a_job_is_moved_to_a_day_and_the_technicians_list_follows() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let (manager, technician) = (app.manager().await, app.technician().await);
    let page = manager.get(WEEK).await;
    page.has_status(200).says("Week 48, 23 to 29 November 2026").says("Tove Lind");
    assert!(!cell(&page, WEDNESDAY, &TECHNICIAN.to_string()).contains("data-card"));
    technician.get("/jobs").await.is_silent_about("id=\"g-today\"");

    let moved = move_to(&manager, job, &[]).await;
    assert_eq!(moved.has_status(303).location(), "/board?week=2026-W48&done=moved");
    let page = manager.get(WEEK).await;
    let there = cell(&page, WEDNESDAY, &TECHNICIAN.to_string());
    assert!(there.contains(&format!("data-card=\"{job}\"")) && there.contains(">4 h<"), "{there}");
    technician.get("/jobs").await.says("id=\"g-today\"").says("Wednesday, 25 November, 4 h");

    move_to(&manager, job, &[("seen", "1"), ("day", "2026-11-30")]).await.has_status(303);
    technician.get("/jobs").await.says("id=\"g-soon\"").is_silent_about("id=\"g-today\"");
    manager.get(WEEK).await.is_silent_about(&format!("data-card=\"{job}\""));
    manager.get("/board?week=2026-W49").await.says(&format!("data-card=\"{job}\""));
    move_to(&manager, job, &[("seen", "2"), ("day", "")]).await.has_status(303);
    let page = manager.get(WEEK).await;
    assert!(page.text.find("id=\"undated\"") < page.text.find(&format!("data-card=\"{job}\"")));
}

#[tokio::test]
async fn a_move_that_saw_another_place_is_refused_and_the_page_shows_where_it_stands() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    move_to(&manager, job, &[]).await.has_status(303);
    let page = move_to(&manager, job, &[("day", "2026-11-27")]).await;
    page.has_status(409).says("Somebody moved this job in the meantime");
    assert!(cell(&page, WEDNESDAY, &TECHNICIAN.to_string()).contains("data-card"));
}

#[tokio::test]
async fn wrong_days_hours_and_people_come_back_with_what_to_write() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    for (change, sentence) in [
        (("day", "soon"), "Write a date as 2026-11-25."),
        (("hours", "3.1"), "Write hours from 0.25 to 24, in quarters, such as 3.5."),
        (("hours", "0"), "Write hours from 0.25 to 24"),
        (("hours", "24.25"), "Write hours from 0.25 to 24"),
        (("hours", "999999999999999999999"), "Write "),
        (("person", "00000000-0000-0000-0000-00000000beef"), "Choose somebody from the list."),
    ] {
        let page = move_to(&manager, job, &[change]).await;
        page.has_status(422).says(sentence);
        if change.0 == "day" || change.0 == "hours" {
            page.says(&format!("value=\"{}\"", change.1));
        }
    }
    move_to(&manager, job, &[("hours", "0,25")]).await.has_status(303);
}

#[tokio::test]
async fn conflicts_stand_on_the_cards_and_days_off_in_the_cells() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let unplanned = app.job_registered("HP 21 KLN").await;
    let manager = app.manager().await;
    let tove = TECHNICIAN.to_string();
    move_to(&manager, job, &[("hours", "8")]).await.has_status(303);
    move_to(&manager, unplanned, &[]).await.has_status(303);
    let off = [("week", "2026-W48"), ("away_person", &tove), ("away_day", WEDNESDAY)];
    manager.post("/board/away", &off).await.has_status(303);
    let page = manager.get(WEEK).await;
    let there = cell(&page, WEDNESDAY, &tove);
    for words in
        ["12 h of 8 h planned", "away that day", "no plan yet", "same vehicle as job", "Away"]
    {
        assert!(there.contains(words), "{words}: {there}");
    }
    let back = [off[0], off[1], off[2], ("there", "1")];
    manager.post("/board/away", &back).await.has_status(303);
    manager.get(WEEK).await.is_silent_about("away that day");
    let wrong = [off[0], off[1], ("away_day", "never")];
    manager.post("/board/away", &wrong).await.has_status(422).says("Write a date");
}

#[tokio::test]
async fn a_week_that_is_none_shows_the_present_one_and_weeks_follow_each_other() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for query in ["", "?week=soon", "?week=2026-W99"] {
        manager.get(&format!("/board{query}")).await.says("Week 48, 23 to 29 November 2026");
    }
    let page = manager.get("/board?week=2026-W53").await;
    page.says("Week 53, 28 December to 3 January 2027");
    page.says("/board?week=2026-W52").says("/board?week=2027-W01");
}

#[tokio::test]
async fn another_workshop_sees_and_moves_none_of_it() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let (manager, stranger) = (app.manager().await, app.stranger().await);
    move_to(&manager, job, &[]).await.has_status(303);
    stranger.get(WEEK).await.has_status(200).is_silent_about(&job.to_string());
    let nobody = [("person", ""), ("was", ""), ("seen", "1")];
    assert_eq!(move_to(&stranger, job, &nobody).await.status, 409);
    let page = manager.get(WEEK).await;
    assert!(cell(&page, WEDNESDAY, &TECHNICIAN.to_string()).contains("data-card"));
}

#[tokio::test]
async fn a_phone_takes_along_what_is_planned_first() {
    let app = TestApp::start().await;
    let (first, second) = (app.job_with_sheet().await.row.id, app.job_with_sheet().await.row.id);
    let technician = app.technician().await;
    let order = async || {
        let text = technician.get("/along").await.text;
        text.find(&first.to_string()).unwrap() < text.find(&second.to_string()).unwrap()
    };
    let later = if order().await { second } else { first };
    move_to(&app.manager().await, later, &[]).await.has_status(303);
    assert_eq!(order().await, later == first);
}
