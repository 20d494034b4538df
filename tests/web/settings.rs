//! The workshop's settings.

use fusewright::domain::certificate::PaperSize;
use fusewright::storage::workshops;

use crate::support::{TestApp, WORKSHOP};

const SETTINGS: [(&str, &str); 10] = [
    ("name", "Birch Yard <Electrics> & Co"),
    ("address", "7 Birch Yard\r\nWesthaven"),
    ("phone", "0100 555 070"),
    ("email", "desk@birchyard.example"),
    ("place", "Westhaven"),
    ("one_person", "on"),
    ("paper", "letter"),
    ("language", "de"),
    ("mark", "comma"),
    ("days", "words"),
];

fn settings_with(name: &'static str, value: &'static str) -> Vec<(&'static str, &'static str)> {
    SETTINGS.iter().map(|field| if field.0 == name { (name, value) } else { *field }).collect()
}

#[tokio::test]
async fn an_owner_changes_the_workshop_and_sees_what_was_saved() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.get("/settings").await.has_status(200).says("Birch Yard Vehicle Electrics");
    let saved = owner.post("/settings", &SETTINGS).await;
    let page = owner.get(saved.has_status(303).location()).await;
    page.says("Saved.").says("Birch Yard &#60;Electrics&#62; &#38; Co");
    page.says("name=\"one_person\" checked").is_silent_about("<Electrics>");
    let workshop = workshops::load(&app.store, WORKSHOP).await.unwrap().unwrap();
    assert_eq!(workshop.address, "7 Birch Yard\nWesthaven");
    assert_eq!(workshop.paper, PaperSize::Letter);
    assert!(workshop.one_person_release);
    assert_eq!(workshop.certificate_prefix, "BY");
}

#[tokio::test]
async fn the_release_by_one_person_is_off_unless_it_is_ticked() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let without: Vec<_> = SETTINGS.into_iter().filter(|field| field.0 != "one_person").collect();
    owner.post("/settings", &without).await.has_status(303);
    let workshop = workshops::load(&app.store, WORKSHOP).await.unwrap().unwrap();
    assert!(!workshop.one_person_release);
    owner.get("/settings").await.is_silent_about("name=\"one_person\" checked");
}

#[tokio::test]
async fn a_workshop_has_a_name_of_at_most_eighty_letters() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.post("/settings", &settings_with("name", " ")).await.has_status(422).says("Fill this in");
    let (fits, longer) = ("n".repeat(80), "n".repeat(81));
    for (name, status) in [(fits, 303), (longer, 422)] {
        let fields: Vec<(&str, &str)> = SETTINGS
            .iter()
            .map(|f| if f.0 == "name" { ("name", name.as_str()) } else { *f })
            .collect();
        owner.post("/settings", &fields).await.has_status(status);
    }
}

#[tokio::test]
async fn a_paper_size_that_is_none_of_the_list_comes_back() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let reply = owner.post("/settings", &settings_with("paper", "a3")).await;
    reply.has_status(422).says("Choose one of the sizes of the list");
    let workshop = workshops::load(&app.store, WORKSHOP).await.unwrap().unwrap();
    assert_eq!(workshop.paper, PaperSize::A4);
}

fn png(side: u32) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let image = image::RgbaImage::from_pixel(side, side / 2, image::Rgba([200, 30, 40, 128]));
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

fn upload(bytes: Vec<u8>) -> reqwest::multipart::Form {
    reqwest::multipart::Form::new()
        .part("logo", reqwest::multipart::Part::bytes(bytes).file_name("mark.png"))
}

#[tokio::test]
async fn whom_to_call_and_the_registration_number_are_kept_and_each_line_must_reach_somebody() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let mut fields = SETTINGS.to_vec();
    fields.push(("registration", "Register <12>-345"));
    fields.push(("call", "Day and night: 0100 555 071\r\ndesk@birchyard.example"));
    fields.push(("unit", "lbf_in"));
    fields.push(("unit", "awg"));
    owner.post("/settings", &fields).await.has_status(303);
    let workshop = workshops::load(&app.store, WORKSHOP).await.unwrap().unwrap();
    assert_eq!(workshop.call(), ["Day and night: 0100 555 071", "desk@birchyard.example"]);
    assert_eq!(workshop.papers.registration, "Register <12>-345");
    assert_eq!(workshop.papers.style.units.len(), 2);
    owner.get("/settings").await.says("Register &#60;12&#62;-345");
    for (call, status) in [
        ("0100 555 071", 303),
        ("Ask for Ada", 422),
        ("1 0 0 0", 422),
        ("01005\n01005\n01005\n01005", 303),
        ("01005\n01005\n01005\n01005\n01005", 422),
    ] {
        let mut fields = SETTINGS.to_vec();
        fields.push(("call", call));
        owner.post("/settings", &fields).await.has_status(status);
    }
}

#[tokio::test]
async fn a_mark_is_written_anew_shown_and_taken_off_and_no_other_workshop_sees_it() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.get("/settings/logo").await.has_status(404);
    let mut hiding = png(2_000);
    hiding.extend_from_slice(b"what hangs behind the picture");
    let kept = owner.post_parts("/settings/logo", upload(hiding)).await;
    let page = owner.get(kept.has_status(303).location()).await;
    page.says("The mark is kept").says("src=\"/settings/logo\"");
    let stored = workshops::logo(&app.store, WORKSHOP).await.unwrap().unwrap();
    let shown = image::load_from_memory(&stored).unwrap();
    assert_eq!((shown.width(), shown.height()), (640, 320));
    assert!(!shown.color().has_alpha());
    assert!(!stored.windows(6).any(|part| part == b"behind"));
    app.stranger().await.get("/settings/logo").await.has_status(404);
    for (bytes, words) in
        [(b"<svg/>".to_vec(), "not a PNG or JPEG"), (Vec::new(), "Choose a file first")]
    {
        owner.post_parts("/settings/logo", upload(bytes)).await.has_status(422).says(words);
    }
    owner.post_parts("/settings/logo", upload(vec![0; 3 << 20])).await.has_status(413);
    owner.post("/settings/logo/remove", &[]).await.has_status(303);
    owner.get("/settings/logo").await.has_status(404);
}
