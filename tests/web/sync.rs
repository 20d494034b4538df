//! `POST /sync`: what a phone sends after a day without signal, and what it is told.

use fusewright::acts::job::{JobFile, load};
use fusewright::domain::entry::{BODY_VERSION, Body, Digest, JOB_ENTRIES_MAX, Payload, Signature};
use fusewright::domain::ids::{EntryId, JobId};
use fusewright::domain::job::Flag;
use fusewright::storage::{entries, instruments};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;

use super::upload::jpeg;
use crate::domain::cast::{METER, dec, exact_instrument, good, small_wrench};
use crate::support::{Client, MANAGER, Reply, TECHNICIAN, TestApp, WORKSHOP, send};

const RESTED: &str = "before.battery_rested";
const LAMPS: &str = "before.lamps";
const RECORDED_JOB: JobId = JobId(Uuid::from_u128(0x0199_c2f0_0000_7000_8000_0000_0000_00c0));

/// A technician's phone with a job that has a sheet.
pub(super) struct Phone {
    pub(super) app: TestApp,
    pub(super) client: Client,
    pub(super) job: JobId,
}

impl Phone {
    pub(super) async fn new() -> Self {
        let app = TestApp::start().await;
        let job = app.job_with_sheet().await.row.id;
        Self::at(app, job).await
    }

    async fn at(app: TestApp, job: JobId) -> Self {
        for instrument in [exact_instrument(), small_wrench()] {
            instruments::append(&app.store, WORKSHOP, instrument, app.now()).await.unwrap();
        }
        let client = app.technician().await;
        Self { app, client, job }
    }

    fn body(&self, id: u128, step: &str, payload: Payload) -> Body {
        Body {
            v: BODY_VERSION,
            id: EntryId(Uuid::from_u128(id)),
            job: self.job,
            sheet: 1,
            step: step.to_owned(),
            at: self.app.now().rfc3339(),
            supersedes: Vec::new(),
            improbable: false,
            payload,
        }
    }

    pub(super) fn text(&self, id: u128, step: &str, payload: Payload) -> String {
        String::from_utf8(self.body(id, step, payload).write().unwrap()).unwrap()
    }

    pub(super) fn note(&self, id: u128) -> String {
        self.text(id, LAMPS, Payload::Remark { text: format!("remark {id}"), photos: vec![] })
    }

    pub(super) fn volts(&self, id: u128, value: &str) -> String {
        self.text(id, RESTED, Payload::Reading { value: dec(value), instrument: METER })
    }

    pub(super) fn submit(&self, id: u128) -> String {
        let signature = Signature { name: "Tove Lind".to_owned(), strokes: String::new() };
        self.text(id, "", Payload::Submit { signature })
    }

    async fn post(&self, body: impl Into<String>) -> Reply {
        post(&self.client, body.into()).await
    }

    /// Answers, row by row, of a batch that is taken.
    pub(super) async fn send(&self, entries: &[String]) -> Vec<Value> {
        let reply = self.post(json!({ "job": self.job, "entries": entries }).to_string()).await;
        rows(&reply)
    }

    pub(super) async fn file(&self) -> JobFile {
        load(&self.app.store, WORKSHOP, self.job).await.unwrap()
    }
}

async fn post(client: &Client, body: String) -> Reply {
    let request = client.request(Method::POST, "/sync").header("sec-fetch-site", "same-origin");
    send(request.header("content-type", "application/json").body(body)).await
}

#[track_caller]
fn rows(reply: &Reply) -> Vec<Value> {
    let answer: Value = serde_json::from_slice(&reply.has_status(200).bytes).unwrap();
    answer["answers"].as_array().unwrap().clone()
}

pub(super) fn states(rows: &[Value]) -> Vec<&str> {
    rows.iter().map(|row| row["state"].as_str().unwrap()).collect()
}

fn problem(reply: &Reply) -> Value {
    assert_eq!(reply.header("content-type"), "application/problem+json", "{}", reply.text);
    serde_json::from_slice(&reply.bytes).unwrap()
}

