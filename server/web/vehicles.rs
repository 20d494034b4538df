//! `/vehicles/{job}`: every job of one vehicle, and what is due next. Any job of the vehicle leads here; the
//! address is that of its first.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::day_words;
use super::page::{Frame, page};
use super::session::Who;
use super::views::Mark;
use crate::acts::due::Kind;
use crate::domain::certificate::on_paper;
use crate::domain::ids::{JobId, Moment};
use crate::domain::job::Stage;
use crate::storage::jobs::{OfVehicle, of_vehicle, with_same_vin};

struct JobView {
    href: String,
    number: u64,
    /// What kind of job it is, and when it was opened.
    opened: String,
    kit: String,
    customer: String,
    stage: &'static str,
    certificate: Option<CertificateView>,
    due: Option<DueView>,
    /// Where it is inspected again.
    again: Option<String>,
}

struct CertificateView {
    href: String,
    number: String,
    mark: Mark,
}

struct DueView {
    day: String,
    note: Option<&'static str>,
}

#[derive(Template)]
#[template(path = "pages/vehicle.html")]
struct VehiclePage {
    frame: Frame,
    registration: String,
    lede: String,
    facts: Vec<(&'static str, String)>,
    jobs: Vec<JobView>,
    alike: Vec<JobView>,
}

/// GET /vehicles/{job}
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let jobs = of_vehicle(app.store(), who.workshop(), job).await?;
    let (Some(newest), Some(first)) = (jobs.first(), jobs.last()) else {
        return Err(WebError::NotFound);
    };
    if first.job.id != job {
        return Ok(Redirect::to(&format!("/vehicles/{}", first.job.id)).into_response());
    }
    let alike = with_same_vin(app.store(), who.workshop(), job).await?;
    let look = Look { who: &who, now: app.now(), jobs: &jobs };
    let other = Look { jobs: &alike, ..look };
    Ok(page(&VehiclePage {
        frame: Frame::new(format!("Vehicle {}", newest.job.registration), &who, "/jobs"),
        registration: newest.job.registration.clone(),
        lede: newest.job.vehicle.clone(),
        facts: look.facts(newest),
        jobs: jobs.iter().map(|of| look.job(of)).collect(),
        alike: alike.iter().map(|of| other.job(of)).collect(),
    }))
}

/// Who looks at which jobs, and when.
#[derive(Clone, Copy)]
struct Look<'a> {
    who: &'a Who,
    now: Moment,
    jobs: &'a [OfVehicle],
}

/// The job that a line of re-inspections began with.
fn line_of(of: &OfVehicle) -> JobId {
    of.job.again.as_ref().map_or(of.job.id, |again| again.first)
}

/// When the certificate in force was issued.
fn in_force(of: &OfVehicle) -> Option<Moment> {
    of.certificate.as_ref().filter(|newest| !newest.withdrawn).map(|newest| newest.issued)
}

impl Look<'_> {
    fn facts(&self, newest: &OfVehicle) -> Vec<(&'static str, String)> {
        let vin = self.jobs.iter().find(|of| !of.vin.is_empty());
        let due = self.jobs.iter().filter(|of| self.is_newest_in_force(of)).filter_map(in_force);
        let due = due.filter_map(|issued| Kind::Inspection.day(issued)).min();
        let mut facts = vec![("Customer", newest.job.customer_name.clone())];
        facts.extend(vin.map(|of| ("VIN ends in", format!("…{}", of.vin))));
        facts.push(("Jobs", self.jobs.len().to_string()));
        facts.extend(due.map(|day| ("Next inspection", day_words(&day.to_string()))));
        facts
    }

    fn of_line(&self, line: JobId) -> impl Iterator<Item = &OfVehicle> {
        self.jobs.iter().filter(move |of| line_of(of) == line)
    }

    /// Its certificate is the one of its line that counts.
    fn is_newest_in_force(&self, of: &OfVehicle) -> bool {
        let mine = in_force(of).map(|issued| (issued, of.job.number));
        let all = self.of_line(line_of(of));
        let newest = all.filter_map(|o| Some((in_force(o)?, o.job.number))).max();
        mine.is_some() && mine == newest
    }

    fn job(&self, of: &OfVehicle) -> JobView {
        let (row, counts) = (&of.job, self.is_newest_in_force(of));
        let under_way = |of: &OfVehicle| of.job.again.is_some() && of.certificate.is_none();
        let is_free = !self.of_line(line_of(of)).any(under_way);
        let kind = if row.again.is_some() { "Re-inspection" } else { "Fitted" };
        JobView {
            href: format!("/jobs/{}", row.id),
            number: row.number,
            opened: format!("{kind}, opened {}", day_words(&row.opened.date())),
            kit: row.kit_title.clone(),
            customer: row.customer_name.clone(),
            stage: Stage::parse(&row.stage).map_or("", Stage::title),
            certificate: of.certificate.as_ref().map(|newest| CertificateView {
                href: format!("/certificates/{}", newest.number),
                number: on_paper(&newest.number),
                mark: match (newest.withdrawn, counts) {
                    (true, _) => Mark { kind: "stop", word: "Withdrawn" },
                    (_, true) => Mark { kind: "pass", word: "In force" },
                    _ => Mark { kind: "uncounted", word: "Followed" },
                },
            }),
            due: in_force(of).filter(|_| counts).and_then(|issued| self.due(issued)),
            again: (counts && is_free && self.who.is_manager())
                .then(|| format!("/jobs/{}/again", row.id)),
        }
    }

    fn due(&self, issued: Moment) -> Option<DueView> {
        let day = Kind::Inspection.day(issued)?;
        let note = (day < self.now.utc().date()).then_some("Overdue");
        Some(DueView { day: day_words(&day.to_string()), note })
    }
}
