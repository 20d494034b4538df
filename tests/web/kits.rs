//! Kits: import with every fault, the page of one, export byte for byte.

use fusewright::storage::kits;
use reqwest::multipart::{Form, Part};

use crate::support::{KIT_TEXT, Reply, TestApp, WORKSHOP};

fn pasted(text: &str) -> Form {
    Form::new().part("file", Part::bytes(Vec::new()).file_name("")).text("text", text.to_owned())
}

fn file(bytes: &[u8]) -> Form {
    let part = Part::bytes(bytes.to_vec()).file_name("kit.toml");
    Form::new().part("file", part).text("text", String::new())
}

async fn import(app: &TestApp, form: Form) -> Reply {
    app.manager().await.post_parts("/kits", form).await
}

#[tokio::test]
async fn a_file_is_imported_shown_and_exported_byte_for_byte() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let with_crlf = KIT_TEXT.replace('\n', "\r\n");
    let done = manager.post_parts("/kits", file(with_crlf.as_bytes())).await;
    let path = done.has_status(303).location().to_owned();
    manager.get(&path).await.has_status(200).says("Slide-out tray for a portable power pack");
    let export = manager.get(&format!("{path}/file")).await;
    assert_eq!(export.has_status(200).bytes, with_crlf.as_bytes());
    assert_eq!(export.header("content-disposition"), "attachment; filename=\"TRAY-40-1.toml\"");
    assert_eq!(export.header("content-type"), "application/toml");
}

#[tokio::test]
async fn pasted_text_is_imported_as_it_was_written() {
    let app = TestApp::start().await;
    // A browser sends its lines with carriage returns.
    let done = import(&app, pasted(&KIT_TEXT.replace('\n', "\r\n"))).await;
    let export =
        app.manager().await.get(&format!("{}/file", done.has_status(303).location())).await;
    assert_eq!(export.text, KIT_TEXT);
}

#[tokio::test]
async fn every_fault_is_listed_and_the_text_stays() {
    let app = TestApp::start().await;
    let text = KIT_TEXT
        .replace("code = \"TRAY-40\"", "code = \"tray 40\"")
        .replace("mass_kg = 29.5", "mass_kg = \"heavy\"");
    let reply = import(&app, pasted(&text)).await;
    reply.has_status(422).says("2 things in it have to be put right");
    reply.says("Line&nbsp;2<").says("<td data-label=\"Key\">code</td>");
    reply.says("Line&nbsp;8<").says("<td data-label=\"Key\">mass_kg</td>");
    reply.says("code = &#34;tray 40&#34;").says("mass_kg = &#34;heavy&#34;");
    assert!(kits::list(&app.store, WORKSHOP).await.unwrap().is_empty());
}

#[tokio::test]
async fn the_same_kit_again_changes_nothing_and_another_text_needs_the_next_edition() {
    let app = TestApp::start().await;
    let first = import(&app, file(KIT_TEXT.as_bytes())).await;
    let again = import(&app, file(KIT_TEXT.as_bytes())).await;
    assert_eq!(first.has_status(303).location(), again.has_status(303).location());
    let other = KIT_TEXT.replace("mass_kg = 29.5", "mass_kg = 30.5");
    let reply = import(&app, file(other.as_bytes())).await;
    reply.has_status(422).says("Edition 1 of TRAY-40 is already here with other content");
    reply.says("Line&nbsp;3<").says("next edition number").says("mass_kg = 30.5");
    let next = other.replace("edition = 1", "edition = 2");
    import(&app, file(next.as_bytes())).await.has_status(303);
    assert_eq!(kits::list(&app.store, WORKSHOP).await.unwrap().len(), 2);
}

#[tokio::test]
async fn what_is_no_text_or_far_too_long_is_told_so() {
    let app = TestApp::start().await;
    let reply = import(&app, file(&[0xff, 0xfe, 0x00])).await;
    reply.has_status(422).says("not text in UTF-8");
    let long = format!("{KIT_TEXT}# {}", "x".repeat(256 * 1024));
    import(&app, file(long.as_bytes())).await.has_status(422).says("larger than 256 KiB");
    let endless = vec![b'#'; 1100 * 1024];
    import(&app, file(&endless)).await.has_status(413).says("at most 1024 KiB");
    import(&app, pasted("")).await.has_status(422).says("have to be put right");
}

#[tokio::test]
async fn the_page_shows_terminals_in_order_with_colour_words_circuits_and_mounting() {
    let app = TestApp::start().await;
    let kit = app.kit().await;
    let reply = app.manager().await.get(&format!("/kits/{kit}")).await;
    reply.has_status(200).says("No job uses this edition yet.");
    let places: Vec<usize> = ["IN+", "IN-", "RUN", "PV+", "PV-"]
        .map(|label| reply.text.find(&format!("&nbsp;{label}<")).unwrap())
        .into();
    assert!(places.is_sorted());
    reply
        .says("RD red, stripped 13 mm")
        .says("5.5 N·m ± 15 %")
        .says("Feed from the starter battery");
    reply.says("8 × M6, class 8.8").says("480 × 330 mm").says("at least 560 mm");
}

#[tokio::test]
async fn the_page_names_the_jobs_that_use_the_kit() {
    let app = TestApp::start().await;
    let job = app.job().await;
    let manager = app.manager().await;
    let kit = kits::list(&app.store, WORKSHOP).await.unwrap().remove(0);
    assert!(kit.in_use);
    let reply = manager.get(&format!("/kits/{}", kit.id)).await;
    reply.says(&format!("href=\"/jobs/{job}\"")).says("Jonas Weir").is_silent_about("No job uses");
    manager.get("/kits").await.says("In use");
}

#[tokio::test]
async fn a_title_is_text_and_never_markup() {
    let app = TestApp::start().await;
    let title = "<script>alert(1)</script><!--";
    let text = KIT_TEXT.replace("Slide-out tray for a portable power pack, 40 A feed", title);
    let path = import(&app, file(text.as_bytes())).await.has_status(303).location().to_owned();
    for path in [path.as_str(), "/kits"] {
        let page = app.manager().await.get(path).await;
        page.says("&#60;script&#62;alert(1)").is_silent_about("<script>alert");
    }
    // In the text that comes back, too.
    let broken = format!("{text}\n</textarea><script>alert(2)</script>");
    let page = import(&app, pasted(&broken)).await;
    page.has_status(422).is_silent_about("<script>alert").says("&#60;/textarea&#62;");
}

#[tokio::test]
async fn a_kit_that_is_not_there_is_not_found() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for path in ["/kits/00000000-0000-0000-0000-000000000099", "/kits/tray"] {
        manager.get(path).await.has_status(404);
        manager.get(&format!("{path}/file")).await.has_status(404);
    }
}
