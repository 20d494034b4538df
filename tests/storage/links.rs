//! Customer links: found by their secret's digest while they live, counted, revoked, bounded.

use fusewright::domain::ids::{JobId, LinkId, Moment};
use fusewright::storage::Conflict;
use fusewright::storage::links::{LIVE_MAX, NewLink, append, count_opening, find, list, revoke};
use uuid::Uuid;

use super::fixture::{Bench, JOB, MANAGER, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

fn new(number: u8, job: JobId) -> NewLink {
    NewLink {
        id: LinkId(Uuid::from_u128(number.into())),
        job,
        token_sha256: [number; 32],
        made_by: TECHNICIAN,
        made: after(0),
        expires: after(60),
    }
}

async fn with_links(count: u8) -> Bench {
    let bench = Bench::working().await;
    for number in 1..=count {
        append(&bench.store, WORKSHOP, new(number, JOB)).await.unwrap();
    }
    bench
}

#[tokio::test]
async fn a_link_lives_until_the_moment_it_expires() {
    let bench = with_links(1).await;
    let last = Moment(after(60).0 - 1);
    let found = find(&bench.store, [1; 32], last).await.unwrap().unwrap();
    assert_eq!((found.workshop, found.job, found.opened), (WORKSHOP, JOB, 0));
    assert_eq!(find(&bench.store, [1; 32], after(60)).await.unwrap(), None);
    assert_eq!(find(&bench.store, [2; 32], last).await.unwrap(), None);
}

#[tokio::test]
async fn openings_are_counted_while_it_lives_and_not_after() {
    let bench = with_links(1).await;
    assert!(count_opening(&bench.store, [1; 32], after(10)).await.unwrap());
    assert!(count_opening(&bench.store, [1; 32], after(20)).await.unwrap());
    assert!(!count_opening(&bench.store, [1; 32], after(60)).await.unwrap());
    assert!(!count_opening(&bench.store, [9; 32], after(20)).await.unwrap());
    let link = list(&bench.store, WORKSHOP, JOB).await.unwrap().remove(0);
    assert_eq!((link.opened, link.last_opened), (2, Some(after(20))));
}

#[tokio::test]
async fn a_revoked_link_is_found_by_nobody_and_keeps_its_first_revocation() {
    let bench = with_links(2).await;
    let id = LinkId(Uuid::from_u128(1));
    for (by, at) in [(TECHNICIAN, 10), (MANAGER, 20)] {
        assert!(revoke(&bench.store, (WORKSHOP, JOB), id, by, after(at)).await.unwrap());
    }
    assert_eq!(find(&bench.store, [1; 32], after(10)).await.unwrap(), None);
    assert!(!count_opening(&bench.store, [1; 32], after(10)).await.unwrap());
    assert!(find(&bench.store, [2; 32], after(10)).await.unwrap().is_some());
    let links = list(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!(links.iter().find(|link| link.id == id).unwrap().revoked, Some(after(10)));
}

#[tokio::test]
async fn a_link_is_revoked_only_from_its_own_job_and_workshop() {
    let bench = with_links(1).await;
    let id = LinkId(Uuid::from_u128(1));
    for of in [(WORKSHOP, OTHER_JOB), (OTHER_WORKSHOP, JOB)] {
        assert!(!revoke(&bench.store, of, id, MANAGER, after(1)).await.unwrap());
    }
    assert!(find(&bench.store, [1; 32], after(2)).await.unwrap().is_some());
    assert_eq!(list(&bench.store, OTHER_WORKSHOP, JOB).await.unwrap(), []);
}

#[tokio::test]
async fn a_job_has_room_for_so_many_live_links_and_an_ended_one_makes_room() {
    let most = u8::try_from(LIVE_MAX).unwrap();
    let bench = with_links(most).await;
    let refused = append(&bench.store, WORKSHOP, new(most + 1, JOB)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::LinksFull));
    let id = LinkId(Uuid::from_u128(3));
    revoke(&bench.store, (WORKSHOP, JOB), id, MANAGER, after(1)).await.unwrap();
    append(&bench.store, WORKSHOP, new(most + 1, JOB)).await.unwrap();
    let later = NewLink { made: after(60), expires: after(90), ..new(most + 2, JOB) };
    append(&bench.store, WORKSHOP, later).await.unwrap();
}
