//! The plan board: weeks, spans over weekends, and what does not fit.

use std::collections::{BTreeMap, BTreeSet};

use fusewright::domain::board::{
    Conflict, DAY_MINUTES, Hand, Known, Placed, Span, Week, conflicts, hours_words, is_late,
};
use fusewright::domain::ids::{JobId, PersonId};
use fusewright::domain::job::Stage;
use time::Date;
use time::macros::date;
use uuid::Uuid;

const TOM: PersonId = PersonId(Uuid::from_u128(1));
const ADA: PersonId = PersonId(Uuid::from_u128(2));
const TUESDAY: Date = date!(2026 - 11 - 24);
const FRIDAY: Date = date!(2026 - 11 - 27);

fn span(first: Date, days: u8, hours: u32) -> Span {
    Span { first, days, minutes: hours * 60 }
}

fn job(number: u64, span: Span) -> Placed {
    Placed {
        job: JobId(Uuid::from_u128(u128::from(number))),
        number,
        person: Some(TOM),
        registration: format!("AB {number}"),
        plate: format!("AB{number}"),
        stage: Stage::Ready,
        span,
    }
}

fn found(jobs: &[Placed], away: &[(PersonId, Date)], today: Date) -> Vec<Conflict> {
    let hand = |name: &str, disabled| Hand { name: name.to_owned(), disabled };
    let people = BTreeMap::from([(TOM, hand("Tom", false)), (ADA, hand("Ada", true))]);
    let away: BTreeSet<(PersonId, Date)> = away.iter().copied().collect();
    conflicts(jobs, Known { people: &people, away: &away, today })
}

fn sentences(found: &[Conflict]) -> Vec<&str> {
    found.iter().map(|conflict| conflict.sentence.as_str()).collect()
}

#[test]
fn weeks_are_counted_as_iso_8601_does_across_the_turn_of_the_year() {
    let week: Week = "2026-W53".parse().unwrap();
    assert_eq!(week.monday(), date!(2026 - 12 - 28));
    assert_eq!(week.sunday(), date!(2027 - 01 - 03));
    assert_eq!(week.plus(1).to_string(), "2027-W01");
    assert_eq!(Week::of(date!(2027 - 01 - 01)).to_string(), "2026-W53");
    assert_eq!(Week::of(TUESDAY).to_string(), "2026-W48");
}

#[test]
fn what_is_no_week_is_refused() {
    for text in ["", "2026", "2026-48", "2026-W00", "2026-W54", "2025-W53", "999999-W01", "-W1"] {
        assert!(text.parse::<Week>().is_err(), "{text}");
    }
}

#[test]
fn a_span_passes_over_the_weekend_unless_it_begins_there() {
    let days = span(FRIDAY, 2, 8).each_day();
    assert_eq!(days, [FRIDAY, date!(2026 - 11 - 30)]);
    let saturday = date!(2026 - 11 - 28);
    assert_eq!(span(saturday, 2, 8).each_day(), [saturday, date!(2026 - 11 - 29)]);
    assert_eq!(span(FRIDAY, 14, 8).each_day().len(), 14, "the longest fits between its ends");
}

#[test]
fn a_day_that_is_just_full_fits_and_a_minute_more_does_not() {
    let full = [job(1, span(TUESDAY, 1, 5)), job(2, span(TUESDAY, 1, 3))];
    assert!(found(&full, &[], TUESDAY).is_empty());
    let mut over = full;
    over[1].span.minutes += 1;
    let found = found(&over, &[], TUESDAY);
    assert_eq!(sentences(&found), ["Tom has 8 h 1 min on Tuesday 24 November; a day has 8 h."]);
    assert_eq!(found[0].jobs.len(), 2);
    assert_eq!(hours_words(DAY_MINUTES), "8 h");
}

#[test]
fn hours_are_spread_over_the_days_of_a_job() {
    let two = [job(1, span(TUESDAY, 2, 12)), job(2, span(TUESDAY, 1, 2))];
    assert!(found(&two, &[], TUESDAY).is_empty());
}

#[test]
fn jobs_of_nobody_are_never_too_much() {
    let all = [1, 2, 3].map(|n| Placed { person: None, ..job(n, span(TUESDAY, 1, 8)) });
    assert!(found(&all, &[], TUESDAY).is_empty());
}

#[test]
fn one_vehicle_in_two_jobs_of_a_day_is_a_conflict_and_without_a_plate_it_is_not() {
    let plate = |plate: &str| {
        [1, 2].map(|n| Placed { plate: plate.to_owned(), ..job(n, span(TUESDAY, 1, 2)) })
    };
    let twice = found(&plate("AB1"), &[], TUESDAY);
    assert_eq!(sentences(&twice), ["AB 1 is in jobs 1 and 2 on Tuesday 24 November."]);
    assert!(found(&plate(""), &[], TUESDAY).is_empty());
    let mut apart = plate("AB1");
    apart[1].span.first = FRIDAY;
    assert!(found(&apart, &[], TUESDAY).is_empty(), "on two days it fits");
}

#[test]
fn whoever_is_away_on_one_of_its_days_cannot_do_a_job() {
    let long = [job(1, span(TUESDAY, 2, 8))];
    let away = |day| found(&long, &[(TOM, day)], TUESDAY);
    assert_eq!(
        sentences(&away(date!(2026 - 11 - 25))),
        ["Job 1: Tom is away on Wednesday 25 November."]
    );
    assert!(away(date!(2026 - 11 - 26)).is_empty());
}

#[test]
fn a_job_of_somebody_who_left_is_a_conflict() {
    let all = [Placed { person: Some(ADA), ..job(1, span(TUESDAY, 1, 2)) }];
    let found = found(&all, &[], TUESDAY);
    assert_eq!(sentences(&found), ["Job 1 is given to Ada, who does not work here any more."]);
    assert!(!found[0].is_caution);
}

#[test]
fn a_job_without_a_sheet_is_a_caution() {
    let all = [Placed { stage: Stage::Planning, ..job(1, span(TUESDAY, 1, 2)) }];
    let found = found(&all, &[], TUESDAY);
    assert_eq!(found.len(), 1);
    assert!(found[0].is_caution);
}

#[test]
fn a_job_is_late_from_the_day_after_its_last_until_somebody_begins() {
    let two = span(TUESDAY, 2, 8);
    assert!(!is_late(Stage::Ready, two, date!(2026 - 11 - 25)));
    assert!(is_late(Stage::Ready, two, date!(2026 - 11 - 26)));
    assert!(!is_late(Stage::Working, two, date!(2026 - 11 - 26)));
    let found = found(&[job(1, two)], &[], FRIDAY);
    assert_eq!(sentences(&found), ["Job 1 is late: planned for Wednesday 25 November, not begun."]);
}

#[test]
fn released_jobs_take_part_in_no_conflict() {
    let all = [1, 2].map(|n| Placed { stage: Stage::Released, ..job(n, span(TUESDAY, 1, 8)) });
    assert!(found(&all, &[(TOM, TUESDAY)], FRIDAY).is_empty());
}
