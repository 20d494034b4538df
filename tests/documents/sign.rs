//! The seal: key, certificate, and what others say about the sealed file.

use fusewright::documents::sign::{SealError, SealKey, SealNote, seal};
use fusewright::documents::verify::check_coverage;
use p256::ecdsa::signature::Verifier;
use p256::ecdsa::{DerSignature, VerifyingKey};
use p256::pkcs8::DecodePublicKey;
use time::macros::datetime;
use x509_cert::Certificate;
use x509_cert::der::{Decode, Encode};

use super::sealed::{SEALED, key, note};
use super::tools::{Desk, second_opinion};

#[test]
fn a_pdf_reader_calls_the_seal_valid_over_the_whole_document() {
    let said = Desk::with("sealed.pdf", &SEALED.pdf).print("pdfsig", &["sealed.pdf"]);
    assert!(said.contains("Signature is Valid"), "{said}");
    assert!(said.contains("Total document signed"), "{said}");
    assert!(said.contains("ETSI.CAdES.detached"), "{said}");
    assert_eq!(said.matches("Signature #").count(), 1, "{said}");
}

#[test]
fn an_independent_library_calls_it_intact_valid_and_whole() {
    let (holds, said) = second_opinion(&SEALED.pdf, &SEALED.key.certificate_pem().unwrap());
    assert!(holds, "{said}");
}

#[test]
fn an_independent_library_does_not_trust_it_under_another_certificate() {
    let (holds, said) = second_opinion(&SEALED.pdf, &key(8).certificate_pem().unwrap());
    assert!(!holds && said.contains("trusted=False"), "{said}");
}

#[test]
fn sealing_leaves_every_byte_before_it_and_is_the_same_every_time() {
    assert!(SEALED.pdf.starts_with(&SEALED.plain));
    assert_eq!(seal(&SEALED.plain, &SEALED.key, &note()).unwrap(), SEALED.pdf);
}

#[test]
fn a_sealed_document_is_not_sealed_again() {
    let refused = seal(&SEALED.pdf, &SEALED.key, &note());
    assert!(matches!(refused, Err(SealError::NotOurs)));
    assert!(matches!(seal(b"no pdf", &SEALED.key, &note()), Err(SealError::Document(_))));
}

#[test]
fn a_seal_lies_within_the_validity_of_its_certificate() {
    for (at, sealed) in [
        (datetime!(2025-12-31 23:59:59 UTC), false),
        (datetime!(2026-01-01 0:00 UTC), true),
        (datetime!(2029-01-01 0:00 UTC), true),
        (datetime!(2029-01-01 0:00:01 UTC), false),
    ] {
        let result = seal(&SEALED.plain, &SEALED.key, &SealNote { at, ..note() });
        assert_eq!(result.is_ok(), sealed, "{at}");
    }
}

#[test]
fn key_and_certificate_survive_their_files() {
    let key = &SEALED.key;
    let (key_pem, certificate_pem) = (key.key_pem().unwrap(), key.certificate_pem().unwrap());
    let again = SealKey::from_pem(&key_pem, &certificate_pem).unwrap();
    assert_eq!(again.fingerprint(), key.fingerprint());
    assert_eq!(again.sign(b"head"), key.sign(b"head"));
    let other = super::sealed::key(8).certificate_pem().unwrap();
    assert!(matches!(SealKey::from_pem(&key_pem, &other), Err(SealError::Mismatch)));
}

#[test]
fn a_signature_over_a_message_verifies_with_the_certificate() {
    let certificate = Certificate::from_der(SEALED.key.certificate_der()).unwrap();
    let spki = certificate.tbs_certificate().subject_public_key_info().to_der().unwrap();
    let public = VerifyingKey::from_public_key_der(&spki).unwrap();
    let signature = DerSignature::from_bytes(&SEALED.key.sign(b"head 93")).unwrap();
    assert!(public.verify(b"head 93", &signature).is_ok());
    assert!(public.verify(b"head 94", &signature).is_err());
}

#[test]
fn a_key_needs_a_name_usable_randomness_and_a_possible_time() {
    let from = datetime!(2028-02-29 12:00 UTC);
    assert!(SealKey::create("Wérkstatt, CN=x+y", [1; 48], from, 3).is_ok());
    assert!(matches!(SealKey::create("", [1; 48], from, 3), Err(SealError::CommonName)));
    let long = "x".repeat(65);
    assert!(matches!(SealKey::create(&long, [1; 48], from, 3), Err(SealError::CommonName)));
    // Neither zero nor a number beyond the order of the curve is a key.
    assert!(matches!(SealKey::create("x", [0; 48], from, 3), Err(SealError::Randomness)));
    assert!(matches!(SealKey::create("x", [0xFF; 48], from, 3), Err(SealError::Randomness)));
    assert!(matches!(SealKey::create("x", [1; 48], from, 9_999), Err(SealError::Time)));
}

#[test]
fn the_words_of_the_note_come_back_whatever_they_hold() {
    let words =
        SealNote { name: "Ωmega (50%) \\ ✓".to_owned(), reason: ") /X <".to_owned(), ..note() };
    let facts = check_coverage(&seal(&SEALED.plain, &SEALED.key, &words).unwrap()).unwrap();
    assert_eq!((facts.name, facts.reason), (words.name, words.reason));
}
