//! Devices.

use fusewright::domain::ids::DeviceId;
use fusewright::storage::Conflict;
use fusewright::storage::devices::{Device, append, list, load};
use uuid::Uuid;

use super::fixture::{Bench, DEVICE, OTHER_WORKSHOP, WORKSHOP, after, device};

#[tokio::test]
async fn a_device_keeps_what_it_was_first_seen_with() {
    let bench = Bench::staffed().await;
    let later = Device { id: DEVICE, first_seen: after(60), label: "Renamed".to_owned() };
    append(&bench.store, WORKSHOP, later).await.unwrap();
    assert_eq!(load(&bench.store, WORKSHOP, DEVICE).await.unwrap(), Some(device(DEVICE)));
    assert_eq!(load(&bench.store, OTHER_WORKSHOP, DEVICE).await.unwrap(), None);
}

#[tokio::test]
async fn devices_are_listed_in_the_order_they_came() {
    let bench = Bench::staffed().await;
    let second = Device {
        id: DeviceId(Uuid::from_u128(0x01)),
        first_seen: after(3),
        label: "Desk".to_owned(),
    };
    append(&bench.store, WORKSHOP, second.clone()).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap(), [device(DEVICE), second]);
}

#[tokio::test]
async fn a_device_of_no_workshop_is_refused() {
    let bench = Bench::staffed().await;
    let refused = append(&bench.store, OTHER_WORKSHOP, device(DEVICE)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
