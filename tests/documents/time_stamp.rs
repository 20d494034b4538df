//! Time stamps: what openssl stamps is taken, what is of something else is not, and others agree.

use std::sync::LazyLock;

use cms::content_info::ContentInfo;
use cms::signed_data::SignedData;
use der::{Decode, Encode, Reader, SliceReader};
use fusewright::documents::sign::Sealing;
use fusewright::documents::time_stamp::{StampError, read_reply, request};
use fusewright::documents::typeset::{Files, Imprint, typeset};
use fusewright::documents::verify::{VerifyError, check_certificate, check_coverage};

use super::by_hand::{by_hand, by_reader};
use super::sealed::{SEALED, hole, note, record};
use super::tools::{Desk, second_opinion_stamped};
use crate::support::Stamps;

const NONCE: [u8; 8] = [0, 0, 0xF1, 2, 3, 4, 5, 6];
const P_256: &str = "EC -pkeyopt ec_paramgen_curve:P-256";
const P_384: &str = "EC -pkeyopt ec_paramgen_curve:P-384";

/// A small certificate, signed and not yet stamped.
fn begun() -> Sealing {
    static BEGUN: LazyLock<Sealing> = LazyLock::new(begin);
    BEGUN.clone()
}

fn begin() -> Sealing {
    let imprint = Imprint { ident: "x".to_owned(), at: note().at };
    let page = "#set document(title: \"x\")
        #pdf.attach(\"/record.json\", description: \"r\", relationship: \"data\", mime-type: \"application/json\")
        Text";
    let record = record(&SEALED.key.fingerprint(), "pass");
    let plain = typeset(page, Files::default().with("/record.json", record), &imprint).unwrap();
    Sealing::begin(&plain, &SEALED.key, &note(), true).unwrap()
}

fn token(stamps: &Stamps, signature: &[u8]) -> Vec<u8> {
    let reply = stamps.reply(&request(signature, NONCE).unwrap());
    read_reply(&reply, signature, NONCE).unwrap()
}

fn stamped(stamps: &Stamps) -> Vec<u8> {
    let sealing = begun();
    let token = token(stamps, sealing.signature());
    sealing.finish(Some(&token)).unwrap()
}

/// Signature and token as they stand in a file, read without our reader.
fn inside(pdf: &[u8]) -> (Vec<u8>, Vec<u8>) {
    let from = hole(pdf);
    let end = from + pdf[from..].iter().position(|&byte| byte == b'>').unwrap();
    let digits: Vec<u8> = pdf[from..end].to_vec();
    let digit = |byte: u8| u8::try_from(char::from(byte).to_digit(16).unwrap()).unwrap();
    let bytes: Vec<u8> = digits.chunks(2).map(|two| digit(two[0]) << 4 | digit(two[1])).collect();
    let mut reader = SliceReader::new(&bytes).unwrap();
    let message: SignedData =
        ContentInfo::decode(&mut reader).unwrap().content.decode_as().unwrap();
    assert!(u32::from(reader.position()) > 0);
    let signer = message.signer_infos.0.iter().next().unwrap();
    let attribute = signer.unsigned_attrs.as_ref().unwrap().iter().next().unwrap();
    assert_eq!(attribute.oid.to_string(), "1.2.840.113549.1.9.16.2.14");
    let token = attribute.values.iter().next().unwrap().to_der().unwrap();
    (signer.signature.as_bytes().to_vec(), token)
}

