//! Documents as a whole: exact figures, every fault with its line, and no text that brings it down.

use fusewright::domain::document::{DOCUMENT_BYTES_MAX, FAULTS_MAX, Fault, Section, leaves, read};
use proptest::prelude::*;

const KIT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");

/// The faults of a document that is asked for something.
fn faults<T>(text: &str, shape: impl FnOnce(&Section<'_>) -> Option<T>) -> Vec<Fault> {
    read(text, shape).err().unwrap_or_default()
}

/// What is said about a document, line by line.
fn said<T>(text: &str, shape: impl FnOnce(&Section<'_>) -> Option<T>) -> Vec<String> {
    faults(text, shape).iter().map(ToString::to_string).collect()
}

#[test]
fn a_fault_names_line_key_wrong_and_remedy_in_one_sentence_each() {
    let text = "a = 1\n\n[circuits.supply]\nrating_a = true\n";
    let shape = |top: &Section<'_>| {
        top.whole("a", 1..=2);
        let (_, supply) = top.named_sections("circuits", 1..=2).pop()?;
        supply.decimal("rating_a", "1 to 100")
    };
    assert_eq!(
        said(text, shape),
        ["line 4, circuits.supply.rating_a: This is true or false, not a number. \
          Write a number from 1 to 100."]
    );
}

#[test]
fn a_figure_keeps_its_digits_and_never_passes_through_a_binary_float() {
    let figure = |text: &str| read(text, |top| top.decimal("x", "0 to 100")).unwrap().to_string();
    assert_eq!(figure("x = 7.10"), "7.10");
    assert_eq!(figure("x = 0.1"), "0.1");
    assert_eq!(figure("x = 16"), "16");
    assert_eq!(figure("x = 12.345678"), "12.345678");
}

#[test]
fn a_number_is_taken_at_both_ends_of_its_range_and_refused_just_beyond() {
    let taken = |text: &str| read(text, |top| top.decimal("x", "-0.5 to 30")).is_ok();
    assert!(taken("x = -0.5") && taken("x = 30") && taken("x = 30.00"));
    assert!(!taken("x = -0.51") && !taken("x = 30.01"));
}

#[test]
fn a_number_is_plain_decimal_without_exponent_other_base_or_quotes() {
    let wrong = |text: &str| faults(text, |top| top.decimal("x", "0 to 5000")).remove(0).wrong;
    assert_eq!(wrong("x = 1e3"), "“1e3” is not a plain number of at most 9 digits.");
    assert_eq!(wrong("x = 0x10"), "0x10 is not a decimal number.");
    assert_eq!(wrong("x = \"12\""), "“12” is in quotes, so it is text.");
    assert_eq!(wrong("x = \"twelve\""), "“twelve” is not a number.");
    assert_eq!(wrong("x = nan"), "“nan” is not a plain number of at most 9 digits.");
    assert_eq!(
        wrong("x = 0.0000000001"),
        "“0.0000000001” is not a plain number of at most 9 digits."
    );
}

#[test]
fn a_whole_number_has_no_fraction_and_lies_in_its_range() {
    let taken = |text: &str| read(text, |top| top.whole("n", 1..=20)).is_ok();
    assert!(taken("n = 1") && taken("n = 20") && taken("n = 4.0"));
    assert!(!taken("n = 0") && !taken("n = 21") && !taken("n = 4.5") && !taken("n = -1"));
}

#[test]
fn a_text_is_one_line_of_so_many_characters_without_the_space_around_it() {
    let text = |text: &str| read(text, |top| top.text("t", 1..=4));
    assert_eq!(text("t = \" Öl ä \"").unwrap(), "Öl ä");
    assert!(text("t = \"     \"").is_err());
    assert!(text("t = \"fünf!\"").is_err());
    assert!(text("t = \"a\\nb\"").is_err());
    assert!(text("t = 5").is_err());
}

#[test]
fn a_flag_is_true_or_false_and_nothing_else() {
    assert!(read("f = true", |top| top.flag("f")).unwrap());
    assert!(read("f = \"yes\"", |top| top.flag("f")).is_err());
    assert!(read("f = 1", |top| top.flag("f")).is_err());
}

#[test]
fn a_choice_that_is_none_is_answered_with_all_of_them() {
    let shape = |top: &Section<'_>| top.choice("way", &[("cable", 1), ("chassis", 2)]);
    assert_eq!(read("way = \"chassis\"", shape).unwrap(), 2);
    assert_eq!(
        said("way = \"body\"", shape),
        ["line 1, way: “body” is not one of the choices. Write one of \"cable\" or \"chassis\"."]
    );
}

#[test]
fn a_missing_key_is_reported_at_the_heading_of_its_section() {
    let shape = |top: &Section<'_>| top.section("mounting")?.decimal("washer_mm", "5 to 100");
    assert_eq!(
        said("\n# fasteners\n[mounting]\n", shape),
        ["line 3, mounting.washer_mm: This is missing. \
          Write washer_mm = … here: a number from 5 to 100."]
    );
    assert_eq!(
        said("", shape),
        ["line 1, mounting: This is missing. Write [mounting] and its keys beneath."]
    );
}

#[test]
fn an_unknown_key_is_answered_with_the_one_that_was_probably_meant() {
    let shape = |top: &Section<'_>| {
        top.maybe_decimal("torque_nm", "0 to 9");
        top.maybe_text("title", 1..=9)
    };
    let instead = |text: &str| faults(text, shape).remove(0).instead;
    assert_eq!(instead("torqe_nm = 5"), "Did you mean torque_nm? Write that, or leave it out.");
    assert_eq!(instead("Torque-nm = 5"), "Did you mean torque_nm? Write that, or leave it out.");
    assert_eq!(instead("colour = 5"), "Leave it out; what may stand here is torque_nm or title.");
}

