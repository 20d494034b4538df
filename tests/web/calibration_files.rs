//! The paper of a calibration as a file: what is taken, and how it is given out.

use fusewright::domain::calibration_paper::PAPER_MIB_MAX;
use fusewright::domain::entry::Digest;
use fusewright::domain::ids::InstrumentId;
use fusewright::storage::{calibration_files, instruments};
use reqwest::multipart::{Form, Part};

use crate::support::{Client, Reply, TestApp, WORKSHOP};

const PDF: &[u8] = b"%PDF-1.7\nsays that it is right\n%%EOF\n";

fn with_file(bytes: &[u8]) -> Form {
    Form::new().part("paper", Part::bytes(bytes.to_vec()).file_name("../../scan.pdf"))
}

async fn path(app: &TestApp, meter: InstrumentId) -> String {
    let known = instruments::load(&app.store, WORKSHOP, meter).await.unwrap().unwrap();
    format!("/instruments/{meter}/calibrations/{}/files", known.calibrations[0].id)
}

async fn attach(client: &Client, path: &str, bytes: &[u8]) -> Reply {
    client.post_parts(path, with_file(bytes)).await
}

#[tokio::test]
async fn a_file_is_attached_later_and_given_out_for_saving_byte_for_byte() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let manager = app.manager().await;
    let path = path(&app, meter).await;
    let done = attach(&manager, &path, PDF).await;
    let page = manager.get(done.has_status(303).location()).await;
    let sha256 = Digest::of(PDF).to_string();
    page.says("The file is kept").says(&format!("SHA-256 {sha256}")).says("PDF, 1 kB");
    let file = manager.get(&format!("{path}/{sha256}")).await;
    assert_eq!(file.has_status(200).bytes, PDF);
    let name = format!("attachment; filename=\"calibration-{}.pdf\"", &sha256[..12]);
    assert_eq!(file.header("content-disposition"), name);
    assert_eq!(file.header("content-type"), "application/pdf");
    assert_eq!(file.header("x-content-type-options"), "nosniff");
    assert!(file.header("content-security-policy").starts_with("sandbox"));
    // A second one stands beside it.
    let other = [PDF, b"%%EOF"].concat();
    attach(&manager, &path, &other).await.has_status(303);
    let page = manager.get(&format!("/instruments/{meter}")).await;
    page.says(&sha256).says(Digest::of(&other).as_str());
}

#[tokio::test]
async fn a_calibration_is_noted_together_with_its_file() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let manager = app.manager().await;
    let here = format!("/instruments/{meter}/calibrations");
    let fields = |form: Form| {
        form.text("done_on", "2026-11-20").text("due_on", "2027-11-20").text("certificate", "C-2")
    };
    // The file is looked at first, and what was typed comes back.
    let refused = manager.post_parts(&here, fields(with_file(b"<svg onload=alert(1)>"))).await;
    refused.has_status(422).says("not a whole PDF, PNG or JPEG").says("value=\"2026-11-20\"");
    let known = instruments::load(&app.store, WORKSHOP, meter).await.unwrap().unwrap();
    assert_eq!(known.calibrations.len(), 1);
    manager.post_parts(&here, fields(with_file(PDF))).await.has_status(303);
    let files = calibration_files::list(&app.store, WORKSHOP, meter).await.unwrap();
    let known = instruments::load(&app.store, WORKSHOP, meter).await.unwrap().unwrap();
    assert_eq!(files[0].calibration, known.calibrations[1].id);
    // Nothing chosen is no fault here.
    manager.post_parts(&here, fields(with_file(b""))).await.has_status(303);
}

#[tokio::test]
async fn what_is_no_paper_is_refused_with_what_to_choose_instead() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let manager = app.manager().await;
    let path = path(&app, meter).await;
    attach(&manager, &path, b"").await.has_status(422).says("Choose a file.");
    let page = attach(&manager, &path, b"<html>%PDF-1.7 %%EOF").await;
    page.has_status(422).says("This is not a whole PDF, PNG or JPEG.");
    let mut large = PDF.to_vec();
    large.resize(PAPER_MIB_MAX * 1024 * 1024 + 1, b' ');
    attach(&manager, &path, &large).await.has_status(422).says("larger than 10 MiB");
    large.resize((PAPER_MIB_MAX + 3) * 1024 * 1024, b' ');
    attach(&manager, &path, &large).await.has_status(413).says("larger than 10 MiB");
    assert!(calibration_files::list(&app.store, WORKSHOP, meter).await.unwrap().is_empty());
}

#[tokio::test]
async fn files_belong_to_their_calibration_and_workshop_and_to_managers() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let other = app.meter("Meter 04", "2026-01-01", "2027-01-01").await;
    let manager = app.manager().await;
    let of_meter = path(&app, meter).await;
    attach(&manager, &of_meter, PDF).await.has_status(303);
    let file = format!("{of_meter}/{}", Digest::of(PDF));
    let of_other = format!("{}/{}", path(&app, other).await, Digest::of(PDF));
    manager.get(&of_other).await.has_status(404);
    let mixed = of_meter.replacen(&meter.to_string(), &other.to_string(), 1);
    attach(&manager, &mixed, PDF).await.has_status(404);
    let (technician, stranger) = (app.technician().await, app.stranger().await);
    technician.get(&file).await.has_status(403);
    attach(&technician, &of_meter, PDF).await.has_status(403);
    stranger.get(&file).await.has_status(404);
    attach(&stranger, &of_meter, PDF).await.has_status(404);
    app.nobody().get(&file).await.has_status(303);
}
