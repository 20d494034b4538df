//! The file of a calibration's paper: what it may be, told by its content and not by its name.

/// The largest file that is kept [MiB].
pub const PAPER_MIB_MAX: usize = 10;
const PAPER_BYTES_MAX: usize = PAPER_MIB_MAX * 1024 * 1024;

/// ISO 32000-1, 7.5.2 and 7.5.5: begins with its header, and its end is marked within the last kilobyte.
const PDF_HEAD: &[u8] = b"%PDF-";
const PDF_END: &[u8] = b"%%EOF";
const PDF_END_WITHIN: usize = 1024;
/// ISO/IEC 15948, 5.2: the signature, and the last chunk with its check sum.
const PNG_HEAD: &[u8] = &[0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n'];
const PNG_END: &[u8] = &[b'I', b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82];
/// ISO/IEC 10918-1, B.1.1.3: start and end of the image. Some cameras fill up behind the end.
const JPEG_HEAD: &[u8] = &[0xff, 0xd8, 0xff];
const JPEG_END: &[u8] = &[0xff, 0xd9];
const JPEG_END_WITHIN: usize = 64;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperKind {
    Pdf,
    Png,
    Jpeg,
}

impl PaperKind {
    const ALL: [Self; 3] = [Self::Pdf, Self::Png, Self::Jpeg];

    pub fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Png => "png",
            Self::Jpeg => "jpg",
        }
    }

    pub fn media_type(self) -> &'static str {
        match self {
            Self::Pdf => "application/pdf",
            Self::Png => "image/png",
            Self::Jpeg => "image/jpeg",
        }
    }

    pub fn of_ending(ending: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.ending() == ending)
    }

    /// What the bytes are, from their first to their last.
    fn of(bytes: &[u8]) -> Option<Self> {
        let ends_within = |end: &[u8], within: usize| {
            let tail = bytes.get(bytes.len().saturating_sub(within)..).unwrap_or_default();
            tail.windows(end.len()).any(|window| window == end)
        };
        Self::ALL.into_iter().find(|kind| match kind {
            Self::Pdf => bytes.starts_with(PDF_HEAD) && ends_within(PDF_END, PDF_END_WITHIN),
            Self::Png => bytes.starts_with(PNG_HEAD) && bytes.ends_with(PNG_END),
            Self::Jpeg => bytes.starts_with(JPEG_HEAD) && ends_within(JPEG_END, JPEG_END_WITHIN),
        })
    }
}

/// A file that may be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    kind: PaperKind,
    bytes: Vec<u8>,
}

/// Why a file is not kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PaperRefused {
    #[error("Choose a file.")]
    Empty,
    #[error("This file is larger than {PAPER_MIB_MAX} MiB. Scan it in grey, or with fewer dots.")]
    TooLarge,
    #[error(
        "This is not a whole PDF, PNG or JPEG. Choose the scan or the file the laboratory sent."
    )]
    OtherKind,
}

impl Paper {
    pub fn read(bytes: Vec<u8>) -> Result<Self, PaperRefused> {
        if bytes.is_empty() {
            return Err(PaperRefused::Empty);
        }
        if bytes.len() > PAPER_BYTES_MAX {
            return Err(PaperRefused::TooLarge);
        }
        let kind = PaperKind::of(&bytes).ok_or(PaperRefused::OtherKind)?;
        Ok(Self { kind, bytes })
    }

    pub fn kind(&self) -> PaperKind {
        self.kind
    }

    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}
