//! A photo in pieces, as a phone sends it.

use std::io::Cursor;

use fusewright::domain::entry::Digest;
use fusewright::storage::incoming::UNFINISHED_MAX;
use fusewright::storage::photos;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use reqwest::Method;
use serde_json::Value;

use crate::support::{Client, MANAGER, Reply, TECHNICIAN, TestApp, WORKSHOP, send};

/// A picture whose bytes hang on `seed`.
pub(super) fn jpeg(seed: u8) -> Vec<u8> {
    encoded(90, seed, ImageFormat::Jpeg)
}

fn encoded(side: u32, seed: u8, format: ImageFormat) -> Vec<u8> {
    let pixel = |x: u32, y: u32| Rgb([seed, (x % 200) as u8, (y % 90) as u8]);
    let mut bytes = Cursor::new(Vec::new());
    let picture = DynamicImage::ImageRgb8(RgbImage::from_fn(side, side, pixel));
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn path(photo: &[u8]) -> String {
    format!("/photos/{}/upload", Digest::of(photo))
}

async fn piece(client: &Client, path: &str, offset: usize, length: usize, bytes: &[u8]) -> Reply {
    let request = client.request(Method::POST, path).header("sec-fetch-site", "same-origin");
    let request = request.header("content-type", "application/octet-stream");
    let request = request.header("upload-offset", offset).header("upload-length", length);
    send(request.body(bytes.to_vec())).await
}

fn json(reply: &Reply) -> Value {
    serde_json::from_slice(&reply.bytes).unwrap()
}

fn progress(received: usize, complete: bool) -> Value {
    serde_json::json!({ "received": received, "complete": complete })
}

#[tokio::test]
async fn a_photo_in_pieces_is_kept_byte_for_byte_under_its_own_name() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(1));
    let (at, length) = (path(&photo), photo.len());
    assert_eq!(json(technician.get(&at).await.has_status(200)), progress(0, false));
    let first = piece(&technician, &at, 0, length, &photo[..300]).await;
    assert_eq!(json(first.has_status(200)), progress(300, false));
    assert_eq!(json(&technician.get(&at).await), progress(300, false));
    let last = piece(&technician, &at, 300, length, &photo[300..]).await;
    assert_eq!(json(last.has_status(200)), progress(length, true));
    let digest = Digest::of(&photo);
    let given = technician.get(&format!("/photos/{digest}")).await;
    assert_eq!(given.has_status(200).bytes, photo);
    technician.get(&format!("/photos/{digest}/thumb")).await.has_status(200);
    let row = photos::load(&app.store, WORKSHOP, &digest).await.unwrap().unwrap();
    assert_eq!(row.stored_sha256, digest);
    assert_eq!(json(&technician.get(&at).await), progress(length, true));
    // Again, from the start or the end: nothing changes.
    for (offset, bytes) in [(0, &photo[..300]), (300, &photo[300..])] {
        let again = piece(&technician, &at, offset, length, bytes).await;
        assert_eq!(json(again.has_status(200)), progress(length, true));
    }
}

#[tokio::test]
async fn a_piece_at_the_wrong_place_is_told_the_right_one() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(2));
    let at = path(&photo);
    piece(&technician, &at, 0, photo.len(), &photo[..200]).await.has_status(200);
    for offset in [0, 100, 201] {
        let reply = piece(&technician, &at, offset, photo.len(), &photo[..200]).await;
        reply.has_status(409);
        assert_eq!(reply.header("content-type"), "application/problem+json");
        assert_eq!(json(&reply)["received"], 200);
        assert_eq!(json(&reply)["type"], "offset");
    }
}

#[tokio::test]
async fn what_is_not_what_its_name_says_is_refused_and_may_start_anew() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(3));
    let (at, length) = (path(&photo), photo.len());
    piece(&technician, &at, 0, length, &[0; 200]).await.has_status(200);
    let reply = piece(&technician, &at, 200, length, &photo[200..]).await;
    reply.has_status(422).says("not what its name says");
    assert_eq!(json(&technician.get(&at).await), progress(0, false));
    let whole = piece(&technician, &at, 0, length, &photo).await;
    assert_eq!(json(whole.has_status(200)), progress(length, true));
}

