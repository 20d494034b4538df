//! `/due`: what is due at which vehicle, the overdue first, month by month; and a calendar's address.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::Date;

use super::app::App;
use super::calendar::digest;
use super::error::WebError;
use super::form::day_words;
use super::page::{Done, Frame, page};
use super::session::Who;
use crate::acts::due::{self, Due, Mark};
use crate::domain::certificate::on_paper;
use crate::domain::ids::Moment;
use crate::storage::calendar_tokens;
use crate::storage::due::DueMark;
use crate::world::secret;

/// What the page says after a change.
const DONE: [(&str, &str); 1] =
    [("revoked", "Revoked. Calendars that read from the address get nothing any more.")];

struct DueView {
    day: String,
    /// How long ago or ahead it is.
    note: String,
    href: String,
    registration: String,
    vehicle: String,
    what: &'static str,
    /// Job, certificate and customer.
    about: String,
    /// Where it is inspected again, or the job that does so already.
    act: String,
    words: String,
}

struct GroupView {
    word: String,
    title: String,
    due: Vec<DueView>,
}

#[derive(Template)]
#[template(path = "pages/due.html")]
struct DuePage {
    frame: Frame,
    groups: Vec<GroupView>,
    empty: Option<()>,
    later: Option<String>,
    /// When the address of the calendar was made that this person has.
    made: Option<String>,
    /// The address, shown once.
    address: Option<String>,
}

/// Where a page begins.
#[derive(Debug, Default, Deserialize)]
pub(super) struct DueQuery {
    #[serde(default)]
    after: String,
}

/// GET /due
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Query(query): Query<DueQuery>,
    done: Done,
) -> Result<Response, WebError> {
    let mark = parse_mark(&query.after).unwrap_or_else(|| Mark::start(app.now()));
    let shown = due_page(&app, &who, mark, None).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&DuePage { frame, ..shown }))
}

async fn due_page(
    app: &App,
    who: &Who,
    mark: Mark,
    address: Option<String>,
) -> Result<DuePage, WebError> {
    let found = due::page(app.store(), who.workshop(), mark).await?;
    let made = calendar_tokens::load(app.store(), who.workshop(), who.person.id).await?;
    Ok(DuePage {
        frame: Frame::new("Due", who, "/due"),
        empty: found.due.is_empty().then_some(()),
        groups: groups(&found.due, app.now().utc().date()),
        later: found.next.map(|mark| format!("/due?after={}", mark_text(&mark))),
        made: made.map(|made| day_words(&made.date())),
        address,
    })
}

/// What is overdue, then each month.
fn groups(all: &[Due], today: Date) -> Vec<GroupView> {
    let mut groups: Vec<GroupView> = Vec::new();
    for due in all {
        let (word, title) = if due.day < today {
            ("overdue".to_owned(), "Overdue".to_owned())
        } else {
            let (year, month) = (due.day.year(), due.day.month());
            (format!("{year}-{:02}", u8::from(month)), format!("{month} {year}"))
        };
        if groups.last().is_none_or(|group| group.word != word) {
            groups.push(GroupView { word, title, due: Vec::new() });
        }
        if let Some(group) = groups.last_mut() {
            group.due.push(view(due, today));
        }
    }
    groups
}

fn view(due: &Due, today: Date) -> DueView {
    let row = &due.row;
    let (act, words) = match row.under_way {
        Some((job, number)) => (format!("/jobs/{job}"), format!("Under way: job {number}")),
        None => (format!("/jobs/{}/again", row.job), "Inspect again".to_owned()),
    };
    DueView {
        day: day_words(&due.day.to_string()),
        note: days_words((due.day - today).whole_days()),
        href: format!("/vehicles/{}", row.job),
        registration: row.registration.clone(),
        vehicle: row.vehicle.clone(),
        what: due.kind.title(),
        about: format!(
            "Job {}, certificate {}, {}",
            row.job_number,
            on_paper(&row.certificate),
            row.customer_name
        ),
        act,
        words,
    }
}

fn days_words(days: i64) -> String {
    let counted = |days: i64| if days == 1 { "1 day".to_owned() } else { format!("{days} days") };
    match days {
        0 => "today".to_owned(),
        1.. => format!("in {}", counted(days)),
        _ => format!("{} overdue", counted(-days)),
    }
}

/// `1795593600000-BY26000012_1795593600000-BY26000011`: both lists' marks.
fn mark_text(mark: &Mark) -> String {
    let one = |mark: &DueMark| format!("{}.{}", mark.issued.0, mark.certificate);
    format!("{}_{}", one(&mark.retorque), one(&mark.inspection))
}

fn parse_mark(text: &str) -> Option<Mark> {
    let one = |text: &str| {
        let (issued, certificate) = text.split_once('.')?;
        let issued = Moment(issued.parse().ok()?);
        Some(DueMark { issued, certificate: certificate.to_owned() })
    };
    let (retorque, inspection) = text.split_once('_')?;
    Some(Mark { retorque: one(retorque)?, inspection: one(inspection)? })
}

/// POST /due/calendar: the page once more, with the address that is never shown again.
pub(super) async fn make_address(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let secret = secret()?;
    let new = (who.person.id, digest(&secret), app.now());
    calendar_tokens::append(app.store(), who.workshop(), new).await?;
    let address = format!("{}/calendar/{secret}.ics", app.origin().address);
    Ok(page(&due_page(&app, &who, Mark::start(app.now()), Some(address)).await?))
}

/// POST /due/calendar/revoke
pub(super) async fn revoke_address(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let made = calendar_tokens::load(app.store(), who.workshop(), who.person.id).await?;
    made.ok_or(WebError::NotFound)?;
    calendar_tokens::revoke(app.store(), who.workshop(), who.person.id).await?;
    Ok(Redirect::to("/due?done=revoked").into_response())
}
