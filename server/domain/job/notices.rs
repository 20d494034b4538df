//! The flags of a whole job, counted: what lists can tell without folding it.

use super::{Flag, JobState};

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
    SameFigure,
    EarlyPhoto,
}

impl Notice {
    pub const ALL: [Self; 8] = [
        Self::UnexplainedPass,
        Self::Improbable,
        Self::NotCounted,
        Self::Rushed,
        Self::SameFigure,
        Self::EarlyPhoto,
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
            Self::SameFigure => "same_figure",
            Self::EarlyPhoto => "early_photo",
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
            Self::Rushed => format!("{steps} recorded within seconds"),
            Self::SameFigure => format!("{steps} with the very same figure"),
            Self::EarlyPhoto => format!("{steps} with a photo from before the job"),
        }
    }

    fn tells(self, flag: Flag) -> bool {
        match self {
            Self::Improbable => flag == Flag::Improbable,
            Self::NotCounted => flag == Flag::NotCounted,
            Self::UnexplainedPass => flag == Flag::UnexplainedPass,
            Self::ClockOff => matches!(flag, Flag::ClockOff | Flag::ClockAhead),
            Self::ByFile => flag == Flag::ByFile,
            Self::Rushed => flag == Flag::Rushed,
            Self::SameFigure => flag == Flag::SameFigure,
            Self::EarlyPhoto => flag == Flag::EarlyPhoto,
        }
    }
}

/// As lists keep it: `clock_off:2 improbable:1`.
pub fn notices_text(state: &JobState) -> String {
    let flags: Vec<Vec<Flag>> = state.steps.iter().map(super::StepState::flags).collect();
    let told = |notice: Notice| {
        let count = flags.iter().filter(|of| of.iter().any(|flag| notice.tells(*flag))).count();
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
