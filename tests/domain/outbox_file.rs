//! A phone's file: what is read of it, what is refused and in which words, and what follows from loading.

use fusewright::domain::certificate::Record;
use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::ids::{EntryId, PersonId};
use fusewright::domain::job::Flag;
use fusewright::domain::outbox_file::{
    HeldEntry, OUTBOX_ENTRIES_MAX, OUTBOX_MIB_MAX, OUTBOX_PHOTOS_MAX, OutboxFault, OutboxFile,
};
use fusewright::domain::person::Role;
use fusewright::domain::release::{Refusal, may_release};
use serde_json::{Value, json};
use uuid::Uuid;

use super::cast::{FITTER, JOB, MANAGER, METER, Pen, dec, person};
use super::certificate::facts;

const RESTED: &str = "before.battery_rested";
const OTHER_MANAGER: PersonId = PersonId(Uuid::from_u128(3));

fn file() -> Value {
    json!({
        "fusewright_outbox": 1,
        "saved": "2026-11-25T16:00:00Z",
        "person": FITTER.0,
        "person_name": "A. Fitter",
        "device": null,
        "clock": 1_795_622_400_000_i64,
        "entries": [{ "job": JOB.0, "body": "{\"v\":1}" }],
        "photos": [{ "sha256": "0a".repeat(32), "jpeg": "AAAA" }],
        "later": "a key of a later phone",
    })
}

fn with(key: &str, value: Value) -> Vec<u8> {
    let mut file = file();
    file[key] = value;
    file.to_string().into_bytes()
}

fn without(key: &str) -> Vec<u8> {
    let mut file = file();
    file.as_object_mut().unwrap().remove(key);
    file.to_string().into_bytes()
}

fn fault(bytes: &[u8]) -> OutboxFault {
    OutboxFile::read(bytes).unwrap_err()
}

#[test]
fn a_file_is_read_with_its_exact_bodies_and_named_by_its_bytes() {
    let bytes = file().to_string().into_bytes();
    let read = OutboxFile::read(&bytes).unwrap();
    assert_eq!((read.person, read.person_name.as_str(), read.device), (FITTER, "A. Fitter", None));
    assert_eq!(read.entries, [HeldEntry { job: JOB, body: "{\"v\":1}".to_owned() }]);
    assert_eq!(read.photos[0].base64, "AAAA");
    assert_eq!(read.sha256, Digest::of(&bytes));
    assert_eq!(read.jobs(), [JOB]);
    // What is no text is refused by itself, also where it would read as a body.
    let odd = json!([{ "job": JOB.0, "body": 7 }, { "job": JOB.0, "body": { "v": 1 } }]);
    let read = OutboxFile::read(&with("entries", odd)).unwrap();
    assert_eq!(read.entries.iter().map(|held| held.body.as_str()).collect::<Vec<_>>(), ["", ""]);
}

#[test]
fn what_is_no_outbox_is_told_which_file_is_one() {
    for bytes in
        [&b"{"[..], b"[]", b"{}", b"nonsense", b"\xff\xd8", b"{\"fusewright_outbox\":\"1\"}"]
    {
        assert_eq!(fault(bytes), OutboxFault::NotAnOutbox);
    }
    assert_eq!(fault(b""), OutboxFault::Empty);
    assert_eq!(fault(&with("fusewright_outbox", json!(2))), OutboxFault::UnknownVersion(2));
    let large = vec![b' '; OUTBOX_MIB_MAX * 1024 * 1024 + 1];
    assert_eq!(fault(&large), OutboxFault::TooLarge);
    assert_eq!(fault(&large[1..]), OutboxFault::NotAnOutbox);
}

#[test]
fn a_damaged_file_says_where() {
    for bytes in [
        without("person"),
        without("entries"),
        without("photos"),
        with("person", json!("nobody")),
        with("entries", json!([{ "job": "x", "body": "" }])),
        with("entries", json!([{ "job": JOB.0 }])),
        with("photos", json!([{ "sha256": "0A", "jpeg": "" }])),
        with("photos", json!([{ "sha256": "0a".repeat(32), "jpeg": 7 }])),
    ] {
        assert!(matches!(fault(&bytes), OutboxFault::Damaged(_)), "{:?}", fault(&bytes));
    }
    assert!(fault(&without("person")).to_string().contains("person"));
}

