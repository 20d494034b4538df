//! Whether four judges agree: the strict check, the document that tells strangers how to check (its own
//! commands: poppler, openssl, sha256sum, jq), an independent signature library, and a PDF reader.

use fusewright::documents::verify::{check_certificate, check_coverage};
use fusewright::domain::certificate::SealChange;
use fusewright::domain::ids::Moment;
use fusewright::web::checking::BY_HAND;

use super::sealed::{SEALED, carrying, carrying_under, hole, key, record};
use super::tools::{Desk, second_opinion, text};

/// Certificates of each sort.
const EACH: u8 = 10;

/// The blocks of the document, in their order.
fn commands() -> String {
    let mut script = String::new();
    let mut is_within = false;
    for line in BY_HAND.lines() {
        match line {
            "```sh" => is_within = true,
            "```" => is_within = false,
            _ if is_within => script = format!("{script}{line}\n"),
            _ => {}
        }
    }
    script
}

/// Whether the commands all hold, and what they print.
pub(super) fn by_hand(pdf: &[u8]) -> (bool, String) {
    by_hand_beside(pdf, &[])
}

/// The same with more files beside the certificate.
fn by_hand_beside(pdf: &[u8], more: &[(&str, Vec<u8>)]) -> (bool, String) {
    let desk = Desk::with("certificate.pdf", pdf);
    for (name, bytes) in more {
        desk.put(name, bytes);
    }
    desk.put("check.sh", commands().as_bytes());
    let done = desk.run("bash", &["-eu", "-o", "pipefail", "check.sh"]);
    (done.status.success(), format!("{}{}", text(&done.stdout), text(&done.stderr)))
}

/// What a reader of PDFs says: valid, and over the whole file.
pub(super) fn by_reader(pdf: &[u8]) -> bool {
    let said = Desk::with("certificate.pdf", pdf).print("pdfsig", &["-nocert", "certificate.pdf"]);
    said.contains("Signature is Valid") && said.contains("Total document signed")
}

#[test]
fn four_judges_agree_on_ten_certificates() {
    for seed in 1..=EACH {
        let key = key(seed);
        let verdict = if seed % 2 == 0 { "pass" } else { "done" };
        let pdf = carrying_under(&key, &record(&key.fingerprint(), verdict));
        let carried = check_certificate(&pdf).unwrap();
        let (holds, said) = by_hand(&pdf);
        assert!(holds, "{said}");
        assert!(said.lines().any(|line| line == carried.code), "{said}");
        let fingerprint = fusewright::domain::seal::hex(&carried.seal.fingerprint);
        assert!(said.contains(&fingerprint), "{said}");
        assert!(by_reader(&pdf));
        let (holds, said) = second_opinion(&pdf, &key.certificate_pem().unwrap());
        assert!(holds, "{said}");
    }
}

#[test]
fn four_judges_agree_on_ten_certificates_with_a_changed_byte() {
    let pem = SEALED.key.certificate_pem().unwrap();
    let whole = carrying(&record(&SEALED.key.fingerprint(), "pass"));
    for round in 0..EACH {
        let place = hole(&whole) * usize::from(round + 1) / usize::from(EACH + 2);
        let mut pdf = whole.clone();
        pdf[place] ^= 4;
        assert!(check_coverage(&pdf).is_err(), "byte {place}");
        assert!(!by_hand(&pdf).0, "byte {place}");
        assert!(!by_reader(&pdf), "byte {place}");
        assert!(!second_opinion(&pdf, &pem).0, "byte {place}");
    }
}

/// Some viewers call these valid: something was added, or stands where nobody looks.
#[test]
fn what_viewers_may_let_pass_the_commands_do_not() {
    let whole = carrying(&record(&SEALED.key.fingerprint(), "pass"));
    let longer = [&whole[..], b"\n% more\n"].concat();
    assert!(check_coverage(&longer).is_err() && !by_hand(&longer).0);
    let mut padded = whole.clone();
    let end = hole(&whole) + whole[hole(&whole)..].iter().position(|&byte| byte == b'>').unwrap();
    // The last digits of the hole are noughts that belong to no signature.
    padded[end - 3] ^= 4;
    assert!(check_coverage(&padded).is_err() && !by_hand(&padded).0);
    let failed = carrying(&record(&SEALED.key.fingerprint(), "fail"));
    assert!(check_certificate(&failed).is_err() && !by_hand(&failed).0);
    let other = carrying(&record(&[7; 32], "pass"));
    assert!(check_certificate(&other).is_err() && !by_hand(&other).0);
}

/// A change of the seal as it is fetched from the workshop.
fn change() -> Vec<(&'static str, Vec<u8>)> {
    let (old, new) = (&SEALED.key, key(8));
    let text = SealChange {
        workshop: "HB".to_owned(),
        index: 4,
        prev: [3; 32],
        at: Moment(1_795_593_600_000),
        old: old.fingerprint(),
        new: new.fingerprint(),
    };
    let text = text.text().into_bytes();
    vec![
        ("old.pem", old.certificate_pem().unwrap().into_bytes()),
        ("new.pem", new.certificate_pem().unwrap().into_bytes()),
        ("old.sig", old.sign(&text)),
        ("new.sig", new.sign(&text)),
        ("change.txt", text),
    ]
}

#[test]
fn the_commands_follow_a_change_of_the_seal_and_stop_at_one_that_was_tampered_with() {
    let pdf = carrying(&record(&SEALED.key.fingerprint(), "pass"));
    let (holds, said) = by_hand_beside(&pdf, &change());
    assert!(holds && said.matches("Verified OK").count() == 2, "{said}");
    for at in 0..change().len() {
        let mut tampered = change();
        let bytes = &mut tampered[at].1;
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        assert!(!by_hand_beside(&pdf, &tampered).0, "{}", tampered[at].0);
    }
    let mut another = change();
    another[1].1 = key(9).certificate_pem().unwrap().into_bytes();
    assert!(!by_hand_beside(&pdf, &another).0);
}
