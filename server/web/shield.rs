//! What every answer carries and every request must show: headers, and the same-origin rule.
//!
//! An unsafe method passes only from this server's own pages: `Sec-Fetch-Site: same-origin`, or,
//! from a browser that does not say, an `Origin` equal to the configured one. Without either the
//! answer is 403. There is no token in pages: pages kept on a phone would carry stale ones.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::WebError;

const PAGES: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
    font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; \
    base-uri 'none'; object-src 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'";
/// For photos and papers that somebody might open by themselves.
pub(super) const FILES: &str = "sandbox; default-src 'none'; frame-ancestors 'none'";

const ALWAYS: [(&str, &str); 6] = [
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(self), geolocation=(), microphone=()"),
    ("x-frame-options", "DENY"),
];
/// For this host alone: a workshop that serves from its bare domain has other hosts below it, which
/// may know no HTTPS.
const HSTS: &str = "max-age=63072000";

/// The outermost layer: no answer leaves without its headers.
pub(super) async fn dress(State(app): State<App>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    put_on(&app, response.headers_mut());
    response
}

/// Lies outside of everything that reads the request, and inside of what writes problems down.
pub(super) async fn refuse_foreign(
    State(app): State<App>,
    request: Request,
    next: Next,
) -> Response {
    if is_from_here(&app, request.method(), request.headers()) {
        return next.run(request).await;
    }
    WebError::Forbidden(
        "This request did not come from this server's own pages. Open the page here and try again.",
    )
    .into_response()
}

fn is_from_here(app: &App, method: &Method, headers: &HeaderMap) -> bool {
    if method.is_safe() {
        return true;
    }
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    match (text("sec-fetch-site"), text("origin")) {
        (Some(site), _) => site == "same-origin",
        (None, Some(origin)) => origin == app.origin().address,
        (None, None) => false,
    }
}

fn put_on(app: &App, headers: &mut HeaderMap) {
    for (name, value) in ALWAYS {
        headers.entry(HeaderName::from_static(name)).or_insert(HeaderValue::from_static(value));
    }
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(PAGES));
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    if app.origin().is_https() {
        headers.insert(header::STRICT_TRANSPORT_SECURITY, HeaderValue::from_static(HSTS));
    }
}
