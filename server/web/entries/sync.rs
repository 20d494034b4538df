//! `POST /sync`: the batch that a phone sends, answered entry by entry.
//!
//! A batch that cannot be read is a problem of the whole request; an entry that cannot is a refused row
//! among good ones, so that nothing that was recorded waits behind it.

use std::fmt;

use axum::Json;
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::{IgnoredAny, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::value::RawValue;

use super::rule;
use crate::acts::ActError;
use crate::acts::job::JobFile;
use crate::acts::record::{BATCH_ENTRIES_MAX, Sent, record_sent};
use crate::domain::entry::BODY_BYTES_MAX;
use crate::domain::ids::JobId;
use crate::domain::seal::hex;
use crate::storage::devices::{self, Heard};
use crate::storage::entries::Appended;
use crate::web::app::App;
use crate::web::error::{WebError, ours};
use crate::web::session::Who;
use crate::web::views::Mark;

/// What a phone sends. Keys that came later may be missing, and keys that are to come are passed over.
#[derive(Debug, Deserialize)]
struct Batch {
    job: JobId,
    /// The phone's clock as it sends [ms since 1970].
    clock: Option<i64>,
    /// Entries that the phone still holds.
    waiting: Option<u64>,
    /// Each the exact text of a body; read one by one, so that a bad one spoils no other.
    #[serde(deserialize_with = "one_too_many_at_most")]
    entries: Vec<Box<RawValue>>,
}

/// Keeps no more than shows that there are too many: millions of nothings fit into one request.
fn one_too_many_at_most<'de, D: Deserializer<'de>>(
    from: D,
) -> Result<Vec<Box<RawValue>>, D::Error> {
    struct Few;
    impl<'de> Visitor<'de> for Few {
        type Value = Vec<Box<RawValue>>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a list of entries")
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut all: A) -> Result<Self::Value, A::Error> {
            let mut few = Vec::new();
            while few.len() <= BATCH_ENTRIES_MAX
                && let Some(raw) = all.next_element()?
            {
                few.push(raw);
            }
            while all.next_element::<IgnoredAny>()?.is_some() {}
            Ok(few)
        }
    }
    from.deserialize_seq(Few)
}

/// What became of one entry.
#[derive(Debug, Default, Serialize)]
struct Answer {
    /// `recorded`, `already`, `refused` for good, or `waits` for its photo.
    state: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    seq: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    hash: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<VerdictLine>,
}

impl Answer {
    fn refused(reason: String) -> Self {
        Self { state: "refused", reason: Some(reason), ..Self::default() }
    }
}

/// What a result came to, in the marks of the pages.
#[derive(Debug, Serialize)]
struct VerdictLine {
    kind: &'static str,
    word: &'static str,
    sentence: String,
}

/// The answer to a batch, entry by entry in its order.
#[derive(Debug, Serialize)]
struct BatchAnswer {
    answers: Vec<Answer>,
    count: u64,
    head: Option<String>,
    /// The newest sheet edition; 0 before the first.
    sheet: u32,
}

/// POST /sync
pub(in crate::web) async fn sync(
    State(app): State<App>,
    who: Who,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Result<Response, WebError> {
    who.expect(&headers)?;
    let batch = read(&headers, body)?;
    let by = who.by(app.now());
    let clock_ahead_ms = batch.clock.and_then(|clock| clock.checked_sub(by.now.0));
    let texts: Vec<Result<String, String>> = batch.entries.iter().map(|raw| text(raw)).collect();
    let bodies = texts.iter().flatten().map(|text| text.clone().into_bytes()).collect();
    let sent = Sent { bodies, clock_ahead_ms };
    let (answers, file) = record_sent(app.store(), &by, batch.job, sent).await?;
    let mut answers = answers.into_iter();
    let answers = texts
        .into_iter()
        .map(|text| match text {
            Err(reason) => Ok(Answer::refused(reason)),
            Ok(_) => answer(&file, answers.next()),
        })
        .collect::<Result<_, _>>()?;
    heard(&app, &who, batch.waiting, clock_ahead_ms).await?;
    let head = file.state.head.map(|head| hex(&head));
    let sheet = file.state.sheet.as_ref().map_or(0, |sheet| sheet.edition);
    Ok(Json(BatchAnswer { answers, count: file.state.entry_count, head, sheet }).into_response())
}

/// Notes what the phone says of itself, so that the office sees which one is silent.
async fn heard(
    app: &App,
    who: &Who,
    waiting: Option<u64>,
    clock_off_ms: Option<i64>,
) -> Result<(), WebError> {
    let waiting = u32::try_from(waiting.unwrap_or(0)).unwrap_or(u32::MAX);
    let heard = Heard { at: app.now(), waiting, clock_off_ms };
    devices::heard(app.store(), who.workshop(), who.device, heard).await?;
    Ok(())
}

fn read(headers: &HeaderMap, body: Result<Bytes, BytesRejection>) -> Result<Batch, WebError> {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let kind = kind.and_then(|kind| kind.split(';').next()).unwrap_or_default();
    if !kind.trim().eq_ignore_ascii_case("application/json") {
        return Err(WebError::WrongType(
            "A batch is sent as application/json. Load the page again; what was recorded stays on this \
             phone.",
        ));
    }
    let too_large =
        || WebError::TooLarge(format!("Send at most {BATCH_ENTRIES_MAX} entries at once."));
    let bytes = body.map_err(|rejection| match rejection.status() {
        StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        _ => WebError::Rule("The batch did not arrive whole. Send it again.".to_owned()),
    })?;
    let batch: Batch = serde_json::from_slice(&bytes).map_err(|error| {
        WebError::Rule(format!(
            "The batch cannot be read ({error}). Load the page again; what was recorded stays on this \
             phone."
        ))
    })?;
    if batch.entries.len() > BATCH_ENTRIES_MAX { Err(too_large()) } else { Ok(batch) }
}

/// The text of one body.
fn text(raw: &RawValue) -> Result<String, String> {
    serde_json::from_str(raw.get()).map_err(|error| {
        format!(
            "An entry is sent as the text of its body, at most {BODY_BYTES_MAX} bytes; this is none \
             ({error})."
        )
    })
}

fn answer(file: &JobFile, answer: Option<Result<Appended, ActError>>) -> Result<Answer, WebError> {
    match answer.ok_or_else(|| ours("the record did not answer"))? {
        Ok(appended) => Ok(Answer {
            state: if appended.already { "already" } else { "recorded" },
            seq: Some(appended.seq),
            hash: Some(hex(&appended.hash)),
            reason: None,
            verdict: verdict(file, appended.seq),
        }),
        Err(ActError::Waits(reason)) => {
            Ok(Answer { state: "waits", ..Answer::refused(reason.to_owned()) })
        }
        Err(error) => match rule(error)? {
            Some(reason) => Ok(Answer::refused(reason)),
            None => Err(ours("a job vanished while it was written to")),
        },
    }
}

fn verdict(file: &JobFile, seq: u64) -> Option<VerdictLine> {
    Some(match file.judged(seq)? {
        Ok(judgement) => {
            let Mark { kind, word } = Mark::of(judgement.verdict);
            VerdictLine { kind, word, sentence: judgement.sentence.clone() }
        }
        Err(why) => VerdictLine { kind: "uncounted", word: "Not counted", sentence: why },
    })
}