#[tokio::test]
async fn a_result_is_answered_with_its_verdict_and_the_newest_sheet() {
    let phone = Phone::new().await;
    let entries = [phone.volts(1, "12.6"), phone.volts(2, "11.0"), phone.note(3)];
    let reply = phone.post(json!({ "job": phone.job, "entries": entries }).to_string()).await;
    let answer: Value = serde_json::from_slice(&reply.has_status(200).bytes).unwrap();
    let rows = answer["answers"].as_array().unwrap();
    assert_eq!(states(rows), ["recorded", "recorded", "recorded"]);
    assert_eq!(rows[0]["verdict"]["kind"], "pass");
    assert_eq!(rows[0]["verdict"]["word"], "Pass");
    assert!(rows[0]["verdict"]["sentence"].as_str().unwrap().ends_with('.'));
    assert_eq!(rows[1]["verdict"]["kind"], "fail");
    assert_eq!(rows[2].get("verdict"), None, "a remark is no result");
    let file = phone.file().await;
    assert_eq!(answer["sheet"], 1);
    assert_eq!(answer["count"], file.state.entry_count);
    assert_eq!(rows[2]["hash"], answer["head"]);
}

#[tokio::test]
async fn a_result_that_is_kept_and_not_counted_says_why() {
    let phone = Phone::new().await;
    let other = phone.text(1, RESTED, Payload::Confirm {});
    let gone = phone.text(2, "before.no_such_step", Payload::Confirm {});
    let rows = phone.send(&[other, gone]).await;
    assert_eq!(states(&rows), ["recorded", "recorded"]);
    for (row, words) in rows.iter().zip(["the step wants reading", "has no such step any more"]) {
        assert_eq!(row["verdict"]["kind"], "uncounted");
        assert_eq!(row["verdict"]["word"], "Not counted");
        assert!(row["verdict"]["sentence"].as_str().unwrap().contains(words), "{row}");
    }
}

#[tokio::test]
async fn the_same_batch_again_is_answered_as_already_there() {
    let phone = Phone::new().await;
    let entries = [phone.volts(1, "12.6"), phone.note(2)];
    let first = phone.send(&entries).await;
    let again = phone.send(&entries).await;
    assert_eq!(states(&again), ["already", "already"]);
    for (first, again) in first.iter().zip(&again) {
        assert_eq!((&first["seq"], &first["hash"]), (&again["seq"], &again["hash"]));
        assert_eq!(first["verdict"], again["verdict"]);
    }
}

#[tokio::test]
async fn a_refused_entry_keeps_nobody_out() {
    let phone = Phone::new().await;
    let elsewhere = JobId(Uuid::from_u128(9));
    let stranger = Body { job: elsewhere, ..phone.body(2, LAMPS, Payload::Confirm {}) };
    let stranger = String::from_utf8(stranger.write().unwrap()).unwrap();
    let note = |id, text: &str| phone.text(id, LAMPS, Payload::Note { text: text.to_owned() });
    let decision = phone.text(3, LAMPS, Payload::Concession { reason: "fine".to_owned() });
    let huge = format!("{}{}", phone.note(6), " ".repeat(16 * 1024));
    let doubled = phone.note(7).replacen("\"v\":1", "\"v\":1,\"v\":1", 1);
    let sent = [
        (phone.note(1), "recorded", ""),
        (stranger, "refused", "another job"),
        (decision, "refused", "review page"),
        (phone.note(4), "recorded", ""),
        (phone.note(4), "already", ""),
        (note(4, "other words"), "refused", "says something else"),
        (note(5, &"a".repeat(2_001)), "refused", "longer than 2000"),
        (huge, "refused", "at most 16384"),
        (doubled, "refused", "duplicate field"),
        ("{".to_owned(), "refused", "cannot be read"),
        (String::new(), "refused", "cannot be read"),
        (phone.note(8), "recorded", ""),
    ];
    let texts: Vec<String> = sent.iter().map(|(text, _, _)| text.clone()).collect();
    let rows = phone.send(&texts).await;
    for (row, (_, state, words)) in rows.iter().zip(&sent) {
        assert_eq!(row["state"], *state, "{row}");
        assert!(row["reason"].as_str().unwrap_or_default().contains(words), "{row}");
    }
    let sequence = [0, 3, 11].map(|row| rows[row]["seq"].as_u64().unwrap());
    assert_eq!(sequence, [sequence[0], sequence[0] + 1, sequence[0] + 2]);
}

