//! Copper conductors: the sizes there are, their area, their resistance and their temperature.

use std::fmt;
use std::hash::{Hash, Hasher};

pub use super::conductor_temperature::{
    ConductorLoad, conductor_temperature, conductor_temperature_square_root,
};
use super::units::{Celsius, Metres, OhmsPerMetre, SquareMillimetres};
use super::units::{METRES_PER_FOOT, MILLIMETRES_PER_INCH};
use super::{OutOfRange, Source, check};

/// Below the freezing point by this much, copper's resistance would be nothing if its line went on
/// [K].
///
/// # Source
///
/// IEC 60228, annex B; FAA AC 43.13-1B, paragraph 11-66 (seen in a public copy).
const COPPER_ZERO_RESISTANCE: f64 = 234.5;

/// The temperature that resistance tables refer to [°C].
const REFERENCE: f64 = 20.0;

/// The temperature that NEC chapter 9, table 8 refers to [°C].
const NEC_REFERENCE: f64 = 75.0;

/// Where the resistance of the metric sizes comes from.
pub const METRIC_SOURCE: Source =
    Source::seen("IEC 60228, table 3, class 5, plain copper, highest resistance at 20 °C");

/// Where the resistance of the American sizes comes from.
pub const AWG_SOURCE: Source =
    Source::seen("NEC chapter 9, table 8, stranded uncoated copper at 75 °C, brought to 20 °C");

/// Which family of sizes a conductor belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Family {
    /// Nominal area in mm², IEC 60228.
    Metric,
    /// American wire gauge.
    Awg,
}