#[test]
fn openssl_an_independent_library_and_a_reader_agree_on_a_stamped_certificate() {
    for kind in ["RSA", P_256, P_384] {
        let stamps = Stamps::start(kind);
        let pdf = stamped(&stamps);
        let stamp = check_certificate(&pdf).unwrap().seal.stamp.unwrap();
        assert_eq!(stamp.authority, "CN=stamps of the test");
        let der = stamps.desk.run("openssl", &["x509", "-in", "stamps.pem", "-outform", "DER"]);
        assert_eq!(stamp.fingerprint, fusewright::domain::seal::sha256(&der.stdout));
        let off = fusewright::world::Clock::system().now().utc() - stamp.at;
        assert!(off.abs() < time::Duration::MINUTE, "{off}");

        let (signature, token) = inside(&pdf);
        let desk = Desk::with("token", &token);
        desk.put("signature", &signature);
        desk.put("root.pem", stamps.pem("root.pem").as_bytes());
        let verify = ["ts", "-verify", "-in", "token", "-token_in", "-CAfile", "root.pem", "-data"];
        let said = desk.print("openssl", &[&verify[..], &["signature"]].concat());
        assert!(said.contains("Verification: OK"), "{said}");
        assert!(by_reader(&pdf));
        let (holds, said) = by_hand(&pdf);
        assert!(holds, "{said}");
        let seal = SEALED.key.certificate_pem().unwrap();
        let (holds, said) = second_opinion_stamped(&pdf, &seal, &stamps.pem("root.pem"));
        assert!(holds && said.contains("stamp_trusted=True"), "{said}");
    }
}

#[test]
fn a_token_of_another_signature_is_found() {
    let stamps = Stamps::start(P_256);
    let other = token(&stamps, b"another signature");
    let pdf = begun().finish(Some(&other)).unwrap();
    assert_eq!(check_coverage(&pdf).unwrap_err(), VerifyError::Stamp);
    // Some viewers do not look.
    assert!(by_reader(&pdf));
    let none = begun().finish(None).unwrap();
    assert_eq!(check_coverage(&none).unwrap().stamp, None);
}

#[test]
fn a_changed_byte_anywhere_in_the_token_is_found() {
    let stamps = Stamps::start(P_256);
    let sealing = begun();
    let whole = token(&stamps, sealing.signature());
    let sealed = |token: &[u8]| begun().finish(Some(token)).map(|pdf| check_coverage(&pdf));
    assert!(sealed(&whole).unwrap().is_ok());
    // With another name for its issuer the root is one of a chain that ends too early: nobody vouches for its words,
    // and nothing is told of them.
    let der = stamps.desk.run("openssl", &["x509", "-in", "root.pem", "-outform", "DER"]).stdout;
    let root = whole.windows(der.len()).position(|bytes| bytes == der).unwrap();
    let name = b"Root of the test";
    let issuer = root + der.windows(name.len()).position(|bytes| bytes == name).unwrap();
    let untold = issuer - 12..issuer + name.len();
    for at in (0..whole.len()).filter(|at| !untold.contains(at)) {
        let mut changed = whole.clone();
        changed[at] ^= 1;
        let passes = sealed(&changed).is_ok_and(|checked| checked.is_ok());
        assert!(!passes, "byte {at} of {}", whole.len());
    }
}

#[test]
fn an_answer_to_another_request_is_refused() {
    let stamps = Stamps::start(P_256);
    let reply = stamps.reply(&request(b"this", NONCE).unwrap());
    assert!(read_reply(&reply, b"this", NONCE).is_ok());
    assert_eq!(read_reply(&reply, b"that", NONCE).unwrap_err(), StampError::Imprint);
    let mut later = NONCE;
    later[7] ^= 1;
    assert_eq!(read_reply(&reply, b"this", later).unwrap_err(), StampError::Nonce);
    for cut in [&reply[..0], &reply[..reply.len() - 1], b"<html>"] {
        assert_eq!(read_reply(cut, b"this", NONCE).unwrap_err(), StampError::Form);
    }
}

#[test]
fn openssl_reads_a_request_whatever_its_number_begins_with() {
    for nonce in [[0; 8], [0xFF; 8], [0x7F; 8], [0, 0x80, 0, 0, 0, 0, 0, 1]] {
        let desk = Desk::with("asked.tsq", &request(b"x", nonce).unwrap());
        let said = desk.print("openssl", &["ts", "-query", "-in", "asked.tsq", "-text"]);
        let number = u64::from_be_bytes(nonce);
        let told = said.lines().find_map(|line| line.strip_prefix("Nonce: 0x")).unwrap();
        assert_eq!(u64::from_str_radix(told, 16).unwrap(), number, "{said}");
        assert!(said.contains("Certificate required: yes") && said.contains("sha256"), "{said}");
    }
}
