//! The workshop's mark on papers: taken, looked at, taken off.

use axum::extract::multipart::MultipartError;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};

use crate::storage::picture::{self, PictureFault};
use crate::storage::workshops::{change_logo, logo};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::session::Who;
use crate::web::shield::FILES;

/// A mark is printed 15 mm high: more bytes than this are a photo.
const LOGO_MIB_MAX: usize = 2;

/// The picture that was sent.
pub(in crate::web) struct LogoUpload(Vec<u8>);

impl<S: Send + Sync> FromRequest<S> for LogoUpload {
    type Rejection = WebError;

    async fn from_request(mut request: Request, state: &S) -> Result<Self, WebError> {
        DefaultBodyLimit::max(LOGO_MIB_MAX * 1024 * 1024).apply(&mut request);
        let mut parts = Multipart::from_request(request, state).await.map_err(|_| broken())?;
        while let Some(part) = parts.next_field().await.map_err(|why| unreadable(&why))? {
            if part.name() == Some("logo") {
                let bytes = part.bytes().await.map_err(|why| unreadable(&why))?;
                return Ok(Self(bytes.to_vec()));
            }
        }
        Err(broken())
    }
}

/// POST /settings/logo
pub(in crate::web) async fn change(
    State(app): State<App>,
    who: Who,
    LogoUpload(bytes): LogoUpload,
) -> Result<Response, WebError> {
    let png = app.heavy(move || picture::logo(&bytes)).await?.map_err(|fault| refused(&fault))?;
    change_logo(app.store(), who.workshop(), Some(png)).await?;
    Ok(Redirect::to("/settings?done=logo").into_response())
}

/// POST /settings/logo/remove
pub(in crate::web) async fn remove(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    change_logo(app.store(), who.workshop(), None).await?;
    Ok(Redirect::to("/settings?done=no-logo").into_response())
}

/// GET /settings/logo
pub(in crate::web) async fn show(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let png = logo(app.store(), who.workshop()).await?.ok_or(WebError::NotFound)?;
    let headers = [
        (CONTENT_TYPE, "image/png"),
        (CONTENT_SECURITY_POLICY, FILES),
        (CACHE_CONTROL, "private, no-store"),
    ];
    Ok((headers, png).into_response())
}

fn refused(fault: &PictureFault) -> WebError {
    let sentence = match fault {
        PictureFault::Empty => {
            "Choose a file first: a PNG or a JPEG with the workshop\u{2019}s mark."
        }
        PictureFault::WrongKind => {
            "This is not a PNG or JPEG picture. Save the mark as a PNG and choose that."
        }
        PictureFault::TooManyPixels { .. }
        | PictureFault::TooMuchMemory
        | PictureFault::TooLong => {
            "The picture is too large. Save the mark at most 2000 pixels wide and choose that."
        }
        _ => {
            "The picture is damaged and cannot be read. Save the mark as a PNG anew and choose that."
        }
    };
    WebError::Rule(sentence.to_owned())
}

fn unreadable(why: &MultipartError) -> WebError {
    if why.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return WebError::TooLarge(format!(
            "A mark takes at most {LOGO_MIB_MAX} MiB. Save it smaller and choose that."
        ));
    }
    broken()
}

fn broken() -> WebError {
    WebError::Rule("The picture did not arrive whole. Choose its file again.".to_owned())
}
