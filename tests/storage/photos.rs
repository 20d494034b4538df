//! Photos in their folders.

use std::fs;

use fusewright::domain::entry::Digest;
use fusewright::domain::ids::{Moment, PersonId};
use fusewright::storage::Conflict;
use fusewright::storage::photos::{NewPhoto, append, find_missing, jpeg, list_before, load, thumb};
use fusewright::storage::picture::Picture;
use uuid::Uuid;

use super::fixture::{Bench, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

pub(super) fn photo(sent: &[u8], kept: &[u8]) -> NewPhoto {
    let (jpeg, thumb) = (kept.to_vec(), b"small".to_vec());
    let picture = Picture { jpeg, thumb, width: 16, height: 9 };
    let sha256 = Digest::of(sent);
    NewPhoto { sha256, picture, received: after(1), received_by: TECHNICIAN }
}

#[tokio::test]
async fn a_photo_is_asked_for_by_what_was_sent_and_gives_what_was_kept() {
    let bench = Bench::staffed().await;
    let row = append(&bench.store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap();
    let sent = Digest::of(b"sent");
    assert_eq!((&row.sha256, &row.stored_sha256), (&sent, &Digest::of(b"kept")));
    assert_eq!((row.bytes, row.width, row.height), (4, 16, 9));
    assert_eq!(load(&bench.store, WORKSHOP, &sent).await.unwrap(), Some(row));
    let store = &bench.store;
    assert_eq!(jpeg(store, WORKSHOP, &sent).await.unwrap().as_deref(), Some(&b"kept"[..]));
    assert_eq!(thumb(store, WORKSHOP, &sent).await.unwrap().as_deref(), Some(&b"small"[..]));
    assert_eq!(jpeg(store, WORKSHOP, &Digest::of(b"kept")).await.unwrap(), None);
    assert_eq!(jpeg(store, OTHER_WORKSHOP, &sent).await.unwrap(), None);
}

#[tokio::test]
async fn the_file_lies_two_folders_deep_under_its_own_digest() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap();
    let name = Digest::of(b"kept").to_string();
    let folder = bench.path("photos").join(&name[..2]).join(&name[2..4]);
    assert_eq!(fs::read(folder.join(format!("{name}.jpg"))).unwrap(), b"kept");
    assert_eq!(fs::read(folder.join(format!("{name}.thumb.jpg"))).unwrap(), b"small");
    assert_eq!(fs::read_dir(bench.path("tmp")).unwrap().count(), 0);
}

#[tokio::test]
async fn a_photo_sent_twice_is_the_one_that_is_there() {
    let bench = Bench::staffed().await;
    let first = append(&bench.store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap();
    let again = append(&bench.store, WORKSHOP, photo(b"sent", b"kept otherwise")).await.unwrap();
    assert_eq!(again, first);
}

#[tokio::test]
async fn two_uploads_of_one_photo_at_once_make_one_row() {
    let bench = Bench::staffed().await;
    let (one, two) = tokio::join!(
        append(&bench.store, WORKSHOP, photo(b"sent", b"kept")),
        append(&bench.store, WORKSHOP, photo(b"sent", b"kept")),
    );
    assert_eq!(one.unwrap(), two.unwrap());
}

#[tokio::test]
async fn no_row_names_a_photo_whose_file_could_not_be_written() {
    let bench = Bench::staffed().await;
    let name = Digest::of(b"kept").to_string();
    // A file lies where the first folder has to go.
    fs::write(bench.path("photos").join(&name[..2]), "in the way").unwrap();
    append(&bench.store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap_err();
    assert_eq!(load(&bench.store, WORKSHOP, &Digest::of(b"sent")).await.unwrap(), None);
    // The next one is none the worse.
    append(&bench.store, WORKSHOP, photo(b"other", b"other kept")).await.unwrap();
}

#[tokio::test]
async fn photos_that_are_missing_are_named_in_the_order_asked() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, photo(b"b", b"kept")).await.unwrap();
    let asked = [Digest::of(b"c"), Digest::of(b"b"), Digest::of(b"a")];
    let missing = find_missing(&bench.store, WORKSHOP, &asked).await.unwrap();
    assert_eq!(missing, [Digest::of(b"c"), Digest::of(b"a")]);
}

#[tokio::test]
async fn a_photo_by_nobody_is_refused() {
    let bench = Bench::staffed().await;
    let mut new = photo(b"sent", b"kept");
    new.received_by = PersonId(Uuid::from_u128(0x999));
    let refused = append(&bench.store, WORKSHOP, new).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn photos_from_before_a_moment_are_told_apart_by_when_they_came() {
    let bench = Bench::staffed().await;
    let photo = append(&bench.store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap();
    let named = || vec![photo.sha256.clone(), Digest::of(b"never sent")];
    let before = |at: i64| list_before(&bench.store, WORKSHOP, named(), Moment(at));
    assert_eq!(before(photo.received.0).await.unwrap(), []);
    assert_eq!(before(photo.received.0 + 1).await.unwrap(), std::slice::from_ref(&photo.sha256));
    let elsewhere = list_before(&bench.store, OTHER_WORKSHOP, named(), Moment(i64::MAX)).await;
    assert_eq!(elsewhere.unwrap(), []);
    assert_eq!(list_before(&bench.store, WORKSHOP, vec![], Moment(0)).await.unwrap(), []);
}
