//! What an earlier certificate says, read from the record that was sealed into it: nothing that changed
//! since, a calibration or the program, has a say in what was measured then.

use serde::Deserialize;

use super::Value;
use crate::domain::ids::Moment;
use crate::domain::number::Decimal;
use crate::domain::step::Unit;

/// The part of a record that a re-inspection is held against. Every key may be missing: records of all
/// versions stay readable.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(default)]
pub struct EarlierRecord {
    /// As it stands on the paper.
    pub number: String,
    pub job_number: u64,
    /// RFC 3339.
    pub issued: String,
    pub steps: Vec<EarlierStep>,
}

/// One result of it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(default)]
pub struct EarlierStep {
    pub key: String,
    pub kind: String,
    pub limit: String,
    pub value: String,
    pub figure: Option<String>,
    pub unit: Option<String>,
    pub uncertainty: Option<String>,
    /// Their SHA-256.
    pub photos: Vec<String>,
    /// RFC 3339.
    pub recorded: String,
}

impl EarlierRecord {
    /// Reads the exact bytes of a sealed record.
    pub fn read(record: &[u8]) -> Result<Self, serde_json::Error> {
        serde_json::from_slice(record)
    }

    pub fn step(&self, key: &str) -> Option<&EarlierStep> {
        self.steps.iter().find(|step| step.key == key)
    }
}

impl EarlierStep {
    pub(super) fn printed(&self) -> Value {
        let number = |text: &Option<String>| text.as_ref()?.parse::<Decimal>().ok();
        let unit = self.unit.as_deref().and_then(Unit::parse);
        let figure = number(&self.figure).zip(unit);
        Value {
            words: match figure {
                Some((figure, unit)) => format!("{figure} {unit}"),
                None => self.value.clone(),
            },
            figure,
            uncertainty: number(&self.uncertainty),
            limit: self.limit.clone(),
            on: Moment::parse(&self.recorded).map_or_else(String::new, Moment::date),
        }
    }
}
