//! The page of the kit editor: text, faults with their lines, the sheet it makes.

use askama::Template;
use axum::response::Response;

use super::edit::{Checked, Edited};
use super::{FaultLine, fault_line};
use crate::acts::kits::Preview;
use crate::domain::ids::Moment;
use crate::domain::kit::Kit;
use crate::domain::step::Phase;
use crate::web::page::{Frame, page};
use crate::web::session::Who;

/// What the page is made from.
pub(super) struct Shown<'a> {
    pub(super) who: &'a Who,
    pub(super) edited: &'a Edited,
    pub(super) text: &'a str,
    pub(super) checked: &'a Checked,
    /// When what is shown was kept as a draft.
    pub(super) kept: Option<Moment>,
    pub(super) is_draft: bool,
}

struct PhaseView {
    title: &'static str,
    /// Title of each step, and what it asks.
    steps: Vec<(String, String)>,
}

struct SheetView {
    words: String,
    made_with: String,
    phases: Vec<PhaseView>,
}

#[derive(Template)]
#[template(path = "pages/kit_edit.html")]
struct EditPage {
    frame: Frame,
    back: String,
    back_words: String,
    title: String,
    action: String,
    text: String,
    save_words: String,
    kept: String,
    is_draft: Option<()>,
    faults: Vec<FaultLine>,
    refused: Option<String>,
    sheet: Option<SheetView>,
}

pub(super) fn edit_page(shown: &Shown<'_>) -> Response {
    let Shown { who, edited, text, checked, .. } = shown;
    let row = edited.row.as_ref();
    let title = match row {
        Some(row) => format!("{}, the next edition", row.title),
        None => "A new kit".to_owned(),
    };
    let faults = checked.as_ref().err().cloned().unwrap_or_default();
    page(&EditPage {
        frame: Frame::new(title.clone(), who, "/kits"),
        back: row.map_or_else(|| "/kits".to_owned(), |row| format!("/kits/{}", row.id)),
        back_words: row.map_or_else(
            || "Kits".to_owned(),
            |row| format!("{}, edition {}", row.code, row.edition),
        ),
        title,
        action: edited.action.clone(),
        text: (*text).to_owned(),
        save_words: save_words(edited, checked),
        kept: kept_words(shown),
        is_draft: shown.is_draft.then_some(()),
        refused: refused(faults.len()),
        faults: faults.into_iter().map(fault_line).collect(),
        sheet: checked.as_ref().ok().map(|(kit, preview)| sheet_view(kit, preview)),
    })
}

fn save_words(edited: &Edited, checked: &Checked) -> String {
    let edition = checked.as_ref().map_or(edited.next_edition, |(kit, _)| kit.edition);
    format!("Save as edition {edition}")
}

fn kept_words(shown: &Shown<'_>) -> String {
    match shown.kept {
        Some(at) => format!(
            "Kept on the server as your draft, {} UTC. Only you see it; no edition yet.",
            at.date_and_minute()
        ),
        None => {
            "Nothing is changed yet. What you type is kept as your draft at each check.".to_owned()
        }
    }
}

fn refused(faults: usize) -> Option<String> {
    match faults {
        0 => None,
        1 => Some("One thing has to be put right.".to_owned()),
        n => Some(format!("{n} things have to be put right.")),
    }
}

fn sheet_view(kit: &Kit, preview: &Preview) -> SheetView {
    let steps = &preview.sheet.steps;
    let phase = |phase: Phase| PhaseView {
        title: phase.title(),
        steps: steps
            .iter()
            .filter(|step| step.phase == phase)
            .map(|step| (step.title.clone(), step.kind.asked()))
            .collect(),
    };
    SheetView {
        words: format!("Nothing is wrong. {} makes a sheet of {} steps.", kit.code, steps.len()),
        made_with: preview.made_with.clone(),
        phases: Phase::ALL.map(phase).into_iter().filter(|phase| !phase.steps.is_empty()).collect(),
    }
}
