//! Customers.

use fusewright::domain::ids::CustomerId;
use fusewright::storage::Conflict;
use fusewright::storage::customers::{append, change, list, load};
use uuid::Uuid;

use super::fixture::{Bench, CUSTOMER, OTHER_WORKSHOP, WORKSHOP, customer};

const SECOND: CustomerId = CustomerId(Uuid::from_u128(0x31));

#[tokio::test]
async fn a_customer_comes_back_as_stored_and_only_in_their_workshop() {
    let bench = Bench::staffed().await;
    let there = load(&bench.store, WORKSHOP, CUSTOMER).await.unwrap();
    assert_eq!(there, Some(customer(CUSTOMER, "Lena Sommer")));
    assert_eq!(load(&bench.store, OTHER_WORKSHOP, CUSTOMER).await.unwrap(), None);
}

#[tokio::test]
async fn a_customer_is_not_stored_twice() {
    let bench = Bench::staffed().await;
    let refused = append(&bench.store, WORKSHOP, customer(CUSTOMER, "Somebody else")).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::AlreadyThere));
}

#[tokio::test]
async fn a_search_finds_part_of_a_name_in_any_case_beyond_ascii() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, customer(SECOND, "Øyvind 100%_Å")).await.unwrap();
    for (search, found) in
        [("", 2), ("øyv", 1), ("SOMMER", 1), ("%", 1), ("_Å", 1), ("\\", 0), ("  lena ", 1)]
    {
        let names = list(&bench.store, WORKSHOP, search).await.unwrap();
        assert_eq!(names.len(), found, "{search:?}");
    }
    assert!(list(&bench.store, OTHER_WORKSHOP, "").await.unwrap().is_empty());
}

#[tokio::test]
async fn a_changed_name_is_found_by_the_new_one_alone() {
    let bench = Bench::staffed().await;
    change(&bench.store, WORKSHOP, customer(CUSTOMER, "Lena Winter")).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP, "winter").await.unwrap().len(), 1);
    assert!(list(&bench.store, WORKSHOP, "sommer").await.unwrap().is_empty());
    let refused = change(&bench.store, OTHER_WORKSHOP, customer(CUSTOMER, "x")).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::NotThere));
}
