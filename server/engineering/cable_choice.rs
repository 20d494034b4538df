//! Choosing a cable: the longest run a size allows, and the least size that fits a run.

use super::ampacity::{Ampacity, Insulation, Surroundings, ampacity, base_ampacity};
use super::conductor::{ConductorLoad, ConductorSize, Family};
use super::conductor::{conductor_temperature, resistance_at};
use super::fuse::{FuseRule, cap_by_rule};
use super::units::{Amps, Celsius, Metres, Ohms, Volts};
use super::voltage_drop::{Leg, Path, Return, voltage_drop};
use super::{OutOfRange, check};

/// The way back of a circuit whose size is still to be chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Back {
    /// A cable of the same size as the one out, of this length.
    SameSize(Metres),
    /// The vehicle's body, with its resistance.
    Chassis(Ohms),
}

/// The fuse that has to protect the conductor, and by which rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Protection {
    /// Rating of the fuse.
    pub rating: Amps,
    /// Rule that caps the rating by the conductor's ampacity.
    pub rule: FuseRule,
}

/// What is asked of a cable, whatever its length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Steady current to plan for.
    pub current: Amps,
    /// Voltage the whole path may lose.
    pub allowed_drop: Volts,
    /// Temperature class of the cable's insulation.
    pub insulation: Insulation,
    /// Air, place and company of the cable.
    pub surroundings: Surroundings,
    /// All joints together.
    pub joints: Ohms,
    /// The fuse, if one is chosen already.
    pub protection: Option<Protection>,
}

/// One size held against a demand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeCheck {
    /// The size.
    pub size: ConductorSize,
    /// What it may carry in these surroundings.
    pub ampacity: Ampacity,
    /// It carries the current.
    pub carries: bool,
    /// The fuse protects it by the named rule; true where no fuse is chosen yet.
    pub protected: bool,
    /// How warm it gets; `None` where it cannot carry the current, so that no figure is made up.
    pub temperature: Option<Celsius>,
    /// What the path loses at that temperature; `None` as above.
    pub drop: Option<Volts>,
    /// The path loses no more than is allowed.
    pub within_drop: bool,
}

impl SizeCheck {
    /// The size meets all three: it carries the current, is protected, and loses little enough.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.carries && self.protected && self.within_drop
    }
}

/// What a size may carry, whether that is enough, whether the fuse protects it, how warm it gets.
fn load_on(size: ConductorSize, demand: &Demand) -> Result<SizeCheck, OutOfRange> {
    let current = check::positive("current", demand.current)?;
    check::not_negative("allowed voltage drop", demand.allowed_drop)?;
    let ampacity = ampacity(size, demand.insulation, demand.surroundings)?;
    let protected = match demand.protection {
        Some(fuse) => fuse.rating.0 <= cap_by_rule(fuse.rule, ampacity.value)?.0,
        None => true,
    };
    let carries = current <= ampacity.value.0;
    let load = ConductorLoad {
        ambient: demand.surroundings.ambient,
        insulation_max: demand.insulation.max(),
        current: demand.current,
        ampacity: ampacity.value,
    };
    let temperature = if carries { Some(conductor_temperature(load)?) } else { None };
    Ok(SizeCheck {
        size,
        ampacity,
        carries,
        protected,
        temperature,
        drop: None,
        within_drop: false,
    })
}

