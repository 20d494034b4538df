//! Voltage lost on the way to the load and back.

use super::conductor::{ConductorSize, leg_resistance};
use super::units::{Amps, Celsius, CircularMils, Metres, Ohms, SquareMillimetres, Volts};
use super::{OutOfRange, check};

/// One way of a path: a length of one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// The conductor.
    pub size: ConductorSize,
    /// Its length, one way, as it is laid.
    pub length: Metres,
}

/// How the current comes back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Return {
    /// Through a cable of its own.
    Cable(Leg),
    /// Through the vehicle's body; its resistance is measured or planned, the length counts for
    /// nothing.
    Chassis(Ohms),
}

/// A path from the source to the load and back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// The positive leg.
    pub out: Leg,
    /// The way back.
    pub back: Return,
    /// All joints together: terminals, fuse holders, fuses, switches.
    pub joints: Ohms,
}

/// The resistance of a path and of its parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathResistance {
    /// The positive leg.
    pub out: Ohms,
    /// The way back.
    pub back: Ohms,
    /// The joints.
    pub joints: Ohms,
    /// All of it.
    pub total: Ohms,
}

/// Resistance of a path, each leg on its own.
///
/// ```text
/// R = R'out · Lout + R'back · Lback + Rjoints      or      R = R'out · Lout + Rchassis + Rjoints
/// ```
///
/// | symbol              | meaning                                                    | unit |
/// |---------------------|------------------------------------------------------------|------|
/// | `R`                 | total, result                                              | Ω    |
/// | `R'out`, `R'back`   | resistance of each size at `conductor_temperature`         | Ω/m  |
/// | `Lout`, `Lback`     | length of each leg, one way                                | m    |
/// | `Rchassis`          | resistance of the body between the two bonds               | Ω    |
/// | `Rjoints`           | all joints together                                        | Ω    |
///
/// The body and the joints are taken as they are given, at any temperature. From −60 °C to 300 °C.
///
/// # Source
///
/// First principles; resistance of the conductor as
/// [`resistance_at`](super::conductor::resistance_at) says.
///
/// # Example
///
/// 3 m out and 3 m back of 16 mm² at 20 °C. By hand: 2 × 3 × 1.21 = 7.26 mΩ.
///
/// ```
/// use fusewright::engineering::{conductor::ConductorSize, units::*, voltage_drop::*};
///
/// let leg = Leg { size: ConductorSize::parse("16 mm²").unwrap(), length: Metres(3.0) };
/// let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
/// let resistance = path_resistance(&path, Celsius(20.0)).unwrap();
/// assert_eq!(format!("{:.2}", resistance.total.to_milliohms()), "7.26");
/// ```
pub fn path_resistance(
    path: &Path,
    conductor_temperature: Celsius,
) -> Result<PathResistance, OutOfRange> {
    let of_leg = |leg: Leg| leg_resistance(leg.size, leg.length, conductor_temperature);
    let out = of_leg(path.out)?;
    let back = match path.back {
        Return::Cable(leg) => of_leg(leg)?,
        Return::Chassis(chassis) => check::not_negative("resistance of the chassis", chassis)?,
    };
    let joints = check::not_negative("resistance of the joints", path.joints)?;
    Ok(PathResistance {
        out: Ohms(out),
        back: Ohms(back),
        joints: Ohms(joints),
        total: Ohms(out + back + joints),
    })
}

/// Voltage lost on a path under a steady current.
///
/// ```text
/// U = I · R
/// ```
///
/// | symbol | meaning                                                              | unit |
/// |--------|----------------------------------------------------------------------|------|
/// | `U`    | voltage lost, result                                                 | V    |
/// | `I`    | `current`, steady                                                    | A    |
/// | `R`    | total of [`path_resistance`] at `conductor_temperature`              | Ω    |
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 50 A through 3 m out and 3 m back of 16 mm² at 60 °C. By hand: 50 × 7.26 mΩ × 1.1572 = 0.420 V.
///
/// ```
/// use fusewright::engineering::{conductor::ConductorSize, units::*, voltage_drop::*};
///
/// let leg = Leg { size: ConductorSize::parse("16 mm²").unwrap(), length: Metres(3.0) };
/// let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
/// let lost = voltage_drop(Amps(50.0), &path, Celsius(60.0)).unwrap();
/// assert_eq!(format!("{lost:.3}"), "0.420 V");
/// ```
pub fn voltage_drop(
    current: Amps,
    path: &Path,
    conductor_temperature: Celsius,
) -> Result<Volts, OutOfRange> {
    let current = check::not_negative("current", current)?;
    Ok(Volts(current * path_resistance(path, conductor_temperature)?.total.0))
}

