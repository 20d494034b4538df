//! Sessions.

use fusewright::domain::ids::Moment;
use fusewright::storage::people;
use fusewright::storage::sessions::{
    NewSession, SEEN_STEP_MS, TokenSha256, append, find, list, refresh, revoke, revoke_device,
    revoke_person,
};

use super::fixture::{Bench, DEVICE, MANAGER, MORNING, TECHNICIAN, WORKSHOP, after};

fn session(token: u8, created: Moment) -> NewSession {
    NewSession {
        token: [token; 32],
        workshop: WORKSHOP,
        person: TECHNICIAN,
        device: DEVICE,
        created,
        expires: Moment(created.0 + 12 * 3_600_000),
    }
}

async fn holds(bench: &Bench, token: TokenSha256, now: Moment) -> bool {
    find(&bench.store, token, now).await.unwrap().is_some()
}

#[tokio::test]
async fn a_token_finds_its_person_until_the_moment_it_expires() {
    let bench = Bench::staffed().await;
    append(&bench.store, session(1, MORNING)).await.unwrap();
    let found = find(&bench.store, [1; 32], after(1)).await.unwrap().unwrap();
    assert_eq!(found.person.id, TECHNICIAN);
    assert_eq!(found.person.workshop, WORKSHOP);
    assert_eq!((found.device, found.seen), (DEVICE, MORNING));
    assert!(holds(&bench, [1; 32], Moment(found.expires.0 - 1)).await);
    assert!(!holds(&bench, [1; 32], found.expires).await);
    assert!(!holds(&bench, [2; 32], after(1)).await);
}

#[tokio::test]
async fn a_session_ends_when_it_is_revoked() {
    let bench = Bench::staffed().await;
    append(&bench.store, session(1, MORNING)).await.unwrap();
    append(&bench.store, session(2, MORNING)).await.unwrap();
    revoke(&bench.store, [1; 32], after(1)).await.unwrap();
    assert!(!holds(&bench, [1; 32], after(2)).await);
    assert!(holds(&bench, [2; 32], after(2)).await);
}

#[tokio::test]
async fn disabling_a_person_ends_their_sessions_and_enabling_does_not_bring_them_back() {
    let bench = Bench::staffed().await;
    append(&bench.store, session(1, MORNING)).await.unwrap();
    people::disable(&bench.store, WORKSHOP, TECHNICIAN, after(1)).await.unwrap();
    assert!(!holds(&bench, [1; 32], after(2)).await);
    people::enable(&bench.store, WORKSHOP, TECHNICIAN).await.unwrap();
    assert!(!holds(&bench, [1; 32], after(3)).await);
}

#[tokio::test]
async fn a_session_that_began_as_its_person_was_disabled_does_not_hold() {
    let bench = Bench::staffed().await;
    people::disable(&bench.store, WORKSHOP, TECHNICIAN, after(1)).await.unwrap();
    append(&bench.store, session(1, after(1))).await.unwrap();
    assert!(!holds(&bench, [1; 32], after(2)).await);
}

#[tokio::test]
async fn sessions_end_by_person_or_by_device() {
    let bench = Bench::staffed().await;
    let managers = NewSession { person: MANAGER, ..session(2, MORNING) };
    append(&bench.store, session(1, MORNING)).await.unwrap();
    append(&bench.store, managers).await.unwrap();
    revoke_person(&bench.store, WORKSHOP, TECHNICIAN, after(1)).await.unwrap();
    assert!(!holds(&bench, [1; 32], after(2)).await);
    assert!(holds(&bench, [2; 32], after(2)).await);
    revoke_device(&bench.store, WORKSHOP, DEVICE, after(2)).await.unwrap();
    assert!(!holds(&bench, [2; 32], after(3)).await);
}

#[tokio::test]
async fn a_sixth_session_ends_the_oldest() {
    let bench = Bench::staffed().await;
    for token in 1..=6 {
        append(&bench.store, session(token, after(token.into()))).await.unwrap();
    }
    assert!(!holds(&bench, [1; 32], after(10)).await);
    let there = list(&bench.store, WORKSHOP, TECHNICIAN, after(10)).await.unwrap();
    let tokens: Vec<u8> = there.iter().map(|session| session.token[0]).collect();
    assert_eq!(tokens, [6, 5, 4, 3, 2]);
}

#[tokio::test]
async fn being_seen_is_written_once_a_step_has_passed_and_never_backwards() {
    let bench = Bench::staffed().await;
    append(&bench.store, session(1, MORNING)).await.unwrap();
    let first = find(&bench.store, [1; 32], MORNING).await.unwrap().unwrap();
    let step = Moment(MORNING.0 + SEEN_STEP_MS);
    for (now, seen) in [(Moment(step.0 - 1), MORNING), (step, step), (after(-9), step)] {
        refresh(&bench.store, &first, now).await.unwrap();
        let found = find(&bench.store, [1; 32], MORNING).await.unwrap().unwrap();
        assert_eq!(found.seen, seen);
    }
}

#[tokio::test]
async fn sessions_long_over_are_forgotten() {
    let bench = Bench::staffed().await;
    append(&bench.store, session(1, MORNING)).await.unwrap();
    append(&bench.store, session(2, MORNING.plus_days(91))).await.unwrap();
    let mut intruder = bench.intruder().await;
    let kept: i64 =
        sqlx::query_scalar("select count(*) from session").fetch_one(&mut intruder).await.unwrap();
    assert_eq!(kept, 1);
}
