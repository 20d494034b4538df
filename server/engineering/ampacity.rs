//! How much current a conductor may carry, in the air and the company it is in.

use super::ampacity_tables::{
    CFR, CFR_CLASSES, GROUPING_CIRCUITS, GROUPING_CONDUCTORS, ISO, ISO_CLASSES,
};
use super::conductor::{ConductorSize, Family};
pub use super::insulation::Insulation;
use super::units::{Amps, Celsius};
use super::{OutOfRange, Source, Sureness, check};

/// The ambient temperature that both ampacity tables refer to [°C].
pub const TABLE_AMBIENT: Celsius = Celsius(30.0);

/// The ambient temperature that the engine-space note of 33 CFR 183.425, table 5 stands for [°C].
pub const ENGINE_SPACE_AMBIENT: Celsius = Celsius(50.0);

/// Where the table of American law comes from.
pub const CFR_SOURCE: Source = Source::seen("33 CFR 183.425, table 5");
const CFR_BY_AREA: Source =
    Source::computed("33 CFR 183.425, table 5, interpolated by conductor area");
/// Where the international table comes from.
pub const ISO_SOURCE: Source = Source::from_memory("ISO 13297, table of single conductors");
/// Where the factors of an engine space come from, but that of 105 °C insulation.
pub const ENGINE_SPACE_SOURCE: Source = Source::from_memory("33 CFR 183.425, table 5, note 1");
const ENGINE_SPACE_SOURCE_105: Source = Source::seen("33 CFR 183.425, table 5, note 1");
/// Where the factor of warm air comes from.
pub const AMBIENT_SOURCE: Source =
    Source::computed("√((Tmax − Ta)/(Tmax − 30 °C)), as IEC 60364-5-52, table B.52.14");
/// Where the factors of cables together come from.
pub const GROUPING_SOURCE: Source =
    Source::from_memory("IEC 60364-5-52, table B.52.17, item 1, by circuits");
const ALONE_SOURCE: Source = Source::computed("one circuit, nothing to correct");

/// Whether the cable runs through an engine space, where the tables have their own factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// Anywhere else in the vehicle.
    Outside,
    /// In the engine bay.
    EngineSpace,
}

/// What is around a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Temperature of the air around the cable.
    pub ambient: Celsius,
    /// Engine space or not.
    pub place: Place,
    /// Loaded circuits that run bunched, this one included. A pair is two conductors, one circuit.
    pub circuits_bundled: u32,
}

/// A corrected ampacity and what it was made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ampacity {
    /// The table's figure at 30 °C, alone.
    pub base: Amps,
    /// Correction for the ambient temperature.
    pub ambient_factor: f64,
    /// Correction for the circuits it is bunched with.
    pub grouping_factor: f64,
    /// The result, not rounded. Printed lists of derated values are truncated (178.5 A to 178 A).
    pub value: Amps,
    /// Where `base` comes from.
    pub source: Source,
    /// Where `ambient_factor` comes from.
    pub ambient_source: Source,
    /// Where `grouping_factor` comes from.
    pub grouping_source: Source,
}

impl Ampacity {
    /// How sure we are of the result: as sure as of its weakest part.
    #[must_use]
    pub fn sureness(&self) -> Sureness {
        let corrections = self.ambient_source.sureness.min(self.grouping_source.sureness);
        self.source.sureness.min(corrections)
    }
}

/// Ampacity of a single conductor in 30 °C air, away from others.
///
/// AWG: the printed figure. mm²: the recalled ISO figure, and never more than the American figures
/// interpolated by area on logarithmic scales (below 18 AWG: carried on at the slope of the two
/// smallest sizes). Where a table has no column for the class, the next lower one is read.
///
/// ```text
/// I = I1 · (I2 / I1) ^ (ln(A/A1) / ln(A2/A1))
/// ```
///
/// | symbol     | meaning                                          | unit |
/// |------------|--------------------------------------------------|------|
/// | `I`        | bound for a metric size                          | A    |
/// | `A`        | its area                                         | mm²  |
/// | `A1`, `A2` | areas of the American sizes next below and above | mm²  |
/// | `I1`, `I2` | their printed ampacities                         | A    |
///
/// From 0.75 mm² to 95 mm² and from 18 AWG to 4/0 AWG; neither table covers 0.5 mm².
///
/// # Source
///
/// AWG: 33 CFR 183.425, table 5 (seen). mm²: ISO 10133:2012 table A.2, kept in ISO 13297 (from
/// memory).
///
/// # Example
///
/// 16 mm², 105 °C: recalled 130 A; between 6 AWG (13.30 mm², 120 A) and 4 AWG (21.15 mm², 160 A)
/// the bound is 120 × 1.333^0.398 = 135 A, so 130 A stands.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, base_ampacity};
/// use fusewright::engineering::{conductor::ConductorSize, units::Amps};
///
/// let size = ConductorSize::parse("16 mm²").unwrap();
/// assert_eq!(base_ampacity(size, Insulation::C105).unwrap(), Amps(130.0));
/// ```
pub fn base_ampacity(size: ConductorSize, insulation: Insulation) -> Result<Amps, OutOfRange> {
    base_with_source(size, insulation).map(|(base, _)| base)
}

