//! A path under load: its drop and current, and the resistance that follows.

use super::{
    Bench, Decimal, Entry, InstrumentId, Judgement, NotCounted, Payload, Step, StepKind, Unit,
    Verdict, rounded_down, rounded_up,
};
use crate::domain::diagnosis::{LoadedReading, PlannedPath, diagnose};

const NO_CURRENT: &str =
    "No resistance follows from a drop without current. Load the path and read both.";

impl Bench<'_> {
    /// R = U/I against the largest allowed R. Compared as U·I against R·I², so that nothing is
    /// divided before it is decided: pass when
    /// `(R·I − U)·I ≥ √((U(U)·I)² + (U·U(I))²)`.
    pub(super) fn path_drop(&self, step: &Step, entry: &Entry) -> Result<Judgement, NotCounted> {
        let (
            StepKind::PathDrop {
                resistance_max_milliohm: limit_milliohm,
                planned_milliohm,
                milliohm_per_metre,
                ..
            },
            Payload::PathDrop { drop_v, current_a, instrument, current_instrument },
        ) = (&step.kind, &entry.body.payload)
        else {
            return Err(NotCounted("This entry does not belong to a drop step.".to_owned()));
        };
        let reading = self.loaded((*drop_v, *instrument), (*current_a, *current_instrument))?;
        let verdict = path_verdict(&reading, *limit_milliohm);
        let path = PlannedPath {
            planned_milliohm: *planned_milliohm,
            limit_milliohm: *limit_milliohm,
            milliohm_per_metre: *milliohm_per_metre,
        };
        let found = diagnose(&reading, &path);
        Ok(Judgement {
            verdict,
            value: format!("{drop_v} V at {current_a} A"),
            sentence: found.words(verdict),
            // Rounded against itself, so that printing never turns a fail into a pass.
            figure: Some((found.resistance_shown(), Unit::Milliohm)),
            uncertainty: Some(rounded_up(found.uncertainty, 3)),
            margin: Some(rounded_down(limit_milliohm - found.resistance)),
            diagnosis: Some(found),
            open_circuit: None,
        })
    }

    /// A drop and its current, each with what its instrument leaves open.
    fn loaded(
        &self,
        (drop_v, voltmeter): (Decimal, InstrumentId),
        (current_a, clamp): (Decimal, InstrumentId),
    ) -> Result<LoadedReading, NotCounted> {
        if current_a <= Decimal::ZERO {
            return Err(NotCounted(NO_CURRENT.to_owned()));
        }
        let drop_v = drop_v.abs();
        Ok(LoadedReading {
            drop_v,
            drop_uncertainty_v: self.uncertainty(drop_v, Unit::Volt, voltmeter)?,
            current_a,
            current_uncertainty_a: self.uncertainty(current_a, Unit::Ampere, clamp)?,
        })
    }
}

fn path_verdict(reading: &LoadedReading, limit_milliohm: Decimal) -> Verdict {
    let allowed_v = limit_milliohm / Decimal::ONE_THOUSAND * reading.current_a;
    let spare = (allowed_v - reading.drop_v) * reading.current_a;
    if reading.drop_v > allowed_v {
        Verdict::Fail
    } else if spare * spare >= reading.guard_squared() {
        Verdict::Pass
    } else {
        Verdict::Inconclusive
    }
}
