//! What a phone without signal lives on: the worker, the list of files, pages that say whom they are for, and
//! which jobs to take along.

use serde_json::Value;

use crate::support::{TECHNICIAN, TestApp};

#[tokio::test]
async fn the_worker_is_one_line_that_names_its_build_and_is_asked_for_each_time() {
    let app = TestApp::start().await;
    let worker = app.nobody().get("/sw.js").await;
    worker.has_status(200);
    assert_eq!(worker.header("content-type"), "text/javascript; charset=utf-8");
    assert_eq!(worker.header("cache-control"), "no-cache");
    let address = worker.text.strip_prefix("import '").unwrap().strip_suffix("';\n").unwrap();
    assert!(address.starts_with("/a/") && address.ends_with("/worker.js"), "{address}");
    app.nobody().get(address).await.has_status(200);
}

/// The worker keeps all of them or none: one that does not answer would leave the phone without pages.
#[tokio::test]
async fn every_file_that_a_phone_is_told_to_keep_is_there() {
    let app = TestApp::start().await;
    let nobody = app.nobody();
    let worker = nobody.get("/sw.js").await.text;
    let folder = worker.trim_start_matches("import '").split("worker.js").next().unwrap();
    let list = nobody.get(&format!("{folder}list.json")).await;
    let files: Vec<String> = serde_json::from_str(&list.has_status(200).text).unwrap();
    for file in &files {
        nobody.get(file).await.has_status(200);
    }
    for wanted in ["app.js", "worker.js", "early.js", "css/app.css", "fonts/num.woff2"] {
        assert!(files.contains(&format!("{folder}{wanted}")), "{wanted} is not in {files:?}");
    }
    for page in ["/offline", "/waiting"] {
        nobody.get(page).await.has_status(200);
    }
}

#[tokio::test]
async fn pages_say_whom_they_were_made_for_and_pages_for_anyone_do_not() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    let jobs = technician.get("/jobs").await;
    assert_eq!(jobs.header("x-made-for"), TECHNICIAN.to_string());
    jobs.says(&format!("data-person=\"{TECHNICIAN}\""));
    for (client, path) in
        [(&technician, "/waiting"), (&app.nobody(), "/sign-in"), (&app.nobody(), "/jobs")]
    {
        assert_eq!(client.get(path).await.header("x-made-for"), "", "{path}");
    }
}

#[tokio::test]
async fn a_phone_takes_every_open_job_of_its_person_along_and_no_other() {
    let app = TestApp::start().await;
    let mine = app.job_with_sheet().await.row;
    let manager = app.manager().await;
    let technician = app.technician().await;
    let along = |text: String| -> Value { serde_json::from_str(&text).unwrap() };
    let after = along(technician.get("/along").await.has_status(200).text.clone());
    let [job] = after["jobs"].as_array().unwrap().as_slice() else { panic!("{after}") };
    assert_eq!(job["id"], mine.id.to_string());
    assert!(job["count"].as_u64().unwrap() > 0);
    let pages: Vec<&str> =
        job["pages"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    let here = format!("/jobs/{}", mine.id);
    assert_eq!(pages, [here.clone(), format!("{here}/plan"), format!("{here}/sheet")]);
    for page in pages {
        technician.get(page).await.has_status(200);
    }
    let none = |found: Value| found["jobs"].as_array().unwrap().is_empty();
    assert!(none(along(manager.get("/along").await.text)));
    let given_to_nobody = manager.post(&format!("{here}/assign"), &[("technician", "")]).await;
    given_to_nobody.has_status(303);
    assert!(none(along(technician.get("/along").await.text)));
}

/// A phone has this page and no other: whatever step comes next, its form is there.
#[tokio::test]
async fn the_sheet_holds_a_form_for_every_step_and_only_the_open_one_is_live() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    let technician = app.technician().await;
    let page = technician.get(&format!("/jobs/{}/sheet", file.row.id)).await;
    let steps = file.state.steps.len();
    assert_eq!(page.text.matches(" data-step=\"").count(), steps);
    assert_eq!(page.text.matches("<template>").count(), steps - 1);
    assert_eq!(page.text.matches("name=\"id\"").count(), 2, "of the open step and of the submit");
    page.says(&format!("data-count=\"{}\"", file.state.entry_count));
    page.says("data-sheet=\"1\"");
    let other = &file.state.steps[5];
    let opened =
        technician.get(&format!("/jobs/{}/sheet?open={}", file.row.id, other.step.key)).await;
    let (_, form) = opened.text.split_once(&format!("data-step=\"{}\"", other.step.key)).unwrap();
    assert!(form.split_once("</form>").unwrap().0.contains("name=\"id\""));
}
