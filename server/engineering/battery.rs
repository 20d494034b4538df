//! Batteries: what they are made of, their cells, and their charge by the voltage at rest.

use std::fmt;

pub use super::battery_charging::{
    ChargingCase, Compensation, Stage, VoltageRange, cell_window, charging_voltage,
    compensated_voltage, window_source,
};
use super::units::Volts;
use super::{OutOfRange, Source, check};

/// What a battery is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chemistry {
    /// Lead-acid with liquid acid.
    Flooded,
    /// Lead-acid, acid held in a glass mat.
    Agm,
    /// Lead-acid, acid held in a gel.
    Gel,
    /// Lithium iron phosphate.
    Lfp,
}

impl Chemistry {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 4] = [Self::Flooded, Self::Agm, Self::Gel, Self::Lfp];

    /// The word of a plan file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flooded => "flooded",
            Self::Agm => "agm",
            Self::Gel => "gel",
            Self::Lfp => "lfp",
        }
    }

    /// The name that is printed.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Flooded => "Lead-acid, flooded",
            Self::Agm => "Lead-acid, AGM",
            Self::Gel => "Lead-acid, gel",
            Self::Lfp => "Lithium iron phosphate",
        }
    }

    /// Reads the word of a plan file.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|chemistry| chemistry.word() == word)
    }

    /// It is one of the lead-acid kinds.
    #[must_use]
    pub const fn is_lead_acid(self) -> bool {
        !matches!(self, Self::Lfp)
    }
}

impl fmt::Display for Chemistry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// Nominal voltage [V], cells of lead-acid, cells of lithium iron phosphate, in series.
///
/// # Source
///
/// Common practice, no source: 2 V and 3.2 V a cell.
const CELLS: [(f64, u32, u32); 3] = [(12.0, 6, 4), (24.0, 12, 8), (48.0, 24, 16)];

/// A nominal voltage this near to a listed one is that one [V].
const SAME_NOMINAL: f64 = 1e-9;

/// Cells in series of a battery of a nominal voltage: 12 V, 24 V or 48 V.
///
/// Lithium packs of 48 V with 15 cells exist: read the label.
///
/// # Source
///
/// Common practice, no source.
///
/// # Example
///
/// 24 V. By hand: 24 / 2 = 12 cells of lead-acid; 8 cells of 3.2 V are 25.6 V.
///
/// ```
/// use fusewright::engineering::{battery::*, units::Volts};
///
/// assert_eq!(cell_count(Chemistry::Agm, Volts(24.0)).unwrap(), 12);
/// assert_eq!(cell_count(Chemistry::Lfp, Volts(24.0)).unwrap(), 8);
/// assert!(cell_count(Chemistry::Agm, Volts(18.0)).is_err());
/// ```
pub fn cell_count(chemistry: Chemistry, nominal: Volts) -> Result<u32, OutOfRange> {
    CELLS
        .iter()
        .find(|(volts, ..)| (volts - nominal.0).abs() < SAME_NOMINAL)
        .map(|(_, lead_acid, lithium)| if chemistry.is_lead_acid() { *lead_acid } else { *lithium })
        .ok_or_else(|| check::refusal("nominal voltage", &nominal, "12 V, 24 V or 48 V"))
}

/// Below this a cell of lithium iron phosphate is harmed.
///
/// # Source
///
/// General guides (seen in public copies).
pub const LFP_CELL_LEAST: Volts = Volts(2.5);

/// Below this a cell of lithium iron phosphate holds next to nothing, and a pack should be off.
///
/// # Source
///
/// General guides (seen in public copies).
pub const LFP_CELL_LEAST_IN_USE: Volts = Volts(2.8);

/// Where the rest voltages come from.
pub const REST_SOURCE: Source =
    Source::seen("Battery Council International, rest voltage table at 26.7 °C");

/// State of charge, as a share, and rest voltage of a flooded battery of 12 V [V], at 26.7 °C.
///
/// # Source
///
/// Battery Council International (seen in two public copies).
const REST_12V: [(f64, f64); 5] =
    [(1.00, 12.65), (0.75, 12.45), (0.50, 12.24), (0.25, 12.06), (0.00, 11.89)];

/// Cells of a battery of 12 V, as the table counts.
const CELLS_12V: f64 = 6.0;

/// From here on a flooded battery of 12 V is not at rest: it is floating or charging [V].
///
/// # Source
///
/// Least float voltage of handbooks (from memory).
const FLOATING_12V: f64 = 13.2;

/// Charge of a battery by its voltage at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RestCharge {
    /// Above the table: full, or not rested, with charge still on the plates.
    AboveTable,
    /// The state of charge, from 0 to 1.
    Share(f64),
    /// Below the table: flat, and probably harmed.
    BelowTable,
}