#[tokio::test]
async fn what_is_no_text_at_all_is_a_refused_row_among_good_ones() {
    let phone = Phone::new().await;
    let good = Value::from(phone.note(1)).to_string();
    let rows = [
        "7",
        "null",
        "[\"a\"]",
        "{\"v\":1,\"v\":2}",
        "\"\\ud800\"",
        "\"\\udc00\\ud800 x\"",
        "true",
    ];
    let body = format!("{{\"job\":\"{}\",\"entries\":[{good},{}]}}", phone.job, rows.join(","));
    let answers = self::rows(&phone.post(body).await);
    assert_eq!(states(&answers)[0], "recorded");
    assert!(states(&answers)[1..].iter().all(|state| *state == "refused"), "{answers:?}");
    assert_eq!(answers.len(), rows.len() + 1);
}

#[tokio::test]
async fn a_batch_that_cannot_be_read_is_a_problem_that_says_what_to_do() {
    let phone = Phone::new().await;
    let job = phone.job;
    let twice = format!("{{\"job\":\"{job}\",\"job\":\"{job}\",\"entries\":[]}}");
    for body in [
        "",
        "{",
        "nonsense",
        "[]",
        "{}",
        "{\"job\":7,\"entries\":[]}",
        "{\"job\":\"x\",\"entries\":[]}",
        &format!("{{\"job\":\"{job}\"}}"),
        &format!("{{\"job\":\"{job}\",\"entries\":7}}"),
        &twice,
        &format!("{{\"job\":\"{job}\",\"clock\":\"noon\",\"entries\":[]}}"),
        &format!("{{\"job\":\"{job}\",\"waiting\":-1,\"entries\":[]}}"),
        &format!("{{\"job\":\"{job}\",\"entries\":[]}} trailing"),
    ] {
        let reply = phone.post(body).await;
        reply.has_status(422).says("stays on this phone");
        assert_eq!(problem(&reply)["type"], "rule");
    }
    for kind in ["text/plain", "application/x-www-form-urlencoded", "", "application/jsonx"] {
        let request = phone.client.request(Method::POST, "/sync");
        let request = request.header("sec-fetch-site", "same-origin").header("content-type", kind);
        problem(send(request.body("{}")).await.has_status(415).says("application/json"));
    }
    let bytes = [b"{\"job\":\"".as_slice(), b"\xff\xfe", b"\",\"entries\":[]}"].concat();
    let request = phone.client.request(Method::POST, "/sync").body(bytes);
    let request = request.header("sec-fetch-site", "same-origin");
    problem(send(request.header("content-type", "application/json")).await.has_status(422));
}

#[tokio::test]
async fn sixty_four_entries_are_taken_and_not_one_more() {
    let phone = Phone::new().await;
    let entries: Vec<String> = (0..65).map(|id| phone.note(100 + id)).collect();
    let reply = phone.post(json!({ "job": phone.job, "entries": entries }).to_string()).await;
    problem(reply.has_status(413).says("at most 64 entries"));
    // As many nothings as one request can hold are counted and not kept.
    let nothings =
        format!("{{\"job\":\"{}\",\"entries\":[0{}]}}", phone.job, ",0".repeat(4_000_000));
    problem(phone.post(nothings).await.has_status(413).says("at most 64 entries"));
    assert_eq!(phone.send(&entries[..64]).await.len(), 64);
    assert!(phone.send(&[]).await.is_empty());
}