/// Holds one size against a demand over a run.
///
/// The drop is that of [`voltage_drop`] at the temperature the conductor reaches under the current,
/// [`conductor_temperature`]; the ampacity that of [`ampacity`]; the fuse that of [`cap_by_rule`].
///
/// # Source
///
/// Of each part as its function says.
///
/// # Example
///
/// 30 A over 4 m and back in 10 mm², 105 °C insulation, 30 °C air, 90 A ampacity. By hand: the
/// conductor reaches 30 + 75 × (30/90)² = 38.3 °C, the path has 8 × 1.91 × 272.8 / 254.5 = 16.4 mΩ
/// and loses 0.491 V.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
/// use fusewright::engineering::cable_choice::{Back, Demand, check_size};
/// use fusewright::engineering::{conductor::ConductorSize, units::*};
///
/// let demand = Demand {
///     current: Amps(30.0),
///     allowed_drop: Volts(0.5),
///     insulation: Insulation::C105,
///     surroundings: Surroundings {
///         ambient: Celsius(30.0),
///         place: Place::Outside,
///         circuits_bundled: 1,
///     },
///     joints: Ohms(0.0),
///     protection: None,
/// };
/// let size = ConductorSize::parse("10 mm²").unwrap();
/// let found = check_size(size, &demand, Metres(4.0), Back::SameSize(Metres(4.0))).unwrap();
/// assert_eq!(format!("{:.3}", found.drop.unwrap()), "0.491 V");
/// assert!(found.fits());
/// ```
pub fn check_size(
    size: ConductorSize,
    demand: &Demand,
    out: Metres,
    back: Back,
) -> Result<SizeCheck, OutOfRange> {
    let loaded = load_on(size, demand)?;
    let back = match back {
        Back::SameSize(length) => Return::Cable(Leg { size, length }),
        Back::Chassis(resistance) => Return::Chassis(resistance),
    };
    let path = Path { out: Leg { size, length: out }, back, joints: demand.joints };
    // The lengths are checked even where the size cannot carry the current.
    let cold = loaded.temperature.unwrap_or(demand.surroundings.ambient);
    let drop = voltage_drop(demand.current, &path, cold)?;
    Ok(SizeCheck {
        drop: loaded.temperature.map(|_| drop),
        within_drop: loaded.carries && drop.0 <= demand.allowed_drop.0,
        ..loaded
    })
}

/// The smallest size of a family that carries the current, is protected by the fuse, and loses no
/// more than is allowed; `None` where no size of the family does.
///
/// Sizes that the ampacity tables do not cover (0.5 mm²) are passed over.
///
/// # Source
///
/// Of each part as [`check_size`] says.
///
/// # Example
///
/// 30 A over 4 m and back, 0.5 V allowed, 105 °C insulation, 30 °C air. By hand: 6 mm² (60 A)
/// reaches 48.8 °C and loses 30 × 8 × 3.30 mΩ × 283.3 / 254.5 = 0.882 V, too much; 10 mm² loses
/// 0.491 V.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
/// use fusewright::engineering::cable_choice::{Back, Demand, least_size};
/// use fusewright::engineering::{conductor::Family, units::*};
///
/// let demand = Demand {
///     current: Amps(30.0),
///     allowed_drop: Volts(0.5),
///     insulation: Insulation::C105,
///     surroundings: Surroundings {
///         ambient: Celsius(30.0),
///         place: Place::Outside,
///         circuits_bundled: 1,
///     },
///     joints: Ohms(0.0),
///     protection: None,
/// };
/// let back = Back::SameSize(Metres(4.0));
/// let found = least_size(Family::Metric, &demand, Metres(4.0), back).unwrap().unwrap();
/// assert_eq!(found.size.label(), "10 mm²");
/// ```
pub fn least_size(
    family: Family,
    demand: &Demand,
    out: Metres,
    back: Back,
) -> Result<Option<SizeCheck>, OutOfRange> {
    let covered = |size: &ConductorSize| base_ampacity(*size, demand.insulation).is_ok();
    for size in ConductorSize::all(family).filter(covered) {
        let found = check_size(size, demand, out, back)?;
        if found.fits() {
            return Ok(Some(found));
        }
    }
    Ok(None)
}

/// How the current comes back on a run whose length is still to be found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RunBack {
    /// A cable of the same size and the same length as the one out.
    SameCable,
    /// The vehicle's body, with its resistance.
    Chassis(Ohms),
}

