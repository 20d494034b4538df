//! The strict check: what it says about the sealed file, and that any change makes it say no.

use fusewright::documents::verify::{VerifyError, check_certificate, check_coverage};

use super::sealed::{RECORD, SEALED, carrying, find, hole, note, record};
use super::tools::{Desk, second_opinion};

fn flipped(pdf: &[u8], place: usize) -> Vec<u8> {
    let mut changed = pdf.to_vec();
    changed[place] ^= 1;
    changed
}

#[test]
fn an_intact_seal_names_time_workshop_reason_and_fingerprint() {
    let facts = check_coverage(&SEALED.pdf).unwrap();
    assert_eq!(facts.signed_at, note().at);
    assert_eq!((facts.name, facts.reason), (note().name, note().reason));
    assert_eq!(facts.fingerprint, SEALED.key.fingerprint());
    assert_eq!(facts.certificate_der, SEALED.key.certificate_der());
}

#[test]
fn one_flipped_byte_is_seen_by_everyone() {
    let sealed = &SEALED.pdf;
    let photo = find(sealed, b"\xFF\xD8\xFF") + 200;
    let reason = find(sealed, b"/Reason ") + 12;
    let record = find(sealed, b"/EmbeddedFile");
    for (what, place) in [("photo", photo), ("reason", reason), ("record", record), ("early", 40)] {
        let changed = flipped(sealed, place);
        assert!(check_coverage(&changed).is_err(), "{what}: the strict check");
        let said = Desk::with("x.pdf", &changed).print("pdfsig", &["x.pdf"]);
        assert!(!said.contains("Signature is Valid"), "{what}: {said}");
        let (holds, said) = second_opinion(&changed, &SEALED.key.certificate_pem().unwrap());
        assert!(!holds, "{what}: {said}");
    }
}

/// A sealed page with text, fonts and a record.
fn small() -> Vec<u8> {
    carrying(RECORD)
}

#[test]
fn a_certificate_carries_one_record_of_its_own_seal_in_which_everything_passed() {
    let own = SEALED.key.fingerprint();
    let carried = check_certificate(&carrying(&record(&own, "pass"))).unwrap();
    assert_eq!(carried.record, record(&own, "pass"));
    assert_eq!(carried.said.number, "2417");
    for (what, record, fault) in [
        ("a failed step", record(&own, "fail"), VerifyError::OtherRecord),
        ("another seal", record(&[7; 32], "pass"), VerifyError::OtherRecord),
        ("no record of ours", RECORD.to_vec(), VerifyError::NoRecord),
        ("no JSON", b"all passed".to_vec(), VerifyError::NoRecord),
    ] {
        assert_eq!(check_certificate(&carrying(&record)).unwrap_err(), fault, "{what}");
    }
}

/// The places whose change the strict check did not see.
fn unseen(sealed: &[u8], places: impl Iterator<Item = usize>) -> Vec<usize> {
    assert!(check_coverage(sealed).is_ok());
    let is_missed = |&place: &usize| {
        let mut changed = sealed.to_vec();
        changed[place] ^= 1 << (place % 8);
        check_coverage(&changed).is_ok()
    };
    places.filter(is_missed).collect()
}

#[test]
fn a_flipped_byte_anywhere_in_a_small_file_is_seen() {
    let sealed = small();
    let signature = hole(&sealed);
    // Samples of the message, of the appended part around it, and of the rest.
    let message = (signature - 400..signature + 2_000).step_by(13);
    let end = (sealed.len() - 700..sealed.len()).step_by(11);
    let places = message.chain(end).chain((0..sealed.len()).step_by(211));
    assert_eq!(unseen(&sealed, places), Vec::<usize>::new());
}

/// Each of them once: of text, fonts, record, the seal's own part and its padding.
#[test]
#[ignore = "a minute and a half: cargo test --test all every_flipped_byte -- --ignored"]
fn every_flipped_byte_of_a_small_file_is_seen() {
    let sealed = small();
    assert_eq!(unseen(&sealed, 0..sealed.len()), Vec::<usize>::new(), "of {} bytes", sealed.len());
}

#[test]
fn whatever_is_appended_is_seen() {
    for tail in [&b"\n"[..], b"% a comment\n"] {
        let longer = [&SEALED.pdf[..], tail].concat();
        assert_eq!(check_coverage(&longer), Err(VerifyError::NotWhole));
    }
    let shorter = &SEALED.pdf[..SEALED.pdf.len() - 1];
    assert!(check_coverage(shorter).is_err());
}

#[test]
fn padding_that_is_not_zero_and_capital_hexadecimal_are_refused() {
    let place = hole(&SEALED.pdf);
    let mut padded = SEALED.pdf.clone();
    padded[place + 16_000] = b'1';
    assert_eq!(check_coverage(&padded), Err(VerifyError::Form));
    let letter = place + SEALED.pdf[place..].iter().position(u8::is_ascii_lowercase).unwrap();
    let mut capital = SEALED.pdf.clone();
    capital[letter].make_ascii_uppercase();
    assert_eq!(check_coverage(&capital), Err(VerifyError::Form));
}

#[test]
fn a_file_that_was_never_sealed_is_told_apart_from_one_that_is_no_pdf() {
    assert_eq!(check_coverage(&SEALED.plain), Err(VerifyError::NotSealed));
    assert_eq!(check_coverage(b"hello"), Err(VerifyError::Unreadable));
    assert_eq!(check_coverage(b""), Err(VerifyError::Unreadable));
}
