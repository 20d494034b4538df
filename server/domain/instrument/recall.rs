//! An instrument that was found to have read wrongly: from which day on nothing taken with it counts, and
//! which calibration ends that.

use serde::{Deserialize, Serialize};

use super::as_found::FoundOff;
use super::{Calibration, Instrument, Unfit};
use crate::domain::ids::{CalibrationId, Moment, RecallId};

/// Found out of tolerance. Only a calibration ends it: one done after the day it was found, or on that day
/// and noted after the recall.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Recall {
    pub id: RecallId,
    /// Readings of this day and later are in doubt, `YYYY-MM-DD`.
    pub from: String,
    pub found_on: String,
    /// Calibrations of the day it was found that came before the finding.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub doubted: Vec<CalibrationId>,
    /// What was found, in the words of whoever noted it.
    pub reason: String,
    /// How far it was off, where somebody measured that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found_off: Option<FoundOff>,
    pub noted: Moment,
}

impl Recall {
    /// Whether a calibration no longer vouches for what was read on a day. Nothing that was read on the day it
    /// was found counts, whichever calibration followed: days are all that papers name.
    pub(super) fn doubts(&self, calibration: &Calibration, date: &str) -> bool {
        let is_found_later = date <= self.found_on.as_str() || self.is_before(calibration);
        self.from.as_str() <= date && is_found_later
    }

    /// Whether a calibration came before the finding, and so does not end the recall.
    fn is_before(&self, calibration: &Calibration) -> bool {
        calibration.done_on < self.found_on || self.doubted.contains(&calibration.id)
    }
}

impl Instrument {
    /// The newest recall because of which a reading of that moment does not count; nothing where it would
    /// not count anyway.
    pub fn recall_at(&self, at: Moment) -> Option<&Recall> {
        if self.calibration_at(at).is_some() {
            return None;
        }
        let date = at.date();
        let takes = |recall: &&Recall| self.covering(&date).any(|c| recall.doubts(c, &date));
        self.recalls.iter().filter(takes).max_by_key(|recall| recall.noted)
    }

    /// The newest recall that no calibration has ended.
    pub fn open_recall(&self) -> Option<&Recall> {
        let is_open = |recall: &&Recall| self.ended_on(recall).is_none();
        self.recalls.iter().filter(is_open).max_by_key(|recall| recall.noted)
    }

    /// The day of the calibration that ended a recall.
    pub fn ended_on(&self, recall: &Recall) -> Option<&str> {
        let after = self.calibrations.iter().filter(|c| !recall.is_before(c));
        after.map(|c| c.done_on.as_str()).min()
    }

    /// Calibrations of a day, of which somebody has to say whether they came before a finding.
    pub fn calibrated_on(&self, day: &str) -> Vec<CalibrationId> {
        self.calibrations.iter().filter(|c| c.done_on == day).map(|c| c.id).collect()
    }

    /// The instrument as it was known before a moment. What was released then rests on that.
    #[must_use]
    pub fn as_known_before(&self, moment: Moment) -> Self {
        let mut known = self.clone();
        known.recalls.retain(|recall| recall.noted < moment);
        known
    }

    /// Without one recall: what its readings came to before.
    #[must_use]
    pub fn without_recall(&self, id: RecallId) -> Self {
        let mut without = self.clone();
        without.recalls.retain(|recall| recall.id != id);
        without
    }

    pub(super) fn unfit_at(&self, at: Moment) -> Unfit {
        let label = self.label.clone();
        match self.recall_at(at) {
            Some(Recall { from, reason, .. }) => {
                Unfit::Recalled { label, from: from.clone(), reason: reason.clone() }
            }
            None => Unfit::OutOfCalibration { label, date: at.date() },
        }
    }
}
