//! The words of papers: each language says the same things, and nothing is said that no file has.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use fluent_bundle::FluentResource;
use fusewright::documents::voice::Voice;
use fusewright::documents::words::{Words, files, message_ids};
use fusewright::domain::ids::Moment;
use fusewright::domain::paper_style::{
    DayStyle, DecimalMark, Language, OtherUnit, PaperStyle, Side,
};

/// Each message with the names of its arguments.
fn messages(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let mut all = BTreeMap::new();
    for (name, text) in files(language) {
        assert!(FluentResource::try_new((*text).to_owned()).is_ok(), "{name}");
        let ids: Vec<&str> = message_ids(text).collect();
        let starts: Vec<usize> =
            ids.iter().map(|id| format!("\n{text}").find(&format!("\n{id} =")).unwrap()).collect();
        for (place, id) in ids.iter().enumerate() {
            let end = starts.get(place + 1).copied().unwrap_or(text.len());
            let body = &text[starts[place]..end];
            let args = body
                .split("{ $")
                .skip(1)
                .map(|rest| rest.split([' ', '}']).next().unwrap_or_default().to_owned());
            assert!(all.insert((*id).to_owned(), args.collect()).is_none(), "{id} twice");
        }
    }
    all
}

#[test]
fn every_language_has_the_same_files_and_messages_with_the_same_arguments() {
    let (english, german) = (messages(Language::English), messages(Language::German));
    assert!(english.len() > 250, "{}", english.len());
    assert_eq!(english, german);
    let names = |language| files(language).iter().map(|(name, _)| *name).collect::<Vec<_>>();
    assert_eq!(names(Language::English), names(Language::German));
}

#[test]
fn no_sentence_of_the_german_papers_was_left_in_english() {
    // What is the same in both: names of things, letters, abbreviations.
    let same = [
        "column-uncertainty",
        "column-name",
        "proof-plan",
        "colour-orange",
        "colour-og",
        "colour-gd",
    ];
    let same = [&same[..], &["month-4", "month-8", "month-9", "month-11"]].concat();
    let (english, german) =
        (Words::of_language(Language::English), Words::of_language(Language::German));
    for id in messages(Language::English).keys().filter(|id| !same.contains(&id.as_str())) {
        let (one, other) = (english.say(id), german.say(id));
        assert!(
            one != other || !one.chars().any(char::is_lowercase) || one.starts_with("{$"),
            "{id}: {one}"
        );
    }
}

/// Everything between `before` and the next quote in the files of a folder.
fn quoted(folder: &str, ending: &str, before: &[&str]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.to_str().unwrap().ends_with(ending) {
                let text = fs::read_to_string(&path).unwrap();
                for before in before {
                    let rests = text.split(before).skip(1);
                    found.extend(rests.map(|rest| {
                        let ends = |c: char| !(c.is_ascii_alphanumeric() || c == '-');
                        rest.split(ends).next().unwrap_or_default().to_owned()
                    }));
                }
            }
        }
    }
    found
}

#[test]
fn whatever_code_and_templates_say_is_a_message() {
    let known = messages(Language::English);
    let mut said = quoted("server", ".rs", &["voice.say(\"", "voice.with(\"", "counted(\""]);
    said.extend(quoted("templates", ".html", &["voice.say(\"", "voice.with(\""]));
    said.extend(quoted("templates/documents", ".typ", &["words.", "fill(\""]));
    said.retain(|id| !id.is_empty() && !["at", "typ", "json", "pos", "rs"].contains(&id.as_str()));
    assert!(said.len() > 120, "{}", said.len());
    let missing: Vec<&String> = said.iter().filter(|id| !known.contains_key(*id)).collect();
    assert_eq!(missing, Vec::<&String>::new());
}

fn voice(language: Language, mark: DecimalMark, days: DayStyle) -> Voice {
    let units = vec![OtherUnit::PoundForceInch, OtherUnit::Fahrenheit];
    Voice::new(PaperStyle { language, mark, days, units })
}

#[test]
fn a_message_that_is_not_there_shows_as_its_id_and_counts_have_their_form() {
    let german = Words::of_language(Language::German);
    assert_eq!(german.say("no-such-message"), "no-such-message");
    assert_eq!(german.counted("fuses-count", 1), "1 Sicherung");
    assert_eq!(german.counted("fuses-count", 2), "2 Sicherungen");
    assert_eq!(Words::of_language(Language::English).say("page-of"), "Page {$page} of {$last}");
}

