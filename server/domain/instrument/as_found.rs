//! What a reading is still worth when its instrument turns out to have been off: whether it would pass had
//! it been wrong by as much, in whichever direction is worse.

use serde::{Deserialize, Serialize};

use super::Instrument;
use crate::domain::entry::Payload;
use crate::domain::ids::InstrumentId;
use crate::domain::number::Decimal;
use crate::domain::step::Unit;
use crate::domain::verdict::{Judgement, Verdict};

/// How far an instrument was found off: a share of the reading and counts of the last digit. The sign is
/// not asked for: it is rarely the same over a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct FoundOff {
    pub percent: Decimal,
    pub digits: u32,
}

/// What becomes of one reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Survives {
    /// It passes by more than the error and the uncertainty together.
    Yes,
    No,
    /// It did not pass before, or the error does not carry over to what is judged.
    CannotBeTold,
}

impl Survives {
    pub fn words(self) -> &'static str {
        match self {
            Self::Yes => "Still passes",
            Self::No => "Margin used up",
            Self::CannotBeTold => "Cannot be told",
        }
    }
}

/// Whether a reading would still pass: guarded acceptance (`verdict`), with the error taken off the margin.
pub fn survives(
    payload: &Payload,
    judged: &Judgement,
    (recalled, off): (&Instrument, FoundOff),
) -> Survives {
    let error = error_of(payload, (recalled, off), judged);
    match (judged.verdict, judged.margin, judged.uncertainty, error) {
        (Verdict::Pass, Some(margin), Some(uncertainty), Some(error)) => {
            if margin - error >= uncertainty { Survives::Yes } else { Survives::No }
        }
        _ => Survives::CannotBeTold,
    }
}

/// How far the judged figure may be off, in its own unit.
fn error_of(
    payload: &Payload,
    (recalled, off): (&Instrument, FoundOff),
    judged: &Judgement,
) -> Option<Decimal> {
    let error = |value: Decimal, unit: Unit, id: InstrumentId| {
        if id == recalled.id { recalled.error(value, unit, off) } else { Some(Decimal::ZERO) }
    };
    match payload {
        Payload::Torque { value, instrument } => error(*value, Unit::NewtonMetre, *instrument),
        Payload::Reading { value, instrument } => error(*value, judged.figure?.1, *instrument),
        Payload::PathDrop { drop_v, current_a, instrument, current_instrument } => {
            let drop_v = drop_v.abs();
            let drop_error_v = error(drop_v, Unit::Volt, *instrument)?;
            let current_error_a = error(*current_a, Unit::Ampere, *current_instrument)?;
            let least_a = current_a - current_error_a;
            if least_a <= Decimal::ZERO {
                return None;
            }
            let worst_ohm = (drop_v + drop_error_v) / least_a;
            Some((worst_ohm - drop_v / current_a) * Decimal::ONE_THOUSAND)
        }
        // A thermometer's error moves the limits, and a voltmeter's is held against moved ones.
        _ => None,
    }
}

impl Instrument {
    /// x % of the reading and y counts of its range; nothing outside of what it measures.
    fn error(&self, value: Decimal, unit: Unit, off: FoundOff) -> Option<Decimal> {
        let range = self.range_at(value, unit)?;
        let share = value.abs() * off.percent / Decimal::ONE_HUNDRED;
        Some(share + Decimal::from(off.digits) * range.resolution)
    }
}
