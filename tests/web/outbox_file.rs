//! A phone's file, from the look to the certificate.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::ids::PersonId;
use fusewright::domain::seal::hex;
use fusewright::storage::{certificates, entries, photos};
use reqwest::multipart::{Form, Part};
use serde_json::{Value, json};
use uuid::Uuid;

use super::sync::{Phone, states};
use super::upload::jpeg;
use crate::domain::cast::good;
use crate::support::{Client, MANAGER, Reply, TECHNICIAN, WORKSHOP};

const RESTED: &str = "before.battery_rested";

/// What the phone saves.
struct Saved {
    person: PersonId,
    entries: Vec<Value>,
    photos: Vec<Value>,
}

impl Saved {
    fn of(phone: &Phone, texts: &[String]) -> Self {
        let entry = |body: &String| json!({ "job": phone.job.0, "body": body });
        Self { person: TECHNICIAN, entries: texts.iter().map(entry).collect(), photos: Vec::new() }
    }

    fn with_photo(mut self, bytes: &[u8]) -> Self {
        let sha256 = Digest::of(bytes).to_string();
        self.photos.push(json!({ "sha256": sha256, "jpeg": STANDARD.encode(bytes) }));
        self
    }

    fn bytes(&self) -> Vec<u8> {
        let file = json!({
            "fusewright_outbox": 1, "saved": "2026-11-25T07:30:00Z", "person": self.person.0,
            "person_name": "Tove Lind", "device": null, "clock": 1_795_591_800_000_i64,
            "entries": self.entries, "photos": self.photos,
        });
        file.to_string().into_bytes()
    }
}

async fn look(manager: &Client, bytes: Vec<u8>) -> Reply {
    let part = Part::bytes(bytes).file_name("fusewright-outbox-tove-2026-11-25.json");
    manager.post_parts("/outbox-file", Form::new().part("file", part)).await
}

async fn press(manager: &Client, bytes: &[u8]) -> Reply {
    let sha256 = Digest::of(bytes).to_string();
    manager.post("/outbox-file/record", &[("sha256", &sha256)]).await
}

/// Kinds of a job's entries since its sheet, with who made them.
async fn recorded(phone: &Phone) -> Vec<(String, PersonId)> {
    let all = entries::raw_list(&phone.app.store, WORKSHOP, phone.job).await.unwrap();
    let after = all.iter().position(|raw| raw.kind == "sheet").unwrap();
    all.into_iter().skip(after + 1).map(|raw| (raw.kind, raw.person)).collect()
}

#[tokio::test]
async fn a_first_look_changes_nothing_and_a_second_press_records_under_the_technicians_name() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    phone.send(&[phone.note(1)]).await;
    let texts = [phone.note(1), phone.volts(2, "12.6"), phone.volts(2, "12.6"), "{".to_owned()];
    let bytes = Saved::of(&phone, &texts).bytes();
    let page = look(&manager, bytes.clone()).await;
    page.has_status(200)
        .says("The outbox of Tove Lind, saved 2026-11-25 07:30 UTC: 4 entries of 1 job, 0 photos.")
        .says("1 new, 2 already recorded, 1 refused")
        .says("The entry cannot be read")
        .says("Record 1 entry of Tove Lind");
    assert_eq!(recorded(&phone).await.len(), 1);
    let page = press(&manager, &bytes).await;
    page.has_status(200).says("Recorded: 1 entry of Tove Lind.").says("1 recorded now");
    let expected = [("remark", TECHNICIAN), ("loaded", MANAGER), ("reading", TECHNICIAN)];
    let expected = expected.map(|(kind, person)| (kind.to_owned(), person));
    assert_eq!(recorded(&phone).await, expected);
    let state = phone.file().await.state;
    assert_eq!(state.loaded.len(), 1);
    assert_eq!(state.loaded[0].file_sha256, Digest::of(&bytes));
    assert_eq!(state.loaded[0].person, TECHNICIAN);
    assert_eq!(state.step(RESTED).unwrap().loaded_by(), Some(MANAGER));
    let review = manager.get(&format!("/jobs/{}/review?step={RESTED}", phone.job)).await;
    review.says("Came by file, loaded by Mika Saari.");
}

