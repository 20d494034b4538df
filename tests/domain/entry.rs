//! Bodies: what was written is what is read.

use fusewright::domain::entry::{Body, BodyFault, Digest, LOADED_ENTRIES_MAX, Payload};
use fusewright::domain::ids::{EntryId, InstrumentId};
use uuid::Uuid;

use super::cast::{FITTER, Pen, dec, signature};

fn ids(count: u128) -> Vec<EntryId> {
    (1..=count).map(|n| EntryId(Uuid::from_u128(u128::MAX - n))).collect()
}

#[test]
fn so_many_entries_are_loaded_at_once_and_not_one_more() {
    let written = |count| {
        let entries = ids(count);
        let mut pen = Pen::with_sheet();
        let loaded = Payload::Loaded { person: FITTER, file_sha256: Digest::of(b"f"), entries };
        pen.write(FITTER, "", loaded);
        Body::read(&pen.entries.last().unwrap().body.write().unwrap())
    };
    let most = LOADED_ENTRIES_MAX as u128;
    written(1).unwrap();
    written(most).unwrap();
    assert_eq!(written(0), Err(BodyFault::LoadedCount));
    assert_eq!(written(most + 1), Err(BodyFault::LoadedCount));
}

/// One of every kind.
fn every_payload() -> Vec<Payload> {
    let instrument = InstrumentId(Uuid::from_u128(3));
    let sha256 = Digest::of(b"x");
    let text = "A word.".to_owned();
    vec![
        Payload::Confirm {},
        Payload::Photo { photos: vec![sha256.clone()] },
        Payload::Torque { value: dec("7.10"), instrument },
        Payload::Fuse { rating_a: dec("25") },
        Payload::Order { labels: vec!["A".to_owned(), "B".to_owned()] },
        Payload::Reading { value: dec("-0.5"), instrument },
        Payload::PathDrop {
            drop_v: dec("0.2"),
            current_a: dec("30"),
            instrument,
            current_instrument: instrument,
        },
        Payload::SolarOpen {
            voltage_v: dec("-40.10"),
            cell_c: dec("-5.0"),
            instrument,
            thermometer: instrument,
        },
        Payload::Note { text: text.clone() },
        Payload::Unable { reason: text.clone() },
        Payload::Remark { text: text.clone(), photos: vec![] },
        Payload::Submit { signature: signature("A") },
        Payload::Plan { edition: 1, sha256: sha256.clone() },
        Payload::Acknowledge { plan: 1, finding: "mount.layers".to_owned(), reason: text.clone() },
        Payload::Sheet {
            edition: 1,
            plan: 1,
            kit_sha256: sha256.clone(),
            plan_sha256: sha256.clone(),
            sheet_sha256: sha256,
        },
        Payload::Return { remark: text.clone(), steps: vec!["a".to_owned()] },
        Payload::Concession { reason: text },
        Payload::Release { signature: signature("B"), same_person: false },
        Payload::Loaded { person: FITTER, file_sha256: Digest::of(b"f"), entries: ids(1) },
    ]
}

fn body(payload: Payload) -> Body {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, "before.lamps", payload);
    let mut body = pen.entries.pop().unwrap().body;
    body.sheet = 3;
    body.supersedes = vec![EntryId(Uuid::from_u128(77))];
    body
}

#[test]
fn every_kind_of_body_reads_back_as_it_was_written() {
    for payload in every_payload() {
        let body = body(payload);
        assert_eq!(Body::read(&body.write().unwrap()), Ok(body));
    }
}

#[test]
fn a_figure_keeps_its_digits_through_writing_and_reading() {
    let written =
        body(Payload::Reading { value: dec("7.10"), instrument: InstrumentId(Uuid::nil()) });
    let text = String::from_utf8(written.write().unwrap()).unwrap();
    assert!(text.contains("\"7.10\""), "{text}");
}

/// Entries are hashed byte for byte: these names and their order stay as they are.
#[test]
fn the_bytes_of_a_solar_entry_are_what_they_always_were() {
    let written = body(Payload::SolarOpen {
        voltage_v: dec("40.10"),
        cell_c: dec("45.0"),
        instrument: InstrumentId(Uuid::from_u128(3)),
        thermometer: InstrumentId(Uuid::from_u128(4)),
    });
    let text = String::from_utf8(written.write().unwrap()).unwrap();
    let payload = "\"kind\":\"solar_open\",\"voltage_v\":\"40.10\",\"cell_c\":\"45.0\",\
                   \"instrument\":\"00000000-0000-0000-0000-000000000003\",\
                   \"thermometer\":\"00000000-0000-0000-0000-000000000004\"}";
    assert!(text.ends_with(payload), "{text}");
}

#[test]
fn what_cannot_be_taken_is_refused_with_a_sentence() {
    let refused = |text: &str| Body::read(text.as_bytes()).unwrap_err();
    assert!(matches!(refused("{}"), BodyFault::Unreadable(_)));
    assert!(matches!(refused("\u{0}"), BodyFault::Unreadable(_)));
    let good = String::from_utf8(body(Payload::Confirm {}).write().unwrap()).unwrap();
    let newer = good.replacen("\"v\":1", "\"v\":2", 1);
    assert_eq!(refused(&newer), BodyFault::UnknownVersion(2));
    let empty = body(Payload::Note { text: "  ".to_owned() }).write().unwrap();
    assert_eq!(Body::read(&empty).unwrap_err(), BodyFault::TextMissing);
    let long = body(Payload::Note { text: "x".repeat(20_000) }).write().unwrap();
    assert!(matches!(Body::read(&long).unwrap_err(), BodyFault::TooLong(_)));
    let unsigned = body(Payload::Submit { signature: signature(" ") }).write().unwrap();
    assert_eq!(Body::read(&unsigned).unwrap_err(), BodyFault::SignatureMissing);
}

/// Two readers could take two different values for what was signed.
#[test]
fn a_key_that_stands_twice_is_refused_and_so_is_what_lies_too_deep() {
    let mut pen = Pen::with_sheet();
    let instrument = InstrumentId(Uuid::from_u128(3));
    pen.write(FITTER, "a.step", Payload::Reading { value: dec("-0.5"), instrument });
    let bytes = pen.entries.last().unwrap().body.write().unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    Body::read(&bytes).unwrap();
    let keys: serde_json::Map<String, serde_json::Value> = serde_json::from_str(&text).unwrap();
    for (key, value) in keys {
        let twice = text.replacen('{', &format!("{{\"{key}\":{value},"), 1);
        let read = Body::read(twice.as_bytes());
        assert!(matches!(read, Err(BodyFault::Unreadable(_))), "{key} twice: {read:?}");
    }
    let deep =
        text.replacen('{', &format!("{{\"more\":{}{},", "[".repeat(7_000), "]".repeat(7_000)), 1);
    assert!(matches!(Body::read(deep.as_bytes()), Err(BodyFault::Unreadable(_))));
}
