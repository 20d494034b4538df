//! The decisions for this vehicle: real lengths, picks and surfaces. Editions, like kits.

use super::number::Decimal;
use crate::engineering::ampacity::{Insulation, Place};
pub use crate::engineering::battery::Chemistry;
use crate::engineering::conductor::ConductorSize;
use crate::engineering::mounting::RestraintClass;

/// A plan edition, read from its file or form against its kit.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    pub kit_code: String,
    pub kit_edition: u32,
    pub vehicle: Vehicle,
    /// One for each circuit of the kit, in the kit's order.
    pub circuits: Vec<CircuitPlan>,
    pub mounting: MountingPlan,
    /// Present when the kit has a solar input that is used.
    pub solar: Option<SolarPlan>,
    pub weights: WeightPlan,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    /// `Panel van, long, 2019`
    pub description: String,
    pub registration: String,
    /// The last characters of the vehicle identification number.
    pub vin_tail: String,
    pub odometer_km: Option<Decimal>,
    pub nominal_voltage_v: Decimal,
    pub battery: Chemistry,
    pub battery_ah: Decimal,
    /// Internal resistance, if known from a tester.
    pub battery_milliohm: Option<Decimal>,
    /// Cold cranking current by SAE, from its label.
    pub cold_cranking_a: Option<Decimal>,
    /// What the battery is expected to have when it is measured.
    pub battery_c: Option<Decimal>,
    pub alternator_a: Decimal,
    /// What the vehicle itself draws while driving.
    pub base_load_a: Decimal,
    /// The alternator's voltage is steered by the engine computer.
    pub smart_alternator: bool,
}

/// How one circuit runs in this vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitPlan {
    /// The `id` of the kit's circuit.
    pub circuit: String,
    pub cable: ConductorSize,
    pub insulation: Insulation,
    /// Along the cable, from the source to the gear.
    pub length_out_m: Decimal,
    pub back: Back,
    /// Air around the cable at its hottest part.
    pub ambient_c: Decimal,
    pub place: Place,
    /// Loaded circuits in the same bundle, this one included.
    pub circuits_bundled: u32,
    /// Lugs, splices and fuse contacts that the current passes, out and back.
    pub joints: u32,
    pub fuse: Option<FusePick>,
}

/// The way back to the source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Back {
    /// A cable of the same size.
    Cable { length_m: Decimal },
    /// The body of the vehicle, by a bond of this resistance.
    Chassis { bond_milliohm: Decimal },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FusePick {
    pub rating_a: Decimal,
    /// Along the cable from the source.
    pub distance_mm: Decimal,
    /// The cable is covered (conduit, sheath) all the way to the fuse.
    pub covered: bool,
}

/// What the gear is bolted to.
#[derive(Debug, Clone, PartialEq)]
pub struct MountingPlan {
    pub surface: Surface,
    pub thickness_mm: Decimal,
    /// Sheets or boards that are not bonded to each other; 1 is a single layer.
    pub layers: u32,
    /// The panel comes off or moves.
    pub removable: bool,
    /// Beams or a frame carry the panel from beneath.
    pub supported: bool,
    /// "Holds N kg" by the maker of the surface, or nothing.
    pub surface_rating_kg: Option<Decimal>,
    /// What the rating means, when one is given.
    pub rating_kind: Option<RatingKind>,
    pub backing: Backing,
    /// Outer diameter of the washers, where other ones than the kit's are taken.
    pub washer_mm: Option<Decimal>,
    /// From the hole to the nearest free edge of the sheet.
    pub edge_distance_mm: Decimal,
    /// Of gear and load above the surface.
    pub centre_of_mass_mm: Decimal,
    /// Centre of mass ahead of the middle of the fasteners, and to the right of it.
    pub off_centre: OffCentre,
    pub restraint: RestraintClass,
}

/// How far the centre of mass lies off the middle of the fasteners, in plan view.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct OffCentre {
    pub ahead_mm: Decimal,
    pub right_mm: Decimal,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    Steel,
    Aluminium,
    Plywood,
    Composite,
}

impl Surface {
    pub const ALL: [Self; 4] = [Self::Steel, Self::Aluminium, Self::Plywood, Self::Composite];

    pub fn word(self) -> &'static str {
        match self {
            Self::Steel => "steel",
            Self::Aluminium => "aluminium",
            Self::Plywood => "plywood",
            Self::Composite => "composite",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Steel => "Steel sheet",
            Self::Aluminium => "Aluminium sheet",
            Self::Plywood => "Plywood",
            Self::Composite => "Composite",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|surface| surface.word() == word)
    }
}

/// What "holds N kg" means: the two differ by a factor of about twenty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatingKind {
    /// The force it withstands in a crash, over g.
    Crash,
    /// The load it carries while driving.
    Driving,
}

impl RatingKind {
    pub const ALL: [Self; 2] = [Self::Crash, Self::Driving];

    pub fn word(self) -> &'static str {
        match self {
            Self::Crash => "crash",
            Self::Driving => "driving",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Crash => "Force withstood in a crash",
            Self::Driving => "Load carried while driving",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// What spreads the load on the far side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backing {
    /// Washers only.
    Washers,
    /// A plate under all fasteners, of this thickness.
    Plate { thickness_mm: Decimal },
}

/// The modules on the solar input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SolarPlan {
    pub module_voc_v: Decimal,
    pub module_isc_a: Decimal,
    /// Percent per kelvin, negative; nothing if the data sheet is missing.
    pub voc_percent_per_k: Option<Decimal>,
    pub in_series: u32,
    pub in_parallel: u32,
    /// Largest string fuse by the data sheet.
    pub module_fuse_max_a: Option<Decimal>,
    /// Nominal operating cell temperature by the data sheet.
    pub noct_c: Option<Decimal>,
    pub coldest_c: Decimal,
    pub hottest_c: Decimal,
}

/// What the vehicle may still carry. Nothing here is needed to make a sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WeightPlan {
    pub payload_left_kg: Option<Decimal>,
    /// What is fitted besides the kit: second battery, cable, modules.
    pub further_kg: Option<Decimal>,
    pub axles: Option<AxlePlan>,
}

/// Where the gear sits between the axles, and what these may still carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AxlePlan {
    pub wheelbase_mm: Decimal,
    /// From the front axle back to the middle of the gear; may be more than the wheelbase.
    pub behind_front_mm: Decimal,
    pub front_left_kg: Option<Decimal>,
    pub rear_left_kg: Option<Decimal>,
}

impl Plan {
    pub fn circuit(&self, id: &str) -> Option<&CircuitPlan> {
        self.circuits.iter().find(|circuit| circuit.circuit == id)
    }
}
