//! Certificates with a time stamp: made with one or not at all.

use std::sync::Arc;
use std::time::Duration;

use fusewright::acts::certificate::{Sealer, issue};
use fusewright::acts::time_stamps::StampAuthority;
use fusewright::documents::sign::SealKey;
use fusewright::documents::verify::check_certificate;
use fusewright::storage::Store;
use fusewright::storage::certificates::{list, pdf, register_list};

use super::demo::copy_of_the_demo;
use super::program::{ask, text};
use super::seal_renew::without_certificate;
use crate::support::{Stamps, Temper};

/// What an authority may do, and what is said of it.
const BAD: [(Temper, &str); 10] = [
    (Temper::OtherNonce, "answers another question"),
    (Temper::OtherImprint, "is of something else"),
    (Temper::Rejecting, "it refused (status 2"),
    (Temper::Flooding, "is larger than 16384 bytes"),
    (Temper::Silent, "did not answer within"),
    (Temper::Closing, "cannot be reached"),
    (Temper::Lost, "it answered 404"),
    (Temper::Talking, "and no time stamp"),
    (Temper::Unfit, "not meant for time stamps"),
    (Temper::Broken, "signature of its time stamp does not hold"),
];

#[tokio::test]
async fn where_no_stamp_can_be_had_the_release_stands_and_the_certificate_waits() {
    let place = copy_of_the_demo();
    let store = Store::open(place.path()).await.unwrap();
    let (job, by) = without_certificate(&store).await;
    let workshop = by.workshop();
    let read = |name: &str| std::fs::read_to_string(place.path().join("keys").join(name)).unwrap();
    let key = SealKey::from_pem(&read("seal.key.pem"), &read("seal.cert.pem")).unwrap();
    let stamps = Stamps::start("EC -pkeyopt ec_paramgen_curve:P-256");
    let authority = StampAuthority::at(&stamps.address).unwrap();
    let sealer = Sealer { key: Arc::new(key), stamps: Some(authority.clone()) };
    let hasty = Some(authority.answering_within(Duration::from_millis(200)));
    let hasty = Sealer { stamps: hasty, ..sealer.clone() };
    let before = list(&store, workshop, job).await.unwrap();
    let lines = register_list(&store, workshop).await.unwrap();
    for (temper, words) in BAD {
        stamps.is(temper);
        let sealer = if temper == Temper::Silent { &hasty } else { &sealer };
        let said = issue(&store, sealer, "http://x", &by, job).await.unwrap_err().to_string();
        assert!(said.contains(words), "{temper:?}: {said}");
        assert!(said.contains("The release stands. Ask for the certificate again"), "{said}");
        assert_eq!(list(&store, workshop, job).await.unwrap(), before, "{temper:?}");
        assert_eq!(register_list(&store, workshop).await.unwrap(), lines, "{temper:?}");
    }
    stamps.is(Temper::Good);
    let row = issue(&store, &sealer, "http://x", &by, job).await.unwrap();
    let bytes = pdf(&store, &row).await.unwrap();
    let stamp = check_certificate(&bytes).unwrap().seal.stamp.unwrap();
    store.close().await;
    let file = place.path().join("certificates").join(format!("{}.pdf", row.number));
    let said = ask(&["verify", text(&file)]);
    assert!(said.out.contains(&format!("Time stamp    {} by CN=", stamp.when())), "{said:?}");
}

#[test]
fn a_paper_without_a_stamp_says_whose_clock_it_has() {
    let place = copy_of_the_demo();
    let file = std::fs::read_dir(place.path().join("certificates")).unwrap().next().unwrap();
    let said = ask(&["verify", text(&file.unwrap().path())]);
    assert!(said.out.contains("none: the time is that of the workshop's clock"), "{said:?}");
}

#[test]
fn an_address_that_is_none_is_refused_before_anything_is_made() {
    for address in
        ["https://stamps.example/tsa", "ftp://x", "stamps.example", "http://", "http://a@b/"]
    {
        let place = tempfile::TempDir::new().unwrap();
        let serve = ["serve", "--data", text(place.path()), "--listen", "127.0.0.1:0"];
        let said = ask(&[&serve[..], &["--time-stamp", address]].concat());
        said.refused(1, "Name one like http://stamps.example/tsa");
        assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0);
    }
    assert!(StampAuthority::at("http://stamps.example").is_ok());
    assert!(StampAuthority::at("http://[::1]:318/tsa").is_ok());
}
