//! The status list: every certificate of a workshop and whether it stands, as lines of plain text that
//! are signed. It names no customer, no vehicle and no reason.
//!
//! The text is made from the register alone, so it stays the same, byte for byte, until the register
//! has another line: a list and its signature fit whenever each was fetched.

use std::fmt;

use super::on_paper;
use crate::domain::ids::Moment;
use crate::domain::seal::hex;

const FORMAT: &str = "fusewright-status/1";
/// How long a list is meant to be relied on.
const NEXT_DAYS: i64 = 31;

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatusList {
    /// The letters that the workshop's numbers begin with.
    pub workshop: String,
    /// When the register last changed.
    pub made: Moment,
    /// SHA-256 of the seal's certificate.
    pub seal: [u8; 32],
    /// Lines of the register, and the value of the last.
    pub register: (u64, [u8; 32]),
    pub lines: Vec<StatusLine>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatusLine {
    /// As it is stored, without hyphens.
    pub number: String,
    pub standing: Standing,
}

/// What a certificate is worth. Withdrawn stays withdrawn, also where another took its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    InForce,
    ReplacedBy(String),
    Withdrawn(Moment),
}

impl StatusList {
    /// The exact bytes that are signed.
    pub fn text(&self) -> String {
        let mut lines: Vec<String> = self.lines.iter().map(ToString::to_string).collect();
        lines.sort();
        let (count, head) = self.register;
        let mut text = format!(
            "format {FORMAT}\nworkshop {}\nmade {}\nnext {}\nseal {}\nregister {count} {}\n",
            self.workshop,
            self.made.rfc3339(),
            self.made.plus_days(NEXT_DAYS).rfc3339(),
            hex(&self.seal),
            hex(&head),
        );
        for line in lines {
            text.push_str(&line);
            text.push('\n');
        }
        text
    }
}

impl fmt::Display for StatusLine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = on_paper(&self.number);
        match &self.standing {
            Standing::InForce => write!(f, "{number} in-force"),
            Standing::ReplacedBy(newer) => write!(f, "{number} replaced-by {}", on_paper(newer)),
            Standing::Withdrawn(at) => write!(f, "{number} withdrawn {}", at.rfc3339()),
        }
    }
}
