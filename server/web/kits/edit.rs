//! `/kits/{kit}/edit`: a kit's text with its faults or the sheet it makes beside it. `new` in the place of a
//! kit begins one. What is typed is kept as a draft of whoever types it, until it is an edition.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::edit_page::{Shown, edit_page};
use super::upload::Upload;
use super::{edition_taken, new_kit, read};
use crate::acts::kits::{Preview, preview};
use crate::domain::document::Fault;
use crate::domain::kit::Kit;
use crate::domain::seal::sha256;
use crate::storage::Conflict;
use crate::storage::kit_drafts::{self, DraftKey, KitDraft};
use crate::storage::kits::{self, KitRow};
use crate::web::app::App;
use crate::web::error::{WebError, ours};
use crate::web::session::Who;

/// A first kit to write over.
const NEW: &str = include_str!("new.toml");
/// Stands in the address where a kit would.
const NEW_WORD: &str = "new";

/// What the editor is about.
pub(super) struct Edited {
    /// Nothing for a new kit.
    pub(super) row: Option<KitRow>,
    pub(super) next_edition: u32,
    /// What it opens with.
    pub(super) start: String,
    /// Its address.
    pub(super) action: String,
}

#[derive(Debug, Deserialize)]
pub(in crate::web) struct EditForm {
    #[serde(default)]
    text: String,
}

impl EditForm {
    /// Browsers send carriage returns that nobody typed.
    fn upload(&self) -> Upload {
        Upload { bytes: self.text.replace("\r\n", "\n").into_bytes() }
    }
}

/// GET /kits/{kit}/edit
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
) -> Result<Response, WebError> {
    let edited = edited(&app, &who, &kit).await?;
    let draft = kit_drafts::find(app.store(), key(&who, &edited)).await?;
    let text = draft.as_ref().map_or(&edited.start, |draft| &draft.text).clone();
    let checked = checked(&app, &who, text.as_bytes()).await?;
    let is_draft = draft.is_some();
    let kept = draft.map(|draft| draft.kept);
    Ok(edit_page(&Shown {
        who: &who,
        edited: &edited,
        text: &text,
        checked: &checked,
        kept,
        is_draft,
    }))
}

/// POST /kits/{kit}/edit/check: nothing becomes an edition, and the draft is kept.
pub(in crate::web) async fn check(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
    Form(form): Form<EditForm>,
) -> Result<Response, WebError> {
    let edited = edited(&app, &who, &kit).await?;
    let upload = form.upload();
    let checked = checked(&app, &who, &upload.bytes).await?;
    answer(&app, &who, &edited, &upload, checked).await
}

/// POST /kits/{kit}/edit: the same act as an import.
pub(in crate::web) async fn save(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
    Form(form): Form<EditForm>,
) -> Result<Response, WebError> {
    let edited = edited(&app, &who, &kit).await?;
    let upload = form.upload();
    let kit = match read(&upload.bytes) {
        Ok(kit) => kit,
        Err(faults) => return answer(&app, &who, &edited, &upload, Err(faults)).await,
    };
    match kits::append(app.store(), who.workshop(), new_kit(&app, &who, &kit, &upload)?).await {
        Err(error) if error.conflict() == Some(Conflict::KitEditionTaken) => {
            let faults = vec![edition_taken(&kit, &upload)];
            answer(&app, &who, &edited, &upload, Err(faults)).await
        }
        done => {
            let row = done?;
            kit_drafts::remove(app.store(), key(&who, &edited)).await?;
            Ok(Redirect::to(&format!("/kits/{}", row.id)).into_response())
        }
    }
}

/// POST /kits/{kit}/edit/drop: the draft is thrown away.
pub(in crate::web) async fn leave(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
) -> Result<Redirect, WebError> {
    let edited = edited(&app, &who, &kit).await?;
    kit_drafts::remove(app.store(), key(&who, &edited)).await?;
    Ok(Redirect::to(&edited.action))
}

fn key(who: &Who, edited: &Edited) -> DraftKey {
    (who.workshop(), who.person.id, edited.row.as_ref().map(|row| row.id))
}

async fn edited(app: &App, who: &Who, kit: &str) -> Result<Edited, WebError> {
    if kit == NEW_WORD {
        let action = format!("/kits/{NEW_WORD}/edit");
        return Ok(Edited { row: None, next_edition: 1, start: NEW.to_owned(), action });
    }
    let (row, source) = super::load(app, who, kit).await?;
    let all = kits::list(app.store(), who.workshop()).await?;
    let of_kit = all.iter().filter(|other| other.code == row.code).map(|other| other.edition);
    let next_edition = of_kit.max().unwrap_or(row.edition) + 1;
    let text = String::from_utf8(source).map_err(ours)?.replace("\r\n", "\n");
    let action = format!("/kits/{}/edit", row.id);
    let start = with_edition(&text, next_edition);
    Ok(Edited { row: Some(row), next_edition, start, action })
}

/// The text with another edition number, everything else as it was.
fn with_edition(text: &str, edition: u32) -> String {
    let is_edition = |line: &str| {
        let key = line.trim_start().strip_prefix("edition");
        key.is_some_and(|rest| rest.trim_start().starts_with('='))
    };
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    if let Some(line) = lines.iter_mut().find(|line| is_edition(line)) {
        *line = format!("edition = {edition}");
    }
    lines.join("\n")
}

/// What a text comes to: the kit with its sheet, or every fault.
pub(super) type Checked = Result<(Kit, Preview), Vec<Fault>>;

async fn checked(app: &App, who: &Who, bytes: &[u8]) -> Result<Checked, WebError> {
    let kit = match read(bytes) {
        Ok(kit) => kit,
        Err(faults) => return Ok(Err(faults)),
    };
    let preview = preview(app.store(), who.workshop(), &kit).await?;
    Ok(Ok((kit, preview)))
}

/// Whether the very text is an edition already: a check that was on its way while it was saved.
async fn is_saved(app: &App, who: &Who, checked: &Checked, bytes: &[u8]) -> Result<bool, WebError> {
    let Ok((kit, _)) = checked else { return Ok(false) };
    let there = kits::find(app.store(), who.workshop(), &kit.code, kit.edition).await?;
    Ok(there.is_some_and(|row| row.sha256 == sha256(bytes)))
}

/// The page again with the typed text, which is kept.
async fn answer(
    app: &App,
    who: &Who,
    edited: &Edited,
    upload: &Upload,
    checked: Checked,
) -> Result<Response, WebError> {
    let text = upload.text();
    let is_draft = text != edited.start && !is_saved(app, who, &checked, &upload.bytes).await?;
    let now = app.now();
    if is_draft {
        let draft = KitDraft { text: text.clone(), kept: now };
        kit_drafts::keep(app.store(), key(who, edited), draft).await?;
    } else {
        kit_drafts::remove(app.store(), key(who, edited)).await?;
    }
    let code = if checked.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let kept = is_draft.then_some(now);
    let shown = Shown { who, edited, text: &text, checked: &checked, kept, is_draft };
    Ok((code, edit_page(&shown)).into_response())
}
