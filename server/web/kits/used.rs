//! Where a kit is used: its editions with their jobs, page by page.

use crate::domain::ids::{JobId, KitId};
use crate::domain::job::Stage;
use crate::storage::jobs::{JobRow, of_kit};
use crate::storage::kits::{self, KitRow};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::day_words;
use crate::web::session::Who;

/// Jobs on one page.
const LISTED: u32 = 20;

pub(super) struct EditionLine {
    pub(super) href: String,
    pub(super) words: String,
    pub(super) imported: String,
    pub(super) jobs: String,
    /// The page of what changed; nothing for the one that is shown.
    pub(super) compare: Option<String>,
}

pub(super) struct UseLine {
    pub(super) href: String,
    pub(super) number: u64,
    pub(super) vehicle: String,
    pub(super) customer: String,
    pub(super) stage: String,
}

pub(super) struct Uses {
    pub(super) jobs: Vec<UseLine>,
    /// Told where there is none.
    pub(super) none: Option<&'static str>,
    pub(super) later: Option<String>,
}

pub(super) async fn editions(
    app: &App,
    who: &Who,
    shown: &KitRow,
) -> Result<Vec<EditionLine>, WebError> {
    let all = kits::list_editions(app.store(), who.workshop(), &shown.code).await?;
    let line = |(row, jobs): (KitRow, u64)| EditionLine {
        href: format!("/kits/{}", row.id),
        words: format!("Edition {}", row.edition),
        imported: day_words(&row.imported.date()),
        jobs: jobs.to_string(),
        compare: (row.id != shown.id).then(|| compare_href(shown, row.edition)),
    };
    Ok(all.into_iter().map(line).collect())
}

/// From the older of the two to the newer.
fn compare_href(shown: &KitRow, other: u32) -> String {
    let (from, to) = (shown.edition.min(other), shown.edition.max(other));
    format!("/kits/{}/compare?from={from}&to={to}", shown.id)
}

pub(super) async fn uses(
    app: &App,
    who: &Who,
    kit: KitId,
    before: Option<JobId>,
) -> Result<Uses, WebError> {
    let rows = of_kit(app.store(), (who.workshop(), kit), before, LISTED).await?;
    let goes_on = rows.last().filter(|_| rows.len() == LISTED as usize);
    let none = match (rows.is_empty(), before) {
        (true, None) => Some("No job uses this edition yet."),
        (true, Some(_)) => Some("There is none after these."),
        _ => None,
    };
    Ok(Uses {
        none,
        later: goes_on.map(|last| format!("/kits/{kit}?before={}#used", last.id)),
        jobs: rows.iter().map(use_line).collect(),
    })
}

fn use_line(job: &JobRow) -> UseLine {
    UseLine {
        href: format!("/jobs/{}", job.id),
        number: job.number,
        vehicle: format!("{}, {}", job.vehicle, job.registration),
        customer: job.customer_name.clone(),
        stage: Stage::parse(&job.stage).map_or_else(|| job.stage.clone(), |s| s.title().to_owned()),
    }
}