/// One row of a printed table, in the printed unit and digits.
#[derive(Debug)]
enum Row {
    /// Label, nominal area [mm²], highest resistance at 20 °C [Ω/km].
    Metric(&'static str, f64, f64),
    /// Label, gauge number as ASTM B258 counts it (1/0 is 0, 2/0 is −1), resistance at 75 °C
    /// [Ω/kft].
    Awg(&'static str, i32, f64),
}

/// IEC 60228, table 3 (class 5, flexible), plain copper.
static METRIC: [Row; 14] = [
    Row::Metric("0.5 mm²", 0.5, 39.0),
    Row::Metric("0.75 mm²", 0.75, 26.0),
    Row::Metric("1 mm²", 1.0, 19.5),
    Row::Metric("1.5 mm²", 1.5, 13.3),
    Row::Metric("2.5 mm²", 2.5, 7.98),
    Row::Metric("4 mm²", 4.0, 4.95),
    Row::Metric("6 mm²", 6.0, 3.30),
    Row::Metric("10 mm²", 10.0, 1.91),
    Row::Metric("16 mm²", 16.0, 1.21),
    Row::Metric("25 mm²", 25.0, 0.780),
    Row::Metric("35 mm²", 35.0, 0.554),
    Row::Metric("50 mm²", 50.0, 0.386),
    Row::Metric("70 mm²", 70.0, 0.272),
    Row::Metric("95 mm²", 95.0, 0.206),
];

/// NEC chapter 9, table 8, stranded, uncoated copper. One public copy prints the solid values for
/// 14, 12 and 10 AWG (3.07, 1.93, 1.21) under this title; these are the stranded ones.
#[expect(clippy::approx_constant, reason = "3.14 is a printed resistance, not π")]
static AWG: [Row; 15] = [
    Row::Awg("18 AWG", 18, 7.95),
    Row::Awg("16 AWG", 16, 4.99),
    Row::Awg("14 AWG", 14, 3.14),
    Row::Awg("12 AWG", 12, 1.98),
    Row::Awg("10 AWG", 10, 1.24),
    Row::Awg("8 AWG", 8, 0.778),
    Row::Awg("6 AWG", 6, 0.491),
    Row::Awg("4 AWG", 4, 0.308),
    Row::Awg("3 AWG", 3, 0.245),
    Row::Awg("2 AWG", 2, 0.194),
    Row::Awg("1 AWG", 1, 0.154),
    Row::Awg("1/0 AWG", 0, 0.122),
    Row::Awg("2/0 AWG", -1, 0.0967),
    Row::Awg("3/0 AWG", -2, 0.0766),
    Row::Awg("4/0 AWG", -3, 0.0608),
];

/// A conductor size of one of the two families, with its area and resistance.
///
/// A size sold under an American gauge number to a vehicle standard (SAE J1127, J1128) is 3 to 11 %
/// smaller than the gauge; that is not allowed for here.
///
/// # Source
///
/// Metric: IEC 60228, table 3, class 5, plain copper. AWG: area by ASTM B258, resistance by NEC
/// chapter 9, table 8, stranded, uncoated.
///
/// # Example
///
/// ```
/// use fusewright::engineering::{conductor::ConductorSize, units::*};
///
/// let size = ConductorSize::parse("16 mm2").unwrap();
/// assert_eq!(size.label(), "16 mm²");
/// assert_eq!(size.area(), SquareMillimetres(16.0));
/// assert_eq!(size.resistance_20c(), OhmsPerMetre(0.001_21));
/// assert_eq!(size.next_larger().unwrap().label(), "25 mm²");
/// ```
#[derive(Clone, Copy)]
pub struct ConductorSize(&'static Row);

impl ConductorSize {
    /// Reads "16 mm²", "16 mm2", "16" (then mm²), "6 AWG" or "2/0 AWG".
    pub fn parse(text: &str) -> Result<Self, OutOfRange> {
        let lower = text.trim().to_lowercase().replace(char::is_whitespace, "");
        let found = if let Some(gauge) = lower.strip_suffix("awg") {
            Self::all_awg().find(|size| size.gauge() == gauge)
        } else {
            let number = lower.strip_suffix("mm²").or_else(|| lower.strip_suffix("mm2"));
            Self::with_area_text(number.unwrap_or(&lower))
        };
        let all = || Self::all_metric().chain(Self::all_awg()).map(Self::label);
        found.ok_or_else(|| check::not_listed("conductor size", text, all()))
    }

    /// The metric size whose nominal area is exactly the number written.
    fn with_area_text(number: &str) -> Option<Self> {
        let wanted: f64 = number.parse().ok()?;
        Self::all_metric().find(|size| size.area().0.total_cmp(&wanted).is_eq())
    }

    /// The gauge as it stands on the reel: "6", "2/0".
    fn gauge(self) -> &'static str {
        self.label().trim_end_matches(" AWG")
    }

    /// Every metric size, smallest first.
    pub fn all_metric() -> impl DoubleEndedIterator<Item = Self> + Clone {
        METRIC.iter().map(Self)
    }

    /// Every American size, smallest first (18 AWG to 4/0 AWG).
    pub fn all_awg() -> impl DoubleEndedIterator<Item = Self> + Clone {
        AWG.iter().map(Self)
    }

    /// Every size of a family, smallest first.
    pub fn all(family: Family) -> impl DoubleEndedIterator<Item = Self> + Clone {
        let table: &'static [Row] = match family {
            Family::Metric => &METRIC,
            Family::Awg => &AWG,
        };
        table.iter().map(Self)
    }

    /// Which family the size belongs to.
    #[must_use]
    pub fn family(self) -> Family {
        match self.0 {
            Row::Metric(..) => Family::Metric,
            Row::Awg(..) => Family::Awg,
        }
    }

    /// The size as it is printed: "16 mm²", "6 AWG".
    #[must_use]
    pub fn label(self) -> &'static str {
        match *self.0 {
            Row::Metric(label, ..) | Row::Awg(label, ..) => label,
        }
    }

    /// The conductor area: nominal for a metric size, worked out for a gauge.
    ///
    /// ```text
    /// d = 0.005 in · 92^((36 − n) / 39)      A = π/4 · d²
    /// ```
    ///
    /// | symbol | meaning                                   | unit |
    /// |--------|-------------------------------------------|------|
    /// | `n`    | gauge number; 1/0 is 0, 4/0 is −3         | –    |
    /// | `d`    | diameter of the solid wire of that gauge  | mm   |
    /// | `A`    | area, result                              | mm²  |
    ///
    /// # Source
    ///
    /// ASTM B258 (formula from memory; the areas agree with NEC chapter 9, table 8, as seen).
    #[must_use]
    pub fn area(self) -> SquareMillimetres {
        match *self.0 {
            Row::Metric(_, area, _) => SquareMillimetres(area),
            Row::Awg(_, number, _) => {
                let ratio = 92.0_f64.powf(f64::from(36 - number) / 39.0);
                let diameter_mm = 0.005 * ratio * MILLIMETRES_PER_INCH;
                SquareMillimetres(std::f64::consts::FRAC_PI_4 * diameter_mm.powi(2))
            }
        }
    }

