//! Search over jobs: what is found, in which order, and that nothing stays in the index.

use fusewright::domain::ids::{CustomerId, Moment};
use fusewright::storage::jobs::{
    SQL_CAME_LAST, SQL_COUNT_STAGE, SQL_OPEN_OF, SQL_SEARCH, SQL_UNOPENED, SQL_WAITING, Search,
    append, assign, came_last, count_waiting, drop_old_words, load, refresh, search, unopened,
    waiting,
};
use fusewright::storage::{Store, certificates, customers, entries};
use sqlx::{AssertSqlSafe, Row as _};
use uuid::Uuid;

use super::certificates::finished;
use super::fixture::{
    Bench, CUSTOMER, JOB, MANAGER, MORNING, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after,
    customer, from_technician, job, note_saying,
};
use super::jobs::{derived, numbered, thirty};

async fn found(store: &Store, asked: &Search) -> Vec<u64> {
    let found = search(store, WORKSHOP, asked).await.unwrap();
    found.jobs.iter().map(|job| job.number).collect()
}

async fn words(store: &Store, text: &str) -> Vec<u64> {
    found(store, &Search { words: text.to_owned(), ..Search::default() }).await
}

/// Two jobs of two customers, the second opened later.
async fn two() -> Bench {
    let bench = Bench::staffed().await;
    let second = CustomerId(Uuid::from_u128(0x31));
    customers::append(&bench.store, WORKSHOP, customer(second, "Örjan Falk")).await.unwrap();
    append(&bench.store, WORKSHOP, job(JOB, "Camper 4x4", "AB12 CDE")).await.unwrap();
    let mut other = job(OTHER_JOB, "Pick-up, ÅLESUND bed", "100%");
    (other.customer, other.technician, other.opened) = (second, Some(MANAGER), after(3 * 24 * 60));
    append(&bench.store, WORKSHOP, other).await.unwrap();
    bench
}

#[tokio::test]
async fn people_find_jobs_by_the_words_that_they_know() {
    let bench = two().await;
    let note = note_saying(1, JOB, "Serial SN-4471/B, bracket re-bent");
    entries::append(&bench.store, WORKSHOP, JOB, from_technician(vec![note])).await.unwrap();
    certificates::append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let change = derived("working", 1, after(9));
    refresh(&bench.store, WORKSHOP, JOB, change).await.unwrap();
    for (text, jobs) in [
        ("camper", vec![1]),
        ("4X4", vec![1]),
        ("ab12cde", vec![1]),
        ("AB12 CDE", vec![1]),
        ("orjan", vec![2]),
        ("ÖRJAN fal", vec![2]),
        ("fal örjan", vec![]),
        ("ålesund", vec![2]),
        ("100%", vec![2]),
        ("lena sommer camper", vec![1]),
        ("lena sommer pick", vec![]),
        ("dock-30", vec![2, 1]),
        ("power pack", vec![2, 1]),
        ("sn-4471/b", vec![1]),
        ("4471", vec![1]),
        ("bracket rebent", vec![]),
        ("bracket re-be", vec![1]),
        ("K4073318", vec![1]),
        ("hv-26-00001-a", vec![1]),
        ("tom reyes", vec![1]),
        ("okafor", vec![2]),
        ("elm row", vec![]),
    ] {
        assert_eq!(words(&bench.store, text).await, jobs, "{text}");
    }
}

#[tokio::test]
async fn only_the_last_word_may_be_unfinished() {
    let bench = two().await;
    assert_eq!(words(&bench.store, "somm").await, [1]);
    assert_eq!(words(&bench.store, "somm lena").await, [0_u64; 0]);
    // One letter begins too many words to stand for all of them.
    assert_eq!(words(&bench.store, "s").await, [0_u64; 0]);
}

#[tokio::test]
async fn the_job_whose_number_was_typed_comes_first_and_once() {
    let bench = Bench::staffed().await;
    for number in 0..25 {
        append(&bench.store, WORKSHOP, job(numbered(number), "Van", "")).await.unwrap();
    }
    assert_eq!(words(&bench.store, "2").await, [2]);
    assert_eq!(words(&bench.store, "12").await, [12]);
    append(&bench.store, WORKSHOP, job(JOB, "Van 12", "12X")).await.unwrap();
    assert_eq!(words(&bench.store, "12").await, [12, 26]);
}

/// What a search engine, a database or a shell could take for more than words.
const COMMANDS: [&str; 20] = [
    "\"",
    "*",
    "\"\"",
    "%",
    "_",
    "' or 1=1 --",
    "camper\"",
    "\"camper",
    "camper AND (",
    ")",
    "NOT",
    "keys:",
    "keys : zzw*",
    "{a b}:x",
    "^camper",
    "camper NEAR/2",
    "\0",
    "-camper",
    "a\u{300}",
    "\u{202e}x",
];

