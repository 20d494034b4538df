//! The calendar as RFC 5545 writes it, and as a library reads it that is not ours.

use fusewright::domain::calendar::{DayEvent, LINE_OCTETS_MAX, calendar};
use serde_json::Value;
use time::macros::{date, datetime};

use crate::documents::tools::read_calendar;

fn event(title: &str, words: &str) -> DayEvent {
    DayEvent {
        uid: "0199c2f0-0000-7000-8000-0000000000c0-inspection".to_owned(),
        day: date!(2027 - 12 - 31),
        sequence: 2,
        modified: datetime!(2026-12-31 23:59:58 UTC),
        title: title.to_owned(),
        words: words.to_owned(),
        url: "https://jobs.example/jobs/0199c2f0-0000-7000-8000-0000000000c0".to_owned(),
    }
}

/// Lines as they stand in the file, without their ends.
fn lines(text: &str) -> Vec<&str> {
    assert!(text.ends_with("\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count(), "a bare line end");
    text.trim_end_matches("\r\n").split("\r\n").collect()
}

fn understood(text: &str) -> Value {
    serde_json::from_str(&read_calendar(text.as_bytes())).unwrap()
}

/// Names that want everything: commas, quotes, umlauts, letters from right to left, 200 characters.
fn hostile() -> Vec<String> {
    vec![
        "Van, long; high \\ roof: \"blue\"".to_owned(),
        "Gefährt für Möbel, Größe Ω".to_owned(),
        "משאית הובלה, תא כפול".to_owned(),
        "ש".repeat(200),
        "🚐".repeat(60),
        "two\nlines\r\nand three".to_owned(),
        "x".repeat(74),
        "x".repeat(75),
    ]
}

#[test]
fn no_line_is_longer_than_75_octets_and_none_is_torn_inside_a_character() {
    for name in hostile() {
        let text = calendar(&name, &[event(&name, &name)]);
        for line in lines(&text) {
            assert!(line.len() <= LINE_OCTETS_MAX, "{} octets: {line}", line.len());
        }
        let unfolded = text.replace("\r\n ", "");
        assert!(unfolded.lines().any(|line| line.starts_with("SUMMARY:")), "{unfolded}");
    }
}

/// A line of just 75 octets is whole, one of 76 is folded.
#[test]
fn the_fold_comes_behind_the_75th_octet() {
    let of = |count: usize| calendar("n", &[event(&"x".repeat(count), "")]);
    let room = LINE_OCTETS_MAX - "SUMMARY:".len();
    assert!(of(room).contains(&format!("\r\nSUMMARY:{}\r\n", "x".repeat(room))));
    assert!(of(room + 1).contains(&format!("\r\nSUMMARY:{}\r\n x\r\n", "x".repeat(room))));
}

#[test]
fn an_independent_reader_understands_every_name_as_it_was() {
    let names = hostile();
    let events: Vec<DayEvent> = names.iter().map(|name| event(name, name)).collect();
    let read = understood(&calendar("Due at Thorne, Vale & Söhne", &events));
    assert_eq!(read["name"], "Due at Thorne, Vale & Söhne");
    assert_eq!(read["method"], false);
    for (name, event) in names.iter().zip(read["events"].as_array().unwrap()) {
        let plain = name.replace("\r\n", "\n");
        assert_eq!(event["title"], plain);
        assert_eq!(event["words"], plain);
    }
    assert_eq!(read["events"].as_array().unwrap().len(), names.len());
}

#[test]
fn an_event_takes_one_whole_day_and_tells_when_it_was_set() {
    let read = understood(&calendar("n", &[event("t", "w")]));
    let event = &read["events"][0];
    assert_eq!((&event["day"], &event["end"]), (&"2027-12-31".into(), &"2028-01-01".into()));
    assert_eq!(event["stamp"], "2026-12-31T23:59:58+00:00");
    assert_eq!(event["modified"], event["stamp"]);
    assert_eq!(event["sequence"], 2);
    assert_eq!(event["url"], "https://jobs.example/jobs/0199c2f0-0000-7000-8000-0000000000c0");
}

/// RFC 5545, 3.6: a calendar has at least one part.
#[test]
fn a_calendar_with_nothing_due_is_one_all_the_same() {
    let text = calendar("n", &[]);
    assert!(text.contains("BEGIN:VTIMEZONE") && !text.contains("VEVENT"));
    assert_eq!(understood(&text)["events"], Value::Array(vec![]));
    assert!(!calendar("n", &[event("t", "w")]).contains("VTIMEZONE"));
}

#[test]
fn a_control_character_breaks_no_line() {
    let text = calendar("n\u{0}\u{b}", &[event("a\u{7}b\u{85}c", "")]);
    assert!(text.contains("SUMMARY:a b c\r\n"), "{text}");
    let control = |c: char| c.is_control() && c != '\r' && c != '\n';
    assert!(!text.contains(control));
}

#[test]
fn the_same_events_give_the_same_bytes() {
    let events = [event("a", "b")];
    assert_eq!(calendar("n", &events), calendar("n", &events));
}
