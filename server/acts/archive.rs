//! A job's archive: what is in it, and whether all of it holds, with nothing but the archive.

mod check;
mod papers;
mod record;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Seek};

use crate::documents::archive_file::{ArchiveFault, ArchiveFile};
use crate::domain::archive::{
    About, CustomerLine, EntryLine, FORMAT, Member, REGISTER_LINES_MAX, RegisterText, read_lines,
};
use crate::domain::entry::{Digest, JOB_ENTRIES_MAX};

pub use check::check;

/// What is held in memory at once: everything but the photos [MiB].
const TEXTS_MIB_MAX: u64 = 512;

/// What an archive holds, photos left aside: those are read one at a time.
#[derive(Debug, Clone)]
pub struct Contents {
    pub about: About,
    pub customer: Option<CustomerLine>,
    pub entries: Vec<EntryLine>,
    pub register: Vec<RegisterText>,
    /// Every other file, byte for byte.
    pub files: BTreeMap<Member, Vec<u8>>,
    /// How long each photo is, where the archive was read.
    pub photo_bytes: BTreeMap<Digest, u64>,
}

impl Contents {
    /// The bytes of a file; none where it is not there.
    pub fn file(&self, member: &Member) -> &[u8] {
        self.files.get(member).map_or(&[], Vec::as_slice)
    }

    /// All files that the job's archive has, by what `job.json` says.
    pub fn expected(&self) -> BTreeSet<Member> {
        let about = &self.about;
        let always = [
            Member::Readme,
            Member::Job,
            Member::Entries,
            Member::Register,
            Member::Kit,
            Member::Sums,
        ];
        let papers = about.certificates.iter().flat_map(|certificate| {
            let number = || certificate.number.clone();
            [Member::Paper(number()), Member::Record(number())]
        });
        always
            .into_iter()
            .chain(self.customer.as_ref().map(|_| Member::Customer))
            .chain(about.plans.iter().map(|plan| Member::Plan(plan.edition)))
            .chain(about.sheets.iter().map(|sheet| Member::Sheet(sheet.edition)))
            .chain(about.photos.iter().map(|photo| Member::Photo(photo.file.clone())))
            .chain(papers)
            .chain(self.files.keys().filter(|member| matches!(member, Member::Seal(_))).cloned())
            .collect()
    }
}

/// What was found in an archive.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    /// What holds, each as a sentence.
    pub holds: Vec<String>,
    /// What the archive alone cannot say.
    pub remarks: Vec<String>,
    pub faults: Vec<String>,
    /// Fingerprints of the seals under its certificates.
    pub seals: BTreeSet<Digest>,
}

/// Reads everything but the photos. The digests of all files, photos too, come with it.
fn read<R: Read + Seek>(
    file: &mut ArchiveFile<R>,
) -> Result<(Contents, BTreeMap<Member, Digest>), Unreadable> {
    let mut files = BTreeMap::new();
    let mut room = TEXTS_MIB_MAX << 20;
    let (mut digests, mut photo_bytes) = (BTreeMap::new(), BTreeMap::new());
    for member in file.members().to_vec() {
        let bytes = file.read(&member)?;
        if !matches!(member, Member::Photo(_)) {
            room = room.checked_sub(bytes.len() as u64).ok_or(Unreadable::TooMuchText)?;
        }
        digests.insert(member.clone(), Digest::of(&bytes));
        match member {
            Member::Photo(digest) => {
                photo_bytes.insert(digest, bytes.len() as u64);
            }
            text => {
                files.insert(text, bytes);
            }
        }
    }
    let about: About = json(&files, &Member::Job)?;
    if about.format != FORMAT {
        return Err(Unreadable::Version(about.format));
    }
    let customer = files.contains_key(&Member::Customer).then(|| json(&files, &Member::Customer));
    let most = usize::try_from(JOB_ENTRIES_MAX).unwrap_or(usize::MAX);
    let entries = lines(&files, &Member::Entries, most)?;
    let register = lines(&files, &Member::Register, REGISTER_LINES_MAX)?;
    let customer = customer.transpose()?;
    for parsed in [Member::Job, Member::Customer, Member::Entries, Member::Register] {
        files.remove(&parsed);
    }
    Ok((Contents { about, customer, entries, register, files, photo_bytes }, digests))
}

/// Why nothing more can be said of an archive.
#[derive(Debug, thiserror::Error)]
pub enum Unreadable {
    #[error(transparent)]
    File(#[from] ArchiveFault),
    #[error("The archive is of the form {0:?}, which this program does not know. Use a newer one.")]
    Version(String),
    #[error(
        "The archive holds more than {TEXTS_MIB_MAX} MiB beside its photos, which no job does."
    )]
    TooMuchText,
    #[error("{0}")]
    Text(String),
}

fn json<T: serde::de::DeserializeOwned>(
    files: &BTreeMap<Member, Vec<u8>>,
    member: &Member,
) -> Result<T, Unreadable> {
    let bytes = files.get(member).ok_or_else(|| ArchiveFault::Missing(member.clone()))?;
    serde_json::from_slice(bytes)
        .map_err(|why| Unreadable::Text(format!("{member} cannot be read ({why}).")))
}

fn lines<T: serde::de::DeserializeOwned>(
    files: &BTreeMap<Member, Vec<u8>>,
    member: &Member,
    most: usize,
) -> Result<Vec<T>, Unreadable> {
    let bytes = files.get(member).ok_or_else(|| ArchiveFault::Missing(member.clone()))?;
    read_lines(&member.to_string(), bytes, most).map_err(Unreadable::Text)
}
