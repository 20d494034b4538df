//! What plywood and other boards stand under washers and around bolts.
//!
//! Boards differ more than their names say: moisture, glue and voids count. Where the maker of the
//! board states figures, they take the place of the ones here.

use super::thread::{PropertyClass, Thread};
use super::units::{KilogramsPerCubicMetre, Megapascals, Millimetres, Newtons};
use super::{OutOfRange, Source, check};

/// Where pressure under washers, embedment and its factors come from.
pub const BOARD_SOURCE: Source =
    Source::from_memory("EN 1995-1-1, 8.5.2, 8.5.1.2, tables 2.3 and 3.1");

/// Where punching of boards comes from.
pub const BOARD_PUNCHING_SOURCE: Source =
    Source::from_memory("first principles, panel shear of EN 12369-2");

/// Thicknesses of boards [mm].
const THICKNESS_RANGE: (f64, f64) = (6.0, 60.0);

/// A hole must be this many bolt diameters from a loaded edge of a board, and from its neighbour.
///
/// # Source
///
/// EN 1995-1-1, table 8.4, loaded edge across the grain (from memory).
pub const BOARD_DISTANCE_DIAMETERS: f64 = 4.0;

/// A board of plywood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Board {
    /// Thickness, from 6 mm to 60 mm.
    pub thickness: Millimetres,
    /// Characteristic density ρk.
    pub density: KilogramsPerCubicMetre,
    /// Characteristic strength fc,90,k in compression across its face.
    pub compression: Megapascals,
    /// Characteristic strength fv,k in panel shear; where the maker states a lower planar shear,
    /// that one.
    pub panel_shear: Megapascals,
    /// Factor kmod for moisture and duration of the load.
    pub duration_factor: f64,
    /// Partial factor γM of the material.
    pub material_factor: f64,
}

impl Board {
    /// Softwood plywood that nobody knows more of, kept dry or under a roof.
    ///
    /// ```text
    /// ρk 400 kg/m³    fc,90,k 2.5 N/mm²    fv,k 3.5 N/mm²    kmod 0.9    γM 1.3
    /// ```
    ///
    /// A crash is shorter than kmod 0.9 ("short term") has it, and an accident would allow γM 1.0:
    /// both are left out on the cautious side.
    ///
    /// # Source
    ///
    /// Strengths: softwood, EN 338 and EN 12369-2 (from memory, doubtful). Factors: EN 1995-1-1,
    /// table 3.1, short term, service classes 1 and 2; table 2.3, joints (from memory).
    #[must_use]
    pub const fn unknown_plywood(thickness: Millimetres) -> Self {
        Self {
            thickness,
            density: KilogramsPerCubicMetre(400.0),
            compression: Megapascals(2.5),
            panel_shear: Megapascals(3.5),
            duration_factor: 0.9,
            material_factor: 1.3,
        }
    }

    /// Thickness [mm], checked.
    fn checked_thickness(&self) -> Result<f64, OutOfRange> {
        check::within("thickness of the board", self.thickness, THICKNESS_RANGE)
    }

    /// What may be used of a characteristic resistance: kmod / γM.
    fn design_factor(&self) -> Result<f64, OutOfRange> {
        let duration = check::within("duration factor", self.duration_factor, (0.2, 1.1))?;
        Ok(duration / check::within("material factor", self.material_factor, (1.0, 3.0))?)
    }
}

