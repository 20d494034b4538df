//! `fusewright import`: an exported job into a folder of its own, after everything in it was checked.

use std::path::PathBuf;

use clap::Args;

use super::{Failure, Outcome, complain, harmless, say};
use crate::acts::import::{Sound, bring_in, look};
use crate::config::DataFolder;
use crate::storage::Store;
use crate::world::Clock;

/// Bring an exported job into a folder that holds no workshop yet; nothing is stored unless all of it holds
#[derive(Debug, Args)]
pub(super) struct Import {
    #[arg(value_name = "ARCHIVE.zip")]
    archive: PathBuf,
    #[command(flatten)]
    folder: DataFolder,
}

pub(super) async fn run(asked: Import) -> Outcome {
    let sound = match look(&asked.archive) {
        Ok(sound) => sound,
        Err(faults) => {
            for fault in &faults {
                complain(&harmless(fault));
            }
            return Err(Failure::new("Nothing was brought in: the archive does not hold."));
        }
    };
    let told = told(&sound, &asked);
    let store = Store::open(&asked.folder.data).await?;
    let done = bring_in(&store, sound, Clock::system().now()).await;
    store.close().await;
    done?;
    say(harmless(&told));
    Ok(0)
}

fn told(sound: &Sound, asked: &Import) -> String {
    let about = &sound.contents.about;
    let folder = asked.folder.data.display();
    let remarks = sound.report.remarks.iter().map(|remark| format!("Note: {remark}\n"));
    format!(
        "Job {} of {} is in {folder}.\n{}\
         Its people have their names and no right to sign in: start the server there, open its address and make \
         an owner.\nThe seal of its papers did not come along. The server makes another one; a copy of the old \
         one is put back with: fusewright seal restore",
        about.job.number,
        about.workshop.name,
        remarks.collect::<String>()
    )
}
