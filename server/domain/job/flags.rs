//! What the manager should look at twice: flags, not accusations.

use super::slip::is_slip;
use super::{Recorded, StepState};
use crate::domain::ids::PersonId;
use crate::domain::verdict::Verdict;

/// Farther apart than this, phone and server clock are worth a word [ms].
pub const CLOCK_APART_MS: i64 = 120_000;
/// A phone's clock may be off by so much when it sends, either way [ms].
pub const CLOCK_OFF_MS_MAX: i64 = 300_000;

/// Something about a step that wants eyes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flag {
    Clash,
    Improbable,
    NotCounted,
    /// From fail to pass without a word about what was done.
    UnexplainedPass,
    /// The phone's clock runs ahead of the server's.
    ClockAhead,
    /// The phone's clock was wrong when it sent, ahead or behind.
    ClockOff,
    /// One of many results that one person recorded within seconds.
    Rushed,
    /// The figure stands on several steps where figures differ of themselves.
    SameFigure,
    /// A photo that was in the workshop before the job was opened.
    EarlyPhoto,
    /// The result that counts was loaded from a phone's file.
    ByFile,
}

impl Flag {
    pub fn words(self) -> &'static str {
        match self {
            Self::Clash => "Two results that do not know of each other. A new reading settles it.",
            Self::Improbable => "Far from what was expected, and kept as typed.",
            Self::NotCounted => "An entry here is not counted.",
            Self::UnexplainedPass => "Went from fail to pass without a word about what was done.",
            Self::ClockAhead => "The phone's clock ran ahead of the server's.",
            Self::ClockOff => "The phone's clock was more than 5 minutes off when this was sent.",
            Self::Rushed => "One of many results that one person recorded within seconds.",
            Self::SameFigure => "The very same figure stands on other steps, too.",
            Self::EarlyPhoto => "A photo here is older than the job.",
            Self::ByFile => "Came by a phone's file.",
        }
    }
}

impl StepState {
    pub fn flags(&self) -> Vec<Flag> {
        let mut flags = Vec::new();
        if self.is_clash() {
            flags.push(Flag::Clash);
        }
        if self.result().is_some_and(|result| result.body.improbable) {
            flags.push(Flag::Improbable);
        }
        if self.history.iter().any(|result| result.judged.is_err() && !result.outdated) {
            flags.push(Flag::NotCounted);
        }
        if self.is_unexplained_pass() {
            flags.push(Flag::UnexplainedPass);
        }
        if self.history.iter().any(clock_ahead) {
            flags.push(Flag::ClockAhead);
        }
        if self.history.iter().any(clock_off) {
            flags.push(Flag::ClockOff);
        }
        flags.extend(&self.habits);
        if self.loaded_by().is_some() {
            flags.push(Flag::ByFile);
        }
        flags
    }

    /// Who loaded the result that counts, where it came by a phone's file.
    pub fn loaded_by(&self) -> Option<PersonId> {
        self.result().and_then(|result| result.loaded_by)
    }

    fn is_unexplained_pass(&self) -> bool {
        let Some(result) = self.result().filter(|r| r.verdict() == Some(Verdict::Pass)) else {
            return false;
        };
        let failed = self.history.iter().rev().find(|r| r.verdict() == Some(Verdict::Fail));
        failed.is_some_and(|failed| {
            failed.act.seq < result.act.seq
                && !self.remarks.iter().any(|words| words.act.seq > failed.act.seq)
                && !is_slip(failed, result)
        })
    }
}

fn clock_off(result: &Recorded) -> bool {
    let off = result.act.clock_ahead_ms.map_or(0, i64::saturating_abs);
    off > CLOCK_OFF_MS_MAX
}

fn clock_ahead(result: &Recorded) -> bool {
    result.act.recorded.0 - result.act.received.0 > CLOCK_APART_MS
}
