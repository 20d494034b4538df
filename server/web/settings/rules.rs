//! `/settings/rules`: every rule and factor with its source, and the few that the workshop may choose.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use crate::acts::plan::limits_of;
use crate::domain::limit_choice::{Choosable, WorkshopLimits};
use crate::domain::number::Decimal;
use crate::domain::person::Role;
use crate::domain::rules::{RuleGroup, rules};
use crate::storage::limit_choices::{self, NewChoice};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault};
use crate::web::page::{Done, Frame, page};
use crate::web::session::Who;

const REASON_CHARS_MAX: usize = 300;

#[derive(Template)]
#[template(path = "pages/rules.html")]
struct RulesPage {
    frame: Frame,
    /// Only owners choose; managers read.
    may_choose: Option<()>,
    limits: Vec<LimitField>,
    reason: Field,
    faults: Vec<FormFault>,
    groups: Vec<RuleGroup>,
    choices: Vec<Choice>,
}

struct LimitField {
    field: Field,
    /// The usual figure and its band, in words.
    band: String,
}

/// What was chosen before, in a line.
struct Choice {
    day: String,
    by: String,
    figures: String,
    reason: String,
}

impl Choice {
    fn of(limits: WorkshopLimits) -> Self {
        let figure = |limit: Choosable| {
            format!("{}: {} {}", limit.title(), limits.figure(limit), limit.unit())
        };
        let figures = Choosable::ALL.map(figure).join("; ");
        let (day, by, reason) =
            limits.chosen.map_or_else(Default::default, |of| (of.day, of.by, of.reason));
        Self { day, by, figures, reason }
    }
}

async fn rules_page(app: &App, who: &Who, mut filled: Filled) -> Result<RulesPage, WebError> {
    let before = limit_choices::list(app.store(), who.workshop()).await?;
    let limits = Choosable::ALL.map(|limit| LimitField {
        field: filled.field(limit.word(), limit.title()).unit(limit.unit()),
        band: band(limit),
    });
    Ok(RulesPage {
        frame: Frame::new("Rules and factors", who, "/settings"),
        may_choose: (who.person.role == Role::Owner).then_some(()),
        limits: limits.into(),
        reason: filled
            .field("reason", "Why looser than usual")
            .hint("Needed where a figure is looser. It stands on each sheet beside the limit.")
            .optional(),
        faults: filled.into_faults(),
        groups: rules(),
        choices: before.into_iter().map(Choice::of).collect(),
    })
}

fn band(limit: Choosable) -> String {
    let (least, most) = limit.range();
    let looser = if limit.is_looser(least) { "lower" } else { "higher" };
    format!(
        "Usual {} {unit}, from {least} to {most} {unit}; a {looser} figure lets more through. {}",
        limit.usual().normalize(),
        limit.source(),
        unit = limit.unit(),
    )
}

/// GET /settings/rules
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let workshop = super::workshop(&app, &who).await?;
    let now = limits_of(app.store(), &workshop).await?;
    let reason = now.chosen.as_ref().map(|of| of.reason.clone()).unwrap_or_default();
    let figures = Choosable::ALL.map(|limit| (limit.word(), now.figure(limit).to_string()));
    let filled = Filled::with(figures.into_iter().chain([("reason", reason)]));
    let shown = rules_page(&app, &who, filled).await?;
    let kept = ("kept", "Kept. Sheets that are made from now on have these limits.");
    let frame = done.noted(shown.frame, &[kept]);
    Ok(page(&RulesPage { frame, ..shown }))
}

/// POST /settings/rules
pub(in crate::web) async fn choose(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some((limits, reason)) = checked(&mut filled) else {
        let again = page(&rules_page(&app, &who, filled).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let workshop = super::workshop(&app, &who).await?;
    let now = limits_of(app.store(), &workshop).await?;
    let same = Choosable::ALL.iter().all(|limit| now.figure(*limit) == limits.figure(*limit));
    let same_reason = now.chosen.as_ref().is_none_or(|of| of.reason == reason);
    if !(same && same_reason) {
        let new = NewChoice { limits, reason, by: who.person.id, at: app.now() };
        limit_choices::append(app.store(), who.workshop(), new).await?;
    }
    Ok(Redirect::to("/settings/rules?done=kept").into_response())
}

fn checked(filled: &mut Filled) -> Option<(WorkshopLimits, String)> {
    let [insulation, path, rise, string] = Choosable::ALL.map(|limit| figure(limit, filled));
    let limits = WorkshopLimits {
        insulation_least_megohm: insulation?,
        path_margin_percent: path?,
        terminal_rise_most_k: rise?,
        string_tolerance_percent: string?,
        chosen: None,
    };
    let reason = filled.maybe_line("reason", REASON_CHARS_MAX);
    let looser = Choosable::ALL.into_iter().find(|limit| limit.is_looser(limits.figure(*limit)));
    if let Some(limit) = looser.filter(|_| reason.is_empty()) {
        let usual = limit.usual().normalize();
        let why = format!(
            "{} is looser than the usual {usual} {}. Write why, or take the usual figure.",
            limit.title(),
            limit.unit()
        );
        filled.fault("reason", why);
    }
    filled.is_sound().then_some((limits, reason))
}

/// A figure inside the band of its limit.
fn figure(limit: Choosable, filled: &mut Filled) -> Option<Decimal> {
    let figure = filled.figure(limit.word())?;
    let (least, most) = limit.range();
    if figure < least || figure > most {
        let unit = limit.unit();
        filled.fault(limit.word(), format!("Write a figure from {least} to {most} {unit}."));
        return None;
    }
    Some(figure)
}
