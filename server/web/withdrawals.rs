//! `/certificates/{number}/withdraw`: one manager asks, another confirms or leaves it in force. What the
//! review of a released job shows of it.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Field, Filled, day_words};
use super::page::page;
use super::reviews::{ReviewQuery, review_page};
use super::session::Who;
use crate::acts::job::{JobFile, load};
use crate::acts::withdraw::{self, NO_SECOND, reason_fault};
use crate::domain::certificate::on_paper;
use crate::domain::ids::{JobId, Moment};
use crate::storage::certificates::CertificateRow;
use crate::storage::withdrawals::{self, Request, Withdrawal};

/// What the review says once something was done.
pub(super) const DONE: [(&str, &str); 3] = [
    ("asked", "Asked. The certificate stays in force until a second person confirms."),
    ("withdrawn", "Withdrawn. Whoever checks the certificate is told so from now on."),
    ("left", "The certificate stays in force."),
];

/// The part of a review about the job's certificates.
#[derive(Default)]
pub(super) struct WithdrawalView {
    pub(super) ask: Option<AskView>,
    pub(super) open: Option<OpenView>,
    /// The newest one is withdrawn: why, by whom, and where another is made.
    pub(super) done: Option<DoneView>,
    /// Those before the newest: address and words.
    pub(super) earlier: Vec<(String, String)>,
}

pub(super) struct AskView {
    pub(super) action: String,
    pub(super) reason: Field,
    /// The attribute, where the form came back.
    pub(super) open: Option<&'static str>,
}

pub(super) struct OpenView {
    pub(super) words: String,
    pub(super) reason: String,
    pub(super) asked: i64,
    pub(super) confirm: Option<String>,
    pub(super) drop: String,
    /// Where the one who looks may not confirm: who may.
    pub(super) second: Option<String>,
}

pub(super) struct DoneView {
    pub(super) words: String,
    pub(super) reason: String,
    pub(super) issue: String,
}

/// A job's certificates as the review shows them, the first version first.
pub(super) async fn withdrawal_view(
    app: &App,
    who: &Who,
    file: &JobFile,
    certificates: &[CertificateRow],
    sent: &mut Filled,
) -> Result<WithdrawalView, WebError> {
    let Some((newest, before)) = certificates.split_last() else {
        return Ok(WithdrawalView::default());
    };
    let earlier = before.iter().map(earlier).collect();
    let number = &newest.number;
    if let Some(done) = withdrawals::load(app.store(), who.workshop(), number).await? {
        let done = Some(DoneView::of(&done, file));
        return Ok(WithdrawalView { done, earlier, ..WithdrawalView::default() });
    }
    if let Some(request) = withdrawals::load_request(app.store(), who.workshop(), number).await? {
        let open = Some(OpenView::of(app, who, file, &request).await?);
        return Ok(WithdrawalView { open, earlier, ..WithdrawalView::default() });
    }
    let ask = Some(AskView::of(number, sent));
    Ok(WithdrawalView { ask, earlier, ..WithdrawalView::default() })
}

fn earlier(row: &CertificateRow) -> (String, String) {
    let number = on_paper(&row.number);
    let words = match row.withdrawn {
        Some(at) => format!("{number}, withdrawn on {}", day_words(&at.date())),
        None => format!("{number}, replaced"),
    };
    (format!("/certificates/{}", row.number), words)
}

impl AskView {
    fn of(number: &str, sent: &mut Filled) -> Self {
        let open = (!sent.is_sound()).then_some("open");
        let reason = sent
            .field("reason", "Why it stands no longer")
            .hint("Whoever holds the certificate can read it: name what is wrong, and no person.");
        Self { action: format!("/certificates/{number}/withdraw"), reason, open }
    }
}

impl OpenView {
    async fn of(app: &App, who: &Who, file: &JobFile, request: &Request) -> Result<Self, WebError> {
        let action = format!("/certificates/{}/withdraw", request.number);
        let own = request.asked_by == who.person.id;
        let second = match withdraw::second_person(app.store(), &who.person).await? {
            _ if !own => None,
            Some(_) => Some("Another manager or owner confirms it on this page.".to_owned()),
            None => Some(NO_SECOND.to_owned()),
        };
        Ok(Self {
            words: format!(
                "{} asked on {} that this certificate be withdrawn. It is in force until a second \
                 person confirms.",
                file.name_of(request.asked_by),
                day_words(&request.asked.date()),
            ),
            reason: request.reason.clone(),
            asked: request.asked.0,
            confirm: second.is_none().then(|| format!("{action}/confirm")),
            drop: format!("{action}/drop"),
            second,
        })
    }
}

impl DoneView {
    fn of(done: &Withdrawal, file: &JobFile) -> Self {
        Self {
            words: format!(
                "Withdrawn on {}. {} asked, {} confirmed.",
                day_words(&done.at.date()),
                file.name_of(done.asked_by),
                file.name_of(done.confirmed_by),
            ),
            reason: done.reason.clone(),
            issue: format!("/jobs/{}/certificate", file.row.id),
        }
    }
}

/// POST /certificates/{number}/withdraw
pub(super) async fn ask(
    State(app): State<App>,
    who: Who,
    Path(number): Path<String>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let by = who.by(app.now());
    let row = withdraw::certificate(app.store(), &by, &number).await?;
    let reason = sent.maybe_lines("reason", usize::MAX);
    if let Some(fault) = reason_fault(&reason) {
        sent.fault("reason", fault);
    }
    if !sent.is_sound() {
        return came_back(&app, &who, row.job, sent).await;
    }
    withdraw::ask(app.store(), &by, &row, &reason).await?;
    Ok(back_to(row.job, "asked").into_response())
}

async fn came_back(app: &App, who: &Who, job: JobId, sent: Filled) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let again = page(&review_page(app, who, &file, &ReviewQuery::default(), sent).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

/// POST /certificates/{number}/withdraw/confirm
pub(super) async fn confirm(
    State(app): State<App>,
    who: Who,
    Path(number): Path<String>,
    sent: Filled,
) -> Result<Redirect, WebError> {
    let by = who.by(app.now());
    let row = withdraw::certificate(app.store(), &by, &number).await?;
    withdraw::confirm(app.store(), &by, &row, looked_at(&sent)?).await?;
    Ok(back_to(row.job, "withdrawn"))
}

/// POST /certificates/{number}/withdraw/drop
pub(super) async fn leave(
    State(app): State<App>,
    who: Who,
    Path(number): Path<String>,
    sent: Filled,
) -> Result<Redirect, WebError> {
    let by = who.by(app.now());
    let row = withdraw::certificate(app.store(), &by, &number).await?;
    withdraw::drop_request(app.store(), &by, &row, looked_at(&sent)?).await?;
    Ok(back_to(row.job, "left"))
}

/// Which request the page showed, so that no other is confirmed or dropped.
fn looked_at(sent: &Filled) -> Result<Moment, WebError> {
    sent.text("asked").parse().map(Moment).map_err(|_| {
        WebError::Rule(
            "Open the review of the job, read the reason, and confirm or drop it there.".to_owned(),
        )
    })
}

fn back_to(job: JobId, done: &str) -> Redirect {
    Redirect::to(&format!("/jobs/{job}/review?done={done}#certificate"))
}