#[test]
fn a_slip_in_the_grammar_names_the_line_and_hides_what_it_has_caused() {
    let shape = |top: &Section<'_>| {
        let a = top.decimal("a", "0 to 99");
        let b = top.text("b", 1..=9);
        let c = top.flag("c");
        a.zip(b).zip(c)
    };
    assert_eq!(
        said("a = 12,5\nb = word\nd = 1\n", shape),
        [
            "line 1, a: “12,5” has a comma in it. Write a decimal point: 12.5.",
            "line 1, c: This is missing. Write c = … here: true or false.",
            "line 2, b: This is neither a number nor true or false. Write text in quotes: \"…\".",
            "line 3, d: Nothing of this name belongs here. \
             Did you mean a? Write that, or leave it out.",
        ]
    );
}

#[test]
fn a_key_that_stands_twice_is_reported_where_it_stands_again() {
    let found = faults("a = 1\na = 2\n[t]\nb = 1\nb = 2\n", |top| {
        top.section("t")?.whole("b", 1..=9);
        top.whole("a", 1..=9)
    });
    let places: Vec<_> = found.iter().map(|fault| (fault.line, fault.key.as_str())).collect();
    assert_eq!(places, [(2, "a"), (5, "t.b")]);
}

#[test]
fn every_slip_of_a_document_is_found_not_only_the_first() {
    let text = "a = \nb\nc: 3\nd = 'x\n[e # heading\nf = 12,5\n[[g]\nh =\n";
    let found = faults(text, |_| Some(()));
    let places: Vec<_> = found.iter().map(|fault| (fault.line, fault.key.as_str())).collect();
    let wanted =
        [(1, "a"), (2, "b"), (3, "c"), (4, "d"), (5, "e"), (6, "e.f"), (7, "g"), (8, "g.h")];
    assert_eq!(places, wanted);
}

#[test]
fn a_key_is_called_missing_unless_it_may_have_been_swallowed_by_a_slip() {
    let keys = |text: &str| -> Vec<String> {
        let found = faults(text, |top| {
            let a = top.decimal("a", "0 to 99");
            let b = top.whole("b", 1..=9);
            a.zip(b)
        });
        found.into_iter().map(|fault| fault.key).collect()
    };
    assert_eq!(keys("a = 12,5\n"), ["a", "b"]);
    assert_eq!(keys("a\n"), ["a", "b"]);
    assert_eq!(keys("a = [1\n"), ["a"]);
    // The end that is missing has a line, but no key.
    assert_eq!(keys("a = \"\"\"\nb = 3\n"), ["a", ""]);
}

#[test]
fn values_behind_a_slip_are_still_read_and_judged() {
    let found = faults("title\n[a\nx = 3\n[b]\ny = 40\n", |top| {
        top.text("title", 1..=9);
        top.section("a")?.whole("x", 1..=9);
        top.section("b")?.whole("y", 1..=9)
    });
    let places: Vec<_> = found.iter().map(|fault| (fault.line, fault.key.as_str())).collect();
    assert_eq!(places, [(1, "title"), (2, "a"), (5, "b.y")]);
}

#[test]
fn lists_and_named_sections_keep_the_order_of_the_document() {
    let text = "[c.zeta]\nn = 1\n[c.alpha]\nn = 2\n[[l]]\nn = 3\n[[l]]\nn = 4\n";
    let read = read(text, |top| {
        let sections = top.named_sections("c", 1..=3);
        let names: Vec<_> =
            sections.iter().map(|(name, one)| (name.clone(), one.whole("n", 1..=9))).collect();
        let list: Vec<_> = top.sections("l", 1..=3).iter().map(|s| s.whole("n", 1..=9)).collect();
        Some((names, list))
    });
    let (names, list) = read.unwrap();
    assert_eq!(names, [("zeta".to_owned(), Some(1)), ("alpha".to_owned(), Some(2))]);
    assert_eq!(list, [Some(3), Some(4)]);
}

