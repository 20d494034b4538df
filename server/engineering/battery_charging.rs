//! Voltages that batteries are charged with, at 25 °C and at other temperatures; part of the room
//! `battery`.

use std::fmt;

use super::battery::{Chemistry, cell_count};
use super::units::{Celsius, MillivoltsPerKelvin, Volts};
use super::{OutOfRange, Source, check};

/// Where a charger stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Held at the higher voltage until the current has fallen.
    Absorption,
    /// Held full.
    Float,
}

/// From one voltage to another, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltageRange {
    /// Lower end.
    pub least: Volts,
    /// Upper end.
    pub most: Volts,
}

/// One line of the table, as printed for 12 V [V].
struct Windows {
    absorption: (f64, f64),
    float: (f64, f64),
    source: Source,
}

/// Handbooks (from memory).
const FLOODED: Windows = Windows {
    absorption: (14.4, 14.8),
    float: (13.2, 13.5),
    source: Source::from_memory("handbooks, flooded lead-acid of 12 V at 25 °C"),
};

/// Handbooks (from memory).
const AGM: Windows = Windows {
    absorption: (14.4, 14.7),
    float: (13.5, 13.8),
    source: Source::from_memory("handbooks, AGM lead-acid of 12 V at 25 °C"),
};

/// Handbooks (from memory). Never above the upper end.
const GEL: Windows = Windows {
    absorption: (14.1, 14.4),
    float: (13.5, 13.8),
    source: Source::from_memory("handbooks, gel lead-acid of 12 V at 25 °C"),
};

/// General guides, four cells (seen in public copies). Many packs are not floated at all.
const LFP: Windows = Windows {
    absorption: (14.2, 14.6),
    float: (13.4, 13.6),
    source: Source::seen("general guides, four cells of lithium iron phosphate"),
};

/// The line of a chemistry.
const fn windows(chemistry: Chemistry) -> &'static Windows {
    match chemistry {
        Chemistry::Flooded => &FLOODED,
        Chemistry::Agm => &AGM,
        Chemistry::Gel => &GEL,
        Chemistry::Lfp => &LFP,
    }
}

/// Nominal voltage that the table is printed for.
const PRINTED_FOR: Volts = Volts(12.0);

/// Voltages that one cell is charged with at 25 °C.
///
/// | at 12 V | absorption  | float       |
/// |---------|-------------|-------------|
/// | flooded | 14.4 – 14.8 | 13.2 – 13.5 |
/// | AGM     | 14.4 – 14.7 | 13.5 – 13.8 |
/// | gel     | 14.1 – 14.4 | 13.5 – 13.8 |
/// | LFP     | 14.2 – 14.6 | 13.4 – 13.6 |
///
/// Divided by six cells of lead-acid or four of lithium iron phosphate. The maker's figures stand
/// above these.
///
/// # Source
///
/// Lead-acid: handbooks (from memory). Lithium iron phosphate: general guides (seen).
///
/// # Example
///
/// Lithium iron phosphate, absorption. By hand: 14.2 / 4 = 3.55 V, 14.6 / 4 = 3.65 V.
///
/// ```
/// use fusewright::engineering::battery::*;
///
/// let cell = cell_window(Chemistry::Lfp, Stage::Absorption).unwrap();
/// assert_eq!(format!("{:.2} to {:.2}", cell.least, cell.most), "3.55 V to 3.65 V");
/// ```
pub fn cell_window(chemistry: Chemistry, stage: Stage) -> Result<VoltageRange, OutOfRange> {
    let cells = f64::from(cell_count(chemistry, PRINTED_FOR)?);
    let line = windows(chemistry);
    let (least, most) = match stage {
        Stage::Absorption => line.absorption,
        Stage::Float => line.float,
    };
    Ok(VoltageRange { least: Volts(least / cells), most: Volts(most / cells) })
}

/// Where the charging voltages of a chemistry come from.
#[must_use]
pub const fn window_source(chemistry: Chemistry) -> Source {
    windows(chemistry).source
}

/// How the voltage of lead-acid follows its temperature. Sources disagree: the maker's figure wins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Compensation {
    /// −3 mV/K a cell, the usual choice.
    #[default]
    Minus3,
    /// −4 mV/K a cell.
    Minus4,
    /// −5 mV/K a cell.
    Minus5,
}

impl Compensation {
    /// All of them, weakest first.
    pub const ALL: [Self; 3] = [Self::Minus3, Self::Minus4, Self::Minus5];

    /// Change of the voltage of one cell.
    #[must_use]
    pub const fn per_cell(self) -> MillivoltsPerKelvin {
        MillivoltsPerKelvin(match self {
            Self::Minus3 => -3.0,
            Self::Minus4 => -4.0,
            Self::Minus5 => -5.0,
        })
    }

    /// Where it comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Minus3 => Source::seen("battery-education text, constant-voltage charging"),
            Self::Minus4 | Self::Minus5 => {
                Source::from_memory("handbooks of solar batteries, lead-acid")
            }
        }
    }
}

impl fmt::Display for Compensation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} a cell", self.per_cell())
    }
}

