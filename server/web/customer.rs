//! `/handover`: what the customer of a job sees who has nothing but the link from the workshop.
//!
//! The link's secret stands in an address once. Opening it counts, keeps the secret in a cookie for an
//! hour and leads on to an address without it, so that it stays out of what is shared, printed or sent
//! along. Each request asks the record anew: a revoked link shows nothing from then on. A wrong, an
//! ended and a revoked link get the same answer.

use axum::extract::{FromRequestParts, Path, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, REFERRER_POLICY, SET_COOKIE};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};

mod view;

use super::app::App;
use super::certificates::pdf_reply;
use super::cookie;
use super::error::{WebError, ours};
use super::page::page;
use super::shield::FILES;
use super::verify;
use crate::acts::ActError;
use crate::acts::handover::{Content, content, make, shows_photo};
use crate::acts::links::digest;
use crate::domain::entry::Digest;
use crate::domain::ids::{JobId, WorkshopId};
use crate::storage::{certificates, links, photos, workshops};
use view::{HandoverPage, LinkEnded, Paused, RoadsidePage};

/// How long the page can be looked at before the link is opened again [s].
const OPEN_S: i64 = 3600;
const COOKIE: &str = "handover";

/// A secret is in the address, or was: nothing here is named to other pages, or found by searching.
const PRIVATE: [(HeaderName, &str); 2] = [
    (REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("x-robots-tag"), "noindex, nofollow"),
];
/// A drawing carries its colours with it.
const DRAWING: &str =
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'";

/// Whoever holds a link that can be opened now. Handlers take it as an argument.
pub(super) struct Customer {
    workshop: WorkshopId,
    job: JobId,
}

impl FromRequestParts<App> for Customer {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Response> {
        let token = cookie::find(app, &parts.headers, COOKIE).map(digest);
        let Some(token) = token else { return Err(ended(app, &HeaderMap::new())) };
        match links::find(app.store(), token, app.now()).await {
            Ok(Some(link)) => Ok(Self { workshop: link.workshop, job: link.job }),
            Ok(None) => Err(ended(app, &parts.headers)),
            Err(why) => Err(WebError::from(why).into_response()),
        }
    }
}

/// GET /handover/open/{token}: the one page that reading changes, by the count of openings.
pub(super) async fn open(
    State(app): State<App>,
    Path(token): Path<String>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    if !links::count_opening(app.store(), digest(&token), app.now()).await? {
        return Ok(ended(&app, &headers));
    }
    let kept = [(SET_COOKIE, cookie::set(&app, COOKIE, &token, OPEN_S)?)];
    Ok((PRIVATE, kept, Redirect::to("/handover")).into_response())
}

/// The same for a link that never was, one that ended, and one that was revoked.
fn ended(app: &App, headers: &HeaderMap) -> Response {
    let shown = (StatusCode::NOT_FOUND, PRIVATE, page(&LinkEnded::new()));
    match cookie::find(app, headers, COOKIE).map(|_| cookie::set(app, COOKIE, "", 0)) {
        Some(Ok(taken)) => ([(SET_COOKIE, taken)], shown).into_response(),
        _ => shown.into_response(),
    }
}

/// GET /handover
pub(super) async fn show(State(app): State<App>, customer: Customer) -> Result<Response, WebError> {
    let shown = match customer.content(&app).await {
        Ok(content) => page(&HandoverPage::of(content)),
        Err(why) => paused(&app, customer.workshop, why).await?,
    };
    Ok((PRIVATE, shown).into_response())
}

/// Links and labels outlast a withdrawal: then there is nothing to rely on, and the page says so.
async fn paused(app: &App, workshop: WorkshopId, why: ActError) -> Result<Response, WebError> {
    if !matches!(why, ActError::TooEarly(_)) {
        return Err(why.into());
    }
    let workshop = workshops::load(app.store(), workshop).await?;
    Ok(page(&Paused::of(workshop.ok_or(WebError::NotFound)?)))
}

/// GET /verify/{number}/{code}/safe: for whoever scans a label beside a fuse, at the roadside. Open to all who
/// have the code, so it names no customer and shows no reading.
pub(super) async fn roadside(
    State(app): State<App>,
    Path((number, code)): Path<(String, String)>,
) -> Result<Response, WebError> {
    let Some(row) = verify::coded(&app, &number, &code).await? else {
        return Ok(verify::unknown());
    };
    let content = content(app.store(), &app.origin().address, (row.workshop, row.job)).await;
    match content {
        Ok(content) => Ok(page(&RoadsidePage::of(content))),
        Err(why) => paused(&app, row.workshop, why).await,
    }
}

impl Customer {
    async fn content(&self, app: &App) -> Result<Content, ActError> {
        content(app.store(), &app.origin().address, (self.workshop, self.job)).await
    }
}

/// GET /handover/paper.pdf
pub(super) async fn paper(
    State(app): State<App>,
    customer: Customer,
) -> Result<Response, WebError> {
    let _permit = app.heavy.acquire().await.map_err(ours)?;
    let of = (customer.workshop, customer.job);
    let made = make(app.store(), &app.origin().address, of, None).await?;
    Ok((PRIVATE, pdf_reply(&format!("handover-{}", made.number), made.pdf)).into_response())
}

/// GET /handover/certificate.pdf: the sealed file, byte for byte, of the certificate in force.
pub(super) async fn certificate(
    State(app): State<App>,
    customer: Customer,
) -> Result<Response, WebError> {
    let newest = certificates::list(app.store(), customer.workshop, customer.job).await?.pop();
    let row = newest.filter(|row| row.withdrawn.is_none()).ok_or(WebError::NotFound)?;
    let bytes = certificates::pdf(app.store(), &row).await?;
    Ok((PRIVATE, pdf_reply(&format!("certificate-{}", row.number), bytes)).into_response())
}

/// GET /handover/photos/{sha256}
pub(super) async fn photo(
    State(app): State<App>,
    customer: Customer,
    Path(sha256): Path<String>,
) -> Result<Response, WebError> {
    let digest = Digest::try_from(sha256).map_err(|_| WebError::NotFound)?;
    if !shows_photo(app.store(), (customer.workshop, customer.job), &digest).await? {
        return Err(WebError::NotFound);
    }
    let jpeg = photos::jpeg(app.store(), customer.workshop, &digest).await?;
    let headers = [(CONTENT_TYPE, "image/jpeg"), (CONTENT_SECURITY_POLICY, FILES)];
    Ok((PRIVATE, headers, jpeg.ok_or(WebError::NotFound)?).into_response())
}

/// GET /handover/wiring/{part}: counted from 1.
pub(super) async fn wiring(
    State(app): State<App>,
    customer: Customer,
    Path(part): Path<usize>,
) -> Result<Response, WebError> {
    let mut drawings = customer.content(&app).await?.paper.wiring.into_iter();
    let drawing = part.checked_sub(1).and_then(|place| drawings.nth(place));
    let drawing = drawing.ok_or(WebError::NotFound)?;
    let headers = [(CONTENT_TYPE, "image/svg+xml"), (CONTENT_SECURITY_POLICY, DRAWING)];
    Ok((PRIVATE, headers, drawing.svg).into_response())
}
