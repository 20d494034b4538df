//! Numbers, check codes and the record.

use fusewright::domain::certificate::{
    CertificateNumber, Facts, KitLine, NumberFault, VehicleLine, check_character, check_code,
};
use proptest::prelude::*;

use super::cast::{JOB, MORNING};

/// Facts that say as little as possible.
pub(crate) fn facts() -> Facts<'static> {
    static KIT: std::sync::LazyLock<KitLine> = std::sync::LazyLock::new(|| KitLine {
        code: "K".to_owned(),
        edition: 1,
        title: "T".to_owned(),
        maker: "M".to_owned(),
        sha256: String::new(),
    });
    static VEHICLE: std::sync::LazyLock<VehicleLine> = std::sync::LazyLock::new(|| VehicleLine {
        description: "V".to_owned(),
        registration: "R".to_owned(),
        vin_tail: "1".to_owned(),
        odometer_km: None,
    });
    Facts {
        number: "AB-26-00001-X",
        replaces: None,
        reinspection_of: None,
        job: JOB,
        job_number: 1,
        workshop: "W",
        kit: &KIT,
        vehicle: &VEHICLE,
        plan_sha256: "",
        instruments: &[],
        name_of: &|_| "somebody".to_owned(),
        issued: MORNING,
        register_index: 0,
        register_prev: &[0; 32],
        seal_fingerprint: &[0; 32],
        program: "test",
    }
}

/// The Global Release Identifier standard prints this identifier with its check character
/// (ISO/IEC 7064 MOD 37,36; from memory).
#[test]
fn the_published_identifier_has_its_check_character() {
    assert_eq!(check_character("A12425GABC1234002"), Some('M'));
}

#[test]
fn a_number_reads_back_however_it_is_typed() {
    let number = CertificateNumber::new("hb", 2026, 12);
    let shown = number.to_string();
    assert!(shown.starts_with("HB-26-00012-"), "{shown}");
    for typed in [shown.clone(), number.plain(), shown.to_lowercase(), shown.replace('-', " ")] {
        assert_eq!(CertificateNumber::parse(&typed), Ok(number.clone()));
    }
}

#[test]
fn a_number_of_another_shape_is_told_so() {
    for typed in ["", "HB", "26-00012-X", "HBXYZ-26-00012-3", "HB-26-00Ω12-3", "----------"] {
        assert_eq!(CertificateNumber::parse(typed), Err(NumberFault::Shape), "{typed}");
    }
}

proptest! {
    #[test]
    fn every_single_wrong_character_is_found(
        index in 0_u64..99_999, place in 0_usize..9, other in 0_usize..36,
    ) {
        let number = CertificateNumber::new("QK", 2026, index);
        let mut typed: Vec<u8> = number.plain().into_bytes();
        let alphabet = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
        prop_assume!(typed[place] != alphabet[other]);
        typed[place] = alphabet[other];
        let typed = String::from_utf8(typed).unwrap();
        prop_assert_ne!(CertificateNumber::parse(&typed), Ok(number));
        prop_assert!(CertificateNumber::parse(&typed).is_err());
    }

    #[test]
    fn reading_a_number_never_panics(typed in ".{0,40}") {
        let _ = CertificateNumber::parse(&typed);
    }
}

#[test]
fn a_check_code_has_eighty_bits_and_no_letter_that_is_misread() {
    let code = check_code(b"record");
    assert_eq!(code.len(), 16);
    assert!(code.chars().all(|c| !"ILOU".contains(c)), "{code}");
    assert_ne!(code, check_code(b"Record"));
}
