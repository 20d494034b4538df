//! Defects of all jobs: written with a job's state, read by page, person and kit, given to people.

use fusewright::domain::ids::{EntryId, JobId, PersonId};
use fusewright::domain::job::Wants;
use fusewright::storage::Conflict;
use fusewright::storage::defects::{
    Assignment, DefectRow, Filter, SQL_ALL, SQL_OF_KIT, SQL_OF_PERSON, assign, find_person, list,
};
use fusewright::storage::entries::append;
use fusewright::storage::jobs::{self, Derived, refresh};
use fusewright::storage::results::Results;
use sqlx::{AssertSqlSafe, Row as _};
use uuid::Uuid;

use super::fixture::{
    Bench, JOB, MANAGER, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after, from_technician, note,
};

fn row(number: u128, minutes: i64) -> DefectRow {
    DefectRow {
        id: EntryId(Uuid::from_u128(0xe000 + number)),
        step: "prove.supply.drop_out".to_owned(),
        step_number: 41,
        title: "Drop, positive path: Supply".to_owned(),
        wrong: "0.92 V. Outside the upper limit by 0.42 V.".to_owned(),
        is_raised: false,
        wants: Wants::Rework,
        opened: after(minutes),
        opened_by: TECHNICIAN,
        closed: None,
    }
}

fn closed(row: DefectRow) -> DefectRow {
    DefectRow { wants: Wants::Nothing, closed: Some(after(90)), ..row }
}

async fn put(bench: &Bench, job: JobId, entry_count: u64, defects: Vec<DefectRow>) {
    let results = Results { kit_code: "dock-30".to_owned(), defects, ..Results::default() };
    let derived = Derived {
        stage: "working".to_owned(),
        steps_total: 1,
        steps_done: 0,
        flags: String::new(),
        entry_count,
        updated: after(1),
        vin: String::new(),
        notices: String::new(),
        results,
    };
    refresh(&bench.store, WORKSHOP, job, derived).await.unwrap();
}

fn open(limit: u32) -> Filter {
    Filter { limit, ..Filter::default() }
}

async fn listed(bench: &Bench, filter: &Filter) -> Vec<DefectRow> {
    let page = list(&bench.store, WORKSHOP, filter).await.unwrap();
    page.defects.into_iter().map(|listed| listed.row).collect()
}

async fn looks_after(bench: &Bench, number: u128) -> Option<PersonId> {
    find_person(&bench.store, WORKSHOP, row(number, 0).id).await.unwrap()
}

#[tokio::test]
async fn a_defect_comes_back_as_it_was_put_in_and_a_later_state_takes_its_place() {
    let bench = Bench::working().await;
    put(&bench, JOB, 3, vec![row(1, 5), row(2, 6)]).await;
    assert_eq!(listed(&bench, &open(10)).await, [row(2, 6), row(1, 5)], "the newest first");
    put(&bench, JOB, 4, vec![closed(row(1, 5))]).await;
    assert!(listed(&bench, &open(10)).await.is_empty());
    let shut = Filter { is_closed: true, ..open(10) };
    assert_eq!(listed(&bench, &shut).await, [closed(row(1, 5))]);
    let elsewhere = list(&bench.store, OTHER_WORKSHOP, &shut).await.unwrap();
    assert!(elsewhere.defects.is_empty());
}

#[tokio::test]
async fn pages_follow_on_each_other_without_gap_or_repetition() {
    let bench = Bench::working().await;
    // Two at the same moment: the id tells them apart.
    let all = [(1, 5), (2, 5), (3, 6), (4, 7), (5, 8)].map(|(number, at)| row(number, at));
    put(&bench, JOB, 3, all.to_vec()).await;
    let mut seen = Vec::new();
    let mut filter = open(2);
    loop {
        let page = list(&bench.store, WORKSHOP, &filter).await.unwrap();
        seen.extend(page.defects.into_iter().map(|listed| listed.row));
        let Some(next) = page.next else { break };
        filter.before = Some(next.to_string().parse().unwrap());
    }
    let expected: Vec<DefectRow> = all.into_iter().rev().collect();
    assert_eq!(seen, expected);
}

#[tokio::test]
async fn a_defect_follows_its_jobs_technician_until_it_is_given_to_somebody() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, JOB, from_technician(vec![note(1, JOB)])).await.unwrap();
    put(&bench, JOB, 1, vec![row(1, 5), row(2, 6)]).await;
    assert_eq!(looks_after(&bench, 1).await, Some(TECHNICIAN));
    let given = Assignment { defect: row(1, 5).id, person: MANAGER, by: MANAGER, at: after(7) };
    assign(&bench.store, WORKSHOP, given).await.unwrap();
    jobs::assign(&bench.store, WORKSHOP, JOB, None, after(8)).await.unwrap();
    assert_eq!(looks_after(&bench, 1).await, Some(MANAGER));
    assert_eq!(looks_after(&bench, 2).await, None);
    // Derived anew, it still knows whom it was given to.
    put(&bench, JOB, 2, vec![]).await;
    put(&bench, JOB, 3, vec![row(1, 5)]).await;
    assert_eq!(looks_after(&bench, 1).await, Some(MANAGER));
    let filter = Filter { person: Some(MANAGER), ..open(10) };
    assert_eq!(listed(&bench, &filter).await.len(), 1);
    let other = Filter { kit: Some("dock-3".to_owned()), ..filter };
    assert!(listed(&bench, &other).await.is_empty());
}

#[tokio::test]
async fn a_defect_that_is_not_there_or_elsewhere_is_given_to_nobody() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, JOB, from_technician(vec![note(1, JOB)])).await.unwrap();
    put(&bench, JOB, 1, vec![row(1, 5)]).await;
    for (workshop, number) in [(WORKSHOP, 9), (OTHER_WORKSHOP, 1)] {
        let given =
            Assignment { defect: row(number, 5).id, person: MANAGER, by: MANAGER, at: after(7) };
        let refused = assign(&bench.store, workshop, given).await.unwrap_err();
        assert_eq!(refused.conflict(), Some(Conflict::NotThere));
    }
}

#[tokio::test]
async fn each_list_goes_through_its_own_index() {
    let bench = Bench::working().await;
    let mut intruder = bench.intruder().await;
    for (sql, index) in [
        (SQL_ALL, "defect_by_time"),
        (SQL_OF_KIT, "defect_by_kit"),
        (SQL_OF_PERSON, "defect_by_person"),
    ] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(plan[0].starts_with(&format!("SEARCH d USING INDEX {index} ")), "{plan:?}");
        let whole = plan.iter().any(|step| step.starts_with("SCAN") || step.contains("B-TREE"));
        assert!(!whole, "{plan:?}");
    }
}
