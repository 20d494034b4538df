//! Photos in pieces, as files: whatever comes, the whole is what was sent or nothing is.

use std::fs;

use fusewright::domain::entry::Digest;
use fusewright::domain::ids::PersonId;
use fusewright::storage::Store;
use fusewright::storage::incoming::{
    KEPT_DAYS, PIECE_KIB_MAX, Piece, PieceRefused, Sender, Taken, UNFINISHED_MAX, append, received,
    remove, sweep,
};
use fusewright::storage::picture::UPLOAD_BYTES_MAX;
use proptest::prelude::*;

use super::fixture::{Bench, MORNING, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP};

const MINE: Sender = Sender { workshop: WORKSHOP, person: TECHNICIAN };
const ELSEWHERE: Sender = Sender { workshop: OTHER_WORKSHOP, ..MINE };

fn piece(of: &[u8], from: usize, to: usize) -> Piece {
    Piece {
        sha256: Digest::of(of),
        offset: from as u64,
        length: of.len() as u64,
        bytes: of[from..to].to_vec(),
        now: MORNING,
    }
}

async fn send(store: &Store, piece: Piece) -> Result<Taken, PieceRefused> {
    append(store, MINE, piece).await.unwrap()
}

async fn there(store: &Store, photo: &[u8]) -> u64 {
    received(store, MINE, &Digest::of(photo)).await.unwrap()
}

#[tokio::test]
async fn pieces_in_order_make_the_whole_and_the_last_one_is_never_written() {
    let bench = Bench::empty().await;
    let (store, photo) = (&bench.store, b"abcdefghij");
    assert_eq!(send(store, piece(photo, 0, 4)).await, Ok(Taken::Part(4)));
    assert_eq!(send(store, piece(photo, 4, 7)).await, Ok(Taken::Part(7)));
    assert_eq!(send(store, piece(photo, 7, 10)).await, Ok(Taken::Whole(photo.to_vec())));
    assert_eq!(there(store, photo).await, 7);
    remove(store, MINE, &Digest::of(photo)).await.unwrap();
    remove(store, MINE, &Digest::of(photo)).await.unwrap();
    assert_eq!(there(store, photo).await, 0);
    assert_eq!(received(store, ELSEWHERE, &Digest::of(photo)).await.unwrap(), 0);
}

#[tokio::test]
async fn a_piece_that_does_not_follow_on_is_told_what_is_there() {
    let bench = Bench::empty().await;
    let (store, photo) = (&bench.store, b"abcdefghij");
    let refused = |received| Err(PieceRefused::Offset { received });
    assert_eq!(send(store, piece(photo, 4, 7)).await, refused(0));
    assert_eq!(send(store, piece(photo, 0, 4)).await, Ok(Taken::Part(4)));
    for (from, to) in [(0, 4), (3, 7), (5, 7), (7, 10)] {
        assert_eq!(send(store, piece(photo, from, to)).await, refused(4));
    }
    assert_eq!(there(store, photo).await, 4);
}

#[tokio::test]
async fn what_has_come_is_there_after_a_restart() {
    let place = tempfile::TempDir::new().unwrap();
    let photo = b"abcdefghij";
    let store = Store::open(place.path()).await.unwrap();
    send(&store, piece(photo, 0, 4)).await.unwrap();
    store.close().await;
    let store = Store::open(place.path()).await.unwrap();
    sweep(&store, MORNING).await.unwrap();
    assert_eq!(there(&store, photo).await, 4);
    assert_eq!(send(&store, piece(photo, 4, 10)).await, Ok(Taken::Whole(photo.to_vec())));
}

#[tokio::test]
async fn sizes_are_taken_at_their_limits_and_not_beyond() {
    let bench = Bench::empty().await;
    let store = &bench.store;
    let largest = vec![7; PIECE_KIB_MAX * 1024 + 1];
    assert_eq!(send(store, piece(&largest, 0, largest.len())).await, Err(PieceRefused::Size));
    assert_eq!(send(store, piece(&largest, 0, 0)).await, Err(PieceRefused::Size));
    let rest = largest.len() - 1;
    assert_eq!(send(store, piece(&largest, 0, rest)).await, Ok(Taken::Part(rest as u64)));
    let long = |length| Piece { length, ..piece(b"long", 0, 4) };
    let most = UPLOAD_BYTES_MAX as u64;
    assert_eq!(send(store, long(most + 1)).await, Err(PieceRefused::TooLong));
    assert_eq!(send(store, long(3)).await, Err(PieceRefused::Beyond));
    let far = Piece { offset: u64::MAX, ..piece(b"long", 0, 4) };
    assert_eq!(send(store, far).await, Err(PieceRefused::Beyond));
    assert_eq!(send(store, long(most)).await, Ok(Taken::Part(4)));
}

