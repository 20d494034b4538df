//! Photos as they are given out.

use std::io::Cursor;

use fusewright::domain::entry::Digest;
use fusewright::storage::photos::{self, NewPhoto};
use fusewright::storage::picture::reencode;
use image::{ImageFormat, Rgb, RgbImage};

use crate::support::{TECHNICIAN, TestApp, WORKSHOP};

async fn photo(app: &TestApp) -> Digest {
    let mut sent = Cursor::new(Vec::new());
    let picture = RgbImage::from_pixel(400, 300, Rgb([200, 40, 40]));
    picture.write_to(&mut sent, ImageFormat::Png).unwrap();
    let sent = sent.into_inner();
    let sha256 = Digest::of(&sent);
    let picture = reencode(&sent).unwrap();
    let (received, received_by) = (app.now(), TECHNICIAN);
    let new = NewPhoto { sha256: sha256.clone(), picture, received, received_by };
    photos::append(&app.store, WORKSHOP, new).await.unwrap();
    sha256
}

#[tokio::test]
async fn a_photo_comes_as_a_jpeg_that_may_be_kept_and_runs_nothing() {
    let app = TestApp::start().await;
    let digest = photo(&app).await;
    let reply = app.technician().await.get(&format!("/photos/{digest}")).await;
    reply.has_status(200);
    assert_eq!(image::guess_format(&reply.bytes).unwrap(), ImageFormat::Jpeg);
    assert_eq!(reply.header("content-type"), "image/jpeg");
    assert_eq!(reply.header("cache-control"), "private, max-age=31536000, immutable");
    let policy = "sandbox; default-src 'none'; frame-ancestors 'none'";
    assert_eq!(reply.header("content-security-policy"), policy);
    let name = format!("inline; filename=\"photo-{}.jpg\"", &digest.as_str()[..12]);
    assert_eq!(reply.header("content-disposition"), name);
}

#[tokio::test]
async fn a_thumb_is_the_small_one() {
    let app = TestApp::start().await;
    let digest = photo(&app).await;
    let reply = app.technician().await.get(&format!("/photos/{digest}/thumb")).await;
    let thumb = image::load_from_memory(&reply.has_status(200).bytes).unwrap();
    assert!(thumb.width() <= 240 && thumb.height() <= 240, "{} px", thumb.width());
}

#[tokio::test]
async fn a_photo_that_is_not_there_or_has_no_digest_for_a_name_is_not_found() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    let unknown = Digest::of(b"never sent");
    for path in [format!("/photos/{unknown}"), "/photos/..%2Ffusewright.db".to_owned()] {
        technician.get(&path).await.has_status(404);
        technician.get(&format!("{path}/thumb")).await.has_status(404);
    }
    let digest = photo(&app).await;
    app.nobody().get(&format!("/photos/{digest}")).await.has_status(303);
}