#[tokio::test]
async fn the_same_file_again_changes_nothing_and_the_phone_may_still_send() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    let texts = [phone.volts(1, "12.6"), phone.submit(2)];
    let bytes = Saved::of(&phone, &texts).bytes();
    look(&manager, bytes.clone()).await.says("2 new, 0 already recorded, 0 refused");
    press(&manager, &bytes)
        .await
        .says("1 recorded now, 0 already recorded, 1 refused")
        .says("still due");
    let first = recorded(&phone).await;
    look(&manager, bytes.clone()).await.says("1 new, 1 already recorded, 0 refused");
    press(&manager, &bytes).await.says("0 recorded now, 1 already recorded, 1 refused");
    assert_eq!(recorded(&phone).await, first);
    // The file is not here any more.
    press(&manager, &bytes).await.has_status(422).says("Choose it again");
    let rows = phone.send(&texts[..1]).await;
    assert_eq!(states(&rows), ["already"]);
}

#[tokio::test]
async fn what_may_not_come_by_file_is_refused_with_its_reason() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    phone.send(&[phone.volts(9, "12.6")]).await;
    let file_sha256 = Digest::of(b"x");
    let loaded = Payload::Loaded { person: TECHNICIAN, file_sha256, entries: vec![] };
    let concession = Payload::Concession { reason: "fine".to_owned() };
    let photo = Payload::Photo { photos: vec![Digest::of(b"never sent")] };
    let texts = [
        phone.text(1, RESTED, concession),
        phone.text(2, "", loaded),
        phone.volts(9, "12.5"),
        phone.text(3, "before.condition", photo),
    ];
    let mut saved = Saved::of(&phone, &texts);
    saved.entries.push(json!({ "job": Uuid::from_u128(5), "body": phone.note(4) }));
    saved.entries.push(json!({ "job": phone.job.0, "body": 7 }));
    let page = look(&manager, saved.bytes()).await;
    page.says("0 new, 0 already recorded, 5 refused")
        .says("made on the review page")
        .says("says something else")
        .says("neither here nor in this file")
        .says("not known here")
        .says("The entry cannot be read")
        .is_silent_about("/outbox-file/record");
    // Pressing all the same records nothing.
    press(&manager, &saved.bytes()).await.has_status(200).says("Recorded: 0 entries");
    assert_eq!(recorded(&phone).await.len(), 1);
}

#[tokio::test]
async fn photos_of_the_file_pass_the_same_rule_and_are_kept_byte_for_byte() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    let good = jpeg(7);
    let trailing = [&good[..], b"<script>"].concat();
    let named = |photo: &[u8]| Payload::Photo { photos: vec![Digest::of(photo)] };
    let texts = [
        phone.text(1, "before.condition", named(&good)),
        phone.text(2, "hand_over.finished", named(&trailing)),
    ];
    let mut saved = Saved::of(&phone, &texts).with_photo(&good).with_photo(&trailing);
    saved.photos.push(json!({ "sha256": "0a".repeat(32), "jpeg": STANDARD.encode(&good) }));
    saved.photos.push(json!({ "sha256": "0b".repeat(32), "jpeg": "not base 64!" }));
    let page = look(&manager, saved.bytes()).await;
    page.says("4 photos").says("1 new, 0 already recorded, 1 refused");
    page.says("Photos that are not taken")
        .says("hangs behind the picture")
        .says("Photo 0a0a0a0a0a0a…: The photo is not what its name says.")
        .says("Photo 0b0b0b0b0b0b…: The photo is not written as base 64.");
    press(&manager, &saved.bytes()).await.says("1 recorded now, 0 already recorded, 1 refused");
    let kept = photos::jpeg(&phone.app.store, WORKSHOP, &Digest::of(&good)).await.unwrap();
    assert_eq!(kept, Some(good));
    let other = photos::load(&phone.app.store, WORKSHOP, &Digest::of(&trailing)).await.unwrap();
    assert_eq!(other, None);
}