#[tokio::test]
async fn a_job_that_is_not_here_or_not_ours_is_a_problem_and_nothing_is_kept() {
    let phone = Phone::new().await;
    let elsewhere = json!({ "job": Uuid::from_u128(77), "entries": [phone.note(1)] }).to_string();
    problem(phone.post(elsewhere).await.has_status(404));
    let stranger = phone.app.stranger().await;
    let theirs = json!({ "job": phone.job, "entries": [phone.note(1)] }).to_string();
    problem(post(&stranger, theirs).await.has_status(404));
    let there = entries::find(&phone.app.store, WORKSHOP, EntryId(Uuid::from_u128(1))).await;
    assert_eq!(there.unwrap(), None);
}

#[tokio::test]
async fn entries_go_out_under_the_name_of_whoever_made_them() {
    let phone = Phone::new().await;
    for (person, status) in [
        (TECHNICIAN.to_string(), 200),
        (MANAGER.to_string(), 409),
        ("nobody".to_owned(), 409),
        (String::new(), 409),
    ] {
        let request = phone.client.request(Method::POST, "/sync").header("x-expect-person", person);
        let request = request.header("sec-fetch-site", "same-origin");
        let body = json!({ "job": phone.job, "entries": [] }).to_string();
        let reply = send(request.header("content-type", "application/json").body(body)).await;
        reply.has_status(status);
    }
}

#[tokio::test]
async fn an_entry_whose_photo_has_not_arrived_waits_and_is_taken_once_it_has() {
    let phone = Phone::new().await;
    let photo = jpeg(9);
    let named = Payload::Photo { photos: vec![Digest::of(&photo)] };
    let entries = [phone.note(1), phone.text(2, "before.condition", named), phone.submit(3)];
    let rows = phone.send(&entries).await;
    assert_eq!(states(&rows), ["recorded", "waits", "waits"]);
    assert_eq!(rows[1]["reason"], "Its photo has not arrived.");
    assert!(rows[1].get("seq").is_none());
    let path = format!("/photos/{}/upload", Digest::of(&photo));
    let request = phone.client.request(Method::POST, &path).header("upload-offset", 0);
    let request = request.header("upload-length", photo.len()).body(photo.clone());
    let request = request.header("sec-fetch-site", "same-origin");
    send(request.header("content-type", "application/octet-stream")).await.has_status(200);
    let rows = phone.send(&entries).await;
    // Nothing waits any more, so the submit is told what is still due.
    assert_eq!(states(&rows), ["already", "recorded", "refused"]);
    assert_eq!(rows[1]["verdict"]["word"], "Done");
}

#[tokio::test]
async fn a_submit_stands_on_what_came_before_it_in_the_same_batch() {
    let phone = Phone::new().await;
    let photo = jpeg(8);
    let digest = Digest::of(&photo);
    let request = phone.client.request(Method::POST, &format!("/photos/{digest}/upload"));
    let request = request.header("upload-offset", 0).header("upload-length", photo.len());
    let request = request.header("sec-fetch-site", "same-origin").body(photo);
    send(request.header("content-type", "application/octet-stream")).await.has_status(200);
    let steps = phone.file().await.state.steps;
    let mut entries: Vec<String> = (500..)
        .zip(&steps)
        .map(|(id, state)| match good(&state.step) {
            Payload::Photo { .. } => {
                phone.text(id, &state.step.key, Payload::Photo { photos: vec![digest.clone()] })
            }
            payload => phone.text(id, &state.step.key, payload),
        })
        .collect();
    let last = entries.split_off(entries.len() - 1);
    let rest = entries.split_off(entries.len().min(60));
    assert!(states(&phone.send(&entries).await).iter().all(|state| *state == "recorded"));
    let rows = phone.send(&[&rest[..], &[phone.submit(1)]].concat()).await;
    assert_eq!(rows.last().unwrap()["state"], "refused", "one step is still due");
    let after = phone.note(3);
    let rows = phone.send(&[&last[..], &[phone.submit(2), phone.submit(2), after]].concat()).await;
    assert_eq!(states(&rows), ["recorded", "recorded", "already", "recorded"]);
    assert!(phone.file().await.state.submitted.is_some());
}