#[tokio::test]
async fn so_many_are_half_sent_and_not_one_more() {
    let bench = Bench::empty().await;
    let store = &bench.store;
    let photo = |n: usize| format!("photo number {n}").into_bytes();
    for n in 0..UNFINISHED_MAX {
        assert_eq!(send(store, piece(&photo(n), 0, 4)).await, Ok(Taken::Part(4)));
    }
    let more = photo(UNFINISHED_MAX);
    assert_eq!(send(store, piece(&more, 0, 4)).await, Err(PieceRefused::TooMany));
    // Those that were begun go on, whole ones need no room, other people and workshops have their own.
    assert_eq!(send(store, piece(&photo(0), 4, 6)).await, Ok(Taken::Part(6)));
    let whole = send(store, piece(&more, 0, more.len())).await;
    assert_eq!(whole, Ok(Taken::Whole(more.clone())));
    for other in [Sender { person: PersonId(uuid::Uuid::from_u128(77)), ..MINE }, ELSEWHERE] {
        let taken = append(store, other, piece(&more, 0, 4)).await.unwrap();
        assert_eq!(taken, Ok(Taken::Part(4)));
    }
    remove(store, MINE, &Digest::of(&photo(3))).await.unwrap();
    assert_eq!(send(store, piece(&more, 0, 4)).await, Ok(Taken::Part(4)));
}

#[tokio::test]
async fn what_nobody_went_on_with_for_a_week_is_given_up() {
    let bench = Bench::empty().await;
    let store = &bench.store;
    send(store, piece(b"abcdefghij", 0, 4)).await.unwrap();
    let later = |photo: &[u8], now| Piece { now, ..piece(photo, 0, 4) };
    send(store, later(b"the other one", MORNING.plus_days(1))).await.unwrap();
    sweep(store, MORNING.plus_days(KEPT_DAYS)).await.unwrap();
    assert_eq!(there(store, b"abcdefghij").await, 4);
    let beyond = fusewright::domain::ids::Moment(MORNING.plus_days(KEPT_DAYS).0 + 1);
    sweep(store, beyond).await.unwrap();
    assert_eq!(there(store, b"abcdefghij").await, 0);
    assert_eq!(there(store, b"the other one").await, 4);
    // A new one makes room as well.
    send(store, later(b"a third photo", MORNING.plus_days(KEPT_DAYS + 2))).await.unwrap();
    assert_eq!(there(store, b"the other one").await, 0);
    assert_eq!(fs::read_dir(bench.path("incoming")).unwrap().count(), 1);
}

#[tokio::test]
async fn two_tabs_at_once_never_mix() {
    let bench = Bench::empty().await;
    let (store, photo) = (&bench.store, vec![3_u8; 64 * 1024]);
    for at in (0..photo.len() - 1024).step_by(1024) {
        let (one, two) = tokio::join!(
            send(store, piece(&photo, at, at + 1024)),
            send(store, piece(&photo, at, at + 1024)),
        );
        let end = (at + 1024) as u64;
        let refused = Err(PieceRefused::Offset { received: end });
        let expected = [Ok(Taken::Part(end)), refused];
        assert!([one.clone(), two.clone()] == expected || [two, one] == expected, "at {at}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the cuts, whatever comes twice or too early: going on from what the server says ends
    /// with the bytes that were sent.
    #[test]
    fn any_cuts_end_with_what_was_sent(
        photo in prop::collection::vec(any::<u8>(), 1..4_000),
        cuts in prop::collection::vec((1_usize..700, 0_u8..4), 1..200),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let bench = Bench::empty().await;
            let (store, mut whole) = (&bench.store, None);
            for (size, way) in cuts.iter().cycle() {
                let at = usize::try_from(there(store, &photo).await).unwrap();
                let to = (at + size).min(photo.len());
                let now = piece(&photo, at, to);
                // Too early, doubled, or as it should be.
                let wrong = at + 1;
                if *way == 0 && wrong < photo.len() {
                    let early = send(store, piece(&photo, wrong, photo.len().min(wrong + size)));
                    assert_eq!(early.await, Err(PieceRefused::Offset { received: at as u64 }));
                }
                match send(store, now.clone()).await.unwrap() {
                    Taken::Whole(bytes) => {
                        whole = Some(bytes);
                        break;
                    }
                    Taken::Part(received) => assert_eq!(received, to as u64),
                }
                if *way == 1 {
                    let doubled = send(store, now).await;
                    assert_eq!(doubled, Err(PieceRefused::Offset { received: to as u64 }));
                }
            }
            assert_eq!(whole.as_ref(), Some(&photo));
        });
    }
}