/// Temperature that charging voltages are printed for [°C].
const PRINTED_AT: f64 = 25.0;

/// Temperatures of lead-acid that the straight line is carried to [°C].
const LEAD_ACID_RANGE: (f64, f64) = (-40.0, 60.0);

/// Temperatures at which a lithium battery may be charged [°C]. Many makers end below the upper one.
const LITHIUM_RANGE: (f64, f64) = (0.0, 60.0);

/// Charging voltage of lead-acid at the temperature of the battery.
///
/// ```text
/// V = n · (Vc + c / 1000 · (T − 25))
/// ```
///
/// | symbol | meaning                                                    | unit |
/// |--------|------------------------------------------------------------|------|
/// | `V`    | voltage of the battery, result                             | V    |
/// | `n`    | [`cell_count`] of lead-acid at `nominal`: 12, 24 or 48 V   | –    |
/// | `Vc`   | `cell_at_25`, voltage of one cell at 25 °C                 | V    |
/// | `c`    | `compensation`, negative                                   | mV/K |
/// | `T`    | `battery`, of the battery, not of the air; −40 to 60       | °C   |
///
/// Not for lithium, which takes the same voltage at every temperature it may be charged at. An
/// appliance on the same line may not stand the voltage of a cold day.
///
/// # Source
///
/// −3 mV/K: battery-education text (seen). −4 and −5 mV/K: handbooks (from memory).
///
/// # Example
///
/// Float 2.30 V a cell, 12 V, 35 °C, −3 mV/K. By hand: 6 × (2.30 − 0.003 × 10) = 13.6 V.
///
/// ```
/// use fusewright::engineering::{battery::*, units::*};
///
/// let warm =
///     compensated_voltage(Volts(2.30), Volts(12.0), Celsius(35.0), Compensation::Minus3).unwrap();
/// assert_eq!(format!("{warm:.2}"), "13.62 V");
/// ```
pub fn compensated_voltage(
    cell_at_25: Volts,
    nominal: Volts,
    battery: Celsius,
    compensation: Compensation,
) -> Result<Volts, OutOfRange> {
    let cell = check::positive("voltage of one cell", cell_at_25)?;
    let cells = f64::from(cell_count(Chemistry::Flooded, nominal)?);
    let battery = check::within("temperature of the battery", battery, LEAD_ACID_RANGE)?;
    let rise = compensation.per_cell().0 / 1000.0 * (battery - PRINTED_AT);
    Ok(Volts(cells * (cell + rise)))
}

/// A battery on its charger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargingCase {
    /// What it is made of.
    pub chemistry: Chemistry,
    /// 12 V, 24 V or 48 V.
    pub nominal: Volts,
    /// Where the charger stands.
    pub stage: Stage,
    /// Temperature of the battery.
    pub battery: Celsius,
    /// How lead-acid follows it; no say for lithium.
    pub compensation: Compensation,
}

/// Voltages between which a battery is charged, at its temperature.
///
/// Lead-acid: both ends of [`cell_window`] by [`compensated_voltage`], from −40 °C to 60 °C.
/// Lithium iron phosphate: n · Vc as printed, from 0 °C to 60 °C; below 0 °C it is refused, since
/// charging in frost plates lithium and harms the cell for good.
///
/// # Source
///
/// As there; no charging of lithium below 0 °C: widely published (from memory).
///
/// # Example
///
/// AGM, 12 V, absorption, 5 °C, −3 mV/K. By hand: 14.4 + 6 × 0.003 × 20 = 14.8 V to 15.1 V.
///
/// ```
/// use fusewright::engineering::{battery::*, units::*};
///
/// let case = ChargingCase {
///     chemistry: Chemistry::Agm,
///     nominal: Volts(12.0),
///     stage: Stage::Absorption,
///     battery: Celsius(5.0),
///     compensation: Compensation::Minus3,
/// };
/// let found = charging_voltage(case).unwrap();
/// assert_eq!(format!("{:.2} to {:.2}", found.least, found.most), "14.76 V to 15.06 V");
///
/// let frost = ChargingCase { chemistry: Chemistry::Lfp, battery: Celsius(-1.0), ..case };
/// assert!(charging_voltage(frost).unwrap_err().to_string().contains("never charged in frost"));
/// ```
pub fn charging_voltage(case: ChargingCase) -> Result<VoltageRange, OutOfRange> {
    let cell = cell_window(case.chemistry, case.stage)?;
    if case.chemistry.is_lead_acid() {
        let at = |cell| compensated_voltage(cell, case.nominal, case.battery, case.compensation);
        return Ok(VoltageRange { least: at(cell.least)?, most: at(cell.most)? });
    }
    let (coldest, hottest) = LITHIUM_RANGE;
    if !(coldest..=hottest).contains(&case.battery.0) {
        let allowed =
            format!("from {coldest} to {hottest} °C: a lithium battery is never charged in frost");
        return Err(check::refusal("temperature of the battery", &case.battery, allowed));
    }
    let cells = f64::from(cell_count(case.chemistry, case.nominal)?);
    Ok(VoltageRange { least: Volts(cells * cell.least.0), most: Volts(cells * cell.most.0) })
}