/// How warm the conductors of a path are; they differ where their sizes or surroundings do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegTemperatures {
    /// Conductor of the positive leg.
    pub out: Celsius,
    /// Conductor of the way back; without a say where the body carries the current.
    pub back: Celsius,
}

/// What a path loses, part by part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathDrop {
    /// On the positive leg.
    pub out: Volts,
    /// On the way back.
    pub back: Volts,
    /// In the joints.
    pub joints: Volts,
    /// All of it.
    pub total: Volts,
}

/// Voltage lost on each part of a path, each leg at its own temperature.
///
/// ```text
/// U = I · (R'out · Lout + R'back · Lback + Rchassis + Rjoints)
/// ```
///
/// | symbol | meaning                                                          | unit |
/// |--------|------------------------------------------------------------------|------|
/// | `U`    | voltage lost, result, and that of each part                      | V    |
/// | `I`    | `current`, steady                                                | A    |
/// | others | as for [`path_resistance`], `R'` of each leg at its temperature  |      |
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 50 A, 3 m of 16 mm² out at 60 °C, 3 m of 25 mm² back at 40 °C, 1 mΩ of joints. By hand: 50 × 3.63
/// mΩ × 1.1572 = 0.210 V, 50 × 2.34 mΩ × 1.0786 = 0.126 V, 50 × 1 mΩ = 0.050 V: 0.386 V.
///
/// ```
/// use fusewright::engineering::{conductor::ConductorSize, units::*, voltage_drop::*};
///
/// let leg = |label| Leg { size: ConductorSize::parse(label).unwrap(), length: Metres(3.0) };
/// let path = Path { out: leg("16 mm²"), back: Return::Cable(leg("25 mm²")), joints: Ohms(0.001) };
/// let warm = LegTemperatures { out: Celsius(60.0), back: Celsius(40.0) };
/// let lost = drop_by_part(Amps(50.0), &path, warm).unwrap();
/// assert_eq!(format!("{:.3} {:.3} {:.3}", lost.out, lost.back, lost.total), "0.210 V 0.126 V 0.386 V");
/// ```
pub fn drop_by_part(
    current: Amps,
    path: &Path,
    temperatures: LegTemperatures,
) -> Result<PathDrop, OutOfRange> {
    let current = check::not_negative("current", current)?;
    let out = path_resistance(path, temperatures.out)?;
    let back = path_resistance(path, temperatures.back)?;
    let lost = |resistance: Ohms| Volts(current * resistance.0);
    Ok(PathDrop {
        out: lost(out.out),
        back: lost(back.back),
        joints: lost(out.joints),
        total: lost(Ohms(out.out.0 + back.back.0 + out.joints.0)),
    })
}

/// Coefficient of the short metric formula [Ω·mm²/m]: copper at 7.6 °C, so it flatters the drop.
///
/// # Source
///
/// ISO 10133, informative annex on voltage drop (from memory).
const ISO_COEFFICIENT: f64 = 0.0164;

