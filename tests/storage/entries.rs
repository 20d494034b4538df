//! Entries and their chain.

use fusewright::domain::entry::{BODY_BYTES_MAX, JOB_ENTRIES_MAX};
use fusewright::domain::ids::{DeviceId, EntryId};
use fusewright::domain::seal::job_genesis;
use fusewright::storage::entries::{
    AppendRefused, Appended, Head, NewEntries, append, find, head, list, raw_list,
};
use fusewright::storage::{Conflict, StorageError};
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{
    Bench, JOB, MANAGER, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after, from_technician,
    note, note_saying,
};

type Answers = Vec<Result<Appended, AppendRefused>>;

async fn send(bench: &Bench, new: NewEntries) -> Answers {
    append(&bench.store, WORKSHOP, JOB, new).await.unwrap()
}

fn sequence(answers: &Answers) -> Vec<u64> {
    answers.iter().map(|answer| answer.as_ref().unwrap().seq).collect()
}

#[tokio::test]
async fn entries_come_back_in_order_with_what_the_server_added() {
    let bench = Bench::working().await;
    let answers = send(&bench, from_technician(vec![note(1, JOB), note(2, JOB)])).await;
    assert_eq!(sequence(&answers), [0, 1]);
    let entries = list(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!(entries[0].body, note(1, JOB).body);
    assert_eq!((entries[1].person, entries[1].received), (TECHNICIAN, after(2)));
    assert_eq!(entries[1].hash, answers[1].as_ref().unwrap().hash);
    let end = Head { count: 2, hash: entries[1].hash };
    assert_eq!(head(&bench.store, WORKSHOP, JOB).await.unwrap(), end);
}

#[tokio::test]
async fn a_job_without_entries_stands_at_its_genesis() {
    let bench = Bench::working().await;
    let start = Head { count: 0, hash: job_genesis(JOB, WORKSHOP) };
    assert_eq!(head(&bench.store, WORKSHOP, JOB).await.unwrap(), start);
    assert!(list(&bench.store, WORKSHOP, JOB).await.unwrap().is_empty());
}

#[tokio::test]
async fn the_bytes_stay_as_the_device_wrote_them() {
    let bench = Bench::working().await;
    let mut new = note(1, JOB);
    // The same content in other bytes: a space that this program would not write.
    new.bytes.insert(1, b' ');
    let written = new.bytes.clone();
    send(&bench, from_technician(vec![new])).await;
    let raw = raw_list(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!(raw[0].body, written);
    assert_eq!((raw[0].salt, raw[0].kind.as_str()), ([7; 16], "note"));
    assert_eq!((raw[0].step.as_str(), raw[0].recorded), ("before.condition", after(1)));
    assert_eq!(raw[0].prev, job_genesis(JOB, WORKSHOP));
}

#[tokio::test]
async fn an_entry_sent_twice_is_stored_once_and_answered_alike() {
    let bench = Bench::working().await;
    let first = send(&bench, from_technician(vec![note(1, JOB)])).await;
    send(&bench, from_technician(vec![note(2, JOB)])).await;
    let mut again = from_technician(vec![note(1, JOB)]);
    again.received = after(30);
    again.entries[0].salt = [9; 16];
    let again = send(&bench, again).await;
    let first = *first[0].as_ref().unwrap();
    assert_eq!(again, [Ok(Appended { already: true, ..first })]);
    assert_eq!(head(&bench.store, WORKSHOP, JOB).await.unwrap().count, 2);
}

#[tokio::test]
async fn an_id_is_not_taken_for_other_content_another_job_or_another_person() {
    let bench = Bench::working().await;
    send(&bench, from_technician(vec![note(1, JOB)])).await;
    let other_text = from_technician(vec![note_saying(1, JOB, "something else")]);
    assert_eq!(send(&bench, other_text).await, [Err(AppendRefused::IdReused)]);
    let other_job = from_technician(vec![note(1, OTHER_JOB)]);
    let answers = append(&bench.store, WORKSHOP, OTHER_JOB, other_job).await.unwrap();
    assert_eq!(answers, [Err(AppendRefused::IdReused)]);
    let mut other_person = from_technician(vec![note(1, JOB)]);
    other_person.person = MANAGER;
    assert_eq!(send(&bench, other_person).await, [Err(AppendRefused::IdReused)]);
    assert_eq!(head(&bench.store, WORKSHOP, JOB).await.unwrap().count, 1);
}

#[tokio::test]
async fn a_refused_entry_does_not_hold_up_those_around_it() {
    let bench = Bench::working().await;
    send(&bench, from_technician(vec![note(1, JOB)])).await;
    let reused = note_saying(1, JOB, "other words");
    let batch = vec![note(2, JOB), reused, note(3, OTHER_JOB), note(4, JOB)];
    let answers = send(&bench, from_technician(batch)).await;
    assert_eq!(answers[0].as_ref().unwrap().seq, 1);
    assert_eq!(answers[1], Err(AppendRefused::IdReused));
    assert_eq!(answers[2], Err(AppendRefused::OtherJob));
    assert_eq!(answers[3].as_ref().unwrap().seq, 2);
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap().len(), 3);
}

#[tokio::test]
async fn a_decision_made_on_an_older_state_is_refused_whole() {
    let bench = Bench::working().await;
    send(&bench, from_technician(vec![note(1, JOB)])).await;
    let mut late = from_technician(vec![note(2, JOB), note(3, JOB)]);
    late.expect_count = Some(0);
    let moved = Err(AppendRefused::HeadMoved { count: 1 });
    assert_eq!(send(&bench, late.clone()).await, [moved.clone(), moved]);
    late.expect_count = Some(1);
    assert_eq!(sequence(&send(&bench, late.clone()).await), [1, 2]);
    // Sent again because the answer was lost: recorded, whatever came since.
    assert_eq!(sequence(&send(&bench, late).await), [1, 2]);
}

#[tokio::test]
async fn an_unknown_job_or_another_workshops_is_refused() {
    let bench = Bench::working().await;
    let new = from_technician(vec![note(1, JOB)]);
    let answers = append(&bench.store, OTHER_WORKSHOP, JOB, new).await.unwrap();
    assert_eq!(answers, [Err(AppendRefused::NoSuchJob)]);
}

#[tokio::test]
async fn an_unknown_device_is_refused() {
    let bench = Bench::working().await;
    let mut new = from_technician(vec![note(1, JOB)]);
    new.device = DeviceId(Uuid::from_u128(0x999));
    let refused = append(&bench.store, WORKSHOP, JOB, new).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn a_body_may_have_its_longest_length_and_not_a_byte_more() {
    let bench = Bench::working().await;
    let mut longest = note(1, JOB);
    longest.bytes.resize(BODY_BYTES_MAX, b' ');
    let mut longer = note(2, JOB);
    longer.bytes.resize(BODY_BYTES_MAX + 1, b' ');
    let answers = send(&bench, from_technician(vec![longest, longer])).await;
    assert_eq!(answers[0].as_ref().unwrap().seq, 0);
    assert_eq!(answers[1], Err(AppendRefused::TooLong));
}

#[tokio::test]
async fn a_job_is_full_at_its_limit() {
    let bench = Bench::working().await;
    let notes = |from: u64, to: u64| (from..to).map(|n| note(n.into(), JOB)).collect();
    send(&bench, from_technician(notes(0, JOB_ENTRIES_MAX - 1))).await;
    let answers =
        send(&bench, from_technician(notes(JOB_ENTRIES_MAX - 1, JOB_ENTRIES_MAX + 1))).await;
    assert_eq!(answers[0].as_ref().unwrap().seq, JOB_ENTRIES_MAX - 1);
    assert_eq!(answers[1], Err(AppendRefused::JobFull));
    // What is there already is still answered.
    let again = send(&bench, from_technician(notes(5, 6))).await;
    assert!(again[0].as_ref().unwrap().already);
}

#[tokio::test]
async fn an_entry_is_found_by_its_id_in_its_own_workshop() {
    let bench = Bench::working().await;
    send(&bench, from_technician(vec![note(1, JOB), note(2, JOB)])).await;
    let id = note(2, JOB).body.id;
    assert_eq!(find(&bench.store, WORKSHOP, id).await.unwrap(), Some((JOB, 1)));
    assert_eq!(find(&bench.store, OTHER_WORKSHOP, id).await.unwrap(), None);
    let unknown = EntryId(Uuid::from_u128(1));
    assert_eq!(find(&bench.store, WORKSHOP, unknown).await.unwrap(), None);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn sixteen_senders_with_one_entry_in_common_make_one_whole_chain() {
    let bench = Bench::working().await;
    let mut sending = JoinSet::new();
    for sender in 0..16_u128 {
        let store = bench.store.clone();
        sending.spawn(async move {
            let mut new_ones = 0;
            for number in 0..20_u128 {
                let id = if number == 10 { 0 } else { 1 + sender * 100 + number };
                let new = from_technician(vec![note(id, JOB)]);
                let answers = append(&store, WORKSHOP, JOB, new).await.unwrap();
                new_ones += usize::from(!answers[0].as_ref().unwrap().already);
            }
            new_ones
        });
    }
    let new_ones: usize = sending.join_all().await.into_iter().sum();
    // 16 × 20, of which one entry came sixteen times: 320 − 15.
    assert_eq!(new_ones, 305);
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap().len(), 305);
}

#[tokio::test]
async fn acknowledged_entries_are_there_after_a_restart() {
    let bench = Bench::working().await;
    send(&bench, from_technician((0..10).map(|n| note(n, JOB)).collect())).await;
    let before = list(&bench.store, WORKSHOP, JOB).await.unwrap();
    let bench = bench.restarted().await;
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), before);
    assert_eq!(sequence(&send(&bench, from_technician(vec![note(10, JOB)])).await), [10]);
}