#[test]
fn days_stand_in_figures_or_in_the_words_of_the_language() {
    let at = Moment::parse("2026-11-05T09:07:00Z").unwrap();
    let told = |language, days| voice(language, DecimalMark::Point, days).at(at);
    assert_eq!(told(Language::English, DayStyle::Figures), "2026-11-05 09:07 UTC");
    assert_eq!(told(Language::English, DayStyle::Words), "5 November 2026 09:07 UTC");
    assert_eq!(told(Language::German, DayStyle::Words), "5. November 2026 09:07 UTC");
    let words = voice(Language::German, DecimalMark::Point, DayStyle::Words);
    assert_eq!(words.day("2027-03-01"), "1. März 2027");
    for no_day in ["–", "", "2026-13-01", "12-2026-1"] {
        assert_eq!(words.day(no_day), no_day);
    }
}

#[test]
fn a_comma_stands_in_decimals_and_in_nothing_else() {
    let style = PaperStyle { mark: DecimalMark::Comma, ..PaperStyle::default() };
    for (point, comma) in [
        ("0.36 V", "0,36 V"),
        ("4.00 + 3.5 m", "4,00 + 3,5 m"),
        ("−12.60 %/K, ±0.5 %", "−12,60 %/K, ±0,5 %"),
        ("(1.42 mΩ).", "(1,42 mΩ)."),
        ("0.31\u{a0}V.", "0,31\u{a0}V."),
    ] {
        assert_eq!(style.figures(point), comma);
    }
    for same in [
        "ISO 8820-3:2010",
        "JCGM 100:2008, 5.1.2",
        "A1.5",
        "10.0.0.1",
        "2026-11-25",
        "60 A",
        "v1.2b",
        "12.",
        ".5",
    ] {
        assert_eq!(style.figures(same), same);
    }
    assert_eq!(PaperStyle::default().figures("0.36 V"), "0.36 V");
}

#[test]
fn limits_are_told_in_the_language_and_other_units_of_them_are_rounded_inwards() {
    let german = voice(Language::German, DecimalMark::Comma, DayStyle::Figures);
    assert_eq!(german.limit("at most 0.36 V"), "höchstens 0,36 V");
    assert_eq!(german.limit("±5 % of expected"), "±5 % vom erwarteten Wert");
    assert_eq!(german.limit("the kit's order"), "die Reihenfolge des Bausatzes");
    assert_eq!(german.limit("60 A"), "60 A");
    assert_eq!(german.limit(""), "");
    // 9.0 and 11.0 N·m are 79.657 and 97.358 lbf·in: NIST SP 811 (2008), B.8 (from memory).
    let english = voice(Language::English, DecimalMark::Point, DayStyle::Figures);
    assert_eq!(english.limit("9.0 to 11.0 N·m"), "9.0 to 11.0 N·m (79.7 to 97.3 lbf·in)");
    assert_eq!(english.limit("at least 9.0 N·m"), "at least 9.0 N·m (79.7 lbf·in)");
    assert_eq!(english.value("10.4 N·m"), "10.4 N·m (92.0 lbf·in)");
    assert_eq!(english.value("105 °C"), "105 °C (221.0 °F)");
    assert_eq!(english.value("0.36 V"), "0.36 V");
}

#[test]
fn no_figure_that_fails_its_limit_passes_the_converted_one() {
    let style = PaperStyle { units: OtherUnit::ALL.into(), ..PaperStyle::default() };
    let figure = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
    for tenths in 1..2000_i64 {
        let limit = rust_decimal::Decimal::new(tenths, 1);
        let (just_over, just_under) = (
            rust_decimal::Decimal::new(tenths * 10 + 1, 2),
            rust_decimal::Decimal::new(tenths * 10 - 1, 2),
        );
        for unit in ["N·m", "°C"] {
            let upper = style.others(limit, unit, Side::Upper);
            let lower = style.others(limit, unit, Side::Lower);
            let over = style.others(just_over, unit, Side::Neither);
            let under = style.others(just_under, unit, Side::Neither);
            for place in 0..upper.len() {
                assert!(figure(&over[place]) > figure(&upper[place]), "{limit} {unit}");
                assert!(figure(&under[place]) < figure(&lower[place]), "{limit} {unit}");
            }
        }
    }
}

#[test]
fn the_american_size_beside_a_metric_one_is_never_smaller() {
    use fusewright::engineering::conductor::ConductorSize;
    let style = PaperStyle { units: vec![OtherUnit::Awg], ..PaperStyle::default() };
    // 5.261 and 13.30 mm² (10 and 6 AWG): NEC chapter 9, table 8.
    let beside = |text: &str| style.awg(ConductorSize::parse(text).unwrap());
    assert_eq!(beside("4").as_deref(), Some("10 AWG"));
    assert_eq!(beside("10").as_deref(), Some("6 AWG"));
    assert_eq!(beside("16").as_deref(), Some("4 AWG"));
    assert_eq!(beside("6 AWG"), None);
    for size in ConductorSize::all_metric() {
        if let Some(awg) = style.awg(size) {
            assert!(ConductorSize::parse(&awg).unwrap().area().0 >= size.area().0);
        }
    }
    assert_eq!(PaperStyle::default().awg(ConductorSize::parse("16").unwrap()), None);
}