#[tokio::test]
async fn only_a_small_jpeg_without_anything_else_is_taken() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    let plain = jpeg(4);
    let exif = [&plain[..2], b"\xff\xe1\0\x08Exif\0\0", &plain[2..]].concat();
    let refused = [
        (exif, "carries a block that no picture needs"),
        ([&plain[..], b"<script>"].concat(), "hangs behind the picture"),
        (encoded(30, 1, ImageFormat::Png), "does not begin as a JPEG does"),
        (encoded(1601, 1, ImageFormat::Jpeg), "1601 × 1601; a phone sends at most 1600"),
        (b"GIF89a".to_vec(), "not a JPEG, PNG or WebP"),
    ];
    for (photo, words) in refused {
        let reply = piece(&technician, &path(&photo), 0, photo.len(), &photo).await;
        reply.has_status(422).says(words);
        assert_eq!(reply.header("content-type"), "application/problem+json");
        technician.get(&format!("/photos/{}", Digest::of(&photo))).await.has_status(404);
        assert_eq!(json(&technician.get(&path(&photo)).await), progress(0, false));
    }
}

#[tokio::test]
async fn a_piece_that_is_sent_wrong_is_told_what_is_wrong() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(5));
    let at = path(&photo);
    let post = || {
        let request = technician.request(Method::POST, &at);
        request.header("sec-fetch-site", "same-origin").body(photo.clone())
    };
    let typed = || post().header("content-type", "application/octet-stream");
    send(post()).await.has_status(415).says("application/octet-stream");
    send(post().header("content-type", "image/jpeg")).await.has_status(415);
    send(typed()).await.has_status(422).says("upload-offset");
    let begun = || typed().header("upload-offset", "0");
    send(begun()).await.has_status(422).says("upload-length");
    for length in ["", "-1", "1e3", "99999999999999999999"] {
        send(begun().header("upload-length", length)).await.has_status(422).says("upload-length");
    }
    send(begun().header("upload-length", "5")).await.has_status(422).says("beyond the length");
    let long = (8 * 1024 * 1024 + 1).to_string();
    send(begun().header("upload-length", long)).await.has_status(413).says("8 MB");
    let large = typed().body(vec![0; 1024 * 1024 + 1]).header("upload-offset", "0");
    send(large.header("upload-length", "2000000")).await.has_status(413).says("1024 KiB");
    piece(&technician, &at, 0, 9, b"").await.has_status(422).says("at least one byte");
    piece(&app.nobody(), &at, 0, 9, b"x").await.has_status(401).says("Sign in again");
}

/// A phone that was unlocked without signal may still be signed in for somebody else.
#[tokio::test]
async fn a_photo_is_taken_from_whoever_took_it_and_from_nobody_else() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(7));
    let at = path(&photo);
    for (person, status) in [(MANAGER, 409), (TECHNICIAN, 200)] {
        let request = technician.request(Method::POST, &at).header("sec-fetch-site", "same-origin");
        let request = request.header("content-type", "application/octet-stream");
        let request = request.header("x-expect-person", person.to_string());
        let request = request.header("upload-offset", 0).header("upload-length", photo.len());
        let reply = send(request.body(photo.clone())).await;
        let taken = if status == 200 { photo.len() } else { 0 };
        reply.has_status(status);
        assert_eq!(json(&technician.get(&at).await), progress(taken, status == 200));
    }
}

#[tokio::test]
async fn beyond_what_may_be_half_sent_the_phone_is_told_to_wait() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    for nth in 0..=UNFINISHED_MAX {
        let reply = piece(&technician, &path(&[u8::try_from(nth).unwrap()]), 0, 9, b"x").await;
        if nth < UNFINISHED_MAX {
            reply.has_status(200);
        } else {
            reply.has_status(429).says("half sent");
            assert_eq!(reply.header("retry-after"), "60");
        }
    }
}

#[tokio::test]
async fn two_tabs_that_send_the_same_photo_both_end_with_it() {
    let app = TestApp::start().await;
    let (technician, photo) = (app.technician().await, jpeg(6));
    let at = path(&photo);
    let (one, two) = tokio::join!(
        piece(&technician, &at, 0, photo.len(), &photo),
        piece(&technician, &at, 0, photo.len(), &photo),
    );
    for reply in [one, two] {
        assert_eq!(json(reply.has_status(200)), progress(photo.len(), true));
    }
}
