//! Cookies: read from a request, set on an answer. None is for scripts, none for other hosts.

use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

use super::app::App;
use super::error::{WebError, ours};

/// The value of the cookie of this plain name.
pub(super) fn find<'a>(app: &App, headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let name = full_name(app, name);
    headers.get_all(COOKIE).iter().find_map(|header| {
        header.to_str().ok()?.split(';').find_map(|pair| {
            let (key, value) = pair.trim().split_once('=')?;
            (key == name).then_some(value)
        })
    })
}

/// What sets a cookie; one of no seconds is taken back.
pub(super) fn set(
    app: &App,
    name: &str,
    value: &str,
    max_age_s: i64,
) -> Result<HeaderValue, WebError> {
    let name = full_name(app, name);
    let secure = if app.origin().is_https() { "; Secure" } else { "" };
    let text =
        format!("{name}={value}; Path=/; HttpOnly; SameSite=Lax; Max-Age={max_age_s}{secure}");
    HeaderValue::from_str(&text).map_err(ours)
}

/// With HTTPS the name itself binds the cookie to this host and to secure transport.
fn full_name(app: &App, name: &str) -> String {
    if app.origin().is_https() { format!("__Host-{name}") } else { name.to_owned() }
}
