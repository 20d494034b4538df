//! From a template and its files to an archival, accessible PDF. The engine sees no file system,
//! no network and no clock: only the files handed in, under their fixed names. The same input gives
//! the same bytes.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use thiserror::Error;
use time::OffsetDateTime;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::fonts::FONTS;

/// How many documents the engine's memory of earlier layouts lasts: a few keep it fast, more would
/// only grow the process.
const LAYOUTS_KEPT: usize = 2;
const MAIN: &str = "/main.typ";

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// Why a document could not be made.
#[derive(Debug, Error)]
pub enum TypesetError {
    #[error("The document could not be set in type: {0}")]
    Refused(String),
    #[error("{count} photos are too many for one document; at most {max} fit.")]
    TooManyPhotos { count: usize, max: usize },
    #[error(
        "The public address {0:?} cannot be printed: it must be a short http or https address."
    )]
    Address(String),
    #[error("The text of the document could not be prepared: {0}")]
    Text(#[from] serde_json::Error),
    #[error("The time {0} is out of range for a document.")]
    Time(OffsetDateTime),
}

/// The files a template may read, by absolute virtual name. Names are fixed in the code, never
/// taken from a job: the engine remembers every name it ever saw.
#[derive(Clone, Debug, Default)]
pub struct Files(BTreeMap<&'static str, Bytes>);

impl Files {
    /// Adds one file under its name, for instance `/paper.json`.
    #[must_use]
    pub fn with(mut self, name: &'static str, bytes: impl Into<Vec<u8>>) -> Self {
        self.0.insert(name, Bytes::new(bytes.into()));
        self
    }
}

/// What makes two runs give the same bytes: identity and moment come from outside.
#[derive(Clone, Debug)]
pub struct Imprint {
    /// Names this document and no other, for instance the certificate number.
    pub ident: String,
    /// Becomes the creation date.
    pub at: OffsetDateTime,
}

/// Sets a template in type. The result meets PDF/A-3a and PDF/UA-1 together.
pub fn typeset(
    template: &'static str,
    files: Files,
    imprint: &Imprint,
) -> Result<Vec<u8>, TypesetError> {
    let options = options(imprint)?;
    let desk = Desk::new(files.with(MAIN, template.as_bytes()))?;
    let document = typst::compile::<PagedDocument>(&desk);
    for warning in &document.warnings {
        tracing::warn!(warning = %warning.message, "a document was set with a warning");
    }
    let bytes = document.output.and_then(|document| typst_pdf::pdf(&document, &options));
    comemo::evict(LAYOUTS_KEPT);
    bytes.map_err(|diagnostics| TypesetError::Refused(sentences(&diagnostics)))
}

fn options(imprint: &Imprint) -> Result<PdfOptions, TypesetError> {
    let standards = PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1])
        .map_err(|error| TypesetError::Refused(error.message().to_string()))?;
    Ok(PdfOptions {
        ident: Smart::Custom(imprint.ident.clone()),
        creator: Smart::Custom(Some(format!("Fusewright {}", env!("CARGO_PKG_VERSION")))),
        timestamp: Some(timestamp(imprint.at)?),
        standards,
        ..PdfOptions::default()
    })
}

fn timestamp(at: OffsetDateTime) -> Result<Timestamp, TypesetError> {
    let utc = at.to_offset(time::UtcOffset::UTC);
    let day = Datetime::from_ymd_hms(
        utc.year(),
        utc.month().into(),
        utc.day(),
        utc.hour(),
        utc.minute(),
        utc.second(),
    );
    day.map(Timestamp::new_utc).ok_or(TypesetError::Time(at))
}

fn sentences(diagnostics: &[SourceDiagnostic]) -> String {
    let lines = diagnostics.iter().map(|diagnostic| diagnostic.message.to_string());
    lines.collect::<Vec<_>>().join("; ")
}

/// All the engine can reach while it sets one document.
struct Desk {
    main: FileId,
    files: Files,
}

impl Desk {
    fn new(files: Files) -> Result<Self, TypesetError> {
        let path = VirtualPath::new(MAIN)
            .map_err(|error| TypesetError::Refused(format!("{MAIN}: {error:?}")))?;
        Ok(Self { main: RootedPath::new(VirtualRoot::Project, path).intern(), files })
    }

    fn bytes(&self, id: FileId) -> FileResult<&Bytes> {
        let path = id.get();
        let name = path.vpath().get_with_slash();
        match path.root() {
            VirtualRoot::Project => self.files.0.get(name),
            VirtualRoot::Package(_) => None,
        }
        .ok_or_else(|| FileError::NotFound(Path::new(name).to_path_buf()))
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let text = std::str::from_utf8(self.bytes(id)?).map_err(|_| FileError::InvalidUtf8)?;
        Ok(Source::new(id, text.to_owned()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.bytes(id).cloned()
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.all.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
