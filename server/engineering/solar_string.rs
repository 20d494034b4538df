//! Solar strings: voltage to expect and to fear, the fuse, and the insulation test.

use super::solar::{
    MODULES_MAX, STANDARD, VOC_COEFFICIENT_SILICON, cold_factor, open_circuit_voltage,
};
use super::units::{Amps, Celsius, Ohms, Volts};
use super::{OutOfRange, Source, check};

/// Modules of one kind in a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SolarString {
    /// Open-circuit voltage of one module at 25 °C.
    pub module: Volts,
    /// Its temperature coefficient [1/K], where the data sheet gives one; else that of silicon.
    pub coefficient: Option<f64>,
    /// Modules in a row, from 1 to 100.
    pub in_series: u32,
}

impl SolarString {
    /// Open-circuit voltage of the whole string at a cell temperature.
    ///
    /// ```text
    /// V = n · Voc · (1 + β · (T − 25))
    /// ```
    ///
    /// `n` is `in_series`; the other symbols, range and source as for [`open_circuit_voltage`].
    ///
    /// # Example
    ///
    /// Two modules of 21.6 V, −0.30 %/K, cells at 45 °C. By hand: 2 × 21.6 × 0.94 = 40.6 V.
    ///
    /// ```
    /// use fusewright::engineering::{solar_string::SolarString, units::*};
    ///
    /// let string =
    ///     SolarString { module: Volts(21.6), coefficient: Some(-0.003), in_series: 2 };
    /// assert_eq!(format!("{:.1}", string.open_circuit(Celsius(45.0)).unwrap()), "40.6 V");
    /// ```
    pub fn open_circuit(self, cell: Celsius) -> Result<Volts, OutOfRange> {
        let modules = check::count("number of modules in series", self.in_series, MODULES_MAX)?;
        let coefficient = self.coefficient.unwrap_or(VOC_COEFFICIENT_SILICON);
        let one = open_circuit_voltage(self.module, coefficient, cell)?;
        Ok(Volts(modules * one.0))
    }
}

/// Voltage of a string on the coldest morning, by both rules.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColdestVoltage {
    /// The string's voltage at 25 °C, which both start from.
    pub standard_test: Volts,
    /// By the coefficient: the module's own, else that of silicon.
    pub by_coefficient: Volts,
    /// By the table for crystalline silicon.
    pub by_table: Volts,
    /// The factor that gave it.
    pub table_factor: f64,
}

impl ColdestVoltage {
    /// The larger of the two, which counts. The smaller is never taken silently.
    #[must_use]
    pub fn larger(self) -> Volts {
        Volts(self.by_coefficient.0.max(self.by_table.0))
    }
}

/// Temperature at which the table ends [°C].
const TABLE_END: f64 = -40.0;

/// Open-circuit voltage of a string on the coldest morning, by the coefficient and by the table.
///
/// ```text
/// V1 = n · Voc · (1 + β · (T − 25))        V2 = n · Voc · f
/// ```
///
/// | symbol       | meaning                                                    | unit |
/// |--------------|------------------------------------------------------------|------|
/// | `V1`, `V2`   | by the coefficient and by the table, result                | V    |
/// | `n`          | `in_series`, from 1 to 100                                 | –    |
/// | `Voc`        | `module`, at 25 °C                                         | V    |
/// | `β`          | `coefficient`, from −0.01 to 0; silicon −0.004             | 1/K  |
/// | `T`          | `lowest`, of the air, −60 to 60: cells are as cold at dawn | °C   |
/// | `f`          | [`cold_factor`]                                            | –    |
///
/// Below −40 °C, where the table ends, f = 1 − 0.004 · (T − 25) stands for it; that is 1.26 there
/// and so no less than the last printed 1.25.
///
/// # Source
///
/// NEC 690.7(A), table (from memory) and method (1) (seen in public copies); IEC 62548-1.
///
/// # Example
///
/// One module of 21.6 V, −0.30 %/K, −10 °C. By hand: 21.6 × 1.105 = 23.9 V; by table
/// 21.6 × 1.14 = 24.6 V, which counts.
///
/// ```
/// use fusewright::engineering::solar_string::{SolarString, coldest_voltage};
/// use fusewright::engineering::units::{Celsius, Volts};
///
/// let string = SolarString { module: Volts(21.6), coefficient: Some(-0.003), in_series: 1 };
/// let cold = coldest_voltage(string, Celsius(-10.0)).unwrap();
/// assert_eq!(format!("{:.1}", cold.by_coefficient), "23.9 V");
/// assert_eq!(format!("{:.1}", cold.larger()), "24.6 V");
/// ```
pub fn coldest_voltage(string: SolarString, lowest: Celsius) -> Result<ColdestVoltage, OutOfRange> {
    let by_coefficient = string.open_circuit(lowest)?;
    let standard_test = string.open_circuit(STANDARD)?;
    let table_factor = if lowest.0 < TABLE_END {
        1.0 + VOC_COEFFICIENT_SILICON * (lowest.0 - STANDARD.0)
    } else {
        cold_factor(lowest)?
    };
    let by_table = Volts(standard_test.0 * table_factor);
    Ok(ColdestVoltage { standard_test, by_coefficient, by_table, table_factor })
}

