//! What a job waits for, in the words of the trade.

use super::Stage;

/// What has to come next. The record knows no parts: a job that is planned and not begun waits for parts,
/// a bay or somebody to do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WaitsFor {
    Plan,
    Parts,
    Technician,
    Review,
}

impl WaitsFor {
    /// What waits on the manager first.
    pub const ALL: [Self; 4] = [Self::Review, Self::Plan, Self::Parts, Self::Technician];

    /// The word used in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Parts => "parts",
            Self::Technician => "technician",
            Self::Review => "review",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Self::Plan => "Waiting for a plan",
            Self::Parts => "Waiting for parts and a bay",
            Self::Technician => "With the technician",
            Self::Review => "Waiting for review",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|waits| waits.word() == word)
    }

    /// The stages of jobs that wait for it.
    pub fn stages(self) -> &'static [Stage] {
        match self {
            Self::Plan => &[Stage::Planning],
            Self::Parts => &[Stage::Ready],
            Self::Technician => &[Stage::Returned, Stage::Working],
            Self::Review => &[Stage::Review],
        }
    }
}
