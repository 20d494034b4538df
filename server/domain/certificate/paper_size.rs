//! The sheet of paper that certificates and handovers are made for.

use serde::Serialize;

/// What the reader's printer holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(into = "&'static str")]
pub enum PaperSize {
    /// 210 × 297 mm, ISO 216.
    #[default]
    A4,
    /// 8.5 × 11 in, ANSI/ASME Y14.1 size A.
    Letter,
}

impl PaperSize {
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// As addresses, forms and the record name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::A4 => "A4, 210 × 297 mm",
            Self::Letter => "US Letter, 8.5 × 11 in",
        }
    }

    /// Nothing where the word is none of these.
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|size| size.word() == word)
    }
}

/// As the type-setting engine names it.
impl From<PaperSize> for &'static str {
    fn from(size: PaperSize) -> Self {
        match size {
            PaperSize::A4 => "a4",
            PaperSize::Letter => "us-letter",
        }
    }
}
