//! A kit that somebody sends: a file, or text pasted into the page.

use axum::extract::multipart::MultipartError;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::http::StatusCode;

use crate::web::error::WebError;

/// Twice the largest kit, and the frame around it; what is larger is told so and not read.
const UPLOAD_KIB_MAX: usize = 1024;

/// The bytes of one kit.
pub(in crate::web) struct Upload {
    pub(super) bytes: Vec<u8>,
}

impl Upload {
    /// For the page, so that it can be put right there.
    pub(super) fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }
}

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = WebError;

    async fn from_request(mut request: Request, state: &S) -> Result<Self, WebError> {
        DefaultBodyLimit::max(UPLOAD_KIB_MAX * 1024).apply(&mut request);
        let mut parts = Multipart::from_request(request, state).await.map_err(|_| broken())?;
        let (mut file, mut text) = (Vec::new(), Vec::new());
        while let Some(part) = parts.next_field().await.map_err(|why| unreadable(&why))? {
            let name = part.name().unwrap_or_default().to_owned();
            let bytes = part.bytes().await.map_err(|why| unreadable(&why))?;
            match name.as_str() {
                "file" => file = bytes.to_vec(),
                "text" => text = bytes.to_vec(),
                _ => {}
            }
        }
        Ok(Self { bytes: if file.is_empty() { with_plain_line_ends(&text) } else { file } })
    }
}

/// Browsers send pasted lines with a carriage return that nobody typed. A file stays as it is.
fn with_plain_line_ends(text: &[u8]) -> Vec<u8> {
    String::from_utf8_lossy(text).replace("\r\n", "\n").into_bytes()
}

fn unreadable(why: &MultipartError) -> WebError {
    if why.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return WebError::TooLarge(format!(
            "A kit takes at most {UPLOAD_KIB_MAX} KiB with its form. Choose the kit file itself."
        ));
    }
    broken()
}

fn broken() -> WebError {
    WebError::Rule("The kit did not arrive whole. Choose its file again.".to_owned())
}