#[tokio::test]
async fn a_changed_entry_breaks_the_chain_when_it_is_read() {
    let bench = Bench::working().await;
    send(&bench, from_technician((0..3).map(|n| note(n, JOB)).collect())).await;
    bench
        .tamper(&[
            "drop trigger entry_is_not_changed",
            "update entry set body = cast(replace(cast(body as text), 'note 1', 'note 9') as blob) \
             where seq = 1",
        ])
        .await;
    let broken = list(&bench.store, WORKSHOP, JOB).await.unwrap_err();
    assert!(matches!(broken, StorageError::ChainBroken { job: JOB, seq: 1, .. }), "{broken}");
}

#[tokio::test]
async fn nothing_is_put_on_top_of_a_changed_end() {
    let bench = Bench::working().await;
    send(&bench, from_technician((0..3).map(|n| note(n, JOB)).collect())).await;
    bench
        .tamper(&[
            "drop trigger entry_is_not_changed",
            "update entry set received_ms = 1 where seq = 2",
        ])
        .await;
    let new = from_technician(vec![note(3, JOB)]);
    let broken = append(&bench.store, WORKSHOP, JOB, new).await.unwrap_err();
    assert!(matches!(broken, StorageError::ChainBroken { job: JOB, seq: 2, .. }), "{broken}");
    // Another job is none the worse.
    let new = from_technician(vec![note(4, OTHER_JOB)]);
    append(&bench.store, WORKSHOP, OTHER_JOB, new).await.unwrap()[0].as_ref().unwrap();
}
