//! `/jobs/{job}/links`: links for the customer of a job: made, shown once, counted, revoked.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, day_words};
use super::page::{Done, Frame, Svg, page, qr};
use super::session::Who;
use super::views::ago;
use crate::acts::job::{JobFile, load};
use crate::acts::links::{DAYS, make};
use crate::domain::ids::{JobId, LinkId, Moment};
use crate::domain::paper_style::Language;
use crate::storage::jobs;
use crate::storage::links::{self, Link};

const REVOKED: (&str, &str) =
    ("revoked", "Revoked. Whoever holds this link sees nothing any more.");

const LANGUAGE: (&str, &str) =
    ("language", "Kept. The papers that are made next are in that language.");

#[derive(Template)]
#[template(path = "pages/links.html")]
struct LinksPage {
    frame: Frame,
    number: u64,
    back: String,
    action: String,
    /// Of this job's papers, where a manager looks at the page.
    language: Option<Chosen>,
    valid: Field,
    days: Vec<Choice>,
    /// Only in the answer that made it.
    fresh: Option<Fresh>,
    links: Vec<LinkLine>,
}

/// A link that was just made: shown now and never again.
struct Fresh {
    address: String,
    qr: Svg,
    until: String,
}

struct LinkLine {
    made: String,
    state: String,
    opened: String,
    revoke: Option<String>,
}

/// GET /jobs/{job}/links
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    done: Done,
) -> Result<Response, WebError> {
    let shown = links_page(&app, &who, job, Filled::default()).await?;
    let frame = done.noted(shown.frame, &[REVOKED, LANGUAGE]);
    Ok(page(&LinksPage { frame, ..shown }))
}

async fn links_page(
    app: &App,
    who: &Who,
    job: JobId,
    mut filled: Filled,
) -> Result<LinksPage, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let links = links::list(app.store(), who.workshop(), job).await?;
    let now = app.now();
    let choices = DAYS.map(|days| (days.to_string(), format!("{days} days")));
    Ok(LinksPage {
        frame: Frame::new(format!("Links, job {}", file.row.number), who, "/jobs"),
        number: file.row.number,
        back: format!("/jobs/{job}"),
        action: format!("/jobs/{job}/links"),
        language: if who.is_manager() { Some(Chosen::of(app, who, job).await?) } else { None },
        days: filled.choices("days", choices),
        valid: filled.field("days", "Can be opened for").hint("Then it shows nothing any more."),
        fresh: None,
        links: links.iter().map(|link| LinkLine::of(link, &file, now)).collect(),
    })
}

/// The language of the job's papers, to choose.
struct Chosen {
    field: Field,
    languages: Vec<Choice>,
    action: String,
}

impl Chosen {
    async fn of(app: &App, who: &Who, job: JobId) -> Result<Self, WebError> {
        let own = jobs::language(app.store(), who.workshop(), job).await?;
        let mut filled = Filled::with([("language", own.map_or("", Language::word))]);
        let all = Language::ALL.map(|language| (language.word(), language.label()));
        let languages = [("", "The workshop\u{2019}s")].into_iter().chain(all);
        Ok(Self {
            languages: filled.choices("language", languages),
            field: filled
                .field("language", "Language of this job\u{2019}s papers")
                .hint("Handover, labels, this link and the next certificate."),
            action: format!("/jobs/{job}/language"),
        })
    }
}

/// POST /jobs/{job}/language
pub(super) async fn change_language(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    filled: Filled,
) -> Result<Response, WebError> {
    jobs::load(app.store(), who.workshop(), job).await?.ok_or(WebError::NotFound)?;
    let language = Language::find(filled.text("language"));
    if language.is_none() && !filled.text("language").is_empty() {
        return Err(WebError::Rule("Choose one of the languages of the list.".to_owned()));
    }
    jobs::change_language(app.store(), who.workshop(), job, language).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/links?done=language")).into_response())
}

impl LinkLine {
    fn of(link: &Link, file: &JobFile, now: Moment) -> Self {
        let on = |at: Moment| day_words(&at.date());
        let state = match link.revoked {
            Some(at) => format!("revoked on {}", on(at)),
            None if link.is_live(now) => format!("until {}", on(link.expires)),
            None => format!("ended on {}", on(link.expires)),
        };
        let opened = match link.last_opened {
            Some(at) if link.opened == 1 => format!("once, {} ago", ago(now, at)),
            Some(at) => format!("{} times, last {} ago", link.opened, ago(now, at)),
            None => "not yet".to_owned(),
        };
        let revoke = format!("/jobs/{}/links/{}/revoke", link.job, link.id);
        Self {
            made: format!("{}, {}", on(link.made), file.name_of(link.made_by)),
            state,
            opened,
            revoke: link.is_live(now).then_some(revoke),
        }
    }
}

/// POST /jobs/{job}/links: the answer is the page with the new link, since it cannot be shown again.
pub(super) async fn append(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let days = filled.text("days").parse().ok().filter(|days| DAYS.contains(days));
    let Some(days) = days else {
        filled.fault("days", "Choose one of the spans of the list.");
        let again = page(&links_page(&app, &who, job, filled).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let by = who.by(app.now());
    let token = make(app.store(), &by, job, LinkId(app.new_id()?), days).await?;
    let address = format!("{}/handover/open/{token}", app.origin().address);
    let until = day_words(&by.now.plus_days(days).date());
    let fresh = Fresh { qr: qr(&address)?, address, until };
    let shown = links_page(&app, &who, job, Filled::default()).await?;
    Ok(page(&LinksPage { fresh: Some(fresh), ..shown }))
}

/// POST /jobs/{job}/links/{link}/revoke
pub(super) async fn revoke(
    State(app): State<App>,
    who: Who,
    Path((job, link)): Path<(JobId, LinkId)>,
) -> Result<Redirect, WebError> {
    let of = (who.workshop(), job);
    if !links::revoke(app.store(), of, link, who.person.id, app.now()).await? {
        return Err(WebError::NotFound);
    }
    Ok(Redirect::to(&format!("/jobs/{job}/links?done=revoked")))
}
