//! `/kits`: kit editions as files: import with every fault shown, look, export byte for byte.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::{WebError, ours};
use super::form::{day_words, id};
use super::page::{Frame, page};
use super::session::Who;
use super::shield::FILES;
use crate::domain::document::{DOCUMENT_BYTES_MAX, Fault};
use crate::domain::ids::KitId;
use crate::domain::kit::Kit;
use crate::domain::kit_check::read_kit;
use crate::storage::Conflict;
use crate::storage::kits::{self, KitRow, NewKit};

pub(super) mod compare;
pub(super) mod edit;
mod edit_page;
mod show;
mod upload;
mod used;

use show::kit_page;
use upload::Upload;

struct ListedKit {
    href: String,
    title: String,
    code: String,
    edition: u32,
    imported: String,
    use_kind: &'static str,
    use_word: &'static str,
}

/// A fault as the page lists it.
struct FaultLine {
    line: usize,
    key: String,
    wrong: String,
    instead: String,
}

#[derive(Template)]
#[template(path = "pages/kits.html")]
struct KitsPage {
    frame: Frame,
    kits: Vec<ListedKit>,
    empty: Option<()>,
    /// What was sent, where it had faults.
    text: String,
    faults: Vec<FaultLine>,
    refused: Option<String>,
}

/// GET /kits
pub(super) async fn list(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    Ok(page(&kits_page(&app, &who, String::new(), Vec::new()).await?))
}

async fn kits_page(
    app: &App,
    who: &Who,
    text: String,
    faults: Vec<Fault>,
) -> Result<KitsPage, WebError> {
    let rows = kits::list(app.store(), who.workshop()).await?;
    let refused = match faults.len() {
        0 => None,
        1 => Some("This kit was not imported: one thing in it has to be put right.".to_owned()),
        n => Some(format!("This kit was not imported: {n} things in it have to be put right.")),
    };
    Ok(KitsPage {
        frame: Frame::new("Kits", who, "/kits"),
        empty: rows.is_empty().then_some(()),
        kits: rows.into_iter().map(listed).collect(),
        text,
        faults: faults.into_iter().map(fault_line).collect(),
        refused,
    })
}

fn listed(row: KitRow) -> ListedKit {
    let (use_kind, use_word) =
        if row.in_use { ("pass", "In use") } else { ("todo", "Not used yet") };
    ListedKit {
        href: format!("/kits/{}", row.id),
        title: row.title,
        code: row.code,
        edition: row.edition,
        imported: day_words(&row.imported.date()),
        use_kind,
        use_word,
    }
}

fn fault_line(fault: Fault) -> FaultLine {
    let Fault { line, key, wrong, instead } = fault;
    let key = if key.is_empty() { "the file".to_owned() } else { key };
    FaultLine { line, key, wrong, instead }
}

/// POST /kits
pub(super) async fn import(
    State(app): State<App>,
    who: Who,
    upload: Upload,
) -> Result<Response, WebError> {
    let kit = match read(&upload.bytes) {
        Ok(kit) => kit,
        Err(faults) => return refused(&app, &who, &upload, faults).await,
    };
    match kits::append(app.store(), who.workshop(), new_kit(&app, &who, &kit, &upload)?).await {
        Err(error) if error.conflict() == Some(Conflict::KitEditionTaken) => {
            refused(&app, &who, &upload, vec![edition_taken(&kit, &upload)]).await
        }
        done => Ok(Redirect::to(&format!("/kits/{}", done?.id)).into_response()),
    }
}

fn read(bytes: &[u8]) -> Result<Kit, Vec<Fault>> {
    if bytes.len() > DOCUMENT_BYTES_MAX {
        let kib = DOCUMENT_BYTES_MAX / 1024;
        return Err(whole(
            format!("The file is larger than {kib} KiB."),
            "Choose the kit file itself: it is a few kilobytes of text.",
        ));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_kit(text),
        Err(_) => Err(whole(
            "The file is not text in UTF-8.".to_owned(),
            "Save it as UTF-8 text, or choose the kit file itself.",
        )),
    }
}

fn whole(wrong: String, instead: &str) -> Vec<Fault> {
    vec![Fault { line: 1, key: String::new(), wrong, instead: instead.to_owned() }]
}

fn new_kit(app: &App, who: &Who, kit: &Kit, upload: &Upload) -> Result<NewKit, WebError> {
    Ok(NewKit {
        id: KitId(app.new_id()?),
        code: kit.code.clone(),
        edition: kit.edition,
        title: kit.title.clone(),
        source: upload.bytes.clone(),
        imported: app.now(),
        imported_by: who.person.id,
    })
}

fn edition_taken(kit: &Kit, upload: &Upload) -> Fault {
    let text = upload.text();
    let line = text.lines().position(|line| line.trim_start().starts_with("edition"));
    Fault {
        line: line.map_or(1, |line| line + 1),
        key: "edition".to_owned(),
        wrong: format!(
            "Edition {} of {} is already here with other content.",
            kit.edition, kit.code
        ),
        instead: "Give the changed kit the next edition number.".to_owned(),
    }
}

async fn refused(
    app: &App,
    who: &Who,
    upload: &Upload,
    faults: Vec<Fault>,
) -> Result<Response, WebError> {
    let again = page(&kits_page(app, who, upload.text(), faults).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

/// Where the list of jobs goes on.
#[derive(Debug, Default, Deserialize)]
pub(super) struct ShowQuery {
    #[serde(default)]
    before: String,
}

/// GET /kits/{kit}
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
    Query(query): Query<ShowQuery>,
) -> Result<Response, WebError> {
    let (row, source) = load(&app, &who, &kit).await?;
    let before = query.before.parse().ok();
    let kit = read(&source).map_err(|_| ours(format!("stored kit {} has faults", row.id)))?;
    Ok(page(&kit_page(&app, &who, row, &kit, before).await?))
}

/// GET /kits/{kit}/file
pub(super) async fn export(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
) -> Result<Response, WebError> {
    let (row, source) = load(&app, &who, &kit).await?;
    let name = format!("{}-{}.toml", row.code, row.edition);
    let headers = [
        (header::CONTENT_TYPE, "application/toml".to_owned()),
        (header::CONTENT_SECURITY_POLICY, FILES.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, source).into_response())
}

async fn load(app: &App, who: &Who, kit: &str) -> Result<(KitRow, Vec<u8>), WebError> {
    kits::load(app.store(), who.workshop(), id(kit)?).await?.ok_or(WebError::NotFound)
}
