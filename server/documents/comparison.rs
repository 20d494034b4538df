//! Every measurement of a re-inspection beside its first value, as papers print it.

use serde::Serialize;

/// Of a re-inspection: what it looks at again, and what became of each value.
#[derive(Clone, Debug, Serialize)]
pub struct AgainPaper {
    /// `Re-inspection of certificate AB-26-00012-X`
    pub words: String,
    pub lines: Vec<ComparisonLine>,
}

#[derive(Clone, Debug, Serialize)]
pub struct ComparisonLine {
    /// Step number.
    pub number: String,
    pub title: String,
    /// With its unit; empty where the step is new.
    pub first: String,
    pub first_on: String,
    /// In the certificate before, where that is not the first: with its day.
    pub last: Option<String>,
    pub now: String,
    pub limit: String,
    /// One or two words: `Grown`.
    pub word: String,
    /// The same as a sentence, with figures.
    pub sentence: String,
}
