//! A form that may bring the paper of a calibration as a file.

use axum::extract::multipart::MultipartError;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};

use crate::domain::calibration_paper::{PAPER_MIB_MAX, Paper, PaperRefused};
use crate::web::error::WebError;
use crate::web::form::{Filled, Pairs};

/// The largest file and the form around it; what is a little larger is read, so that the form can say so.
pub(in crate::web) const REQUEST_KIB_MAX: usize = (PAPER_MIB_MAX + 2) * 1024;
/// Fields of one form.
const FIELDS_MAX: usize = 20;
/// The name of the field.
pub(super) const PAPER: &str = "paper";

/// What was typed, and the file as it came; empty where none was chosen.
pub(in crate::web) struct WithPaper {
    pub(super) filled: Filled,
    pub(super) file: Vec<u8>,
}

impl WithPaper {
    /// The paper that was chosen. What cannot be kept stands as a fault of its field.
    pub(super) fn paper(&mut self) -> Option<Paper> {
        match Paper::read(std::mem::take(&mut self.file)) {
            Ok(paper) => Some(paper),
            Err(PaperRefused::Empty) => None,
            Err(refused) => {
                self.filled.fault(PAPER, refused.to_string());
                None
            }
        }
    }
}

impl<S: Send + Sync> FromRequest<S> for WithPaper {
    type Rejection = WebError;

    async fn from_request(mut request: Request, state: &S) -> Result<Self, WebError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        if !kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data")) {
            let filled = Filled::from_request(request, state).await?;
            return Ok(Self { filled, file: Vec::new() });
        }
        DefaultBodyLimit::max(REQUEST_KIB_MAX * 1024).apply(&mut request);
        let mut parts = Multipart::from_request(request, state).await.map_err(|_| broken())?;
        let (mut file, mut pairs) = (Vec::new(), Pairs::new());
        while let Some(part) = parts.next_field().await.map_err(|why| unreadable(&why))? {
            let name = part.name().unwrap_or_default().to_owned();
            if name == PAPER {
                file = part.bytes().await.map_err(|why| unreadable(&why))?.to_vec();
            } else if pairs.len() < FIELDS_MAX {
                pairs.push((name, part.text().await.map_err(|why| unreadable(&why))?));
            }
        }
        Ok(Self { filled: Filled::with(pairs), file })
    }
}

fn unreadable(why: &MultipartError) -> WebError {
    if why.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return WebError::TooLarge(PaperRefused::TooLarge.to_string());
    }
    broken()
}

fn broken() -> WebError {
    WebError::Rule("The form did not arrive whole. Choose the file again and send it.".to_owned())
}
