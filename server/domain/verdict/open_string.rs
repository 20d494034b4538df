//! An open solar string: its voltage and the cells' temperature that its limits follow.

use super::{Bench, Entry, Judgement, NotCounted, Payload, Step, Unit, rounded_down, rounded_up};
use crate::domain::solar_open::{
    OpenReading, OpenString, examine, is_cell_temperature, no_cell_words,
};

impl Bench<'_> {
    /// V against Voc·(1 + β·(T − 25)), guarded by what both instruments leave open.
    pub(super) fn solar_open(&self, step: &Step, entry: &Entry) -> Result<Judgement, NotCounted> {
        let string = OpenString::of(&step.kind);
        let (Some(string), Payload::SolarOpen { voltage_v, cell_c, instrument, thermometer }) =
            (string, &entry.body.payload)
        else {
            return Err(NotCounted("This entry does not belong to a solar string.".to_owned()));
        };
        let reading = OpenReading {
            voltage_v: *voltage_v,
            voltage_uncertainty_v: self.uncertainty(*voltage_v, Unit::Volt, *instrument)?,
            cell_c: *cell_c,
            cell_uncertainty_k: self.uncertainty(*cell_c, Unit::Celsius, *thermometer)?,
        };
        if !is_cell_temperature(*cell_c) {
            return Err(NotCounted(no_cell_words(*voltage_v, *cell_c)));
        }
        let found = examine(reading, string);
        let verdict = found.verdict();
        let (margin, uncertainty) = found.margin();
        Ok(Judgement {
            verdict,
            value: entry.body.payload.value_words(),
            sentence: found.words(verdict),
            figure: Some((*voltage_v, Unit::Volt)),
            uncertainty: Some(rounded_up(uncertainty, 3)),
            margin: Some(rounded_down(margin)),
            diagnosis: None,
            open_circuit: Some(found),
        })
    }
}
