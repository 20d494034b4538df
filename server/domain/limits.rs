//! The limits that are a choice of this trade and not physics, each with where it comes from.

use super::finding::Basis;
use super::number::Decimal;
use super::plan::{Chemistry, Vehicle};
use super::step::Limits;
use crate::engineering::Source;

/// How much more resistance than planned a path may show [%]: joints and lugs scatter by about this.
/// Common practice, no source.
pub const PATH_MARGIN_PERCENT: Decimal = Decimal::from_parts(15, 0, 0, false, 0);

/// Less than this beside its plan no joint or cable is looked for: half a sound joint, as joints
/// scatter [mΩ]. Common practice, no source.
pub const EXCESS_LEAST_MILLIOHM: f64 = 0.25;

/// Least insulation between all conductors and the body with fuses out, where neither kit nor
/// workshop says otherwise [MΩ]. IEC 62446-1, table 2, up to 120 V (from memory).
pub const INSULATION_LEAST_MEGOHM: Decimal = Decimal::from_parts(5, 0, 0, false, 1);

/// Highest rise of a terminal over the air after ten minutes at load [K]. Common practice, no source.
pub const TERMINAL_RISE_MOST_K: Decimal = Decimal::from_parts(30, 0, 0, false, 0);

/// How far an open solar string may lie from the voltage that its cells' temperature lets expect, on
/// either side [%]. IEC 62446-1, open-circuit voltage test (from memory).
pub const STRING_TOLERANCE_PERCENT: Decimal = Decimal::from_parts(5, 0, 0, false, 0);

/// How the voltage of silicon cells follows their temperature, where the module's data sheet is
/// missing [%/K]. From memory.
pub const SILICON_PERCENT_PER_K: Decimal = Decimal::from_parts(40, 0, 0, true, 2);

/// Temperatures that cells in daylight can have [°C]; others are slips. Common practice, no source.
pub const CELL_COLDEST_C: Decimal = Decimal::from_parts(40, 0, 0, true, 0);
pub const CELL_HOTTEST_C: Decimal = Decimal::from_parts(100, 0, 0, false, 0);

/// Months until the customer should have the work looked at again. Common practice, no source.
pub const REINSPECTION_MONTHS: i32 = 12;

/// Joints settle in first use: about four weeks, or 1000 km. Common practice, no source.
pub const RETORQUE_DAYS: i64 = 28;

/// A parked vehicle with the gear asleep should stand at least this long [days]. Common practice, no
/// source.
pub const STANDING_DAYS_LEAST: f64 = 14.0;

/// The state of charge down to which a starter battery may stand. Common practice, no source.
pub const STANDING_DOWN_TO: f64 = 0.5;

/// Where [`INSULATION_LEAST_MEGOHM`] comes from.
pub fn insulation_basis() -> Basis {
    Source::from_memory("IEC 62446-1, table 2, up to 120 V").into()
}

/// Where [`STRING_TOLERANCE_PERCENT`] comes from.
pub fn string_basis() -> Basis {
    Source::from_memory("IEC 62446-1, open-circuit voltage test").into()
}

/// A window for 12 V, in hundredths of a volt; other nominal voltages take the multiple.
struct Window {
    chemistry: Chemistry,
    rested: (i64, i64),
    charging: (i64, i64),
}

/// Rest and charging windows of a 12 V battery at about 25 °C. Flooded at rest: battery council
/// table, above 75 % charged (seen); all others from handbooks (from memory, confidence B to C).
const WINDOWS_12V: [Window; 4] = [
    Window { chemistry: Chemistry::Flooded, rested: (1240, 1290), charging: (1380, 1480) },
    Window { chemistry: Chemistry::Agm, rested: (1250, 1320), charging: (1380, 1470) },
    Window { chemistry: Chemistry::Gel, rested: (1250, 1320), charging: (1380, 1440) },
    Window { chemistry: Chemistry::Lfp, rested: (1280, 1380), charging: (1360, 1460) },
];

/// A steered alternator may rest as low as this and still be well, and peak as high [V/100, 12 V], as
/// [`STEERED_SOURCE`] says.
const SMART_CHARGING_12V: (i64, i64) = (1240, 1500);

pub const BATTERY_SOURCE: &str = "Battery council rest table and handbooks, 25 °C (from memory)";

/// Where the window of a steered alternator comes from.
pub const STEERED_SOURCE: &str = "Supply ranges after ISO 16750-2 (from memory)";

/// How the charging window follows the battery's temperature.
pub const COMPENSATION_SOURCE: &str =
    "−3 mV/K per cell from 25 °C (battery-education text, seen in a public copy)";

/// The battery at rest, an hour or more after the last charge or load.
pub fn battery_rested(chemistry: Chemistry, nominal_v: Decimal) -> Limits {
    let window = WINDOWS_12V.iter().find(|w| w.chemistry == chemistry).map(|w| w.rested);
    scaled(window.unwrap_or((1240, 1290)), nominal_v)
}

/// The battery while the engine charges it: for lead-acid on a fixed alternator, shifted by its
/// temperature, which is taken as 25 °C where nobody says.
pub fn battery_charging(vehicle: &Vehicle) -> Limits {
    let (chemistry, nominal_v) = (vehicle.battery, vehicle.nominal_voltage_v);
    if vehicle.smart_alternator {
        return scaled(SMART_CHARGING_12V, nominal_v);
    }
    let window = charging_of(chemistry, nominal_v);
    let shift = vehicle
        .battery_c
        .filter(|_| chemistry.is_lead_acid())
        .map_or(Decimal::ZERO, |celsius| compensation(celsius, nominal_v));
    let moved = |limit: Option<Decimal>| limit.map(|volts| (volts + shift).round_dp(2));
    Limits { lower: moved(window.lower), upper: moved(window.upper) }
}

/// The charging window at 25 °C on a fixed alternator.
pub fn charging_of(chemistry: Chemistry, nominal_v: Decimal) -> Limits {
    let window = WINDOWS_12V.iter().find(|w| w.chemistry == chemistry).map(|w| w.charging);
    scaled(window.unwrap_or((1380, 1480)), nominal_v)
}

/// A cold lead-acid battery is charged with more: −3 mV for each kelvin and cell from 25 °C.
fn compensation(celsius: Decimal, nominal_v: Decimal) -> Decimal {
    let cells = nominal_v / Decimal::TWO;
    Decimal::new(-3, 3) * cells * (celsius - Decimal::from(25))
}

fn scaled((low, high): (i64, i64), nominal_v: Decimal) -> Limits {
    let times = nominal_v / Decimal::from(12);
    let volts = |hundredths: i64| (Decimal::new(hundredths, 2) * times).round_dp(2);
    Limits::between(volts(low), volts(high))
}
