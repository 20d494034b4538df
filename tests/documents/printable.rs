//! Any text at all can be set in type.

use std::collections::BTreeSet;

use fusewright::documents::certificate::certificate;
use fusewright::documents::printable::printable;
use fusewright::documents::typeset::{Files, Imprint, typeset};
use proptest::prelude::*;
use serde_json::json;
use time::macros::datetime;

use super::sample::paper;
use super::sealed::RECORD;

/// Every string of the file in the text face, bold, and the face of the figures.
const TEMPLATE: &str = r#"
#set document(title: "x")
#import "/look.typ": face, figures
#set text(font: face)
#let lines = json("/paper.json")
#for line in lines [#line #parbreak()]
#for line in lines [*#line* #parbreak()]
#set text(font: figures)
#for line in lines [#line #parbreak()]
"#;

fn can_be_set(lines: &[String]) {
    let files = Files::default()
        .with("/look.typ", include_str!("../../templates/documents/look.typ"))
        .with("/paper.json", json!(lines).to_string());
    let imprint = Imprint { ident: "x".to_owned(), at: datetime!(2026-01-01 0:00 UTC) };
    let pdf = typeset(TEMPLATE, files, &imprint);
    assert!(pdf.is_ok(), "{:?}", pdf.err());
}

#[test]
fn ordinary_text_stays_as_it_is() {
    for text in [
        "Żółć, Příliš, Tiếng Việt, Ελληνικά, Кириллица, Ōtautahi",
        "22.4 N·m, 6.2 mΩ, 5 µA, ≤ 3 %, ± 0.5, m², ½, ✓ ✗ → ⚠, “quoted” – dash",
        "e\u{301} with a combining accent",
        "two\nlines",
    ] {
        assert_eq!(printable(text), text);
    }
}

#[test]
fn what_no_font_has_becomes_a_box() {
    assert_eq!(printable("ok 👍 done"), "ok □ done");
    assert_eq!(printable("ᎣᏏᏲ ꦗꦮ"), "□□□ □□");
    assert_eq!(printable("a\u{5B8}"), "a□", "a point of Hebrew on a Latin letter");
    assert_eq!(printable("a\u{93F}"), "a□", "a vowel sign of Devanagari on a Latin letter");
    assert_eq!(printable("\u{94D}क"), "□क", "a sign that stands on nothing");
    assert_eq!(printable("private \u{E000}"), "private □");
    assert_eq!(printable("✓\u{301}"), "✓□", "no single font has both");
}

#[test]
fn names_of_many_scripts_stay_as_they_are() {
    for name in [
        "אור ים",
        "שָׁלוֹם",
        "نور البحر",
        "مُحَمَّد",
        "中文 張偉",
        "山田 太郎 ヤマダ",
        "김민준",
        "श्री कृष्ण",
        "রবীন্দ্র",
        "ਗੁਰਪ੍ਰੀਤ",
        "ગુજરાતી",
        "தமிழ்",
        "తెలుగు",
        "ಕನ್ನಡ",
        "മലയാളം",
        "සිංහල",
        "สมชาย ใจดี",
        "ნინო",
        "Արամ",
    ] {
        assert_eq!(printable(name), name);
    }
}

#[test]
fn what_hides_or_reorders_text_is_taken_out() {
    assert_eq!(printable("a\u{202E}b\u{2066}c\u{200D}d\u{FEFF}e\u{AD}f"), "abcdef");
    assert_eq!(printable("a\u{0}b\u{1B}c\td\r\ne\u{7F}\u{9F}"), "abc d\ne");
}

#[test]
fn every_character_there_is_can_be_set_in_every_face() {
    let all: BTreeSet<String> = ('\0'..=char::MAX)
        .map(|character| printable(&character.to_string()))
        .filter(|text| !text.trim().is_empty())
        .collect();
    assert!(all.len() > 2_000, "only {} characters", all.len());
    let all: Vec<_> = all.into_iter().collect();
    can_be_set(&all.chunks(60).map(<[String]>::concat).collect::<Vec<_>>());
}

#[test]
fn every_accent_can_stand_on_letters_of_every_font() {
    let accents = ('\u{300}'..='\u{36F}').chain('\u{483}'..='\u{489}');
    let marks = accents.chain('\u{591}'..='\u{5C7}').chain('\u{610}'..='\u{6ED}');
    let bases = "aЖΩ0 ✓≤—\u{1F00}ấ\u{25A1}(אب";
    let lines: Vec<_> = marks
        .map(|mark| {
            printable(&bases.chars().flat_map(|base| [base, mark, mark]).collect::<String>())
        })
        .collect();
    can_be_set(&lines);
}

/// Syllables that nobody writes too: the engine joins and reorders them, and finds a glyph for each.
#[test]
fn any_order_of_the_letters_and_signs_of_a_script_can_be_set() {
    let blocks = (0x900..0xE00_u32).step_by(0x80).chain([0xE00, 0x10A0, 0x530]);
    for first in blocks {
        let block: Vec<char> = (first..first + 0x80).filter_map(char::from_u32).collect();
        let lines: Vec<String> = (1..block.len())
            .map(|stride| {
                let places = (0..block.len()).map(|place| place * stride * 7 % block.len());
                printable(&places.map(|place| block[place]).collect::<String>())
            })
            .collect();
        can_be_set(&lines);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn a_certificate_never_fails_because_of_its_text(
        name in any::<String>(),
        note in proptest::collection::vec(any::<char>(), 0..200),
        unit in "\\PC{0,12}",
    ) {
        let note: String = note.into_iter().collect();
        let mut paper = paper();
        paper.number.clone_from(&unit);
        paper.workshop.name.clone_from(&name);
        paper.customer.lines = vec![note.clone(), name.clone()];
        paper.measurements[0].lines[0].unit = unit;
        paper.measurements[0].lines[1].remark = Some(note.clone());
        paper.concessions[0].reason = note;
        paper.signatures[0].name = name;
        let pdf = certificate(&paper, RECORD, &[]);
        prop_assert!(pdf.is_ok(), "{:?}", pdf.err());
    }
}