/// Voltage lost, by the short metric formula: for checking, and for those who must show it.
///
/// ```text
/// E = 0.0164 · I · L / S
/// ```
///
/// | symbol | meaning                                      | unit |
/// |--------|----------------------------------------------|------|
/// | `E`    | voltage lost, result                         | V    |
/// | `I`    | `current`                                    | A    |
/// | `L`    | `round_trip`: source to load and back        | m    |
/// | `S`    | `area` of the conductor                      | mm²  |
///
/// Some 15 % below flexible cable at 20 °C and 27 % below it at 60 °C; [`voltage_drop`] is the
/// rule.
///
/// # Source
///
/// ISO 10133, informative annex on voltage drop (from memory).
///
/// # Example
///
/// 30 A, 8 m round trip, 6 mm². By hand: 0.0164 × 30 × 8 / 6 = 0.656 V.
///
/// ```
/// use fusewright::engineering::{units::*, voltage_drop::drop_iso_short};
///
/// let lost = drop_iso_short(Amps(30.0), Metres(8.0), SquareMillimetres(6.0)).unwrap();
/// assert_eq!(format!("{lost:.3}"), "0.656 V");
/// ```
pub fn drop_iso_short(
    current: Amps,
    round_trip: Metres,
    area: SquareMillimetres,
) -> Result<Volts, OutOfRange> {
    let current = check::not_negative("current", current)?;
    let length = check::not_negative("length of the round trip", round_trip)?;
    Ok(Volts(ISO_COEFFICIENT * current * length / check::positive("conductor area", area)?))
}

/// Coefficient of the short American formula [Ω·cmil/ft]: copper at 29.3 °C.
///
/// # Source
///
/// ABYC E-11 (from memory; it reproduces published tables).
const AMERICAN_COEFFICIENT: f64 = 10.75;

/// Conductor area needed for a drop, by the short American formula: for checking, and for those who
/// must show it.
///
/// ```text
/// CM = 10.75 · I · L / E
/// ```
///
/// | symbol | meaning                                                  | unit |
/// |--------|----------------------------------------------------------|------|
/// | `CM`   | conductor area, result                                   | cmil |
/// | `I`    | `current`                                                | A    |
/// | `L`    | `round_trip`, source to load and back; here brought to   | ft   |
/// | `E`    | `allowed_drop`                                           | V    |
///
/// # Source
///
/// ABYC E-11 (formula from memory; its reading of the length seen in a public copy).
///
/// # Example
///
/// 10 A, 21 ft round trip, 3 % of 12 V. By hand: 10.75 × 10 × 21 / 0.36 = 6270 cmil.
///
/// ```
/// use fusewright::engineering::{units::*, voltage_drop::circular_mils_needed};
///
/// let area = circular_mils_needed(Amps(10.0), Metres::from_feet(21.0), Volts(0.36)).unwrap();
/// assert_eq!(format!("{area:.0}"), "6271 cmil");
/// ```
pub fn circular_mils_needed(
    current: Amps,
    round_trip: Metres,
    allowed_drop: Volts,
) -> Result<CircularMils, OutOfRange> {
    let current = check::not_negative("current", current)?;
    check::not_negative("length of the round trip", round_trip)?;
    let drop = check::positive("allowed voltage drop", allowed_drop)?;
    Ok(CircularMils(AMERICAN_COEFFICIENT * current * round_trip.to_feet() / drop))
}

/// The voltage a path may lose: a percentage of the nominal voltage.
///
/// ```text
/// E = U · p / 100
/// ```
///
/// | symbol | meaning                         | unit |
/// |--------|---------------------------------|------|
/// | `E`    | voltage that may be lost        | V    |
/// | `U`    | `nominal`                       | V    |
/// | `p`    | `percent`, from 0 to 100        | %    |
///
/// # Source
///
/// Drop classes of 3 % and 10 %: ABYC E-11 and ISO 10133 (seen in public copies).
///
/// # Example
///
/// 3 % of 12 V is 0.360 V.
///
/// ```
/// use fusewright::engineering::{units::Volts, voltage_drop::allowed_drop};
///
/// assert_eq!(format!("{:.3}", allowed_drop(Volts(12.0), 3.0).unwrap()), "0.360 V");
/// ```
pub fn allowed_drop(nominal: Volts, percent: f64) -> Result<Volts, OutOfRange> {
    let nominal = check::positive("nominal voltage", nominal)?;
    Ok(Volts(nominal * check::within("allowed drop in percent", percent, (0.0, 100.0))? / 100.0))
}