#[tokio::test]
async fn nothing_that_is_typed_is_a_command_or_an_error() {
    let bench = two().await;
    let long = "camper ".repeat(1_500);
    let repeated = [("x", 10_000), ("\"", 10_000), ("* ", 5_000), ("é", 10_000)];
    let repeated = repeated.map(|(part, times)| part.repeat(times));
    for text in COMMANDS.into_iter().chain(repeated.iter().map(String::as_str)) {
        let asked = Search {
            words: text.to_owned(),
            kit: text.to_owned(),
            customer: text.to_owned(),
            vehicle: text.to_owned(),
            stages: vec![text.to_owned()],
            ..Search::default()
        };
        search(&bench.store, WORKSHOP, &asked).await.unwrap();
        search(&bench.store, WORKSHOP, &Search { words: text.to_owned(), ..Search::default() })
            .await
            .unwrap();
    }
    assert_eq!(words(&bench.store, "*").await, [0_u64; 0]);
    assert_eq!(words(&bench.store, "\"camper").await, [1]);
    assert_eq!(words(&bench.store, "CAMPER AND").await, [0_u64; 0]);
    assert_eq!(words(&bench.store, &long).await, [1]);
}

#[tokio::test]
async fn filters_narrow_one_by_one_and_together() {
    let bench = two().await;
    let store = &bench.store;
    refresh(store, WORKSHOP, OTHER_JOB, derived("review", 1, after(9))).await.unwrap();
    let day = |minutes| Some(after(minutes));
    for (asked, jobs) in [
        (Search { customer: "falk".to_owned(), ..Search::default() }, vec![2]),
        (Search { customer: "camper".to_owned(), ..Search::default() }, vec![]),
        (Search { vehicle: "ab12".to_owned(), ..Search::default() }, vec![1]),
        (Search { vehicle: "lena".to_owned(), ..Search::default() }, vec![]),
        (Search { kit: "dock-30".to_owned(), ..Search::default() }, vec![2, 1]),
        (Search { kit: "dock".to_owned(), ..Search::default() }, vec![]),
        (Search { person: Some(TECHNICIAN), ..Search::default() }, vec![1]),
        (Search { stages: vec!["review".to_owned()], ..Search::default() }, vec![2]),
        (Search { from: day(0), ..Search::default() }, vec![2, 1]),
        (Search { from: day(1), ..Search::default() }, vec![2]),
        (Search { until: day(1), ..Search::default() }, vec![1]),
        (Search { until: Some(MORNING), ..Search::default() }, vec![]),
        (Search { words: "2".to_owned(), until: day(1), ..Search::default() }, vec![]),
        (
            Search {
                words: "bed".to_owned(),
                person: Some(MANAGER),
                stages: vec!["working".to_owned(), "review".to_owned()],
                from: day(5),
                ..Search::default()
            },
            vec![2],
        ),
    ] {
        assert_eq!(found(store, &asked).await, jobs, "{asked:?}");
    }
    let elsewhere = search(store, OTHER_WORKSHOP, &Search::default()).await.unwrap();
    assert!(elsewhere.jobs.is_empty());
}

#[tokio::test]
async fn pages_of_what_is_found_show_every_job_once() {
    let bench = Bench::staffed().await;
    for number in 0..23 {
        append(&bench.store, WORKSHOP, job(numbered(number), "Van", "")).await.unwrap();
    }
    let mut asked = Search { words: "van".to_owned(), limit: 7, ..Search::default() };
    let (mut seen, mut pages) = (Vec::new(), 0);
    loop {
        let page = search(&bench.store, WORKSHOP, &asked).await.unwrap();
        seen.extend(page.jobs.iter().map(|job| job.number));
        pages += 1;
        let Some(next) = page.next else { break };
        asked.before = Some(next);
    }
    assert_eq!(seen, (1..=23).rev().collect::<Vec<u64>>());
    assert_eq!(pages, 4);
}

#[tokio::test]
async fn a_search_follows_whatever_changes() {
    let bench = two().await;
    let store = &bench.store;
    assign(store, WORKSHOP, JOB, Some(MANAGER), after(1)).await.unwrap();
    assert_eq!(words(store, "reyes").await, [0_u64; 0]);
    assert_eq!(words(store, "okafor").await, [2, 1]);
    let mut intruder = bench.intruder().await;
    sqlx::query("update person set name = 'Ines Bauer' where name = 'Ines Okafor'")
        .execute(&mut intruder)
        .await
        .unwrap();
    assert_eq!(words(store, "okafor").await, [0_u64; 0]);
    assert_eq!(words(store, "bauer").await, [2, 1]);
}