#[tokio::test]
async fn how_far_the_phones_clock_was_off_is_kept_and_flagged_beyond_five_minutes() {
    let phone = Phone::new().await;
    let now = phone.app.now().0;
    let flagged = async |id, clock: Option<i64>| {
        let entries = [phone.volts(id, "12.6")];
        let batch = json!({ "job": phone.job, "clock": clock, "waiting": 1, "entries": entries });
        assert_eq!(states(&rows(&phone.post(batch.to_string()).await)), ["recorded"]);
        let entries = entries::list(&phone.app.store, WORKSHOP, phone.job).await.unwrap();
        assert_eq!(entries.last().unwrap().clock_ahead_ms, clock.map(|clock| clock - now));
        phone.file().await.state.step(RESTED).unwrap().flags().contains(&Flag::ClockOff)
    };
    assert!(!flagged(1, None).await);
    assert!(!flagged(2, Some(now + 300_000)).await);
    assert!(!flagged(3, Some(now - 300_000)).await);
    assert!(flagged(4, Some(now - 300_001)).await);
    let review = phone.app.manager().await;
    let review = review.get(&format!("/jobs/{}/review?step={RESTED}", phone.job)).await;
    review.says("more than 5 minutes off");
    let report = fusewright::storage::verify::verify(&phone.app.store, WORKSHOP).await.unwrap();
    assert_eq!(report.faults, [], "the clock is no part of the chain");
}

#[tokio::test]
async fn a_clock_beyond_all_reason_is_as_none() {
    let phone = Phone::new().await;
    for (id, clock) in [(1, i64::MIN), (2, i64::MAX)] {
        let entries = [phone.note(id)];
        let batch = json!({ "job": phone.job, "clock": clock, "entries": entries });
        assert_eq!(states(&rows(&phone.post(batch.to_string()).await)), ["recorded"]);
    }
}

#[tokio::test]
async fn a_full_job_refuses_what_is_new_and_answers_what_is_there() {
    let phone = Phone::new().await;
    let start = phone.file().await.state.entry_count;
    let mut id = 10_000;
    let mut left = JOB_ENTRIES_MAX - start - 1;
    while left > 0 {
        let now = left.min(64);
        let entries: Vec<String> = (0..now).map(|n| phone.note(id + u128::from(n))).collect();
        assert!(states(&phone.send(&entries).await).iter().all(|state| *state == "recorded"));
        (id, left) = (id + u128::from(now), left - now);
    }
    let rows = phone.send(&[phone.note(1), phone.note(2), phone.note(10_000)]).await;
    assert_eq!(states(&rows), ["recorded", "refused", "already"]);
}

/// Batches as phones of each release send them; entries may come 90 days late.
#[tokio::test]
async fn batches_of_every_release_are_still_read() {
    for (text, ahead) in [
        (include_str!("../data/sync/before_clock.json"), None),
        (include_str!("../data/sync/with_clock.json"), Some(30_000)),
    ] {
        let app = TestApp::start().await;
        app.job_with_sheet_named(RECORDED_JOB).await;
        let phone = Phone::at(app, RECORDED_JOB).await;
        let rows = rows(&phone.post(text).await);
        let expected =
            ["recorded", "recorded", "recorded", "recorded", "recorded", "refused", "refused"];
        assert_eq!(states(&rows), expected, "{rows:?}");
        let words: Vec<&str> =
            rows.iter().map(|row| row["verdict"]["word"].as_str().unwrap_or("")).collect();
        assert_eq!(words, ["Done", "Fail", "Pass", "", "Done", "", ""]);
        let kept = entries::list(&phone.app.store, WORKSHOP, RECORDED_JOB).await.unwrap();
        assert_eq!(kept.last().unwrap().clock_ahead_ms, ahead);
    }
}
