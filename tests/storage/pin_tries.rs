//! Tries at PINs.

use fusewright::domain::ids::{DeviceId, Moment, PersonId};
use fusewright::storage::devices;
use fusewright::storage::pin_tries::{
    Attempt, BY_PHONE_MAX, FREE_MAX, HOUR_MS, IN_A_ROW_MAX, Turn, append,
};
use fusewright::storage::pins::{self, NewPin};
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{Bench, DEVICE, MANAGER, MORNING, TECHNICIAN, WORKSHOP, device};

const OTHER_PHONE: DeviceId = DeviceId(Uuid::from_u128(0x21));

fn attempt(at: Moment) -> Attempt {
    Attempt { workshop: WORKSHOP, device: DEVICE, person: TECHNICIAN, at }
}

fn later(ms: i64) -> Moment {
    Moment(MORNING.0 + ms)
}

async fn bench() -> Bench {
    let bench = Bench::staffed().await;
    devices::append(&bench.store, WORKSHOP, device(OTHER_PHONE)).await.unwrap();
    bench
}

/// Wrong PINs, each as soon as it may be; the moment of the last.
async fn fail(bench: &Bench, times: u32) -> Moment {
    let mut at = MORNING;
    for _ in 0..times {
        if let Turn::Wait { until } = append(&bench.store, attempt(at)).await.unwrap() {
            at = until;
            assert_eq!(append(&bench.store, attempt(at)).await.unwrap(), Turn::Taken);
        }
    }
    at
}

#[tokio::test]
async fn five_are_free_and_the_sixth_waits_a_minute() {
    let bench = bench().await;
    for _ in 0..FREE_MAX {
        assert_eq!(append(&bench.store, attempt(MORNING)).await.unwrap(), Turn::Taken);
    }
    let until = later(60_000);
    let early = Moment(until.0 - 1);
    for _ in 0..3 {
        // Waiting in vain is not counted.
        assert_eq!(append(&bench.store, attempt(early)).await.unwrap(), Turn::Wait { until });
    }
    assert_eq!(append(&bench.store, attempt(until)).await.unwrap(), Turn::Taken);
}

#[tokio::test]
async fn each_wait_is_twice_as_long_up_to_a_quarter_of_an_hour() {
    let bench = bench().await;
    let mut at = fail(&bench, FREE_MAX).await;
    for minutes in [1, 2, 4, 8, 15] {
        let until = Moment(at.0 + minutes * 60_000);
        assert_eq!(append(&bench.store, attempt(at)).await.unwrap(), Turn::Wait { until });
        assert_eq!(append(&bench.store, attempt(until)).await.unwrap(), Turn::Taken);
        at = until;
    }
    assert_eq!(append(&bench.store, attempt(at)).await.unwrap(), Turn::Locked);
}

#[tokio::test]
async fn ten_in_a_row_lock_the_person_on_this_phone_for_good_and_on_no_other() {
    let bench = bench().await;
    let nine = fail(&bench, IN_A_ROW_MAX - 1).await;
    assert!(matches!(append(&bench.store, attempt(nine)).await.unwrap(), Turn::Wait { .. }));
    let bench = self::bench().await;
    give_pin(&bench, MORNING).await;
    fail(&bench, IN_A_ROW_MAX).await;
    let bench = bench.restarted().await;
    let year = attempt(MORNING.plus_days(365));
    assert_eq!(append(&bench.store, year).await.unwrap(), Turn::Locked);
    let elsewhere = Attempt { device: OTHER_PHONE, ..year };
    assert_eq!(append(&bench.store, elsewhere).await.unwrap(), Turn::Taken);
}

async fn give_pin(bench: &Bench, issued: Moment) {
    let new = NewPin {
        workshop: WORKSHOP,
        person: TECHNICIAN,
        hash: "$argon2id$made-up".to_owned(),
        issued,
        issued_by: MANAGER,
    };
    pins::append(&bench.store, new).await.unwrap();
}

#[tokio::test]
async fn a_new_pin_unlocks() {
    let bench = bench().await;
    let at = fail(&bench, IN_A_ROW_MAX).await;
    assert_eq!(append(&bench.store, attempt(at)).await.unwrap(), Turn::Locked);
    give_pin(&bench, at).await;
    assert_eq!(append(&bench.store, attempt(at)).await.unwrap(), Turn::Taken);
}

/// Tries for somebody else each time, so that no person's own limit is met.
async fn fail_for_many(bench: &Bench, times: u32, at: Moment) -> Vec<Turn> {
    let mut turns = Vec::new();
    for number in 0..times {
        let person = PersonId(Uuid::from_u128(0x700 + u128::from(number)));
        turns.push(append(&bench.store, Attempt { person, ..attempt(at) }).await.unwrap());
    }
    turns
}

#[tokio::test]
async fn twenty_on_one_phone_are_all_for_the_rest_of_its_hour() {
    let bench = bench().await;
    let turns = fail_for_many(&bench, BY_PHONE_MAX, MORNING).await;
    assert!(turns.iter().all(|turn| *turn == Turn::Taken));
    let until = later(HOUR_MS);
    let last = attempt(Moment(until.0 - 1));
    assert_eq!(append(&bench.store, last).await.unwrap(), Turn::PhoneWaits { until });
    let other = Attempt { device: OTHER_PHONE, ..last };
    assert_eq!(append(&bench.store, other).await.unwrap(), Turn::Taken);
    assert_eq!(append(&bench.store, attempt(until)).await.unwrap(), Turn::Taken);
    // The hour begins anew, with one.
    let turns = fail_for_many(&bench, BY_PHONE_MAX, until).await;
    let taken = turns.iter().filter(|turn| **turn == Turn::Taken).count();
    assert_eq!(taken, BY_PHONE_MAX as usize - 1);
}

#[tokio::test]
async fn attempts_made_at_once_all_count() {
    let bench = bench().await;
    let mut attempts = JoinSet::new();
    for _ in 0..25 {
        let store = bench.store.clone();
        attempts.spawn(async move { append(&store, attempt(MORNING)).await.unwrap() });
    }
    let turns = attempts.join_all().await;
    let taken = turns.iter().filter(|turn| **turn == Turn::Taken).count();
    assert_eq!(taken, FREE_MAX as usize);
}

#[tokio::test]
async fn tries_for_nobody_are_forgotten_after_a_day_and_those_for_a_pin_are_not() {
    let bench = bench().await;
    give_pin(&bench, MORNING).await;
    let nobody = PersonId(Uuid::from_u128(0x99));
    append(&bench.store, Attempt { person: nobody, ..attempt(MORNING) }).await.unwrap();
    append(&bench.store, attempt(MORNING)).await.unwrap();
    let next = Attempt { person: MANAGER, ..attempt(Moment(MORNING.plus_days(1).0 + 1)) };
    append(&bench.store, next).await.unwrap();
    let mut intruder = bench.intruder().await;
    let kept: Vec<Vec<u8>> =
        sqlx::query_scalar("select person_id from pin_failure order by person_id")
            .fetch_all(&mut intruder)
            .await
            .unwrap();
    assert_eq!(kept, [MANAGER.0.as_bytes().to_vec(), TECHNICIAN.0.as_bytes().to_vec()]);
}
