//! Workshops.

use fusewright::domain::number::Decimal;
use fusewright::storage::workshops::{append, change, list, load};
use fusewright::storage::{Conflict, workshops::Workshop};

use super::fixture::{Bench, OTHER_WORKSHOP, WORKSHOP, workshop};

#[tokio::test]
async fn a_workshop_comes_back_as_it_was_stored() {
    let bench = Bench::empty().await;
    append(&bench.store, &workshop(WORKSHOP, "HV")).await.unwrap();
    let there = load(&bench.store, WORKSHOP).await.unwrap().unwrap();
    assert_eq!(there, workshop(WORKSHOP, "HV"));
    // The limit keeps the digits it was typed with.
    assert_eq!(there.insulation_least_megohm.to_string(), "0.50");
    assert_eq!(load(&bench.store, OTHER_WORKSHOP).await.unwrap(), None);
    assert_eq!(list(&bench.store).await.unwrap(), [there]);
}

#[tokio::test]
async fn two_workshops_cannot_share_a_certificate_prefix() {
    let bench = Bench::empty().await;
    append(&bench.store, &workshop(WORKSHOP, "HV")).await.unwrap();
    let second = append(&bench.store, &workshop(OTHER_WORKSHOP, "HV")).await.unwrap_err();
    assert_eq!(second.conflict(), Some(Conflict::PrefixTaken));
    append(&bench.store, &workshop(OTHER_WORKSHOP, "HVX")).await.unwrap();
}

#[tokio::test]
async fn a_prefix_is_two_to_four_capitals() {
    let bench = Bench::empty().await;
    for wrong in ["H", "HVABC", "Hv", "H1", "H-", ""] {
        let refused = append(&bench.store, &workshop(WORKSHOP, wrong)).await.unwrap_err();
        assert_eq!(refused.conflict(), Some(Conflict::Rule), "{wrong}");
    }
    append(&bench.store, &workshop(WORKSHOP, "HVAB")).await.unwrap();
}

#[tokio::test]
async fn settings_change_but_the_prefix_stays() {
    let bench = Bench::empty().await;
    append(&bench.store, &workshop(WORKSHOP, "HV")).await.unwrap();
    let wanted = Workshop {
        name: "Harbour Electrics".to_owned(),
        one_person_release: true,
        insulation_least_megohm: Decimal::ONE,
        certificate_prefix: "ZZ".to_owned(),
        ..workshop(WORKSHOP, "HV")
    };
    change(&bench.store, &wanted).await.unwrap();
    let there = load(&bench.store, WORKSHOP).await.unwrap().unwrap();
    assert_eq!(there, Workshop { certificate_prefix: "HV".to_owned(), ..wanted });
}

#[tokio::test]
async fn a_workshop_that_is_not_there_cannot_be_changed() {
    let bench = Bench::empty().await;
    let refused = change(&bench.store, &workshop(WORKSHOP, "HV")).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