/// The base figure together with the table that gave it.
fn base_with_source(
    size: ConductorSize,
    insulation: Insulation,
) -> Result<(Amps, Source), OutOfRange> {
    let row = match size.family() {
        Family::Awg => look_up(&CFR, size, insulation.column(&CFR_CLASSES)),
        Family::Metric => look_up(&ISO, size, insulation.column(&ISO_CLASSES)),
    };
    let printed = row.ok_or_else(|| {
        let allowed = "from 0.75 mm² to 95 mm² or from 18 AWG to 4/0 AWG";
        check::refusal("conductor size", &size, format!("{allowed}, which the tables cover"))
    })?;
    if size.family() == Family::Awg {
        return Ok((Amps(printed), CFR_SOURCE));
    }
    let bound = american_ampacity_by_area(size.area().0, insulation);
    Ok(if bound < printed { (Amps(bound), CFR_BY_AREA) } else { (Amps(printed), ISO_SOURCE) })
}

/// The figure in a row and a column of a printed table.
fn look_up<const COLUMNS: usize>(
    table: &[(&str, [f64; COLUMNS])],
    size: ConductorSize,
    column: usize,
) -> Option<f64> {
    let (_, row) = table.iter().find(|(label, _)| *label == size.label())?;
    row.get(column).copied()
}

/// The American figures as a line over the area, straight between sizes on logarithmic scales.
fn american_ampacity_by_area(area: f64, insulation: Insulation) -> f64 {
    let column = insulation.column(&CFR_CLASSES);
    let mut points = ConductorSize::all_awg()
        .filter_map(|size| Some((size.area().0.ln(), look_up(&CFR, size, column)?.ln())));
    // The first two points start the line; it is carried on until its upper end passes the area.
    let mut lower = points.next().unwrap_or_default();
    let mut upper = points.next().unwrap_or_default();
    for point in points {
        if upper.0 >= area.ln() {
            break;
        }
        (lower, upper) = (upper, point);
    }
    let slope = (upper.1 - lower.1) / (upper.0 - lower.0);
    (lower.1 + slope * (area.ln() - lower.0)).exp()
}

/// Correction for air that is not at the tables' 30 °C.
///
/// ```text
/// k = √((Tmax − Ta) / (Tmax − 30))
/// ```
///
/// | symbol | meaning                                        | unit |
/// |--------|------------------------------------------------|------|
/// | `k`    | factor on the ampacity, result                 | –    |
/// | `Tmax` | temperature class of `insulation`              | °C   |
/// | `Ta`   | `ambient`, below `Tmax`                        | °C   |
///
/// In an engine space of up to 50 °C the American table's own factor stands instead (0.58 at 60 °C,
/// 0.75, 0.78, 0.82, 0.85 at 105 °C, 0.89, 1.00 at 200 °C; by the formula at 50 °C for 70 °C, which
/// the table has not). A hotter engine space goes by the formula, and never above that factor.
///
/// # Source
///
/// IEC 60364-5-52, table B.52.14, which the formula meets within 0.006; 33 CFR 183.425, table 5,
/// note 1 (0.85 seen, the other factors from memory).
///
/// # Example
///
/// 90 °C insulation in 60 °C air. By hand: √(30 / 60) = 0.707.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, ambient_factor};
/// use fusewright::engineering::units::Celsius;
///
/// let factor = ambient_factor(Insulation::C90, Celsius(60.0), Place::Outside).unwrap();
/// assert_eq!(format!("{factor:.3}"), "0.707");
/// ```
pub fn ambient_factor(
    insulation: Insulation,
    ambient: Celsius,
    place: Place,
) -> Result<f64, OutOfRange> {
    ambient_with_source(insulation, ambient, place).map(|(factor, _)| factor)
}

