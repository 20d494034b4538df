//! Whether an instrument may be used today, and for how long still.

use time::Date;

use super::{Calibration, Instrument};
use crate::domain::ids::Moment;

/// A calibration that ends within so many days is announced.
pub const WARN_DAYS: i64 = 30;

/// How an instrument stands on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    Retired,
    /// Found out of tolerance, and not calibrated since.
    Recalled,
    NeverCalibrated,
    Lapsed,
    /// So many days are left; on the last one none.
    Ends {
        days: i64,
    },
    InDate,
}

impl Standing {
    /// Whether somebody has to see to it.
    pub fn wants_care(self) -> bool {
        !matches!(self, Self::Retired | Self::InDate)
    }

    /// As a list says it.
    pub fn words(self) -> String {
        match self {
            Self::Retired => "Retired".to_owned(),
            Self::Recalled => "Recalled".to_owned(),
            Self::NeverCalibrated => "Not calibrated".to_owned(),
            Self::Lapsed => "Out of date".to_owned(),
            Self::Ends { days: 0 } => "Last day".to_owned(),
            Self::Ends { days: 1 } => "1 day left".to_owned(),
            Self::Ends { days } => format!("{days} days left"),
            Self::InDate => "In date".to_owned(),
        }
    }
}

impl Instrument {
    pub fn standing(&self, now: Moment) -> Standing {
        if self.retired {
            return Standing::Retired;
        }
        if self.open_recall().is_some() || self.recall_at(now).is_some() {
            return Standing::Recalled;
        }
        let Some(last_day) = self.calibration_at(now).and_then(last_day) else {
            let never = self.calibrations.is_empty();
            return if never { Standing::NeverCalibrated } else { Standing::Lapsed };
        };
        match (last_day - now.utc().date()).whole_days() {
            days if days <= WARN_DAYS => Standing::Ends { days },
            _ => Standing::InDate,
        }
    }

    /// The calibration that says when the next one is due: that of today, else the newest.
    pub fn newest_calibration(&self, now: Moment) -> Option<&Calibration> {
        self.calibration_at(now).or_else(|| self.calibrations.iter().max_by_key(|c| &c.due_on))
    }
}

/// Of what is stored as `YYYY-MM-DD`.
pub fn last_day(calibration: &Calibration) -> Option<Date> {
    let format = time::macros::format_description!("[year]-[month]-[day]");
    Date::parse(&calibration.due_on, format).ok()
}
