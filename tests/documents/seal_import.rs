//! Seals from PKCS#12 files as openssl writes them, in the ways of today and of yesterday.

use fusewright::documents::seal_import::{ImportError, import};
use fusewright::documents::sign::SealKey;
use fusewright::documents::verify::{VerifyError, check_certificate};
use time::OffsetDateTime;
use time::macros::datetime;

use super::by_hand::{by_hand, by_reader};
use super::sealed::{carrying_under, hole, record};
use super::tools::{Desk, second_opinion, text};

/// Within the validity of what openssl makes now, and of the note that the samples carry.
const NOW: OffsetDateTime = datetime!(2026-11-20 15:00 UTC);
pub(crate) const WORDS: &str = "lantern gravel otter größe";

/// A desk with a root, an authority below it, and a seal's certificate below that; keys of this kind.
fn desk(kind: &str, usage: &str) -> Desk {
    let desk = Desk::with("x", b"");
    let ends = format!(
        "[root]\nbasicConstraints=critical,CA:TRUE\nkeyUsage=critical,keyCertSign\n\
         [seal]\nbasicConstraints=critical,CA:FALSE\nkeyUsage=critical,{usage}\n\
         [ca]\ndefault_md=sha256\npolicy=any\ndatabase=index\nserial=serial\nnew_certs_dir=.\n\
         [any]\ncommonName=supplied\n[req]\ndistinguished_name=dn\n[dn]\n"
    );
    desk.put("ends.cnf", ends.as_bytes());
    desk.put("index", b"");
    desk.put("serial", b"1000\n");
    // Another kind of authority does not matter to the seal.
    certified(&desk, ("root", kind), ("root", "root"));
    certified(&desk, ("middle", "RSA"), ("root", "root"));
    certified(&desk, ("seal", kind), ("middle", "seal"));
    desk
}

/// A key and a certificate of this name, signed by another or by itself.
fn certified(desk: &Desk, (name, kind): (&str, &str), (issuer, section): (&str, &str)) {
    let (key, request) = (format!("{name}.key"), format!("{name}.csr"));
    done(desk, &[&["genpkey", "-out", &key, "-algorithm"], &words(kind)[..]].concat());
    let subject = format!("/CN={name} of the test");
    let new = ["req", "-new", "-config", "ends.cnf", "-key", &key, "-subj", &subject];
    done(desk, &[&new[..], &["-out", &request]].concat());
    let (certificate, issuer_key) = (format!("{name}.pem"), format!("{issuer}.key"));
    let issuer = format!("{issuer}.pem");
    let mut sign = vec!["ca", "-batch", "-config", "ends.cnf", "-name", "ca", "-notext"];
    sign.extend(["-extensions", section]);
    sign.extend(["-startdate", "20260101000000Z", "-enddate", "20990101000000Z"]);
    sign.extend(["-in", &request, "-out", &certificate, "-keyfile", &issuer_key]);
    match name {
        "root" => sign.push("-selfsign"),
        _ => sign.extend(["-cert", &issuer]),
    }
    done(desk, &sign);
}

fn words(algorithm: &str) -> Vec<&str> {
    algorithm.split(' ').collect()
}

fn done(desk: &Desk, arguments: &[&str]) {
    let output = desk.run("openssl", arguments);
    assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
}

const P_256: &str = "EC -pkeyopt ec_paramgen_curve:P-256";

pub(crate) fn sound() -> Desk {
    desk(P_256, "digitalSignature,nonRepudiation")
}

/// What openssl exports from a desk with these options.
pub(crate) fn exported(desk: &Desk, options: &[&str]) -> Vec<u8> {
    let pass = format!("pass:{WORDS}");
    let mut export = vec!["pkcs12", "-export", "-out", "seal.p12", "-passout", &pass];
    export.extend(options);
    done(desk, &export);
    std::fs::read(desk.path("seal.p12")).unwrap()
}

pub(crate) const WHOLE: [&str; 6] =
    ["-inkey", "seal.key", "-in", "seal.pem", "-certfile", "chain.pem"];

pub(crate) fn with_chain(desk: &Desk) {
    let read = |name: &str| std::fs::read(desk.path(name)).unwrap();
    // In no order.
    desk.put("chain.pem", &[read("root.pem"), read("middle.pem")].concat());
}

fn refused(file: &[u8], words: &str, now: OffsetDateTime) -> ImportError {
    import(file, words, now).unwrap_err()
}

#[test]
fn a_bought_seal_and_who_vouches_for_it_go_into_the_paper_and_four_judges_agree() {
    let desk = sound();
    with_chain(&desk);
    let seal = import(&exported(&desk, &WHOLE), WORDS, NOW).unwrap();
    let pem = seal.certificate_pem().unwrap();
    // The seal's and the authority's; the root is for whoever checks to have.
    assert_eq!(pem.matches("BEGIN CERTIFICATE").count(), 2);
    let again = SealKey::from_pem(&seal.key_pem().unwrap(), &pem).unwrap();
    let pdf = carrying_under(&again, &record(&seal.fingerprint(), "pass"));
    assert_eq!(check_certificate(&pdf).unwrap().seal.fingerprint, seal.fingerprint());
    let (holds, said) = by_hand(&pdf);
    assert!(holds, "{said}");
    assert!(by_reader(&pdf));
    let root = std::fs::read_to_string(desk.path("root.pem")).unwrap();
    let (holds, said) = second_opinion(&pdf, &root);
    assert!(holds, "{said}");

    // Every byte of the signature counts, also those of the other certificates.
    let from = hole(&pdf);
    let end = from + pdf[from..].iter().position(|&byte| byte == b'>').unwrap();
    for at in (from..end).step_by(97) {
        let mut changed = pdf.clone();
        changed[at] = if changed[at] == b'7' { b'6' } else { b'7' };
        assert!(check_certificate(&changed).is_err(), "byte {at}");
    }
}

