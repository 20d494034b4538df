//! A code for one phone, shown once: as a link to scan, and as letters to type.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::enrol::{link_digest, typed_digest};
use crate::domain::seal::hex;
use crate::storage::enrol_codes::{self, LIFE_MS, NewCode, TRIES_MAX};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::page::{Frame, Svg, page, qr};
use crate::web::session::Who;
use crate::world::{random, readable_code};

#[derive(Template)]
#[template(path = "pages/phone_code.html")]
struct CodePage {
    frame: Frame,
    qr: Svg,
    /// What is scanned, for sending it where nothing can be.
    link: String,
    /// What is typed where nothing can be scanned: the address, and the code in two groups.
    address: String,
    code: String,
    minutes: i64,
    tries: u32,
}

/// POST /phones/codes
pub(in crate::web) async fn make_code(
    State(app): State<App>,
    who: Who,
) -> Result<Response, WebError> {
    let (link, typed) = (hex(&random::<16>()?), readable_code()?);
    let new = NewCode {
        workshop: who.workshop(),
        made_by: who.person.id,
        link_sha256: link_digest(&link),
        typed_sha256: typed_digest(&typed),
        made: app.now(),
    };
    enrol_codes::append(app.store(), new).await?;
    let address = format!("{}/enrol", app.origin().address);
    let scanned = format!("{address}?code={link}");
    Ok(page(&CodePage {
        frame: Frame::new("A code for one phone", &who, "/phones"),
        qr: qr(&scanned)?,
        link: scanned,
        address,
        code: typed.split_at_checked(4).map_or_else(String::new, |(a, b)| format!("{a} {b}")),
        minutes: LIFE_MS / 60_000,
        tries: TRIES_MAX,
    }))
}