/// The longest run, one way, on which a size meets a demand; `None` where it meets it on no run,
/// since it cannot carry the current, is not protected by the fuse, or the joints alone lose too
/// much.
///
/// ```text
/// L = (E / I − Rjoints) / (2 · R')      or      L = (E / I − Rchassis − Rjoints) / R'
/// ```
///
/// | symbol     | meaning                                                         | unit |
/// |------------|-----------------------------------------------------------------|------|
/// | `L`        | longest run, one way, result                                    | m    |
/// | `E`        | `allowed_drop`                                                  | V    |
/// | `I`        | `current`                                                       | A    |
/// | `Rjoints`  | all joints together                                             | Ω    |
/// | `Rchassis` | resistance of the body, where it carries the current back       | Ω    |
/// | `R'`       | resistance of the size at the temperature it reaches under `I`  | Ω/m  |
///
/// # Source
///
/// First principles: [`voltage_drop`] solved for the length.
///
/// # Example
///
/// 30 A in 10 mm², 0.5 V allowed, 105 °C insulation, 30 °C air: the conductor reaches 38.3 °C, has
/// 1.91 × 272.8 / 254.5 = 2.05 mΩ/m. By hand: 0.5 / 30 / 2 / 0.002 05 = 4.07 m.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
/// use fusewright::engineering::cable_choice::{Demand, RunBack, longest_run};
/// use fusewright::engineering::{conductor::ConductorSize, units::*};
///
/// let demand = Demand {
///     current: Amps(30.0),
///     allowed_drop: Volts(0.5),
///     insulation: Insulation::C105,
///     surroundings: Surroundings {
///         ambient: Celsius(30.0),
///         place: Place::Outside,
///         circuits_bundled: 1,
///     },
///     joints: Ohms(0.0),
///     protection: None,
/// };
/// let size = ConductorSize::parse("10 mm²").unwrap();
/// let run = longest_run(size, &demand, RunBack::SameCable).unwrap().unwrap();
/// assert_eq!(format!("{run:.2}"), "4.07 m");
/// ```
pub fn longest_run(
    size: ConductorSize,
    demand: &Demand,
    back: RunBack,
) -> Result<Option<Metres>, OutOfRange> {
    let loaded = load_on(size, demand)?;
    let joints = check::not_negative("resistance of the joints", demand.joints)?;
    let (cables, chassis) = match back {
        RunBack::SameCable => (2.0, 0.0),
        RunBack::Chassis(body) => (1.0, check::not_negative("resistance of the chassis", body)?),
    };
    let Some(temperature) = loaded.temperature.filter(|_| loaded.protected) else {
        return Ok(None);
    };
    let per_metre = resistance_at(size.resistance_20c(), temperature)?;
    let left = demand.allowed_drop.0 / demand.current.0 - joints - chassis;
    Ok((left > 0.0).then(|| Metres(left / (cables * per_metre.0))))
}

/// How far one size goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The size.
    pub size: ConductorSize,
    /// What it may carry in these surroundings.
    pub ampacity: Ampacity,
    /// The longest run, one way, of [`longest_run`]; `None` where it meets the demand on no run.
    pub run: Option<Metres>,
}

/// The longest run of every size of a family, smallest size first.
///
/// Sizes that the ampacity tables do not cover (0.5 mm²) are left out. Symbols and units as for
/// [`longest_run`].
///
/// # Source
///
/// Of each part as [`longest_run`] and [`ampacity`] say.
///
/// # Example
///
/// 30 A, 0.5 V, 105 °C insulation, 30 °C air: 1.5 mm² cannot carry it, 10 mm² goes 4.07 m, and no
/// larger size goes less far.
///
/// ```
/// use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
/// use fusewright::engineering::cable_choice::{Demand, RunBack, reach_of_every_size};
/// use fusewright::engineering::{conductor::Family, units::*};
///
/// let demand = Demand {
///     current: Amps(30.0),
///     allowed_drop: Volts(0.5),
///     insulation: Insulation::C105,
///     surroundings: Surroundings {
///         ambient: Celsius(30.0),
///         place: Place::Outside,
///         circuits_bundled: 1,
///     },
///     joints: Ohms(0.0),
///     protection: None,
/// };
/// let all = reach_of_every_size(Family::Metric, &demand, RunBack::SameCable).unwrap();
/// let of = |label| all.iter().find(|reach| reach.size.label() == label).unwrap().run;
/// assert_eq!(of("1.5 mm²"), None);
/// assert_eq!(format!("{:.2}", of("10 mm²").unwrap()), "4.07 m");
/// ```
pub fn reach_of_every_size(
    family: Family,
    demand: &Demand,
    back: RunBack,
) -> Result<Vec<Reach>, OutOfRange> {
    let covered = |size: &ConductorSize| base_ampacity(*size, demand.insulation).is_ok();
    ConductorSize::all(family)
        .filter(covered)
        .map(|size| {
            let ampacity = ampacity(size, demand.insulation, demand.surroundings)?;
            Ok(Reach { size, ampacity, run: longest_run(size, demand, back)? })
        })
        .collect()
}