#[test]
fn every_way_in_which_openssl_locks_a_file_opens_with_its_passphrase_and_no_other() {
    let desk = sound();
    with_chain(&desk);
    let first = import(&exported(&desk, &WHOLE), WORDS, NOW).unwrap().fingerprint();
    for options in [
        &["-legacy"][..],
        &["-descert", "-legacy"],
        &["-keypbe", "AES-128-CBC", "-certpbe", "NONE"],
        &["-macalg", "sha1"],
        &["-macalg", "sha384", "-iter", "1"],
        &["-macalg", "sha512"],
        &["-nomac"],
    ] {
        let file = exported(&desk, &[&WHOLE[..], options].concat());
        let seal = import(&file, WORDS, NOW).unwrap_or_else(|why| panic!("{options:?}: {why}"));
        assert_eq!(seal.fingerprint(), first);
        let said = refused(&file, "lantern gravel otter grösse", NOW).to_string();
        assert!(said.contains("the passphrase is another one"), "{options:?}: {said}");
    }
    let rc4 = exported(&desk, &[&WHOLE[..], &["-legacy", "-keypbe", "PBE-SHA1-RC4-128"]].concat());
    let said = refused(&rc4, WORDS, NOW).to_string();
    assert!(said.contains("1.2.840.113549.1.12.1.1") && said.contains("AES-256-CBC"), "{said}");
}

#[test]
fn a_file_that_was_changed_or_is_none_is_refused() {
    let desk = sound();
    with_chain(&desk);
    let file = exported(&desk, &WHOLE);
    for at in (0..file.len()).step_by(41) {
        let mut changed = file.clone();
        changed[at] ^= 1;
        if let Ok(seal) = import(&changed, WORDS, NOW) {
            panic!("byte {at} of {} gives {}", file.len(), seal.certificate_pem().unwrap());
        }
    }
    for none in [&b""[..], b"-----BEGIN CERTIFICATE-----", &file[..file.len() - 1]] {
        let said = refused(none, WORDS, NOW).to_string();
        assert!(said.contains("no PKCS#12 file"), "{said}");
    }
}

#[test]
fn a_seal_is_taken_from_its_first_to_its_last_second() {
    let desk = sound();
    with_chain(&desk);
    let file = exported(&desk, &WHOLE);
    let (first, last) = (datetime!(2026-01-01 0:00 UTC), datetime!(2099-01-01 0:00 UTC));
    assert!(import(&file, WORDS, first).is_ok() && import(&file, WORDS, last).is_ok());
    let early = refused(&file, WORDS, first - time::Duration::SECOND).to_string();
    assert!(early.contains("only from 2026-01-01"), "{early}");
    let late = refused(&file, WORDS, last + time::Duration::SECOND).to_string();
    assert!(late.contains("ended on 2099-01-01"), "{late}");
}

#[test]
fn what_is_missing_or_does_not_belong_together_is_named() {
    let desk = sound();
    let no_key = exported(&desk, &["-nokeys", "-in", "seal.pem"]);
    assert!(matches!(refused(&no_key, WORDS, NOW), ImportError::NoKey));
    let other = exported(&desk, &["-inkey", "seal.key", "-nocerts", "-certfile", "middle.pem"]);
    assert!(matches!(refused(&other, WORDS, NOW), ImportError::NoCertificate));
    let alone = exported(&desk, &["-inkey", "seal.key", "-in", "seal.pem"]);
    assert!(import(&alone, WORDS, NOW).is_ok());
}

#[test]
fn other_keys_and_other_purposes_are_refused_with_what_to_order() {
    for kind in ["RSA", "EC -pkeyopt ec_paramgen_curve:P-384", "ED25519"] {
        let desk = Desk::with("x", b"");
        done(&desk, &[&["genpkey", "-out", "seal.key", "-algorithm"], &words(kind)[..]].concat());
        let new = ["req", "-x509", "-key", "seal.key", "-subj", "/CN=x", "-out", "seal.pem"];
        done(&desk, &new);
        let file = exported(&desk, &["-inkey", "seal.key", "-in", "seal.pem"]);
        let said = refused(&file, WORDS, NOW).to_string();
        assert!(said.contains("P-256") && said.contains("order a certificate"), "{kind}: {said}");
    }
    let desk = desk(P_256, "keyAgreement");
    let file = exported(&desk, &["-inkey", "seal.key", "-in", "seal.pem"]);
    assert!(matches!(refused(&file, WORDS, NOW), ImportError::Purpose));
}

/// A chain that the signer does not name could be exchanged by anybody.
#[test]
fn a_certificate_that_was_slipped_in_is_found() {
    let desk = sound();
    with_chain(&desk);
    let seal = import(&exported(&desk, &WHOLE), WORDS, NOW).unwrap();
    let alone = import(&exported(&desk, &["-inkey", "seal.key", "-in", "seal.pem"]), WORDS, NOW);
    let pdf = carrying_under(&seal, &record(&seal.fingerprint(), "pass"));
    let other = carrying_under(&alone.unwrap(), &record(&seal.fingerprint(), "pass"));
    // The hole of one in the file of the other: same signer, other certificates.
    let cut = |pdf: &[u8]| pdf[hole(pdf)..hole(pdf) + 16_384].to_vec();
    let mut mixed = other.clone();
    mixed[hole(&other)..hole(&other) + 16_384].copy_from_slice(&cut(&pdf));
    assert!(matches!(check_certificate(&mixed), Err(VerifyError::Altered | VerifyError::Form)));
}
