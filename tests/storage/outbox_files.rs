//! Phones' files between look and press: a few, under their digest, not for long.

use std::fs;

use fusewright::domain::entry::Digest;
use fusewright::storage::incoming::{KEPT_DAYS, sweep};
use fusewright::storage::outbox_files::{KEPT_MAX, append, load, remove};

use super::fixture::{Bench, MORNING, OTHER_WORKSHOP, WORKSHOP, after};

#[tokio::test]
async fn a_file_comes_back_by_its_digest_and_only_in_its_workshop() {
    let bench = Bench::empty().await;
    let store = &bench.store;
    let sha256 = append(store, WORKSHOP, b"file".to_vec(), MORNING).await.unwrap();
    assert_eq!(sha256, Digest::of(b"file"));
    assert_eq!(load(store, WORKSHOP, &sha256).await.unwrap().as_deref(), Some(&b"file"[..]));
    assert_eq!(load(store, OTHER_WORKSHOP, &sha256).await.unwrap(), None);
    remove(store, WORKSHOP, &sha256).await.unwrap();
    remove(store, WORKSHOP, &sha256).await.unwrap();
    assert_eq!(load(store, WORKSHOP, &sha256).await.unwrap(), None);
}

#[tokio::test]
async fn a_file_that_was_changed_on_the_disk_is_not_given() {
    let bench = Bench::empty().await;
    let sha256 = append(&bench.store, WORKSHOP, b"file".to_vec(), MORNING).await.unwrap();
    let folder = bench.path("outbox-files").join(WORKSHOP.to_string());
    fs::write(folder.join(sha256.as_str()), b"other").unwrap();
    assert_eq!(load(&bench.store, WORKSHOP, &sha256).await.unwrap(), None);
}

#[tokio::test]
async fn so_many_are_kept_and_the_oldest_goes() {
    let bench = Bench::empty().await;
    let mut names = Vec::new();
    for nth in 0..=KEPT_MAX {
        let bytes = vec![u8::try_from(nth).unwrap()];
        let at = after(i64::try_from(nth).unwrap());
        names.push(append(&bench.store, WORKSHOP, bytes, at).await.unwrap());
    }
    let mut there = Vec::new();
    for name in &names {
        there.push(load(&bench.store, WORKSHOP, name).await.unwrap().is_some());
    }
    assert_eq!(there[..2], [false, true]);
    assert!(there[1..].iter().all(|there| *there));
}

#[tokio::test]
async fn a_file_that_nobody_recorded_is_swept_after_a_week() {
    let bench = Bench::empty().await;
    let sha256 = append(&bench.store, WORKSHOP, b"file".to_vec(), MORNING).await.unwrap();
    sweep(&bench.store, MORNING.plus_days(KEPT_DAYS)).await.unwrap();
    assert!(load(&bench.store, WORKSHOP, &sha256).await.unwrap().is_some());
    sweep(&bench.store, MORNING.plus_days(KEPT_DAYS + 1)).await.unwrap();
    assert!(load(&bench.store, WORKSHOP, &sha256).await.unwrap().is_none());
}
