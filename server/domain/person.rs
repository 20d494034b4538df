//! Who may do what.

use serde::{Deserialize, Serialize};

use super::ids::{PersonId, WorkshopId};

/// What somebody is to the workshop. The order is the order of rights: each may do what those before may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Does the work in the vehicle and records it.
    Technician,
    /// Plans jobs, reviews them, releases vehicles.
    Manager,
    /// Answers for the workshop: people, settings, keys.
    Owner,
}

impl Role {
    pub const ALL: [Self; 3] = [Self::Technician, Self::Manager, Self::Owner];

    /// The word that is stored and shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Technician => "technician",
            Self::Manager => "manager",
            Self::Owner => "owner",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }

    /// Whether this role has the rights of `needed`.
    pub fn covers(self, needed: Self) -> bool {
        self >= needed
    }
}

/// Somebody who works in the workshop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    pub id: PersonId,
    pub workshop: WorkshopId,
    pub name: String,
    /// What they type to sign in: lower case, unique in the workshop.
    pub sign_in: String,
    pub role: Role,
    pub disabled: bool,
}