/// Whether a word stands anywhere in the database's own tables of the index.
async fn is_in_the_index(bench: &Bench, word: &str) -> bool {
    let mut intruder = bench.intruder().await;
    let find = "select count(*) from job_text_data where instr(block, cast($1 as blob)) > 0";
    let blocks: i64 = sqlx::query_scalar(find).bind(word).fetch_one(&mut intruder).await.unwrap();
    blocks > 0
}

#[tokio::test]
async fn an_erased_customer_is_found_no_more_and_within_a_day_no_word_is_left() {
    let bench = two().await;
    assert_eq!(words(&bench.store, "sommer").await, [1]);
    assert!(is_in_the_index(&bench, "sommer").await);
    let gone = customer(CUSTOMER, "Erased");
    customers::change(&bench.store, WORKSHOP, gone).await.unwrap();
    assert_eq!(words(&bench.store, "sommer").await, [0_u64; 0]);
    assert_eq!(words(&bench.store, "erased").await, [1]);
    drop_old_words(&bench.store).await.unwrap();
    assert!(!is_in_the_index(&bench, "sommer").await);
    assert_eq!(words(&bench.store, "erased").await, [1]);
    let mut intruder = bench.intruder().await;
    let left: i64 =
        sqlx::query_scalar("select count(*) from job_search where customer like '%sommer%'")
            .fetch_one(&mut intruder)
            .await
            .unwrap();
    assert_eq!(left, 0);
}

#[tokio::test]
async fn the_index_says_what_the_record_says() {
    let bench = two().await;
    let text = "x".repeat(1_900);
    for number in 0..15 {
        let note = note_saying(number, JOB, &format!("wort{number} {text}"));
        entries::append(&bench.store, WORKSHOP, JOB, from_technician(vec![note])).await.unwrap();
    }
    assert_eq!(words(&bench.store, "wort9").await, [1]);
    // Beyond 20 000 characters of notes nothing is looked for.
    assert_eq!(words(&bench.store, "wort14").await, [0_u64; 0]);
    let mut intruder = bench.intruder().await;
    sqlx::query("insert into job_text (job_text, rank) values ('integrity-check', 1)")
        .execute(&mut intruder)
        .await
        .unwrap();
}

#[tokio::test]
async fn whoever_waits_longest_comes_first_and_a_change_within_a_stage_does_not_count() {
    let bench = Bench::working().await;
    let store = &bench.store;
    refresh(store, WORKSHOP, OTHER_JOB, derived("review", 1, after(1))).await.unwrap();
    refresh(store, WORKSHOP, JOB, derived("review", 1, after(2))).await.unwrap();
    refresh(store, WORKSHOP, OTHER_JOB, derived("review", 2, after(9))).await.unwrap();
    let there = load(store, WORKSHOP, OTHER_JOB).await.unwrap().unwrap();
    assert_eq!((there.since, there.updated), (after(1), after(9)));
    let stages = ["working", "review"];
    let first = waiting(store, WORKSHOP, &stages, None, 1).await.unwrap();
    assert_eq!(first.jobs[0].id, OTHER_JOB);
    let next = first.next.unwrap().to_string().parse().unwrap();
    let second = waiting(store, WORKSHOP, &stages, Some(next), 1).await.unwrap();
    assert_eq!((second.jobs[0].id, second.next), (JOB, None));
    assert_eq!(count_waiting(store, WORKSHOP, &stages).await.unwrap(), 2);
    assert_eq!(count_waiting(store, OTHER_WORKSHOP, &stages).await.unwrap(), 0);
    let last = came_last(store, WORKSHOP, "review", 1).await.unwrap();
    assert_eq!(last[0].id, JOB);
    assert_eq!(unopened(store, WORKSHOP, Moment(0), 9).await.unwrap(), []);
}

#[tokio::test]
async fn no_search_and_no_group_of_the_desk_reads_or_sorts_the_whole_table() {
    let bench = thirty().await;
    let mut intruder = bench.counted().await;
    for (sql, first) in [
        (SQL_SEARCH, "SCAN t VIRTUAL TABLE INDEX "),
        (SQL_WAITING, "SEARCH j USING INDEX job_by_wait "),
        (SQL_CAME_LAST, "SEARCH j USING INDEX job_by_wait "),
        (SQL_OPEN_OF, "SEARCH j USING INDEX job_by_wait "),
        (SQL_COUNT_STAGE, "SEARCH job USING COVERING INDEX job_by_"),
        (SQL_UNOPENED, "SEARCH l USING INDEX customer_link_unopened "),
    ] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(plan.iter().any(|step| step.starts_with(first)), "{plan:?}");
        // Of a few kits the engine reads all; never of the jobs.
        let whole = |step: &String| ["SCAN j", "SCAN l"].iter().any(|of| step.starts_with(of));
        assert!(!plan.iter().any(whole), "{plan:?}");
        let sorts = plan.iter().any(|step| step.contains("B-TREE FOR ORDER BY"));
        assert!(!sorts, "{plan:?}");
    }
}