/// Tension at which a washer sinks into the board.
///
/// ```text
/// F = 3 · fc,90,k · π/4 · (dw² − (d + 1)²) · kmod / γM
/// ```
///
/// | symbol    | meaning                                                         | unit  |
/// |-----------|-----------------------------------------------------------------|-------|
/// | `F`       | resistance, result                                              | N     |
/// | `fc,90,k` | `compression` of `board`                                        | N/mm² |
/// | `dw`      | `washer_diameter`, or the bearing diameter of a head without    | mm    |
/// | `d`       | diameter of `thread`; the hole is taken 1 mm wider              | mm    |
/// | `kmod`    | `duration_factor`, from 0.2 to 1.1                              | –     |
/// | `γM`      | `material_factor`, from 1 to 3                                  | –     |
///
/// The washer must be stiff enough to press with all of its face.
///
/// # Source
///
/// EN 1995-1-1, 8.5.2(2) (from memory; the form seen in a public worked example).
///
/// # Example
///
/// M8, 28 mm washer, unknown plywood. By hand: 3 × 2.5 × 0.7854 × (784 − 81) × 0.9 / 1.3 = 2870 N.
///
/// ```
/// use fusewright::engineering::board::{Board, washer_pressure_resistance};
/// use fusewright::engineering::{thread::Thread, units::Millimetres};
///
/// let board = Board::unknown_plywood(Millimetres(12.0));
/// let pressed = washer_pressure_resistance(&board, Thread::M8, Millimetres(28.0)).unwrap();
/// assert_eq!(format!("{:.2}", pressed.0 / 1000.0), "2.87");
/// ```
pub fn washer_pressure_resistance(
    board: &Board,
    thread: Thread,
    washer_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    board.checked_thickness()?;
    let strength = check::within("compression strength", board.compression, (0.5, 20.0))?;
    let outer = check::positive("diameter of the washer", washer_diameter)?;
    let hole = thread.diameter().0 + 1.0;
    if outer <= hole {
        let allowed = format!("more than the hole of {hole} mm in the board");
        return Err(check::refusal("diameter of the washer", &washer_diameter, allowed));
    }
    let area = std::f64::consts::FRAC_PI_4 * (outer.powi(2) - hole.powi(2));
    Ok(Newtons(3.0 * strength * area * board.design_factor()?))
}

/// Characteristic strength of plywood against the side of a bolt.
///
/// ```text
/// fh,k = 0.11 · (1 − 0.01·d) · ρk
/// ```
///
/// | symbol | meaning                                     | unit  |
/// |--------|---------------------------------------------|-------|
/// | `fh,k` | embedment strength, result                  | N/mm² |
/// | `d`    | diameter of `thread`                        | mm    |
/// | `ρk`   | `density` of `board`, from 300 to 900       | kg/m³ |
///
/// # Source
///
/// EN 1995-1-1, eq. (8.36), plywood, all angles to the grain of the face (from memory).
///
/// # Example
///
/// M8, 400 kg/m³. By hand: 0.11 × 0.92 × 400 = 40.5 N/mm².
///
/// ```
/// use fusewright::engineering::board::{Board, embedment_strength};
/// use fusewright::engineering::{thread::Thread, units::Millimetres};
///
/// let board = Board::unknown_plywood(Millimetres(12.0));
/// let strength = embedment_strength(&board, Thread::M8).unwrap();
/// assert_eq!(format!("{strength:.1}"), "40.5 MPa");
/// ```
pub fn embedment_strength(board: &Board, thread: Thread) -> Result<Megapascals, OutOfRange> {
    let density = check::within("density of the board", board.density, (300.0, 900.0))?;
    Ok(Megapascals(0.11 * (1.0 - 0.01 * thread.diameter().0) * density))
}

/// A bolt that presses sideways into a board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardBolt {
    /// Its thread.
    pub thread: Thread,
    /// Its property class.
    pub property_class: PropertyClass,
    /// Centre of its hole to the nearest edge of the board.
    pub edge: Millimetres,
}

