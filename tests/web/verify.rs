//! The public check page.

use fusewright::domain::entry::Digest;

use crate::support::TestApp;

const VEHICLE: &str = "Panel van, medium roof, 2021";

#[tokio::test]
async fn a_number_in_force_is_genuine_and_no_more_than_its_date_is_told() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let reply = app.nobody().get(&format!("/verify/{}", row.number)).await;
    reply.has_status(200).says("Genuine").says("25 November 2026").says("BY-26-00001-");
    for private in [VEHICLE, "tray", "Birch Yard", "Jonas Weir", "KLN", &row.code] {
        reply.is_silent_about(private);
    }
}

#[tokio::test]
async fn a_number_is_read_as_people_type_it() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let typed = row.number.to_lowercase().replace("26", " 26-");
    let asked = app.nobody().get(&format!("/verify?number={}", typed.replace(' ', "+"))).await;
    app.nobody().get(asked.has_status(303).location()).await.has_status(200).says("Genuine");
}

#[tokio::test]
async fn a_certificate_with_a_newer_version_is_replaced() {
    let app = TestApp::start().await;
    let job = app.job().await;
    let old = app.certificate(job, b"%PDF one").await;
    let new = app.certificate(job, b"%PDF two").await;
    let by_number = app.nobody().get(&format!("/verify/{}", old.number)).await;
    by_number.has_status(200).says("Replaced").is_silent_about("Genuine");
    by_number.is_silent_about("BY-26-00002");
    let by_code = app.nobody().get(&format!("/verify/{}/{}", old.number, old.code)).await;
    by_code.has_status(200).says("Replaced").says("It is BY-26-00002-");
    let newest = app.nobody().get(&format!("/verify/{}", new.number)).await;
    newest.says("Genuine");
}

#[tokio::test]
async fn a_slip_in_the_number_is_told_and_the_number_comes_back() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    // BY2600001 with another last digit: its check character no longer fits.
    let slip = row.number.replace("00001", "00002");
    let reply = app.nobody().get(&format!("/verify/{slip}")).await;
    reply.has_status(422).says("One character of this number is wrong").says(&slip);
    let reply = app.nobody().get("/verify/hello%3Cb%3E").await;
    reply.has_status(422).says("A certificate number looks like").says("hello&#60;b&#62;");
    app.nobody().get("/verify?number=7%2F9").await.has_status(303);
}

#[tokio::test]
async fn the_code_shows_what_the_paper_says() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let reply = app.nobody().get(&format!("/verify/{}/{}", row.number, row.code)).await;
    reply.has_status(200).says("Genuine").says(VEHICLE);
    reply.says("Slide-out tray &#60;for&#62; a power pack").says("<dt>Measurements</dt><dd>3</dd>");
    reply.says(&format!("data-verify=\"{}\"", Digest::of(b"%PDF one")));
    reply.is_silent_about("KLN").is_silent_about("Jonas Weir");
    // As people type it: small letters, in groups, O for nought.
    let groups: Vec<String> =
        row.code.as_bytes().chunks(4).map(|g| String::from_utf8(g.to_vec()).unwrap()).collect();
    let typed = groups.join("-").to_lowercase().replace('0', "o");
    app.nobody().get(&format!("/verify/{}/{typed}", row.number)).await.says("Genuine");
}

#[tokio::test]
async fn a_wrong_code_gets_the_answer_of_an_unknown_number() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let never = fusewright::domain::certificate::CertificateNumber::new("BY", 26, 77).plain();
    let wrong = app.nobody().get(&format!("/verify/{}/0000000000000000", row.number)).await;
    let unknown = app.nobody().get(&format!("/verify/{never}/{}", row.code)).await;
    let number = app.nobody().get(&format!("/verify/{never}")).await;
    let garbled = app.nobody().get(&format!("/verify/hello/{}", row.code)).await;
    wrong.has_status(404).says("Unknown").is_silent_about("Genuine");
    for other in [unknown, number, garbled] {
        assert_eq!((other.status, &other.text), (404, &wrong.text));
    }
}

#[tokio::test]
async fn the_empty_page_asks_for_a_number() {
    let app = TestApp::start().await;
    app.nobody().get("/verify").await.has_status(200).says("Check a certificate");
}
