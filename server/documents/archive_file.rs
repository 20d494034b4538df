//! The container of an archive: a ZIP whose members are stored as they are, in a fixed order, with a fixed
//! time, so that the same members give the same bytes. Reading refuses whatever this program never writes:
//! other names, members twice, compressed or hidden ones, links, anything before or behind.

use std::fmt::Write as _;
use std::io::{Read, Seek, SeekFrom, Write};

use der::{Decode as _, EncodePem as _};
use p256::pkcs8::LineEnding;
use thiserror::Error;
use x509_cert::Certificate;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, System, ZipArchive, ZipWriter};

use crate::domain::archive::{ARCHIVE_MEMBERS_MAX, ARCHIVE_MIB_MAX, Member};
use crate::domain::entry::Digest;

/// The record at the end of a ZIP, where no comment follows.
const END_BYTES: usize = 22;
const END_MARK: &[u8] = b"PK\x05\x06";

/// Why an archive cannot be read or written.
#[derive(Debug, Error)]
pub enum ArchiveFault {
    #[error("The file cannot be read or written: {0}.")]
    File(#[from] std::io::Error),
    #[error("The file is no archive of a job, or only a part of one.")]
    NotAnArchive,
    #[error("The archive is larger than {ARCHIVE_MIB_MAX} MiB, which no job is.")]
    TooLarge,
    #[error("The archive holds more than {ARCHIVE_MEMBERS_MAX} files, which no job does.")]
    TooMany,
    #[error("The archive holds {0}, which does not belong into one.")]
    Stranger(String),
    #[error("The archive was not written by this program: {0}.")]
    Form(&'static str),
    #[error("{0} is larger than such a file can be.")]
    MemberTooLarge(Member),
    #[error("{0} is missing.")]
    Missing(Member),
    #[error("{0} is damaged: its bytes are not those that were put in.")]
    Damaged(Member),
}

/// Writes an archive, member by member.
pub struct ArchiveWriter<W: Write + Seek> {
    zip: ZipWriter<W>,
    sums: String,
    bytes: u64,
}

impl<W: Write + Seek> ArchiveWriter<W> {
    pub fn new(out: W) -> Self {
        Self { zip: ZipWriter::new(out), sums: String::new(), bytes: 0 }
    }

    /// Adds a member; its digest goes into the sums.
    pub fn put(&mut self, member: &Member, bytes: &[u8]) -> Result<(), ArchiveFault> {
        let length = bytes.len() as u64;
        if length > member.bytes_max() {
            return Err(ArchiveFault::MemberTooLarge(member.clone()));
        }
        self.bytes += length;
        if self.bytes > ARCHIVE_MIB_MAX << 20 {
            return Err(ArchiveFault::TooLarge);
        }
        let plain = SimpleFileOptions::DEFAULT
            .compression_method(CompressionMethod::Stored)
            .last_modified_time(DateTime::DEFAULT)
            .system(System::Unix)
            .unix_permissions(0o644);
        self.zip.start_file(member.to_string(), plain).map_err(file_fault)?;
        self.zip.write_all(bytes)?;
        // Writing to a String cannot fail.
        let _ = writeln!(self.sums, "{}  {member}", Digest::of(bytes));
        Ok(())
    }

    /// Adds the sums and ends the archive.
    pub fn finish(mut self) -> Result<W, ArchiveFault> {
        let sums = std::mem::take(&mut self.sums);
        self.put(&Member::Sums, sums.as_bytes())?;
        self.zip.finish().map_err(file_fault)
    }
}

fn file_fault(error: ZipError) -> ArchiveFault {
    match error {
        ZipError::Io(error) => ArchiveFault::File(error),
        _ => ArchiveFault::NotAnArchive,
    }
}

/// An archive that was opened: its form is sound, its contents are not looked at yet.
pub struct ArchiveFile<R> {
    zip: ZipArchive<R>,
    members: Vec<Member>,
}

impl<R: Read + Seek> ArchiveFile<R> {
    pub fn open(mut reader: R) -> Result<Self, ArchiveFault> {
        check_end(&mut reader)?;
        let mut zip = ZipArchive::new(reader).map_err(file_fault)?;
        if zip.offset() != 0 || !zip.comment().is_empty() {
            return Err(ArchiveFault::Form("something stands before or behind it"));
        }
        zip.validate_header_consistency()
            .map_err(|_| ArchiveFault::Form("a file stands in it twice, or is hidden in it"))?;
        let members = (0..zip.len()).map(|at| member(&zip, at)).collect::<Result<_, _>>()?;
        Ok(Self { zip, members })
    }

    /// Each once, in the order of the file.
    pub fn members(&self) -> &[Member] {
        &self.members
    }

    pub fn read(&mut self, member: &Member) -> Result<Vec<u8>, ArchiveFault> {
        let at = self.members.iter().position(|found| found == member);
        let at = at.ok_or_else(|| ArchiveFault::Missing(member.clone()))?;
        let damaged = |_| ArchiveFault::Damaged(member.clone());
        let file = self.zip.by_index(at).map_err(|_| ArchiveFault::Damaged(member.clone()))?;
        let mut bytes = Vec::new();
        // One more than may be: whatever the header says, no more is taken.
        file.take(member.bytes_max() + 1).read_to_end(&mut bytes).map_err(damaged)?;
        if bytes.len() as u64 > member.bytes_max() {
            return Err(ArchiveFault::MemberTooLarge(member.clone()));
        }
        Ok(bytes)
    }
}

/// How many members there are, before a list of them is made.
fn check_end<R: Read + Seek>(reader: &mut R) -> Result<(), ArchiveFault> {
    let length = reader.seek(SeekFrom::End(0))?;
    if length > ARCHIVE_MIB_MAX << 20 {
        return Err(ArchiveFault::TooLarge);
    }
    if length < END_BYTES as u64 {
        return Err(ArchiveFault::NotAnArchive);
    }
    let mut end = [0; END_BYTES];
    reader.seek(SeekFrom::Start(length - END_BYTES as u64))?;
    reader.read_exact(&mut end)?;
    reader.rewind()?;
    let [mark @ .., _, _, _, _, _, _, low, high, _, _, _, _, _, _, _, _, _, _] = &end;
    if mark != END_MARK {
        return Err(ArchiveFault::NotAnArchive);
    }
    if usize::from(u16::from_le_bytes([*low, *high])) > ARCHIVE_MEMBERS_MAX {
        return Err(ArchiveFault::TooMany);
    }
    Ok(())
}

fn member<R: Read + Seek>(zip: &ZipArchive<R>, at: usize) -> Result<Member, ArchiveFault> {
    if at >= ARCHIVE_MEMBERS_MAX {
        return Err(ArchiveFault::TooMany);
    }
    let file = zip.by_index_data(at).map_err(file_fault)?;
    let name = file.name().map_err(file_fault)?.into_owned();
    let member = Member::parse(&name).ok_or_else(|| {
        let shown: String = name.chars().take(80).collect();
        ArchiveFault::Stranger(format!("{shown:?}"))
    })?;
    if !file.is_file() || file.encrypted() || file.compression() != CompressionMethod::Stored {
        return Err(ArchiveFault::Form("a member is compressed, encrypted, or no plain file"));
    }
    if file.size() > member.bytes_max() {
        return Err(ArchiveFault::MemberTooLarge(member));
    }
    Ok(member)
}

/// The certificate of a seal as people's tools read it.
pub fn seal_pem(certificate_der: &[u8]) -> Option<String> {
    Certificate::from_der(certificate_der).ok()?.to_pem(LineEnding::LF).ok()
}
