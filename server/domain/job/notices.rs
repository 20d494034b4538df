//! The flags of a whole job, counted: what lists can tell without folding it.

use super::{Flag, JobState, Recorded};

/// Results that follow each other faster than this were hardly worked in between [ms]. Common practice, no source.
const RUSH_MS: i64 = 5_000;
/// Fewer of them say nothing: two ticks may well go together.
const RUSHED_MIN: usize = 5;

/// Something about a job that a manager should look at twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notice {
    Improbable,
    NotCounted,
    UnexplainedPass,
    ClockOff,
    ByFile,
    /// Many steps within seconds.
    Rushed,
}

impl Notice {
    pub const ALL: [Self; 6] = [
        Self::UnexplainedPass,
        Self::Improbable,
        Self::NotCounted,
        Self::Rushed,
        Self::ClockOff,
        Self::ByFile,
    ];

    /// The word that is stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Improbable => "improbable",
            Self::NotCounted => "not_counted",
            Self::UnexplainedPass => "unexplained_pass",
            Self::ClockOff => "clock_off",
            Self::ByFile => "by_file",
            Self::Rushed => "rushed",
        }
    }

    /// About so many steps, in a few plain words.
    pub fn words(self, count: usize) -> String {
        let steps = if count == 1 { "1 step".to_owned() } else { format!("{count} steps") };
        match self {
            Self::Improbable => format!("{steps} far from what was expected"),
            Self::NotCounted => format!("{steps} with an entry that does not count"),
            Self::UnexplainedPass => format!("{steps} from fail to pass without a word"),
            Self::ClockOff => format!("{steps} recorded while the phone's clock was off"),
            Self::ByFile => format!("{steps} came by a phone's file"),
            Self::Rushed => format!("{steps} within seconds of the one before"),
        }
    }

    fn tells(self, flag: Flag) -> bool {
        match self {
            Self::Improbable => flag == Flag::Improbable,
            Self::NotCounted => flag == Flag::NotCounted,
            Self::UnexplainedPass => flag == Flag::UnexplainedPass,
            Self::ClockOff => matches!(flag, Flag::ClockOff | Flag::ClockAhead),
            Self::ByFile => flag == Flag::ByFile,
            Self::Rushed => false,
        }
    }
}

/// As lists keep it: `clock_off:2 improbable:1`.
pub fn notices_text(state: &JobState) -> String {
    let flags: Vec<Vec<Flag>> = state.steps.iter().map(super::StepState::flags).collect();
    let told = |notice: Notice| {
        let count = match notice {
            Notice::Rushed => rushed(state),
            _ => flags.iter().filter(|of| of.iter().any(|flag| notice.tells(*flag))).count(),
        };
        (count > 0).then(|| format!("{}:{count}", notice.word()))
    };
    Notice::ALL.into_iter().filter_map(told).collect::<Vec<_>>().join(" ")
}

/// What [`notices_text`] wrote, in plain words. A word of a later version is passed over.
pub fn notice_words(text: &str) -> Vec<String> {
    let one = |part: &str| {
        let (word, count) = part.split_once(':')?;
        let notice = Notice::ALL.into_iter().find(|notice| notice.word() == word)?;
        Some(notice.words(count.parse().ok()?))
    };
    text.split(' ').filter_map(one).collect()
}

/// Results that one person recorded within seconds of their result at another step; none where they are few.
fn rushed(state: &JobState) -> usize {
    let mut results: Vec<(&str, &Recorded)> = Vec::new();
    for step in &state.steps {
        results.extend(step.history.iter().map(|result| (step.step.key.as_str(), result)));
    }
    results.sort_by_key(|(_, result)| (result.act.person, result.act.recorded, result.act.seq));
    let is_close = |pair: &&[(&str, &Recorded)]| match pair {
        [(before, first), (after, second)] => {
            before != after
                && first.act.person == second.act.person
                && second.act.recorded.0 - first.act.recorded.0 < RUSH_MS
        }
        _ => false,
    };
    let count = results.windows(2).filter(is_close).count();
    if count < RUSHED_MIN { 0 } else { count }
}
