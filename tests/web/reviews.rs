//! Sending steps back from the review: several under one remark, and what comes back where it fails.

use fusewright::acts::job::{JobFile, load};
use fusewright::domain::entry::TEXT_CHARS_MAX;

use crate::support::{Client, Reply, TestApp, WORKSHOP};

const REMARK: &str = "Clip missing before the grommet.";

/// A job with a sheet, whose steps nobody has done yet, and the manager who looks at it.
async fn start() -> (TestApp, JobFile, Client) {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    let manager = app.manager().await;
    (app, file, manager)
}

async fn send_back(manager: &Client, file: &JobFile, fields: &[(&str, &str)]) -> Reply {
    manager.post(&format!("/jobs/{}/return", file.row.id), fields).await
}

/// Keys of the first steps of a kind.
fn keys(file: &JobFile, measured: bool) -> Vec<String> {
    let of_kind = file.state.steps.iter().filter(|s| s.step.kind.is_measurement() == measured);
    of_kind.map(|state| state.step.key.clone()).take(3).collect()
}

async fn sent_back(app: &TestApp, file: &JobFile) -> Vec<String> {
    let now = load(&app.store, WORKSHOP, file.row.id).await.unwrap();
    let with_remark = now.state.steps.iter().filter(|step| step.reopened.is_some());
    with_remark
        .inspect(|step| assert_eq!(step.reopened.as_ref().unwrap().text, REMARK))
        .map(|step| step.step.key.clone())
        .collect()
}

#[tokio::test]
async fn every_step_of_the_list_has_its_tick_and_all_share_one_remark() {
    let (_app, file, manager) = start().await;
    let page = manager.get(&format!("/jobs/{}/review?show=all", file.row.id)).await;
    page.has_status(200).says("<form class=\"form form--close\" id=\"return\"");
    for state in &file.state.steps {
        let tick = format!("name=\"step\" value=\"{}\" form=\"return\">", state.step.key);
        assert_eq!(page.text.matches(&tick).count(), 1, "{tick}");
    }
    assert_eq!(page.text.matches("name=\"remark\"").count(), 1);
}

/// On another list it would not be there to be ticked.
#[tokio::test]
async fn the_step_that_is_looked_at_has_a_tick_even_where_the_list_does_not_show_it() {
    let (_app, file, manager) = start().await;
    let key = &keys(&file, false)[0];
    let page = manager.get(&format!("/jobs/{}/review?show=photos&step={key}", file.row.id)).await;
    page.has_status(200).says(&format!("<input type=\"checkbox\" name=\"step\" value=\"{key}\">"));
    let page = manager.get(&format!("/jobs/{}/review?show=all&step={key}", file.row.id)).await;
    assert_eq!(
        page.text.matches(&format!("\"checkbox\" name=\"step\" value=\"{key}\"")).count(),
        1
    );
}

#[tokio::test]
async fn several_steps_go_back_under_one_remark_as_one_entry() {
    let (app, file, manager) = start().await;
    let keys = keys(&file, true);
    let fields = [
        ("show", "eyes"),
        ("at", keys[0].as_str()),
        ("step", keys[0].as_str()),
        ("step", keys[2].as_str()),
        // Ticked in the list and beside it.
        ("step", keys[2].as_str()),
        ("remark", REMARK),
    ];
    let reply = send_back(&manager, &file, &fields).await;
    let to = reply.has_status(303).location().to_owned();
    assert_eq!(
        to,
        format!("/jobs/{}/review?show=eyes&step={}&done=returned", file.row.id, keys[0])
    );
    manager.get(&to).await.has_status(200).says("Sent back. The steps are due again");
    assert_eq!(sent_back(&app, &file).await, [keys[0].clone(), keys[2].clone()]);
    let now = load(&app.store, WORKSHOP, file.row.id).await.unwrap();
    assert_eq!(now.state.entry_count, file.state.entry_count + 1);
}

#[tokio::test]
async fn without_a_tick_nothing_goes_back_and_the_remark_is_kept() {
    let (app, file, manager) = start().await;
    let reply = send_back(&manager, &file, &[("show", "all"), ("remark", REMARK)]).await;
    reply.has_status(422).says("<a href=\"#return\">Tick at least one step to send back.");
    reply.says(&format!("\n{REMARK}</textarea>"));
    assert!(sent_back(&app, &file).await.is_empty());
}

#[tokio::test]
async fn without_a_remark_nothing_goes_back_and_the_ticks_are_kept() {
    let (app, file, manager) = start().await;
    let (shown, hidden) = (keys(&file, true), keys(&file, false));
    // The list of measurements does not show the second one: its tick stands beside the remark.
    let fields = [("step", shown[1].as_str()), ("step", hidden[1].as_str()), ("remark", "  ")];
    let reply = send_back(&manager, &file, &fields).await;
    reply.has_status(422).says("<a href=\"#remark\">Remark: Write what is to be done.");
    reply.says(&format!("value=\"{}\" form=\"return\" checked>", shown[1]));
    reply.says(&format!("value=\"{}\" checked>", hidden[1]));
    assert_eq!(reply.text.matches(" checked>").count(), 2);
    assert!(sent_back(&app, &file).await.is_empty());
}

#[tokio::test]
async fn a_remark_fits_up_to_its_limit() {
    let (_app, file, manager) = start().await;
    let key = &keys(&file, true)[0];
    let long = "é".repeat(TEXT_CHARS_MAX + 1);
    let reply = send_back(&manager, &file, &[("step", key), ("remark", &long)]).await;
    reply.has_status(422).says("Use at most 2000 characters.");
    let fits = "é".repeat(TEXT_CHARS_MAX);
    send_back(&manager, &file, &[("step", key), ("remark", &fits)]).await.has_status(303);
}

#[tokio::test]
async fn a_step_that_the_sheet_does_not_have_takes_no_other_back() {
    let (app, file, manager) = start().await;
    let key = &keys(&file, true)[0];
    let fields = [("step", key.as_str()), ("step", "prove.nothing"), ("remark", REMARK)];
    let reply = send_back(&manager, &file, &fields).await;
    reply.has_status(422).says("The sheet has changed since.").says(" checked>");
    assert!(sent_back(&app, &file).await.is_empty());
}

/// What a person writes into a field or an address is text and never markup.
#[tokio::test]
async fn what_comes_back_is_text() {
    let (_app, file, manager) = start().await;
    let fields =
        [("remark", "</textarea><script>x</script>"), ("show", "\"><q>"), ("at", "\"><u>")];
    let reply = send_back(&manager, &file, &fields).await;
    reply.has_status(422).is_silent_about("<script>x").is_silent_about("\"><q>");
    reply.is_silent_about("\"><u>");
}