/// The ambient factor together with the table or formula that gave it.
fn ambient_with_source(
    insulation: Insulation,
    ambient: Celsius,
    place: Place,
) -> Result<(f64, Source), OutOfRange> {
    let max = insulation.max();
    let air = check::temperature("ambient temperature", ambient)?;
    if air >= max.0 {
        let allowed = format!("below the {max} of the insulation");
        return Err(check::refusal("ambient temperature", &ambient, allowed));
    }
    let formula = |air: f64| ((max.0 - air) / (max.0 - TABLE_AMBIENT.0)).sqrt();
    if place == Place::Outside {
        return Ok((formula(air), AMBIENT_SOURCE));
    }
    let by_formula = formula(air.max(ENGINE_SPACE_AMBIENT.0));
    let noted =
        if insulation == Insulation::C105 { ENGINE_SPACE_SOURCE_105 } else { ENGINE_SPACE_SOURCE };
    Ok(match insulation.engine_space_factor() {
        Some(factor) if air <= ENGINE_SPACE_AMBIENT.0 || factor <= by_formula => (factor, noted),
        _ => (by_formula, AMBIENT_SOURCE),
    })
}

/// Correction for circuits that run bunched together, counted in circuits.
///
/// A number between two printed ones takes the factor of the next larger: 10 counts as 12.
/// From 1 to 20 circuits; a pair is two conductors and one circuit.
///
/// # Source
///
/// IEC 60364-5-52, table B.52.17, item 1 (from memory).
///
/// # Example
///
/// ```
/// use fusewright::engineering::ampacity::grouping_factor_circuits;
///
/// assert_eq!(grouping_factor_circuits(3), Ok(0.70));
/// ```
pub fn grouping_factor_circuits(circuits: u32) -> Result<f64, OutOfRange> {
    check::count("number of bunched circuits", circuits, 20)?;
    let row = GROUPING_CIRCUITS.iter().find(|(printed, _)| *printed >= circuits);
    row.map(|(_, factor)| *factor)
        .ok_or_else(|| check::refusal("number of bunched circuits", &circuits, "from 1 to 20"))
}

/// Correction for current-carrying conductors that run together, counted in conductors: a named
/// option beside [`grouping_factor_circuits`], which is the rule used here.
///
/// # Source
///
/// NEC 310.15(C)(1) (seen in a public copy).
///
/// # Example
///
/// ```
/// use fusewright::engineering::ampacity::grouping_factor_conductors;
///
/// assert_eq!(grouping_factor_conductors(6), Ok(0.80));
/// ```
pub fn grouping_factor_conductors(conductors: u32) -> Result<f64, OutOfRange> {
    check::count("number of conductors together", conductors, u32::MAX)?;
    let row = GROUPING_CONDUCTORS.iter().find(|(up_to, _)| conductors <= *up_to);
    row.map(|(_, factor)| *factor)
        .ok_or_else(|| check::refusal("number of conductors together", &conductors, "1 or more"))
}

/// How much current a conductor may carry where it is.
///
/// ```text
/// Iz = I0 · k · g
/// ```
///
/// | symbol | meaning                                            | unit |
/// |--------|----------------------------------------------------|------|
/// | `Iz`   | ampacity in these surroundings, result             | A    |
/// | `I0`   | table figure, [`base_ampacity`]                    | A    |
/// | `k`    | [`ambient_factor`]                                 | –    |
/// | `g`    | [`grouping_factor_circuits`]                       | –    |
///
/// Not rounded. Steady current only; a starter's few seconds are another matter.
///
/// # Source
///
/// Of each part as its function says; the result carries all three.
///
/// # Example
///
/// 10 AWG, 105 °C insulation, engine space. By hand: 60 × 0.85 = 51.0 A.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, Surroundings, ampacity};
/// use fusewright::engineering::{conductor::ConductorSize, units::*};
///
/// let size = ConductorSize::parse("10 AWG").unwrap();
/// let engine_space =
///     Surroundings { ambient: Celsius(50.0), place: Place::EngineSpace, circuits_bundled: 1 };
/// let found = ampacity(size, Insulation::C105, engine_space).unwrap();
/// assert_eq!(format!("{:.1}", found.value), "51.0 A");
/// ```
pub fn ampacity(
    size: ConductorSize,
    insulation: Insulation,
    surroundings: Surroundings,
) -> Result<Ampacity, OutOfRange> {
    let (base, source) = base_with_source(size, insulation)?;
    let (ambient_factor, ambient_source) =
        ambient_with_source(insulation, surroundings.ambient, surroundings.place)?;
    let grouping_factor = grouping_factor_circuits(surroundings.circuits_bundled)?;
    let alone = surroundings.circuits_bundled == 1;
    Ok(Ampacity {
        base,
        ambient_factor,
        grouping_factor,
        value: Amps(base.0 * ambient_factor * grouping_factor),
        source,
        ambient_source,
        grouping_source: if alone { ALONE_SOURCE } else { GROUPING_SOURCE },
    })
}
