//! `fusewright export`: a whole job as one archive, also while the server runs.

use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use clap::Args;

use super::{Failure, Outcome, folder, say};
use crate::acts::export::{Customer, Exported, export};
use crate::config::DataFolder;
use crate::storage::{Store, jobs};

/// Write out a whole job (record, photos, certificates) as one archive that anybody can check
#[derive(Debug, Args)]
pub(super) struct Export {
    /// The number of the job
    #[arg(value_name = "JOB")]
    job: u64,
    /// File to write; `job-JOB.zip` in this folder if it is not given
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Leave out the file with the customer's name, contact and address; certificates name them all the same
    #[arg(long)]
    without_customer: bool,
    #[command(flatten)]
    folder: DataFolder,
}

pub(super) async fn run(asked: Export) -> Outcome {
    let out = asked.out.clone().unwrap_or_else(|| format!("job-{}.zip", asked.job).into());
    let store = folder::open_beside(&asked.folder.data).await?;
    let made = make(&store, &asked).await;
    let kept = made.and_then(|made| keep(made, &out));
    store.close().await;
    kept.map(say).map(|()| 0)
}

async fn make(store: &Store, asked: &Export) -> Result<Exported, Failure> {
    let workshop = folder::only_workshop(store).await?;
    let row = jobs::find(store, workshop.id, asked.job).await?;
    let row = row.ok_or_else(|| {
        Failure::new(format!(
            "The workshop has no job {}. Its jobs are listed at /jobs.",
            asked.job
        ))
    })?;
    let customer = if asked.without_customer { Customer::LeftOut } else { Customer::Included };
    Ok(export(store, workshop.id, row.id, customer).await?)
}

/// Copies the archive to a file that is not there yet: what somebody else keeps under this name stays.
fn keep(made: Exported, out: &Path) -> Result<String, Failure> {
    let Exported { scratch, mut file, bytes, job_number, photos, certificates } = made;
    let name = out.display();
    let written = File::options().write(true).create_new(true).open(out).and_then(|mut to| {
        let copied = std::io::copy(&mut file, &mut to).and_then(|_| to.sync_all());
        // Half an archive is none.
        copied.inspect_err(|_| drop(fs::remove_file(out)))
    });
    drop(scratch);
    written.map_err(|why| {
        Failure::new(match why.kind() {
            ErrorKind::AlreadyExists => {
                format!(
                    "{name} is there already. Name another file with --out, or move it away first."
                )
            }
            _ => format!("{name} cannot be written ({why})."),
        })
    })?;
    Ok(format!(
        "Job {job_number} is in {name}: {bytes} bytes, {photos} photos, {certificates} certificates.\n\
         Check it anywhere with: fusewright verify {name}"
    ))
}
