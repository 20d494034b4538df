//! What does not go together on the board.

use fusewright::domain::board::{Conflict, DAY_MINUTES, Missing, Planned, conflicts, hours};
use fusewright::domain::ids::{JobId, PersonId};
use fusewright::domain::job::Stage;
use time::macros::date;
use uuid::Uuid;

const INES: PersonId = PersonId(Uuid::from_u128(1));
const TOVE: PersonId = PersonId(Uuid::from_u128(2));
const TODAY: time::Date = date!(2026 - 11 - 25);

fn planned(number: u64, day: time::Date) -> Planned {
    Planned {
        job: JobId(Uuid::from_u128(u128::from(number))),
        number,
        plate: format!("KD{number}WEM"),
        stage: Stage::Ready,
        person: Some(INES),
        day,
        minutes: 240,
    }
}

fn of(jobs: &[Planned], missing: &Missing) -> Vec<(u64, Vec<Conflict>)> {
    let found = conflicts(jobs, missing, TODAY);
    let number = |id: JobId| jobs.iter().find(|job| job.job == id).unwrap().number;
    found.into_iter().map(|(job, conflicts)| (number(job), conflicts)).collect()
}

fn none() -> Missing {
    Missing::default()
}

#[test]
fn a_day_that_is_just_full_is_fine_and_a_quarter_of_an_hour_more_is_too_much() {
    let full = [planned(1, TODAY), planned(2, TODAY)];
    assert_eq!(full.iter().map(|job| job.minutes).sum::<u32>(), DAY_MINUTES);
    assert_eq!(of(&full, &none()), []);
    let over = [planned(1, TODAY), Planned { minutes: 255, ..planned(2, TODAY) }];
    let told = vec![Conflict::TooMuch { minutes: 495 }];
    assert_eq!(of(&over, &none()), [(1, told.clone()), (2, told.clone())]);
    assert_eq!(told[0].words(), "8.25 h of 8 h planned");
    let apart =
        [planned(1, TODAY), Planned { minutes: 255, person: Some(TOVE), ..planned(2, TODAY) }];
    assert_eq!(of(&apart, &none()), []);
    let nobody = over.map(|job| Planned { person: None, ..job });
    assert_eq!(of(&nobody, &none()), []);
}

#[test]
fn a_past_day_is_late_until_somebody_has_begun() {
    let yesterday = date!(2026 - 11 - 24);
    assert_eq!(of(&[planned(1, yesterday)], &none()), [(1, vec![Conflict::Late])]);
    assert_eq!(of(&[planned(1, TODAY)], &none()), []);
    for stage in [Stage::Working, Stage::Returned, Stage::Review] {
        assert_eq!(of(&[Planned { stage, ..planned(1, yesterday) }], &none()), []);
    }
}

#[test]
fn whoever_is_away_or_left_does_nothing_that_day() {
    let away = Missing { away: vec![(INES, TODAY)], left: vec![] };
    assert_eq!(of(&[planned(1, TODAY)], &away), [(1, vec![Conflict::Away])]);
    assert_eq!(of(&[planned(1, date!(2026 - 11 - 26))], &away), []);
    assert_eq!(of(&[Planned { person: Some(TOVE), ..planned(1, TODAY) }], &away), []);
    let left = Missing { away: vec![], left: vec![INES] };
    assert_eq!(of(&[planned(1, TODAY)], &left), [(1, vec![Conflict::Left])]);
}

#[test]
fn a_vehicle_is_in_one_bay_at_a_time() {
    let other = Planned { person: Some(TOVE), plate: "KD1WEM".to_owned(), ..planned(2, TODAY) };
    let found = of(&[planned(1, TODAY), other.clone()], &none());
    let twin = |number| vec![Conflict::SameVehicle { number }];
    assert_eq!(found, [(1, twin(2)), (2, twin(1))]);
    let tomorrow = Planned { day: date!(2026 - 11 - 26), ..other.clone() };
    assert_eq!(of(&[planned(1, TODAY), tomorrow], &none()), []);
    // Without a registration nothing is known of the vehicle.
    let bare = |job: Planned| Planned { plate: String::new(), ..job };
    assert_eq!(of(&[bare(planned(1, TODAY)), bare(other)], &none()), []);
}

#[test]
fn a_job_without_a_plan_is_told_and_a_released_one_asks_for_nothing() {
    let unplanned = Planned { stage: Stage::Planning, ..planned(1, TODAY) };
    assert_eq!(of(&[unplanned], &none()), [(1, vec![Conflict::NoPlan])]);
    let released = Planned { stage: Stage::Released, minutes: 480, ..planned(1, TODAY) };
    let away = Missing { away: vec![(INES, TODAY)], left: vec![] };
    assert_eq!(of(&[released.clone()], &away), []);
    assert_eq!(of(&[released, planned(2, TODAY)], &none()), []);
}

#[test]
fn hours_are_told_in_quarters() {
    for (minutes, words) in [(15, "0.25 h"), (240, "4 h"), (285, "4.75 h"), (1440, "24 h")] {
        assert_eq!(hours(minutes), words);
    }
}
