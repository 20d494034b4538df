//! The change from one seal to the next, as lines of plain text that both of them sign: whoever trusts the
//! old one sees with a common tool that it authorised the new one.
//!
//! The text names its line in the register and the value before it. So the old seal vouches, with the
//! last thing it signs, for every line up to the change.

use crate::domain::ids::Moment;
use crate::domain::seal::{RegisterLine, hex, register_hash};

const FORMAT: &str = "fusewright-seal-change/1";

/// The kind of its line.
pub const KEY: &str = "key";

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealChange {
    /// The letters that the workshop's numbers begin with.
    pub workshop: String,
    /// Its place in the register, and the value before it.
    pub index: u64,
    pub prev: [u8; 32],
    pub at: Moment,
    /// SHA-256 of either certificate.
    pub old: [u8; 32],
    pub new: [u8; 32],
}

impl SealChange {
    /// The value of its line.
    pub fn line_hash(&self) -> [u8; 32] {
        register_hash(&RegisterLine {
            index: self.index,
            prev: &self.prev,
            kind: KEY,
            number: "",
            record_sha256: &self.old,
            pdf_sha256: &self.new,
            at: self.at,
        })
    }

    /// The exact bytes that are signed.
    pub fn text(&self) -> String {
        format!(
            "format {FORMAT}\nworkshop {}\nmade {}\nold {}\nnew {}\nregister {} {} after {}\n",
            self.workshop,
            self.at.rfc3339(),
            hex(&self.old),
            hex(&self.new),
            self.index,
            hex(&self.line_hash()),
            hex(&self.prev),
        )
    }
}

/// Every seal a workshop has had, the first one first, as plain text. Each is vouched for by the one before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealList {
    pub workshop: String,
    pub seals: Vec<SealLine>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealLine {
    pub fingerprint: [u8; 32],
    /// When it took over; nothing for the first one.
    pub since: Option<Moment>,
    /// When another took over; nothing for the one in use.
    pub until: Option<Moment>,
}

impl SealList {
    pub fn text(&self) -> String {
        let seals: String = self.seals.iter().map(SealLine::text).collect();
        format!("format fusewright-seals/1\nworkshop {}\n{seals}", self.workshop)
    }
}

impl SealLine {
    fn text(&self) -> String {
        let told = |word, at: Option<Moment>| {
            at.map_or_else(String::new, |at| format!(" {word} {}", at.rfc3339()))
        };
        let (since, until) = (told("since", self.since), told("until", self.until));
        format!("seal {}{since}{until}\n", hex(&self.fingerprint))
    }
}
