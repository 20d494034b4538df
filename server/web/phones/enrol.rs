//! `/enrol`: a phone gives its code and a name, and becomes one that people share. Opening the link
//! changes nothing, because programs that look after messages open links too.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};

use super::LABEL_CHARS_MAX;
use crate::domain::ids::DeviceId;
use crate::domain::seal::sha256;
use crate::storage::devices::Device;
use crate::storage::enrol_codes::Given;
use crate::storage::phones::{self, NewPhone};
use crate::storage::workshops::Workshop;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault, Pairs};
use crate::web::page::{Frame, page};
use crate::web::session::KnownDevice;
use crate::web::sign_in::{Caller, settled_workshop};

/// Digits of the code in a link.
const LINK_CHARS: usize = 32;

#[derive(Template)]
#[template(path = "pages/enrol.html")]
struct EnrolPage {
    frame: Frame,
    workshop: String,
    /// The code that the link brought, until it was refused.
    link: Option<String>,
    code: Field,
    label: Field,
    faults: Vec<FormFault>,
}

impl EnrolPage {
    fn new(workshop: &Workshop, mut filled: Filled) -> Self {
        let code = filled
            .field("code", "Code")
            .hint("Eight letters and digits that a manager sees under Phones.");
        let is_link = code.error.is_none() && is_link(&code.value);
        Self {
            frame: Frame::bare("Enrol this phone"),
            workshop: workshop.name.clone(),
            link: is_link.then(|| code.value.clone()),
            code: if is_link { code.secret() } else { code },
            label: filled
                .field("label", "What this phone is called")
                .hint("Where it lies, or what is written on it, such as Bay 2."),
            faults: filled.into_faults(),
        }
    }
}

/// GET /enrol
pub(in crate::web) async fn enrol_page(
    State(app): State<App>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    Ok(page(&EnrolPage::new(&workshop, Filled::with(pairs))))
}

/// POST /enrol
pub(in crate::web) async fn enrol(
    State(app): State<App>,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    let label = filled.line("label", LABEL_CHARS_MAX);
    let given = given(&mut filled);
    if let (Some(given), true) = (given, filled.is_sound()) {
        if let Some(phone) = take_in(&app, &workshop, &caller, (given, label)).await? {
            let cookie = AppendHeaders([phone.cookie(&app)?]);
            return Ok((cookie, Redirect::to("/switch")).into_response());
        }
        filled.fault("code", "This code is wrong, used or too old. Ask a manager for a new one.");
    }
    let again = page(&EnrolPage::new(&workshop, filled));
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

/// A browser that has been here keeps its id, since its entries name it, unless it was revoked.
async fn take_in(
    app: &App,
    workshop: &Workshop,
    caller: &Caller,
    (given, label): (Given, String),
) -> Result<Option<KnownDevice>, WebError> {
    let id = match caller.device(app, workshop.id).await? {
        Some(known) => known.id,
        None => DeviceId(app.new_id()?),
    };
    let phone = KnownDevice::enrolled(id)?;
    let Some(secret_sha256) = phone.secret_sha256() else { return Ok(None) };
    let device = Device { id, first_seen: app.now(), label };
    let new = NewPhone { workshop: workshop.id, device, secret_sha256, given, at: app.now() };
    let good = phones::append(app.store(), new).await?;
    Ok(good.then_some(phone))
}

fn given(filled: &mut Filled) -> Option<Given> {
    let code = filled.line("code", 2 * LINK_CHARS);
    if is_link(&code) {
        return Some(Given::Link(link_digest(&code)));
    }
    (!code.is_empty()).then(|| Given::Typed(typed_digest(&code)))
}

fn is_link(code: &str) -> bool {
    code.len() == LINK_CHARS && code.bytes().all(|byte| byte.is_ascii_hexdigit())
}

pub(super) fn link_digest(code: &str) -> [u8; 32] {
    sha256(code.as_bytes())
}

/// However it is written: in groups or small letters, and with letters that stand for a digit that they
/// look like, since codes hold none of those.
pub(super) fn typed_digest(code: &str) -> [u8; 32] {
    let plain = code.chars().filter(char::is_ascii_alphanumeric).map(|c| match c {
        'o' | 'O' => '0',
        'i' | 'I' | 'l' | 'L' => '1',
        other => other.to_ascii_uppercase(),
    });
    sha256(plain.collect::<String>().as_bytes())
}