/// How far a string may lie from the expected voltage, as a share.
///
/// # Source
///
/// IEC 62446-1, open-circuit voltage test: strings alike within about 5 % (from memory).
pub const STRING_TOLERANCE: f64 = 0.05;

/// What a meter should show on an open string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedVoltage {
    /// The expected figure.
    pub expected: Volts,
    /// 5 % below it.
    pub least: Volts,
    /// 5 % above it.
    pub most: Volts,
}

/// Open-circuit voltage to expect of a string whose cells have been measured.
///
/// ```text
/// V = n · Voc · (1 + β · (T − 25))        V · 0.95 … V · 1.05
/// ```
///
/// | symbol | meaning                                                          | unit |
/// |--------|------------------------------------------------------------------|------|
/// | `V`    | expected, result, with the band                                  | V    |
/// | `n`    | `in_series`, from 1 to 100                                       | –    |
/// | `Voc`  | `module`, at 25 °C                                               | V    |
/// | `β`    | `coefficient`, from −0.01 to 0; silicon −0.004                   | 1/K  |
/// | `T`    | `cell`, measured on the back of a module, −60 to 120             | °C   |
///
/// In daylight; dusk gives less. One module that is missing or reversed in a short string lies far
/// outside the band; one shorted bypass diode of a long string may not.
///
/// # Source
///
/// Voltage: IEC 62548-1 (seen in public copies). Band: IEC 62446-1 (from memory).
///
/// # Example
///
/// Two modules of 21.6 V, −0.30 %/K, cells at 45 °C. By hand: 2 × 21.6 × 0.94 = 40.6 V; 5 % is
/// 2.03 V: 38.6 V to 42.6 V.
///
/// ```
/// use fusewright::engineering::solar_string::{SolarString, expected_voltage};
/// use fusewright::engineering::units::{Celsius, Volts};
///
/// let string = SolarString { module: Volts(21.6), coefficient: Some(-0.003), in_series: 2 };
/// let found = expected_voltage(string, Celsius(45.0)).unwrap();
/// assert_eq!(format!("{:.1} to {:.1}", found.least, found.most), "38.6 V to 42.6 V");
/// ```
pub fn expected_voltage(string: SolarString, cell: Celsius) -> Result<ExpectedVoltage, OutOfRange> {
    let expected = string.open_circuit(cell)?;
    Ok(ExpectedVoltage {
        expected,
        least: Volts(expected.0 * (1.0 - STRING_TOLERANCE)),
        most: Volts(expected.0 * (1.0 + STRING_TOLERANCE)),
    })
}

/// The currents that decide about the fuse of a string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringCurrents {
    /// Short-circuit current of one module at standard test.
    pub short_circuit: Amps,
    /// Largest series fuse that the module's maker allows.
    pub series_fuse_max: Amps,
}

/// The fuse ratings that suit a string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseWindow {
    /// The rating must be above this.
    pub above: Amps,
    /// The rating must be below this.
    pub below: Amps,
    /// The maker's largest; the rating may be equal to it.
    pub at_most: Amps,
}

impl FuseWindow {
    /// The rating lies in the window.
    #[must_use]
    pub fn admits(self, rating: Amps) -> bool {
        rating > self.above && rating < self.below && rating <= self.at_most
    }
}

/// Lower end of the fuse window, as a multiple of the short-circuit current. IEC 62548 (from memory).
const FUSE_ABOVE: f64 = 1.5;

/// Upper end of the fuse window, as a multiple of the short-circuit current. IEC 62548 (from memory).
const FUSE_BELOW: f64 = 2.4;