#[tokio::test]
async fn a_file_that_is_none_or_of_nobody_here_gets_a_sentence() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    let saved = Saved::of(&phone, &[phone.note(1)]);
    let stranger = Saved { person: PersonId(Uuid::from_u128(99)), ..saved };
    let text = String::from_utf8(stranger.bytes()).unwrap();
    let newer = text.replace("\"fusewright_outbox\":1", "\"fusewright_outbox\":2");
    for (bytes, words) in [
        (stranger.bytes(), "not among this workshop"),
        (newer.into_bytes(), "version 2, which this server does not know"),
        (b"{\"a\":1}".to_vec(), "not a phone"),
        (b"\xff\xd8\xff".to_vec(), "not a phone"),
        (text.as_bytes()[..text.len() / 2].to_vec(), "not a phone"),
        (b"{\"fusewright_outbox\":1}".to_vec(), "The file is damaged"),
        (Vec::new(), "The file is empty"),
    ] {
        look(&manager, bytes).await.has_status(422).says(words).says("Look into it");
    }
    let large = look(&manager, vec![b' '; 41 * 1024 * 1024]).await;
    large.has_status(413).says("larger than 40 MiB");
    let unseen = press(&manager, b"never looked at").await;
    unseen.has_status(422).says("Choose it again");
}

#[tokio::test]
async fn only_a_manager_loads_and_another_workshop_finds_nothing() {
    let phone = Phone::new().await;
    let bytes = Saved::of(&phone, &[phone.note(1)]).bytes();
    look(&phone.client, bytes.clone()).await.has_status(403);
    press(&phone.client, &bytes).await.has_status(403);
    phone.client.get("/jobs").await.is_silent_about("/outbox-file");
    let manager = phone.app.manager().await;
    manager.get("/jobs").await.says("/outbox-file");
    look(&manager, bytes.clone()).await.has_status(200);
    let stranger = phone.app.stranger().await;
    look(&stranger, bytes.clone()).await.has_status(422).says("not among this workshop");
    press(&stranger, &bytes).await.has_status(422);
}

/// A whole day's work, loaded from the phone's file by the manager, so that only the owner may release it.
pub(super) async fn loaded_day(phone: &Phone) -> Vec<u8> {
    let manager = phone.app.manager().await;
    let picture = jpeg(3);
    let steps = phone.file().await.state.steps;
    let mut texts: Vec<String> = (500..)
        .zip(&steps)
        .map(|(id, state)| match good(&state.step) {
            Payload::Photo { .. } => {
                let photos = vec![Digest::of(&picture)];
                phone.text(id, &state.step.key, Payload::Photo { photos })
            }
            payload => phone.text(id, &state.step.key, payload),
        })
        .collect();
    texts.push(phone.submit(1));
    let bytes = Saved::of(phone, &texts).with_photo(&picture).bytes();
    look(&manager, bytes.clone()).await.has_status(200);
    press(&manager, &bytes).await.has_status(200).says("0 refused");
    bytes
}

/// The whole way: a day's work by file, the loader kept from releasing, and the certificate says all.
#[tokio::test]
async fn nobody_forges_a_technicians_file_and_releases_it_alone() {
    let phone = Phone::new().await;
    let manager = phone.app.manager().await;
    let bytes = loaded_day(&phone).await;
    assert!(phone.file().await.state.submitted.is_some());
    let release = format!("/jobs/{}/release", phone.job);
    let refused = manager.post(&release, &[("name", "Mika Saari")]).await;
    refused.has_status(422).says("does not release it");
    let owner = phone.app.owner().await;
    owner.post(&release, &[("name", "Olga Tamm")]).await.has_status(303);
    let row = certificates::list(&phone.app.store, WORKSHOP, phone.job).await.unwrap().pop();
    let row = row.unwrap();
    let record: Value = serde_json::from_slice(&row.record).unwrap();
    let line = &record["loaded"][0];
    assert_eq!((&line["person"], &line["loaded_by"]), (&json!("Tove Lind"), &json!("Mika Saari")));
    assert_eq!(line["file_sha256"], Digest::of(&bytes).to_string());
    assert!(record["steps"].as_array().unwrap().iter().all(|s| s["loaded_by"] == "Mika Saari"));
    let pdf = owner.get(&format!("/certificates/{}", row.number)).await;
    let words = crate::documents::tools::words(&pdf.has_status(200).bytes);
    assert!(words.contains("Entries of Tove Lind came by their phone's file"), "{words}");
    assert!(words.contains("loaded by Mika Saari"));
    assert!(words.contains("came by file"));
    assert_eq!(hex(&row.pdf_sha256), Digest::of(&pdf.bytes).to_string());
}