#[test]
fn counts_are_taken_at_their_limits_and_not_beyond() {
    let entry = json!({ "job": JOB.0, "body": "" });
    let photo = json!({ "sha256": "0a".repeat(32), "jpeg": "" });
    let entries = |count| with("entries", Value::Array(vec![entry.clone(); count]));
    let photos = |count| with("photos", Value::Array(vec![photo.clone(); count]));
    OutboxFile::read(&entries(OUTBOX_ENTRIES_MAX)).unwrap();
    assert_eq!(fault(&entries(OUTBOX_ENTRIES_MAX + 1)), OutboxFault::TooManyEntries);
    OutboxFile::read(&photos(OUTBOX_PHOTOS_MAX)).unwrap();
    assert_eq!(fault(&photos(OUTBOX_PHOTOS_MAX + 1)), OutboxFault::TooManyPhotos);
    let mut nothing = file();
    nothing["entries"] = json!([]);
    OutboxFile::read(nothing.to_string().as_bytes()).unwrap();
    nothing["photos"] = json!([]);
    assert_eq!(fault(nothing.to_string().as_bytes()), OutboxFault::NothingInIt);
}

impl Pen {
    /// The manager's entry that names the next `count` entries.
    fn load(&mut self, by: PersonId, count: u128) {
        let first = 1001 + self.entries.len() as u128;
        let entries = (first..first + count).map(|id| EntryId(Uuid::from_u128(id))).collect();
        let file_sha256 = Digest::of(b"file");
        self.write(by, "", Payload::Loaded { person: FITTER, file_sha256, entries });
    }
}

fn volts() -> Payload {
    Payload::Reading { value: dec("12.6"), instrument: METER }
}

#[test]
fn whoever_loads_counts_among_those_who_did_the_work() {
    let mut pen = Pen::with_sheet();
    pen.load(MANAGER, 1);
    pen.write(FITTER, RESTED, volts());
    pen.fill();
    pen.submit();
    let state = pen.state();
    assert!(state.workers.contains(&MANAGER) && state.workers.contains(&FITTER));
    let refused = may_release(&state, &person(MANAGER, Role::Manager), false);
    assert_eq!(refused, Err(Refusal::SamePerson));
    assert_eq!(may_release(&state, &person(OTHER_MANAGER, Role::Manager), false), Ok(false));
    assert_eq!(may_release(&state, &person(MANAGER, Role::Manager), true), Ok(true));
}

#[test]
fn a_step_whose_result_came_by_file_is_flagged_until_another_counts() {
    let mut pen = Pen::with_sheet();
    pen.load(MANAGER, 1);
    pen.write(FITTER, RESTED, volts());
    pen.write(FITTER, "before.identity", Payload::Confirm {});
    let flagged =
        |pen: &Pen, key: &str| pen.state().step(key).unwrap().flags().contains(&Flag::ByFile);
    assert_eq!(pen.state().step(RESTED).unwrap().loaded_by(), Some(MANAGER));
    assert!(flagged(&pen, RESTED));
    assert!(!flagged(&pen, "before.identity"), "the file did not hold it");
    pen.write(FITTER, RESTED, volts());
    assert!(!flagged(&pen, RESTED));
}

#[test]
fn the_record_says_what_came_by_file_and_without_one_says_nothing() {
    let record = |pen: &mut Pen| {
        pen.fill();
        pen.submit();
        pen.release();
        let record = Record::of(&pen.state(), facts()).unwrap();
        serde_json::from_slice::<Value>(&record.text()).unwrap()
    };
    let plain = record(&mut Pen::with_sheet());
    assert!(plain.get("loaded").is_none());
    assert!(plain["steps"][0].get("loaded_by").is_none());
    let mut pen = Pen::with_sheet();
    pen.load(MANAGER, 1);
    pen.write(FITTER, RESTED, volts());
    let loaded = record(&mut pen);
    let line = &loaded["loaded"][0];
    assert_eq!(line["file_sha256"], Digest::of(b"file").to_string());
    assert_eq!((&line["entries"], &line["seq"]), (&json!(1), &json!(2)));
    assert_eq!(line["loaded_by"], "somebody");
    let steps = loaded["steps"].as_array().unwrap();
    let by_file: Vec<&Value> =
        steps.iter().filter(|step| step.get("loaded_by").is_some()).map(|s| &s["key"]).collect();
    assert_eq!(by_file, [RESTED]);
}
