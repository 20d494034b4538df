//! The face of the results on the review page: numbers as figures, words as text.

use fusewright::acts::job::JobFile;
use reqwest::multipart::Form;
use uuid::Uuid;

use crate::support::{Client, TestApp};

const ORDER: &str = "terminate.order";
const BATTERY: &str = "before.battery_rested";

/// Records a step as the form of the sheet would.
async fn save(technician: &Client, file: &JobFile, step: &str, id: u128, fields: &[(&str, &str)]) {
    let hidden = Form::new()
        .text("id", Uuid::from_u128(id).to_string())
        .text("remark_id", Uuid::from_u128(id + 1).to_string())
        .text("sheet", "1");
    let fields: Vec<(String, String)> =
        fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
    let form = fields.into_iter().fold(hidden, |form, (name, value)| form.text(name, value));
    let path = format!("/jobs/{}/steps/{step}", file.row.id);
    technician.post_parts(&path, form).await.has_status(303);
}

#[tokio::test]
async fn numbers_stand_in_the_face_of_the_figures_and_words_do_not() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 1", "2026-01-01", "2026-12-31").await.to_string();
    let file = app.job_with_sheet().await;
    let (technician, manager) = (app.technician().await, app.manager().await);
    let row = ["pos1", "pos2", "pos3", "pos4", "pos5"];
    let places = ["1", "2", "3", "4", "5"];
    let order: Vec<(&str, &str)> = row.into_iter().zip(places).collect();
    save(&technician, &file, ORDER, 940, &order).await;
    let reading = [("value", "12.81"), ("instrument", meter.as_str())];
    save(&technician, &file, BATTERY, 950, &reading).await;

    let review = format!("/jobs/{}/review", file.row.id);
    let page = manager.get(&format!("{review}?step={ORDER}")).await;
    page.says("table__figure words\" data-label=\"Result\">as read back</td>");
    page.says("table__figure \" data-label=\"Result\">12.81 V</td>");
    page.says("<b class=\"words\">").says("<b class=\"history__value words\">");
    let page = manager.get(&format!("{review}?step={BATTERY}")).await;
    page.says("<b class=\"\">12.81 V</b>").says("<b class=\"history__value \">12.81 V</b>");
}
