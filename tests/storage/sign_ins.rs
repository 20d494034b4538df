//! Attempts to sign in.

use fusewright::domain::ids::Moment;
use fusewright::storage::sign_ins::{
    Attempt, BY_ADDRESS_MAX, BY_SIGN_IN_MAX, IN_A_ROW_MAX, WINDOW_MS, append, clear,
};
use tokio::task::JoinSet;

use super::fixture::{Bench, MORNING, WORKSHOP, after};

fn attempt(sign_in: &str, address: &str, at: Moment) -> Attempt {
    let (sign_in, address) = (sign_in.to_owned(), address.to_owned());
    Attempt { workshop: WORKSHOP, sign_in, address, at }
}

#[tokio::test]
async fn the_eleventh_attempt_for_a_name_in_a_window_is_not_allowed() {
    let bench = Bench::staffed().await;
    for number in 1..=BY_SIGN_IN_MAX + 1 {
        let address = format!("203.0.113.{number}");
        let counted = append(&bench.store, attempt("tom", &address, MORNING)).await.unwrap();
        assert_eq!((counted.by_sign_in, counted.by_address), (number, 1));
        assert_eq!(counted.is_allowed(), number <= BY_SIGN_IN_MAX, "attempt {number}");
    }
}

#[tokio::test]
async fn the_thirty_first_attempt_from_an_address_is_not_allowed() {
    let bench = Bench::staffed().await;
    for number in 1..=BY_ADDRESS_MAX + 1 {
        let name = format!("guess{number}");
        let counted = append(&bench.store, attempt(&name, "203.0.113.9", MORNING)).await.unwrap();
        assert_eq!(counted.is_allowed(), number <= BY_ADDRESS_MAX, "attempt {number}");
    }
}

#[tokio::test]
async fn a_new_window_counts_anew_but_failures_in_a_row_go_on() {
    let bench = Bench::staffed().await;
    append(&bench.store, attempt("tom", "a", MORNING)).await.unwrap();
    let last = Moment(MORNING.0 + WINDOW_MS - 1);
    let counted = append(&bench.store, attempt("tom", "a", last)).await.unwrap();
    assert_eq!((counted.by_sign_in, counted.window_ends.0), (2, MORNING.0 + WINDOW_MS));
    let next = Moment(MORNING.0 + WINDOW_MS);
    let counted = append(&bench.store, attempt("tom", "a", next)).await.unwrap();
    assert_eq!((counted.by_sign_in, counted.by_address, counted.in_a_row), (1, 1, 3));
}

#[tokio::test]
async fn more_than_a_hundred_failures_in_a_row_are_not_allowed_in_any_window() {
    let bench = Bench::staffed().await;
    for number in 1..=IN_A_ROW_MAX + 1 {
        let at = Moment(MORNING.0 + i64::from(number) * WINDOW_MS);
        let counted = append(&bench.store, attempt("tom", "a", at)).await.unwrap();
        assert_eq!(counted.is_allowed(), number <= IN_A_ROW_MAX, "attempt {number}");
    }
}

#[tokio::test]
async fn a_success_clears_the_name_and_gives_the_address_its_attempt_back() {
    let bench = Bench::staffed().await;
    append(&bench.store, attempt("ines", "a", MORNING)).await.unwrap();
    append(&bench.store, attempt("tom", "a", MORNING)).await.unwrap();
    clear(&bench.store, attempt("tom", "a", MORNING)).await.unwrap();
    let counted = append(&bench.store, attempt("tom", "a", MORNING)).await.unwrap();
    assert_eq!((counted.by_sign_in, counted.by_address, counted.in_a_row), (1, 2, 1));
}

#[tokio::test]
async fn attempts_made_at_once_all_count() {
    let bench = Bench::staffed().await;
    let mut attempts = JoinSet::new();
    for _ in 0..25 {
        let store = bench.store.clone();
        attempts.spawn(async move { append(&store, attempt("tom", "a", MORNING)).await.unwrap() });
    }
    let counted = attempts.join_all().await;
    let allowed = counted.iter().filter(|counted| counted.is_allowed()).count();
    assert_eq!(allowed, BY_SIGN_IN_MAX as usize);
}

#[tokio::test]
async fn counters_survive_a_restart() {
    let bench = Bench::staffed().await;
    append(&bench.store, attempt("tom", "a", MORNING)).await.unwrap();
    let bench = bench.restarted().await;
    let counted = append(&bench.store, attempt("tom", "a", after(1))).await.unwrap();
    assert_eq!(counted.by_sign_in, 2);
}

#[tokio::test]
async fn guessed_names_and_addresses_are_forgotten_after_a_day_and_people_are_not() {
    let bench = Bench::staffed().await;
    append(&bench.store, attempt("no-such-name", "a", MORNING)).await.unwrap();
    append(&bench.store, attempt("tom", "b", MORNING)).await.unwrap();
    append(&bench.store, attempt("ines", "c", MORNING.plus_days(2))).await.unwrap();
    let mut intruder = bench.intruder().await;
    let kept: Vec<String> =
        sqlx::query_scalar("select subject from sign_in_failure order by subject")
            .fetch_all(&mut intruder)
            .await
            .unwrap();
    assert_eq!(kept, ["c", "ines", "tom"]);
}

#[tokio::test]
async fn an_endless_name_is_counted_by_its_beginning() {
    let bench = Bench::staffed().await;
    let endless = "é".repeat(100_000);
    append(&bench.store, attempt(&endless, "a", MORNING)).await.unwrap();
    let counted = append(&bench.store, attempt(&endless, "a", MORNING)).await.unwrap();
    assert_eq!(counted.by_sign_in, 2);
}
