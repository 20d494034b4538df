//! A calendar as text: whole days with a title, as RFC 5545 writes them. Lines end with CR LF and are folded
//! at 75 octets, never inside a character.

use std::fmt::Write as _;

use time::{Date, OffsetDateTime};

/// A line is no longer, without its end (RFC 5545, 3.1).
pub const LINE_OCTETS_MAX: usize = 75;

/// Something on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayEvent {
    /// The same for ever, whatever becomes of the day.
    pub uid: String,
    pub day: Date,
    /// Counts up when the day moves.
    pub sequence: u32,
    /// When it was last set.
    pub modified: OffsetDateTime,
    pub title: String,
    pub words: String,
    /// Absolute and percent-encoded already.
    pub url: String,
}

/// The whole calendar. Pure: the same events give the same bytes.
pub fn calendar(name: &str, events: &[DayEvent]) -> String {
    let mut out = String::new();
    for (key, value) in [
        ("BEGIN", "VCALENDAR"),
        ("VERSION", "2.0"),
        ("PRODID", "-//Fusewright//Due dates//EN"),
        ("CALSCALE", "GREGORIAN"),
        // RFC 7986, and what programs knew before it.
        ("REFRESH-INTERVAL;VALUE=DURATION", "P1D"),
        ("X-PUBLISHED-TTL", "P1D"),
    ] {
        line(&mut out, key, value);
    }
    line(&mut out, "NAME", &escaped(name));
    line(&mut out, "X-WR-CALNAME", &escaped(name));
    if events.is_empty() {
        nothing_due(&mut out);
    }
    for event in events {
        day_event(&mut out, event);
    }
    line(&mut out, "END", "VCALENDAR");
    out
}

fn day_event(out: &mut String, event: &DayEvent) {
    let at = event.modified.to_offset(time::UtcOffset::UTC);
    let stamp =
        format!("{}T{:02}{:02}{:02}Z", basic(at.date()), at.hour(), at.minute(), at.second());
    line(out, "BEGIN", "VEVENT");
    line(out, "UID", &escaped(&event.uid));
    // Without a METHOD it is when the event was last revised (3.8.7.2).
    line(out, "DTSTAMP", &stamp);
    line(out, "LAST-MODIFIED", &stamp);
    line(out, "SEQUENCE", &event.sequence.to_string());
    line(out, "DTSTART;VALUE=DATE", &basic(event.day));
    if let Some(next) = event.day.next_day() {
        line(out, "DTEND;VALUE=DATE", &basic(next));
    }
    line(out, "SUMMARY", &escaped(&event.title));
    line(out, "DESCRIPTION", &escaped(&event.words));
    line(out, "URL", &plain(&event.url));
    line(out, "TRANSP", "TRANSPARENT");
    line(out, "END", "VEVENT");
}

/// A calendar without any part is none (3.6): an unused time zone is the part that shows nothing.
fn nothing_due(out: &mut String) {
    for (key, value) in [
        ("BEGIN", "VTIMEZONE"),
        ("TZID", "UTC"),
        ("BEGIN", "STANDARD"),
        ("DTSTART", "19700101T000000"),
        ("TZOFFSETFROM", "+0000"),
        ("TZOFFSETTO", "+0000"),
        ("END", "STANDARD"),
        ("END", "VTIMEZONE"),
    ] {
        line(out, key, value);
    }
}

fn basic(day: Date) -> String {
    format!("{:04}{:02}{:02}", day.year(), u8::from(day.month()), day.day())
}

/// TEXT as 3.3.11 writes it: backslash, semicolon and comma behind a backslash, a new line as `\n`; other
/// control characters have no place in it.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\r' if characters.peek() == Some(&'\n') => {}
            '\n' | '\r' => out.push_str("\\n"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// A value that is not TEXT ends no line either.
fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).collect()
}

/// One content line, folded: what goes on stands behind a space, which counts.
fn line(out: &mut String, key: &str, value: &str) {
    let mut octets = 0;
    let mut whole = String::with_capacity(key.len() + value.len() + 1);
    // Writing to a String cannot fail.
    let _ = write!(whole, "{key}:{value}");
    for c in whole.chars() {
        if octets + c.len_utf8() > LINE_OCTETS_MAX {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out.push_str("\r\n");
}