/// Shear that a bolt carries from a metal base into a board.
///
/// ```text
/// F = min(0.4 · fh,k · t · d,  1.15 · √(2 · My · fh,k · d)) · kmod / γM
/// My = 0.3 · fub · d^2.6
/// ```
///
/// | symbol | meaning                                                    | unit  |
/// |--------|------------------------------------------------------------|-------|
/// | `F`    | resistance, result                                         | N     |
/// | `fh,k` | [`embedment_strength`]                                     | N/mm² |
/// | `t`    | thickness of `board`                                       | mm    |
/// | `d`    | diameter of the bolt                                       | mm    |
/// | `My`   | moment at which the bolt bends                             | N·mm  |
/// | `fub`  | tensile strength of the bolt                               | N/mm² |
/// | `kmod`, `γM` | factors of `board`                                   | –     |
///
/// The base counts as a thin plate, which lets the bolt tilt; a thick one would carry 2.5 times as
/// much. The rope effect is left out. The edge must be four diameters away.
///
/// # Source
///
/// EN 1995-1-1, eq. (8.9) (a) and (b), (8.30) (from memory).
///
/// # Example
///
/// M8 8.8, 12 mm of unknown plywood. By hand: 0.4 × 40.5 × 12 × 8 = 1555 N, below the 6770 N of the
/// bolt that bends; 1555 × 0.9 / 1.3 = 1080 N.
///
/// ```
/// use fusewright::engineering::board::{Board, BoardBolt, embedment_resistance};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::Millimetres;
///
/// let board = Board::unknown_plywood(Millimetres(12.0));
/// let (thread, property_class) = (Thread::M8, PropertyClass::Steel8_8);
/// let bolt = BoardBolt { thread, property_class, edge: Millimetres(40.0) };
/// let shear = embedment_resistance(&board, &bolt).unwrap();
/// assert_eq!(format!("{:.2}", shear.0 / 1000.0), "1.08");
/// ```
pub fn embedment_resistance(board: &Board, bolt: &BoardBolt) -> Result<Newtons, OutOfRange> {
    let thickness = board.checked_thickness()?;
    let strength = embedment_strength(board, bolt.thread)?.0;
    let diameter = bolt.thread.diameter().0;
    let least = BOARD_DISTANCE_DIAMETERS * diameter;
    if check::positive("distance to the edge", bolt.edge)? < least {
        let allowed = format!("at least {least} mm, four diameters of {}", bolt.thread);
        return Err(check::refusal("distance to the edge", &bolt.edge, allowed));
    }
    let bending = 0.3 * bolt.property_class.tensile_strength().0 * diameter.powf(2.6);
    let crushing = 0.4 * strength * thickness * diameter;
    let hinge = 1.15 * (2.0 * bending * strength * diameter).sqrt();
    Ok(Newtons(crushing.min(hinge) * board.design_factor()?))
}

/// Tension at which a washer is punched through a thin board.
///
/// ```text
/// F = π · dw · t · fv,k · kmod / γM
/// ```
///
/// | symbol | meaning                                                        | unit  |
/// |--------|----------------------------------------------------------------|-------|
/// | `F`    | resistance, result                                             | N     |
/// | `dw`   | `washer_diameter`, or the bearing diameter of a head without   | mm    |
/// | `t`    | thickness of `board`                                           | mm    |
/// | `fv,k` | `panel_shear` of `board`                                       | N/mm² |
/// | `kmod`, `γM` | factors of `board`                                       | –     |
///
/// Shear over the perimeter times the thickness: simple statics, no rule of the standard. The
/// bending of the board between its supports is not in it.
///
/// # Source
///
/// First principles; panel shear by EN 12369-2 (from memory, doubtful).
///
/// # Example
///
/// 28 mm washer, 12 mm of unknown plywood. By hand: π × 28 × 12 × 3.5 × 0.9 / 1.3 = 2560 N.
///
/// ```
/// use fusewright::engineering::board::{Board, board_punching_resistance};
/// use fusewright::engineering::units::Millimetres;
///
/// let board = Board::unknown_plywood(Millimetres(12.0));
/// let punched = board_punching_resistance(&board, Millimetres(28.0)).unwrap();
/// assert_eq!(format!("{:.2}", punched.0 / 1000.0), "2.56");
/// ```
pub fn board_punching_resistance(
    board: &Board,
    washer_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let thickness = board.checked_thickness()?;
    let strength = check::within("panel shear strength", board.panel_shear, (0.3, 20.0))?;
    let diameter = check::positive("diameter of the washer", washer_diameter)?;
    let perimeter = std::f64::consts::PI * diameter;
    Ok(Newtons(perimeter * thickness * strength * board.design_factor()?))
}
