//! Drafts of kits: one for each person and edition, the newest text counts, and their number has an end.

use fusewright::domain::ids::KitId;
use fusewright::storage::kit_drafts::{DRAFTS_MAX, DraftKey, KitDraft, find, keep, remove};
use uuid::Uuid;

use super::fixture::{Bench, KIT, MANAGER, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

const OF_KIT: DraftKey = (WORKSHOP, MANAGER, Some(KIT));

fn draft(text: &str, minutes: i64) -> KitDraft {
    KitDraft { text: text.to_owned(), kept: after(minutes) }
}

#[tokio::test]
async fn a_draft_is_its_writers_alone_and_the_newest_text_counts() {
    let bench = Bench::staffed().await;
    let store = &bench.store;
    assert_eq!(find(store, OF_KIT).await.unwrap(), None);
    keep(store, OF_KIT, draft("one", 1)).await.unwrap();
    keep(store, OF_KIT, draft("two", 2)).await.unwrap();
    assert_eq!(find(store, OF_KIT).await.unwrap(), Some(draft("two", 2)));
    for other in [
        (WORKSHOP, MANAGER, None),
        (WORKSHOP, TECHNICIAN, Some(KIT)),
        (OTHER_WORKSHOP, MANAGER, Some(KIT)),
    ] {
        assert_eq!(find(store, other).await.unwrap(), None);
        remove(store, other).await.unwrap();
    }
    remove(store, OF_KIT).await.unwrap();
    assert_eq!(find(store, OF_KIT).await.unwrap(), None);
}

#[tokio::test]
async fn of_more_drafts_than_one_may_have_the_one_touched_longest_ago_makes_room() {
    let bench = Bench::staffed().await;
    let key = |number: u32| (WORKSHOP, MANAGER, Some(KitId(Uuid::from_u128(number.into()))));
    for number in 1..=DRAFTS_MAX {
        keep(&bench.store, key(number), draft("kit", number.into())).await.unwrap();
    }
    assert!(find(&bench.store, key(1)).await.unwrap().is_some());
    keep(&bench.store, key(1), draft("touched", 900)).await.unwrap();
    keep(&bench.store, key(DRAFTS_MAX + 1), draft("kit", 901)).await.unwrap();
    assert!(find(&bench.store, key(1)).await.unwrap().is_some());
    assert!(find(&bench.store, key(2)).await.unwrap().is_none());
}
