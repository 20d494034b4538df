//! `/kits/{kit}/compare`: what changed between two editions, in the kit and on the sheet it makes.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

use super::read;
use crate::acts::kits::preview_both;
use crate::domain::kit::Kit;
use crate::domain::kit_change::{KitChange, Subject, kit_changes};
use crate::domain::sheet::Sheet;
use crate::domain::sheet::change::SheetChange;
use crate::storage::kits;
use crate::web::app::App;
use crate::web::error::{WebError, ours};
use crate::web::page::{Frame, page};
use crate::web::session::Who;

const NOT_THERE: &str = "–";

/// Which two.
#[derive(Debug, Default, Deserialize)]
pub(in crate::web) struct CompareQuery {
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
}

struct ChangeLine {
    name: String,
    from: String,
    to: String,
    /// `Changed`, `New` or `Gone`.
    word: &'static str,
}

struct Group {
    title: &'static str,
    changes: Vec<ChangeLine>,
}

struct StepLine {
    word: &'static str,
    title: String,
    what: String,
}

#[derive(Template)]
#[template(path = "pages/kit_compare.html")]
struct ComparePage {
    frame: Frame,
    back: String,
    title: String,
    lede: String,
    same: Option<()>,
    groups: Vec<Group>,
    steps: Vec<StepLine>,
    made_with: String,
}

/// GET /kits/{kit}/compare
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(kit): Path<String>,
    Query(query): Query<CompareQuery>,
) -> Result<Response, WebError> {
    let (row, _) = super::load(&app, &who, &kit).await?;
    let old = edition(&app, &who, &row.code, &query.from).await?;
    let new = edition(&app, &who, &row.code, &query.to).await?;
    let (was, now) = preview_both(app.store(), who.workshop(), (&old, &new)).await?;
    let groups = groups(&kit_changes(&old, &new));
    let steps = step_lines(&was.sheet, &now.sheet);
    let title = format!("{}: edition {} and {}", row.code, old.edition, new.edition);
    Ok(page(&ComparePage {
        frame: Frame::new(title.clone(), &who, "/kits"),
        back: format!("/kits/{}", row.id),
        title,
        lede: format!("What edition {} has otherwise than edition {}.", new.edition, old.edition),
        same: groups.is_empty().then_some(()),
        groups,
        steps,
        made_with: now.made_with,
    }))
}

async fn edition(app: &App, who: &Who, code: &str, typed: &str) -> Result<Kit, WebError> {
    let number = typed.parse().map_err(|_| {
        WebError::Rule("Write two editions by their numbers, such as ?from=1&to=2.".to_owned())
    })?;
    let row = kits::find(app.store(), who.workshop(), code, number).await?;
    let row = row.ok_or(WebError::NotFound)?;
    let loaded = kits::load(app.store(), who.workshop(), row.id).await?;
    let (_, source) = loaded.ok_or(WebError::NotFound)?;
    read(&source).map_err(|_| ours(format!("stored kit {} has faults", row.id)))
}

fn groups(changes: &[KitChange]) -> Vec<Group> {
    let of = |subject: Subject| Group {
        title: subject.title(),
        changes: changes.iter().filter(|c| c.subject == subject).map(change_line).collect(),
    };
    Subject::ALL.map(of).into_iter().filter(|group| !group.changes.is_empty()).collect()
}

fn change_line(change: &KitChange) -> ChangeLine {
    let shown = |side: &Option<String>| side.clone().unwrap_or_else(|| NOT_THERE.to_owned());
    ChangeLine {
        name: change.name.clone(),
        from: shown(&change.from),
        to: shown(&change.to),
        word: match (&change.from, &change.to) {
            (None, _) => "New",
            (_, None) => "Gone",
            _ => "Changed",
        },
    }
}

/// Steps in the order of the later sheet, then those that are gone.
fn step_lines(old: &Sheet, new: &Sheet) -> Vec<StepLine> {
    let change = SheetChange::between(old, new);
    let line = |sheet: &Sheet, key: &String, word| {
        let step = sheet.step(key)?;
        Some(StepLine { word, title: step.title.clone(), what: step.kind.asked() })
    };
    let changed = change.changed.iter().filter_map(|changed| {
        let step = new.step(&changed.key)?;
        let what = changed.words.clone();
        Some(StepLine { word: "Changed", title: step.title.clone(), what })
    });
    let added = change.added.iter().filter_map(|key| line(new, key, "New"));
    let gone = change.gone.iter().filter_map(|key| line(old, key, "Gone"));
    changed.chain(added).chain(gone).collect()
}