/// State of charge of a flooded battery by its voltage at rest.
///
/// ```text
/// s = s1 + (s2 − s1) · (V − V1) / (V2 − V1)
/// ```
///
/// | symbol             | meaning                                                        | unit |
/// |--------------------|----------------------------------------------------------------|------|
/// | `s`                | state of charge, result, from 0 to 1                           | –    |
/// | `V`                | `rest`, brought to 12 V; less than 13.2 there                  | V    |
/// | `s1, V1`, `s2, V2` | lines of the table next below and above                        | –, V |
///
/// | state of charge | 100 % | 75 %  | 50 %  | 25 %  | 0 %   |
/// |-----------------|-------|-------|-------|-------|-------|
/// | V at 12 V       | 12.65 | 12.45 | 12.24 | 12.06 | 11.89 |
///
/// Six hours at rest at least, better a day, without load or charge. Flooded only: AGM and gel rest
/// 0.1 V to 0.3 V higher when full (from memory), and lithium iron phosphate tells nothing by its
/// rest voltage. No correction for temperature.
///
/// # Source
///
/// Battery Council International, rest voltage table at 26.7 °C (seen in public copies).
///
/// # Example
///
/// 12.35 V on 12 V. By hand: 0.50 + 0.25 × 0.11 / 0.21 = 0.631.
///
/// ```
/// use fusewright::engineering::{battery::*, units::Volts};
///
/// let RestCharge::Share(charge) =
///     charge_at_rest(Chemistry::Flooded, Volts(12.0), Volts(12.35)).unwrap()
/// else {
///     panic!("the voltage lies in the table")
/// };
/// assert_eq!(format!("{charge:.3}"), "0.631");
/// ```
pub fn charge_at_rest(
    chemistry: Chemistry,
    nominal: Volts,
    rest: Volts,
) -> Result<RestCharge, OutOfRange> {
    let times = times_12v(chemistry, nominal)?;
    let most = FLOATING_12V * times;
    if !(0.0..most).contains(&rest.0) {
        let allowed = format!("from 0 V to less than {most} V, from where it is charging");
        return Err(check::refusal("voltage at rest", &rest, allowed));
    }
    let volts = rest.0 / times;
    let [(_, full), ..] = REST_12V;
    if volts > full {
        return Ok(RestCharge::AboveTable);
    }
    let share = line_at(volts, |(share, volts)| (volts, share));
    Ok(share.map_or(RestCharge::BelowTable, RestCharge::Share))
}

/// Voltage at rest of a flooded battery by its state of charge: [`charge_at_rest`] the other way
/// round.
///
/// Symbols, units, range and source as there; the state of charge from 0 to 1.
///
/// # Example
///
/// Half charged, 24 V. By hand: 2 × 12.24 = 24.5 V.
///
/// ```
/// use fusewright::engineering::{battery::*, units::Volts};
///
/// let half = rest_voltage(Chemistry::Flooded, Volts(24.0), 0.5).unwrap();
/// assert_eq!(format!("{half:.1}"), "24.5 V");
/// ```
pub fn rest_voltage(
    chemistry: Chemistry,
    nominal: Volts,
    charge: f64,
) -> Result<Volts, OutOfRange> {
    let times = times_12v(chemistry, nominal)?;
    let quantity = "state of charge";
    let charge = check::within(quantity, charge, (0.0, 1.0))?;
    line_at(charge, |line| line)
        .map(|volts| Volts(volts * times))
        .ok_or_else(|| check::refusal(quantity, &charge, "in the table"))
}

/// How many times 12 V the battery has; refuses what the rest voltage tells nothing about.
fn times_12v(chemistry: Chemistry, nominal: Volts) -> Result<f64, OutOfRange> {
    let why = match chemistry {
        Chemistry::Flooded => {
            return Ok(f64::from(cell_count(chemistry, nominal)?) / CELLS_12V);
        }
        Chemistry::Agm | Chemistry::Gel => {
            "its table does not hold for AGM and gel, which rest higher when full"
        }
        Chemistry::Lfp => {
            "lithium iron phosphate rests at nearly one voltage however full, and the guides disagree"
        }
    };
    let allowed = format!("{}, to tell charge by rest voltage: {why}", Chemistry::Flooded);
    Err(check::refusal("chemistry of the battery", &chemistry, allowed))
}

/// The table on a straight line between its points, seen along either column.
fn line_at(x: f64, column: impl Fn((f64, f64)) -> (f64, f64)) -> Option<f64> {
    REST_12V.windows(2).find_map(|pair| {
        let [above, below] = pair else { return None };
        let ((x1, y1), (x2, y2)) = (column(*below), column(*above));
        (x1..=x2).contains(&x).then(|| y1 + (y2 - y1) * (x - x1) / (x2 - x1))
    })
}
