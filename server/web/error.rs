//! What a person or a phone is told when something cannot be done.
//!
//! Four kinds: a rule was broken (a full sentence, 422 or 409), not there (404), not allowed (403
//! or the way to the sign-in), ours (500, logged once here with a number that the page shows).
//! Handlers return [`WebError`]; the outermost layer writes it as a page or, for a script that asks
//! for JSON, as RFC 9457 problem details whose `type` is a lasting word that a phone can act on.

use std::fmt::Display;

use askama::Template;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Serialize;

use super::app::App;
use super::page::{Frame, page};
use crate::acts::ActError;
use crate::domain::entry::BodyFault;
use crate::domain::ids::JobId;
use crate::domain::release::Refusal;
use crate::storage::StorageError;
use crate::storage::entries::AppendRefused;
use crate::world::NoChance;

/// An answer that is not what was asked for.
#[derive(Debug)]
pub enum WebError {
    /// A rule of the job was broken: the sentence says what to do instead.
    Rule(String),
    /// Somebody else was faster, or the same id came with other words.
    Conflict(String),
    /// Something has to be done before: the sentence says what.
    TooEarly(&'static str),
    /// More at once than is taken: the sentence says how much is.
    TooLarge(String),
    /// A piece of a photo that does not follow on what is there.
    Offset {
        sentence: String,
        received: u64,
    },
    /// Sent as something that is not taken here.
    WrongType(&'static str),
    NotFound,
    Forbidden(&'static str),
    SignIn {
        next: String,
    },
    TooMany {
        sentence: String,
        retry_after_s: u32,
    },
    Storage(StorageError),
    Ours(String),
}

/// A fault of the program or the machine, kept for the log.
pub(super) fn ours(error: impl Display) -> WebError {
    WebError::Ours(error.to_string())
}

impl WebError {
    /// More than any page sends.
    pub(super) fn request_too_large() -> Self {
        let (mib, kib) = (super::REQUEST_MIB_MAX, super::FORM_KIB_MAX);
        Self::TooLarge(format!(
            "This is more than the {mib} MiB that are taken at once with photos, or the {kib} KiB of \
             a form without. Send fewer photos, the rest with a note, or less text."
        ))
    }

    /// Somebody guesses; the sentence and the header say how long they wait.
    pub(super) fn too_many(what: &str, wait_ms: i64) -> Self {
        // A second more rather than one too few.
        let retry_after_s = u32::try_from(wait_ms / 1000 + 1).unwrap_or(1);
        let minutes = retry_after_s.div_ceil(60);
        let sentence = format!("Too many {what} were tried. Try again in {minutes} minutes.");
        Self::TooMany { sentence, retry_after_s }
    }
}

impl From<StorageError> for WebError {
    fn from(error: StorageError) -> Self {
        match error.conflict() {
            Some(conflict) => Self::Conflict(format!("{conflict}.")),
            None => Self::Storage(error),
        }
    }
}

impl From<ActError> for WebError {
    fn from(error: ActError) -> Self {
        match error {
            ActError::NoJob | ActError::NoCertificate => Self::NotFound,
            ActError::Storage(error) => error.into(),
            ActError::Append(refused) => Self::Conflict(format!("{refused}.")),
            ActError::TooEarly(sentence) => Self::TooEarly(sentence),
            ActError::Chance(error) => ours(error),
            ActError::Ours(words) => Self::Ours(words),
            ActError::Document(faults) => {
                Self::Rule(faults.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "))
            }
            rule => Self::Rule(rule.to_string()),
        }
    }
}

impl From<Refusal> for WebError {
    fn from(refusal: Refusal) -> Self {
        Self::Rule(format!("{refusal}."))
    }
}

impl From<BodyFault> for WebError {
    fn from(fault: BodyFault) -> Self {
        Self::Rule(format!("{fault}."))
    }
}

impl From<AppendRefused> for WebError {
    fn from(refused: AppendRefused) -> Self {
        Self::Conflict(format!("{refused}."))
    }
}

impl From<NoChance> for WebError {
    fn from(error: NoChance) -> Self {
        ours(error)
    }
}

impl From<askama::Error> for WebError {
    fn from(error: askama::Error) -> Self {
        ours(error)
    }
}

/// RFC 9457. `kind` is the last part of `type`.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Problem {
    #[serde(rename = "type")]
    kind: &'static str,
    title: &'static str,
    status: u16,
    detail: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    instance: Option<String>,
    /// How much of a photo is here.
    #[serde(skip_serializing_if = "Option::is_none")]
    received: Option<u64>,
}

impl Problem {
    fn new(kind: &'static str, title: &'static str, status: StatusCode, detail: String) -> Self {
        Self { kind, title, status: status.as_u16(), detail, instance: None, received: None }
    }
}

impl IntoResponse for WebError {
    /// A bare answer that carries its problem along; [`write_problems`] gives it its body.
    fn into_response(self) -> Response {
        let mut retry_after = None;
        let problem = match self {
            Self::SignIn { next } => {
                return (
                    [("x-sign-in", "needed")],
                    Redirect::to(&format!("/sign-in?next={}", encode(&next))),
                )
                    .into_response();
            }
            Self::TooMany { sentence, retry_after_s } => {
                retry_after = Some(retry_after_s);
                Problem::new("too-many", "Too many tries", StatusCode::TOO_MANY_REQUESTS, sentence)
            }
            other => other.problem(),
        };
        let status =
            StatusCode::from_u16(problem.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut response = status.into_response();
        if let Some(seconds) = retry_after {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(problem);
        response
    }
}

impl WebError {
    fn problem(self) -> Problem {
        match self {
            Self::Rule(sentence) => {
                Problem::new("rule", "Not possible", StatusCode::UNPROCESSABLE_ENTITY, sentence)
            }
            Self::Conflict(sentence) => {
                Problem::new("conflict", "Something changed", StatusCode::CONFLICT, sentence)
            }
            Self::TooEarly(sentence) => {
                Problem::new("too-early", "Not yet", StatusCode::CONFLICT, sentence.to_owned())
            }
            Self::TooLarge(sentence) => Problem::new(
                "too-large",
                "Too much at once",
                StatusCode::PAYLOAD_TOO_LARGE,
                sentence,
            ),
            Self::Offset { sentence, received } => Problem {
                received: Some(received),
                ..Problem::new("offset", "Other bytes first", StatusCode::CONFLICT, sentence)
            },
            Self::WrongType(sentence) => Problem::new(
                "unreadable",
                "Not readable",
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                sentence.to_owned(),
            ),
            Self::Forbidden(sentence) => {
                Problem::new("forbidden", "Not allowed", StatusCode::FORBIDDEN, sentence.to_owned())
            }
            Self::Storage(error) => storage_problem(&error),
            Self::Ours(words) => numbered(&words),
            _ => Problem::new(
                "not-found",
                "Nothing here",
                StatusCode::NOT_FOUND,
                "There is nothing at this address, or it is not yours to see.".to_owned(),
            ),
        }
    }
}

fn storage_problem(error: &StorageError) -> Problem {
    if matches!(error, StorageError::Stopped) {
        tracing::error!(error = %error, "the record has stopped taking entries");
        return Problem::new(
            "stopped",
            "The server cannot save",
            StatusCode::SERVICE_UNAVAILABLE,
            "Nothing was saved. Keep what you have and tell the office: the server's disk needs care."
                .to_owned(),
        );
    }
    numbered(&error.to_string())
}

/// Logs our own fault once, with a number that the page shows.
fn numbered(words: &str) -> Problem {
    let number = crate::world::random::<4>().map_or(0, u32::from_be_bytes);
    let number = format!("{number:08x}");
    tracing::error!(fault = %number, "{words}");
    let detail = format!(
        "This is the server's fault, not yours. Nothing was saved. Tell the office fault number \
         {number}."
    );
    Problem {
        instance: Some(format!("urn:fault:{number}")),
        ..Problem::new("ours", "Something went wrong", StatusCode::INTERNAL_SERVER_ERROR, detail)
    }
}

#[derive(Template)]
#[template(path = "pages/problem.html")]
struct ProblemPage {
    frame: Frame,
    title: &'static str,
    detail: String,
    back: (String, &'static str),
}

/// Where to go on from a problem: the job that it is about, the customer's own page, or the start.
fn way_on(path: &str) -> (String, &'static str) {
    let mut parts = path.split('/').skip(1);
    match (parts.next(), parts.next(), parts.next()) {
        (Some("jobs"), Some(job), Some(_)) if job.parse::<JobId>().is_ok() => {
            (format!("/jobs/{job}"), "Back to the job")
        }
        (Some("handover"), ..) => ("/handover".to_owned(), "Back to the handover"),
        _ => ("/".to_owned(), "Go to the start"),
    }
}

/// Gives problems their body: a page for people, problem details for scripts.
pub(super) async fn write_problems(
    State(_app): State<App>,
    request: Request,
    next: Next,
) -> Response {
    let json = wants_json(&request);
    let back = way_on(request.uri().path());
    let mut response = next.run(request).await;
    let signed_out = response.headers_mut().remove("x-sign-in").is_some();
    if json && signed_out {
        let detail = "Sign in again. What you recorded stays on this phone until then.";
        let problem =
            Problem::new("sign-in", "Signed out", StatusCode::UNAUTHORIZED, detail.to_owned());
        return json_problem(StatusCode::UNAUTHORIZED, &problem);
    }
    let carried = response.extensions_mut().remove::<Problem>();
    let Some(problem) = carried.or_else(|| unreadable(&response)) else { return response };
    let status = response.status();
    let mut written = if json {
        json_problem(status, &problem)
    } else {
        let frame = Frame::bare(problem.title);
        let body = ProblemPage { frame, title: problem.title, detail: problem.detail, back };
        (status, page(&body)).into_response()
    };
    if let Some(after) = response.headers_mut().remove(header::RETRY_AFTER) {
        written.headers_mut().insert(header::RETRY_AFTER, after);
    }
    written
}

/// A request that no handler could read: the framework's bare words get the house's form.
fn unreadable(response: &Response) -> Option<Problem> {
    let kind = response.headers().get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let is_bare = kind.is_some_and(|kind| kind.starts_with("text/plain"));
    if !response.status().is_client_error() || !is_bare {
        return None;
    }
    if response.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return Some(WebError::request_too_large().problem());
    }
    let detail = "The address or the form arrived incomplete. Go back, and send it again from \
                  the page; what was recorded before is safe.";
    Some(Problem::new("unreadable", "Not readable", response.status(), detail.to_owned()))
}

fn json_problem(status: StatusCode, problem: &Problem) -> Response {
    let body = serde_json::to_vec(problem).unwrap_or_default();
    (status, [(header::CONTENT_TYPE, "application/problem+json")], body).into_response()
}

fn wants_json(request: &Request) -> bool {
    let path = request.uri().path();
    let of_a_script =
        path == "/sync" || (path.starts_with("/photos/") && path.ends_with("/upload"));
    of_a_script || accepts_json(request.headers())
}

pub(super) fn accepts_json(headers: &HeaderMap) -> bool {
    let accepts = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    accepts.is_some_and(|a| a.contains("json"))
}

/// Percent-encodes everything that is not plain in a query value.
pub(super) fn encode(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        use std::fmt::Write as _;
        if byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'-' | b'_' | b'.') {
            out.push(char::from(byte));
        } else {
            // Writing to a String cannot fail.
            let _ = write!(out, "%{byte:02X}");
        }
        out
    })
}
