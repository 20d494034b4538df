//! HTTP: routes, forms, pages, sessions. The only floor that names axum and askama.

mod again;
mod app;
mod assets;
mod audit;
mod board;
mod calendar;
mod certificates;
pub mod checking;
mod cookie;
mod customer;
mod defects;
mod desk;
mod due;
mod entries;
mod error;
mod exports;
mod form;
mod front;
mod handovers;
mod instruments;
mod jobs;
mod kits;
mod labels;
mod links;
mod listen;
mod offline;
mod outbox_file;
mod page;
mod parts;
mod password;
mod patient;
mod people;
mod phones;
mod photos;
mod pin;
mod plans;
mod redirect;
mod reviews;
mod routes;
mod seals;
mod search;
mod session;
mod settings;
mod sheets;
mod shield;
mod sign_in;
mod status_list;
mod switch;
pub mod tls;
mod today;
mod trends;
mod vehicles;
mod verify;
mod views;
mod withdrawals;

use std::time::Duration;

use axum::Router;
use axum::http::StatusCode;
use axum::middleware::from_fn_with_state;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate as _};
use tower_http::timeout::TimeoutLayer;

pub use app::{App, Origin, Parts};
pub use audit::WORDS as AUDITED;
pub use listen::{Ended, Undelayed, serve};
pub use password::{Cost, hash as hash_password};
pub use patient::{Patient, Watched};
pub use pin::{fresh as fresh_pin, mixed as mixed_pin};
pub use redirect::redirect;
pub use routes::{Route, table};
pub use session::Access;

use error::WebError;

/// The largest request: some photos of 8 MB each.
const REQUEST_MIB_MAX: usize = 40;
/// The largest form without photos: a plan with every field, or a drawn signature.
const FORM_KIB_MAX: usize = 256;
/// The largest batch of a phone: 64 entries of 16 KiB, each byte of them written as up to six in JSON.
const BATCH_KIB_MAX: usize = 8 * 1024;
/// Longer than this no answer takes.
const ANSWER_WITHIN: Duration = Duration::from_secs(30);

/// Texts are packed on their way; an archive keeps its bytes and its length.
fn pack_what() -> impl tower_http::compression::Predicate {
    DefaultPredicate::new().and(NotForContentType::const_new("application/zip"))
}

/// The whole server as a service.
pub fn server(app: App) -> Router {
    routes::router(&app)
        .fallback(|| async { WebError::NotFound })
        .method_not_allowed_fallback(|| async { WebError::NotFound })
        .layer(TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, ANSWER_WITHIN))
        .layer(CatchPanicLayer::new())
        .layer(from_fn_with_state(app.clone(), shield::refuse_foreign))
        .layer(from_fn_with_state(app.clone(), error::write_problems))
        .layer(CompressionLayer::new().compress_when(pack_what()))
        .layer(from_fn_with_state(app.clone(), shield::dress))
        .with_state(app)
}
