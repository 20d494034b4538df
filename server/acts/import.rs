//! An exported job brought into an empty installation. Everything is checked first; where anything is wrong
//! nothing is stored. Ids stay as they were, since they are hashed.

mod rows;

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use super::ActError;
use super::archive::{Contents, Report, check};
use super::job::{load, refresh};
use crate::documents::archive_file::ArchiveFile;
use crate::domain::archive::Member;
use crate::domain::entry::Digest;
use crate::domain::ids::Moment;
use crate::storage::certificates::keep_file;
use crate::storage::picture::{Picture, as_it_came};
use crate::storage::{Store, imports, photos, workshops};

/// An archive that holds, ready to be brought in.
pub struct Sound {
    pub contents: Contents,
    pub report: Report,
    file: File,
}

/// Checks an archive; all that is wrong with it, each as a sentence.
pub fn look(path: &Path) -> Result<Sound, Vec<String>> {
    let one = |sentence: String| vec![sentence];
    let name = path.display();
    let file = File::open(path).map_err(|why| one(format!("{name} cannot be read ({why}).")))?;
    let found = check(BufReader::new(&file));
    let (contents, report) = found.map_err(|why| one(format!("{name} is not valid. {why}")))?;
    if report.faults.is_empty() { Ok(Sound { contents, report, file }) } else { Err(report.faults) }
}

/// Stores the job. The folder holds no workshop: the archive brings its own, whose id is hashed into the chain.
pub async fn bring_in(store: &Store, sound: Sound, now: Moment) -> Result<(), ActError> {
    if let Some(there) = workshops::list(store).await?.into_iter().next() {
        return Err(ActError::Rule(format!(
            "The folder holds the workshop {} already. An archive brings its own workshop with it: name a folder \
             that is not there yet.",
            there.name
        )));
    }
    let Sound { contents, file, .. } = sound;
    let (workshop, job) = (contents.about.workshop.id, contents.about.job.id);
    let import = rows::of(&contents, now)?;
    keep_photos(store, &contents, file).await?;
    for certificate in &contents.about.certificates {
        let paper = contents.file(&Member::Paper(certificate.number.clone()));
        keep_file(store, &certificate.number, paper.to_vec()).await?;
    }
    imports::append(store, import).await?;
    refresh(store, &load(store, workshop, job).await?).await
}

/// The files first, durable, as for a photo that a phone sends.
async fn keep_photos(store: &Store, contents: &Contents, file: File) -> Result<(), ActError> {
    let mut archive = ArchiveFile::open(BufReader::new(file)).map_err(ActError::ours)?;
    for photo in &contents.about.photos {
        let digest = photo.file.clone();
        let read = tokio::task::spawn_blocking(move || {
            let picture = picture(&mut archive, &digest);
            (archive, picture)
        });
        let (back, picture) = read.await.map_err(ActError::ours)?;
        archive = back;
        let picture = picture?;
        if (picture.width, picture.height) != (photo.width, photo.height) {
            let file = &photo.file;
            return Err(ActError::Rule(format!(
                "photos/{file}.jpg has another size than job.json says."
            )));
        }
        photos::keep_files(store, picture).await?;
    }
    Ok(())
}

fn picture(
    archive: &mut ArchiveFile<BufReader<File>>,
    digest: &Digest,
) -> Result<Picture, ActError> {
    let member = Member::Photo(digest.clone());
    let bytes = archive.read(&member).map_err(|why| ActError::Rule(why.to_string()))?;
    // The file was open all the while, and somebody may have written into it since it was checked.
    if Digest::of(&bytes) != *digest {
        return Err(ActError::Rule(format!("{member} was changed while it was read.")));
    }
    as_it_came(&bytes).map_err(|why| ActError::Rule(format!("{member}: {why}.")))
}
