//! `fusewright verify`: everything that was promised never to change, recomputed.

use super::{Failure, Outcome, complain, folder, say};
use crate::config::DataFolder;
use crate::storage::verify::{Report, verify};
use crate::storage::{Store, workshops};

pub(super) async fn run(folder: DataFolder) -> Outcome {
    let store = folder::open(&folder.data).await?;
    let done = look(&store).await;
    store.close().await;
    let faults = done?;
    Ok(u8::from(faults > 0))
}

/// Looks through every workshop and gives the number of faults.
async fn look(store: &Store) -> Result<usize, Failure> {
    let mut faults = 0;
    for workshop in workshops::list(store).await? {
        let report = verify(store, workshop.id).await?;
        say(format!("{}: {}", workshop.name, seen(&report)));
        for fault in &report.faults {
            complain(&format!("{fault}."));
        }
        faults += report.faults.len();
    }
    say(match faults {
        0 => "Nothing was changed.".to_owned(),
        1 => "One fault was found.".to_owned(),
        many => format!("{many} faults were found."),
    });
    Ok(faults)
}

fn seen(report: &Report) -> String {
    format!(
        "{} jobs with {} entries, {} plan editions, {} kits, {} photos, {} certificates, {} lines \
         of the register.",
        report.jobs,
        report.entries,
        report.plans,
        report.kits,
        report.photos,
        report.certificates,
        report.register_lines
    )
}