    /// Highest resistance at 20 °C; for a gauge the printed 75 °C figure brought to 20 °C.
    ///
    /// ```text
    /// R20 = R75 · (234.5 + 20) / (234.5 + 75)
    /// ```
    ///
    /// | symbol | meaning                            | unit |
    /// |--------|------------------------------------|------|
    /// | `R20`  | resistance at 20 °C, result        | Ω/m  |
    /// | `R75`  | resistance printed, AWG only       | Ω/m  |
    ///
    /// # Source
    ///
    /// As [`source`](Self::source) says; the formula is that of [`resistance_at`].
    ///
    /// # Example
    ///
    /// 12 AWG: 1.98 Ω/kft is 6.496 mΩ/m; 6.496 × 254.5 / 309.5 = 5.34 mΩ/m.
    ///
    /// ```
    /// use fusewright::engineering::conductor::ConductorSize;
    ///
    /// let resistance = ConductorSize::parse("12 AWG").unwrap().resistance_20c();
    /// assert_eq!(format!("{resistance:.5}"), "0.00534 Ω/m");
    /// ```
    #[must_use]
    pub fn resistance_20c(self) -> OhmsPerMetre {
        match *self.0 {
            Row::Metric(_, _, ohm_per_km) => OhmsPerMetre(ohm_per_km / 1000.0),
            Row::Awg(_, _, ohm_per_kft) => {
                let at_75c = ohm_per_kft / (1000.0 * METRES_PER_FOOT);
                OhmsPerMetre(at_75c * warming(REFERENCE) / warming(NEC_REFERENCE))
            }
        }
    }

    /// Where the resistance comes from.
    #[must_use]
    pub fn source(self) -> Source {
        match self.family() {
            Family::Metric => METRIC_SOURCE,
            Family::Awg => AWG_SOURCE,
        }
    }

    /// The next larger size of the same family, if there is one.
    #[must_use]
    pub fn next_larger(self) -> Option<Self> {
        Self::all(self.family()).skip_while(|&size| size != self).nth(1)
    }
}

// A label names one row, and rows hold floats, which have no total equality of their own.
impl PartialEq for ConductorSize {
    fn eq(&self, other: &Self) -> bool {
        self.label() == other.label()
    }
}

impl Eq for ConductorSize {}

impl Hash for ConductorSize {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.label().hash(state);
    }
}

impl fmt::Debug for ConductorSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "ConductorSize({})", self.label())
    }
}

impl fmt::Display for ConductorSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// How copper's resistance at a temperature compares with that at 20 °C.
pub(super) fn warming(temperature: f64) -> f64 {
    (COPPER_ZERO_RESISTANCE + temperature) / (COPPER_ZERO_RESISTANCE + REFERENCE)
}

/// Resistance of a copper conductor at another temperature than 20 °C.
///
/// ```text
/// R(T) = R20 · (234.5 + T) / 254.5
/// ```
///
/// | symbol | meaning                                             | unit |
/// |--------|-----------------------------------------------------|------|
/// | `R(T)` | resistance at `T`, result                           | Ω/m  |
/// | `R20`  | `resistance_20c`                                    | Ω/m  |
/// | `T`    | `conductor_temperature`, not that of the air        | °C   |
///
/// Copper only. Valid from −60 °C to 300 °C.
///
/// # Source
///
/// IEC 60228, annex B; the same figures stand in FAA AC 43.13-1B, paragraph 11-66.
///
/// # Example
///
/// 16 mm² at 60 °C. By hand: 1.21 × 294.5 / 254.5 = 1.40 mΩ/m.
///
/// ```
/// use fusewright::engineering::{conductor::resistance_at, units::*};
///
/// let resistance = resistance_at(OhmsPerMetre(0.001_21), Celsius(60.0)).unwrap();
/// assert_eq!(format!("{resistance:.5}"), "0.00140 Ω/m");
/// ```
pub fn resistance_at(
    resistance_20c: OhmsPerMetre,
    conductor_temperature: Celsius,
) -> Result<OhmsPerMetre, OutOfRange> {
    let resistance = check::not_negative("conductor resistance", resistance_20c)?;
    let temperature = check::temperature("conductor temperature", conductor_temperature)?;
    Ok(OhmsPerMetre(resistance * warming(temperature)))
}

/// Resistance of a length of a size at a conductor temperature: R' · L.
pub(super) fn leg_resistance(
    size: ConductorSize,
    length: Metres,
    conductor_temperature: Celsius,
) -> Result<f64, OutOfRange> {
    let per_metre = resistance_at(size.resistance_20c(), conductor_temperature)?;
    Ok(per_metre.0 * check::not_negative("length", length)?)
}