/// The ratings that the fuse of one string may have.
///
/// ```text
/// 1.5 · Isc < In < 2.4 · Isc    and    In ≤ Imax
/// ```
///
/// | symbol | meaning                                              | unit |
/// |--------|------------------------------------------------------|------|
/// | `In`   | rating of the fuse, result                           | A    |
/// | `Isc`  | `short_circuit`                                      | A    |
/// | `Imax` | `series_fuse_max` of the module                      | A    |
///
/// For strings side by side, of which the others can feed a fault in one. No rating suits where the
/// maker's largest is not above 1.5 · Isc. The fuse's voltage must exceed the coldest string's.
///
/// # Source
///
/// IEC 62548, overcurrent protection of strings (from memory, not sure).
///
/// # Example
///
/// 5.95 A, at most 15 A. By hand: 1.5 × 5.95 = 8.93 A, 2.4 × 5.95 = 14.3 A; 10 A suits, 15 A not.
///
/// ```
/// use fusewright::engineering::{solar_string::*, units::Amps};
///
/// let module = StringCurrents { short_circuit: Amps(5.95), series_fuse_max: Amps(15.0) };
/// let window = string_fuse_window(module).unwrap();
/// assert!(window.admits(Amps(10.0)) && !window.admits(Amps(15.0)));
/// ```
pub fn string_fuse_window(module: StringCurrents) -> Result<FuseWindow, OutOfRange> {
    let short_circuit = check::positive("short-circuit current", module.short_circuit)?;
    let at_most = check::positive("largest series fuse of the module", module.series_fuse_max)?;
    Ok(FuseWindow {
        above: Amps(FUSE_ABOVE * short_circuit),
        below: Amps(FUSE_BELOW * short_circuit),
        at_most: Amps(at_most),
    })
}

/// How the insulation of an array is tested.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InsulationTest {
    /// Voltage of the tester, direct current.
    pub test: Volts,
    /// Least resistance to the body.
    pub least: Ohms,
}

/// Where the insulation test comes from.
pub const INSULATION_SOURCE: Source = Source::from_memory("IEC 62446-1, table 2");

/// Up to this array voltage [V], the test voltage [V] and the least resistance [MΩ].
///
/// # Source
///
/// IEC 62446-1, table 2 (from memory).
const INSULATION_TESTS: [(f64, f64, f64); 2] = [(120.0, 250.0, 0.5), (500.0, 500.0, 1.0)];

/// Array voltage of the table: the open-circuit voltage at 25 °C with an allowance for cold.
const ARRAY_VOLTAGE_FACTOR: f64 = 1.25;

/// Test voltage and least insulation resistance of an array.
///
/// ```text
/// U = 1.25 · Voc
/// ```
///
/// | symbol | meaning                                                   | unit |
/// |--------|-----------------------------------------------------------|------|
/// | `U`    | array voltage, which picks the line; at most 500          | V    |
/// | `Voc`  | `open_circuit`, of the whole string at 25 °C              | V    |
///
/// | U           | test voltage | least resistance |
/// |-------------|--------------|------------------|
/// | up to 120 V | 250 V        | 0.5 MΩ           |
/// | up to 500 V | 500 V        | 1 MΩ             |
///
/// The array is parted from its controller first, which the test voltage would destroy.
///
/// # Source
///
/// IEC 62446-1, table 2 (from memory).
///
/// # Example
///
/// Two modules of 21.6 V. By hand: 1.25 × 43.2 = 54.0 V, so 250 V and 0.5 MΩ.
///
/// ```
/// use fusewright::engineering::{solar_string::insulation_test, units::Volts};
///
/// let found = insulation_test(Volts(43.2)).unwrap();
/// assert_eq!(found.test, Volts(250.0));
/// assert_eq!(format!("{:.1} MΩ", found.least.to_megohms()), "0.5 MΩ");
/// ```
pub fn insulation_test(open_circuit: Volts) -> Result<InsulationTest, OutOfRange> {
    let array = ARRAY_VOLTAGE_FACTOR * check::positive("open-circuit voltage", open_circuit)?;
    let line = INSULATION_TESTS.iter().find(|(up_to, ..)| array <= *up_to);
    line.map(|(_, test, least)| InsulationTest {
        test: Volts(*test),
        least: Ohms::from_megohms(*least),
    })
    .ok_or_else(|| {
        check::refusal(
            "open-circuit voltage",
            &open_circuit,
            "at most 400 V, where the table kept here ends",
        )
    })
}
