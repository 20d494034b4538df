//! A whole job as one archive: gathered, written aside, checked as a stranger would check it, and only then
//! given out.

mod gather;

use std::fs::File;
use std::io::{BufReader, BufWriter, Seek as _};

use super::ActError;
use super::archive::{Contents, check};
use crate::documents::archive_file::{ArchiveFault, ArchiveWriter};
use crate::domain::archive::{Member, write_lines};
use crate::domain::ids::{JobId, WorkshopId};
use crate::domain::seal::hex;
use crate::storage::scratch::Scratch;
use crate::storage::{Store, photos};
use crate::world::random;

/// The job may move on while it is gathered; then it is gathered again.
const TRIES_MAX: u32 = 3;

/// An archive that is ready and holds. Its file goes with it.
#[derive(Debug)]
pub struct Exported {
    pub scratch: Scratch,
    /// At its beginning.
    pub file: File,
    pub bytes: u64,
    pub job_number: u64,
    /// How many photos and certificates it has.
    pub photos: usize,
    pub certificates: usize,
}

/// Whether the customer's name and address go along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Customer {
    Included,
    LeftOut,
}

/// Makes the archive of a job.
pub async fn export(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    customer: Customer,
) -> Result<Exported, ActError> {
    let mut fault = String::new();
    for _ in 0..TRIES_MAX {
        let contents = gather::contents(store, workshop, job, customer).await?;
        let (scratch, file) = write(store, workshop, contents).await?;
        match checked(scratch, file).await? {
            Ok(exported) => return Ok(exported),
            Err(why) => fault = why,
        }
    }
    Err(ActError::Rule(format!(
        "No archive is made, because it would not hold: {fault} Run `fusewright verify` on the data folder."
    )))
}

type Writer = ArchiveWriter<BufWriter<File>>;

async fn write(
    store: &Store,
    workshop: WorkshopId,
    contents: Contents,
) -> Result<(Scratch, File), ActError> {
    let name = format!("archive-{}", hex(&random::<12>()?));
    let (scratch, file) = Scratch::create(store, &name)?;
    let mut writer = ArchiveWriter::new(BufWriter::new(file));
    for (member, bytes) in members(contents) {
        let bytes = match (&member, bytes) {
            (_, Some(bytes)) => bytes,
            (Member::Photo(_), None) => photo(store, workshop, &member).await?,
            (other, None) => return Err(ActError::Ours(format!("nothing stands in {other}"))),
        };
        writer = put(writer, member, bytes).await?;
    }
    let done = tokio::task::spawn_blocking(move || writer.finish()).await;
    let file = done.map_err(ActError::ours)?.map_err(refused)?;
    Ok((scratch, file.into_inner().map_err(ActError::ours)?))
}

/// Every member in its order; photos are read when it is their turn.
fn members(contents: Contents) -> Vec<(Member, Option<Vec<u8>>)> {
    let Contents { about, customer, entries, register, files, .. } = contents;
    let mut members: Vec<(Member, Option<Vec<u8>>)> =
        files.into_iter().map(|(member, bytes)| (member, Some(bytes))).collect();
    members.extend(about.photos.iter().map(|photo| (Member::Photo(photo.file.clone()), None)));
    members.extend(customer.map(|customer| (Member::Customer, Some(customer.text()))));
    members.push((Member::Job, Some(about.text())));
    members.push((Member::Entries, Some(write_lines(&entries))));
    members.push((Member::Register, Some(write_lines(&register))));
    members.sort();
    members.dedup_by(|left, right| left.0 == right.0);
    members
}

async fn photo(store: &Store, workshop: WorkshopId, member: &Member) -> Result<Vec<u8>, ActError> {
    let Member::Photo(file) = member else { return Ok(Vec::new()) };
    let bytes = photos::kept_file(store, workshop, file).await?;
    bytes.ok_or_else(|| {
        ActError::Rule(format!(
            "The file of the photo {file} is gone. Run `fusewright verify` on the data folder, and put \
             the file back from a copy."
        ))
    })
}

/// Disks make one wait; requests do not.
async fn put(mut writer: Writer, member: Member, bytes: Vec<u8>) -> Result<Writer, ActError> {
    let put = tokio::task::spawn_blocking(move || {
        writer.put(&member, &bytes)?;
        Ok(writer)
    });
    put.await.map_err(ActError::ours)?.map_err(refused)
}

fn refused(fault: ArchiveFault) -> ActError {
    match fault {
        ArchiveFault::File(why) => ActError::ours(why),
        rule => ActError::Rule(rule.to_string()),
    }
}

/// As a stranger would: what does not hold is not given out.
async fn checked(scratch: Scratch, mut file: File) -> Result<Result<Exported, String>, ActError> {
    let looked = tokio::task::spawn_blocking(move || {
        file.rewind()?;
        let bytes = file.metadata()?.len();
        let (contents, report) = match check(BufReader::new(&file)) {
            Ok(found) => found,
            Err(why) => return Ok(Err(why.to_string())),
        };
        if let Some(fault) = report.faults.into_iter().next() {
            return Ok(Err(fault));
        }
        file.rewind()?;
        let about = contents.about;
        let (photos, certificates) = (about.photos.len(), about.certificates.len());
        let job_number = about.job.number;
        Ok(Ok(Exported { scratch, file, bytes, job_number, photos, certificates }))
    });
    looked.await.map_err(ActError::ours)?.map_err(|why: std::io::Error| ActError::ours(why))
}
