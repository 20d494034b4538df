//! Labels of a job: the page and the PDF.

use crate::support::TestApp;

#[tokio::test]
async fn a_planned_job_has_labels_for_its_fuses_and_both_ends_of_its_circuits() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    let job = format!("/jobs/{}", file.row.id);
    let technician = app.technician().await;
    technician.get(&job).await.has_status(200).says(&format!("{job}/labels"));
    let page = technician.get(&format!("{job}/labels")).await;
    page.has_status(200).says("Same form and rating only").says("63.5 × 38.1 mm");
    for circuit in &file.kit.circuits {
        assert_eq!(
            page.text.matches(&format!(">{}<", circuit.title)).count(),
            2,
            "{}",
            circuit.title
        );
    }
    let pdf = technician.get(&format!("{job}/labels.pdf?form=tape-24&first=1")).await;
    pdf.has_status(200);
    assert!(pdf.text.starts_with("%PDF-"));
}

#[tokio::test]
async fn a_sheet_that_is_not_known_or_a_place_that_it_has_not_comes_back_with_a_sentence() {
    let app = TestApp::start().await;
    let job = format!("/jobs/{}/labels.pdf", app.job_with_sheet().await.row.id);
    let technician = app.technician().await;
    for (asked, words) in [
        ("form=a4-21&first=22", "type a number from 1 to 21"),
        ("form=a4-21&first=0", "type a number from 1 to 21"),
        ("form=a4-21&first=two", "type a number from 1 to 21"),
        ("form=a5-99&first=1", "Choose one of the sheets"),
        ("", "Choose one of the sheets"),
    ] {
        technician.get(&format!("{job}?{asked}")).await.has_status(422).says(words);
    }
    technician.get(&format!("{job}?form=a4-21&first=21")).await.has_status(200);
}

#[tokio::test]
async fn a_job_without_a_plan_is_told_what_is_missing() {
    let app = TestApp::start().await;
    let job = app.job().await;
    let reply = app.technician().await.get(&format!("/jobs/{job}/labels")).await;
    reply.has_status(422).says("Plan the job first");
}