#[test]
fn a_list_that_is_too_short_or_too_long_is_refused() {
    let shape = |top: &Section<'_>| {
        let all = top.sections("l", 2..=3);
        all.iter().for_each(Section::let_stand);
        Some(all.len())
    };
    assert!(read("[[l]]\n[[l]]\n", shape).is_ok());
    assert!(read("[[l]]\n[[l]]\n[[l]]\n", shape).is_ok());
    assert_eq!(faults("[[l]]\n", shape).remove(0).instead, "Write at least 2 and at most 3.");
    assert_eq!(faults("[[l]]\n[[l]]\n[[l]]\n[[l]]\n", shape).remove(0).wrong, "There are 4.");
    assert_eq!(
        faults("l = 3\n", shape).remove(0).wrong,
        "This is a number, not a list of sections."
    );
}

#[test]
fn lines_are_counted_with_either_line_end_and_with_letters_of_several_bytes() {
    let text = "# Größe\r\n\r\nä = 1\r\n";
    let line = faults(text, |_| Some(())).remove(0).line;
    // A bare key has no such letter, so the slip is in line 3.
    assert_eq!(line, 3);
}

#[test]
fn a_document_is_read_up_to_its_greatest_length_and_not_beyond() {
    let comment = |bytes: usize| format!("#{}", "x".repeat(bytes - 1));
    assert!(read(&comment(DOCUMENT_BYTES_MAX), |_| Some(())).is_ok());
    assert!(read(&comment(DOCUMENT_BYTES_MAX + 1), |_| Some(())).is_err());
}

#[test]
fn no_more_faults_are_listed_than_a_person_mends_in_one_go() {
    let text = (0..5000).map(|n| format!("k{n} = 1")).collect::<Vec<_>>().join("\n");
    let found = faults(&text, |_| Some(()));
    assert_eq!(found.len(), FAULTS_MAX + 1);
    assert_eq!(found.last().unwrap().wrong, "There are more faults than these.");
}

#[test]
fn a_path_of_thousands_of_levels_is_refused_before_it_is_followed() {
    let deep = format!("[{}a]\n", "a.".repeat(60_000));
    assert_eq!(faults(&deep, |_| Some(())).len(), 1);
    assert!(leaves(&deep).is_empty());
    let nested = format!("a = {}", "[".repeat(100_000));
    assert!(read(&nested, |_| Some(())).is_err());
}

#[test]
fn the_worst_documents_of_full_length_are_answered_and_not_hung_upon() {
    let fill = |unit: &str| unit.repeat(DOCUMENT_BYTES_MAX / unit.len());
    for unit in ["a\n", "[", "a=\n", "[[a]]\n", "[a]\n", "\"", "a.b=1\n", "a={", "'''", "=\n", "é"]
    {
        assert!(read(&fill(unit), |_| Some(())).is_err(), "{unit:?}");
    }
}

#[test]
fn leaves_give_every_value_as_it_would_be_typed() {
    let text = "b = 7.10\na = \"x\"\n[s.t]\nflag = true\nlist = [1]\nn = -2\n";
    let pairs: Vec<_> = leaves(text);
    let pairs: Vec<_> = pairs.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    assert_eq!(pairs, [("b", "7.10"), ("a", "x"), ("s.t.flag", "true"), ("s.t.n", "-2")]);
}

proptest! {
    #[test]
    fn no_text_at_all_brings_the_reader_down(text in "\\PC{0,200}") {
        let _ = fusewright::domain::kit_check::read_kit(&text);
        let _ = leaves(&text);
    }

    #[test]
    fn no_text_made_of_the_grammar_brings_the_reader_down(
        parts in proptest::collection::vec(
            proptest::sample::select(vec![
                "a", "b", ".", "=", "[", "]", "[[", "]]", "{", "}", ",", "\n", "\"", "'", "'''",
                "\"\"\"", " ", "1", "-", "1.5", "true", "#", "\r\n", "circuits", "terminals",
                "2026-11-25", "\\", "\u{feff}", "é", "\0",
            ]),
            0..60,
        )
    ) {
        let text = parts.concat();
        let lines = text.split('\n').count();
        for fault in fusewright::domain::kit_check::read_kit(&text).err().unwrap_or_default() {
            prop_assert!((1..=lines).contains(&fault.line));
            prop_assert!(!fault.wrong.is_empty() && !fault.instead.is_empty());
        }
        let _ = leaves(&text);
    }

    #[test]
    fn a_kit_with_any_stretch_cut_out_or_put_in_is_read_or_refused(
        at in 0.0..1.0_f64, cut in 0_usize..80, put in "[\\[\\]={}\"'.,a-z0-9\n #-]{0,12}"
    ) {
        let letters: Vec<char> = KIT.chars().collect();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss,
                 reason = "a place in a short text")]
        let at = (letters.len() as f64 * at) as usize;
        let before: String = letters[..at].iter().collect();
        let after: String = letters[(at + cut).min(letters.len())..].iter().collect();
        let text = format!("{before}{put}{after}");
        if let Err(found) = fusewright::domain::kit_check::read_kit(&text) {
            prop_assert!(!found.is_empty());
            prop_assert!(found.is_sorted_by_key(|fault| fault.line));
        }
    }
}
