//! What thin sheet stands around a bolt. The sheet, not the bolt, is nearly always the weak link;
//! the published methods differ by up to 2.6 times, so each function names its own.

use super::bolt_resistance::GAMMA_M2;
use super::thread::Thread;
use super::units::{Megapascals, Millimetres, Newtons};
use super::{OutOfRange, Source, check};

/// Lowest tensile strength of mild steel body sheet: an assumption where the sheet is not known.
///
/// # Source
///
/// EN 10130, DC01, lowest Rm (from memory). Older or corroded sheet may have less.
pub const MILD_STEEL_TENSILE: Megapascals = Megapascals(270.0);

/// Lowest tensile strength of ordinary aluminium body sheet: an assumption where it is not known.
///
/// # Source
///
/// EN 485-2, alloy 5754 in the soft state, lowest Rm (from memory).
pub const ALUMINIUM_TENSILE: Megapascals = Megapascals(190.0);

/// Sheet thinner than this takes no mount without a backing plate.
///
/// # Source
///
/// Common practice, no source.
pub const SHEET_THICKNESS_MIN: Millimetres = Millimetres(1.0);

/// Outer diameter of the washer that goes under a bolt in sheet metal.
///
/// # Source
///
/// Common practice, no source.
pub const SHEET_WASHER_DIAMETER: Millimetres = Millimetres(25.0);

/// Where the bearing resistance comes from.
pub const BEARING_SOURCE: Source = Source::from_memory("EN 1993-1-3, table 8.4");

/// Where the punching resistance comes from.
pub const PUNCHING_SOURCE: Source = Source::seen("EN 1993-1-8, table 3.4");

/// Where the pull-through resistance comes from.
pub const PULL_THROUGH_SOURCE: Source =
    Source::from_memory("EN 1993-1-3, table 8.2, screw form, static load");

/// Where the halved pull-through under repeated load comes from.
pub const REPEATED_SOURCE: Source =
    Source::seen("EN 1993-1-3, table 8.2, screw form, repeated load");

/// Where the pull-out of screws comes from.
pub const SCREW_PULL_OUT_SOURCE: Source = Source::from_memory("EN 1993-1-3, table 8.2");

/// Thicknesses the functions here take [mm]; the thin-sheet rule for bearing begins at 0.75 mm.
const THICKNESS_RANGE: (f64, f64) = (0.75, 20.0);

/// From this thickness on, bearing goes by the rule for plate [mm].
const PLATE_FROM: f64 = 3.0;

/// A sheet or plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Thickness of the metal alone, without paint or lining; each rule names its range, here from
    /// 0.75 mm to 20 mm.
    pub thickness: Millimetres,
    /// Lowest tensile strength fu.
    pub tensile: Megapascals,
}

impl Sheet {
    /// Thickness [mm] and strength [N/mm²], checked.
    fn checked(self) -> Result<(f64, f64), OutOfRange> {
        let thickness = check::within("thickness of the sheet", self.thickness, THICKNESS_RANGE)?;
        let tensile = check::within("tensile strength of the sheet", self.tensile, (50.0, 700.0))?;
        Ok((thickness, tensile))
    }
}

/// Shear that the wall of the hole stands before it tears towards the edge.
///
/// ```text
/// Fb = 2.5 · αb · kt · fu · d · t / γM2        αb = min(1, e1 / (3·d))
/// kt = (0.8·t + 1.5) / 2.5 up to 1.25 mm, else 1
/// ```
///
/// | symbol | meaning                                               | unit  |
/// |--------|-------------------------------------------------------|-------|
/// | `Fb`   | bearing resistance, result                            | N     |
/// | `fu`   | tensile strength of `sheet`                           | N/mm² |
/// | `t`    | thickness of `sheet`, from 0.75 mm                    | mm    |
/// | `d`    | diameter of `thread`; from 3 mm sheet on, of its hole | mm    |
/// | `e1`   | `edge`: centre of the hole to the nearest edge        | mm    |
/// | `γM2`  | 1.25                                                  | –     |
///
/// The hole's diameter stands only in αb. The edge must be at least the clearance hole away.
///
/// # Source
///
/// EN 1993-1-3, table 8.4 (from memory); from 3 mm on EN 1993-1-8, table 3.4, edge bolt.
///
/// # Example
///
/// M8 in 1.0 mm of 270 N/mm², 20 mm from the edge: αb 0.833, kt 0.92. By hand:
/// 2.5 × 0.833 × 0.92 × 270 × 8 × 1 / 1.25 = 3310 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet, bearing_resistance};
/// use fusewright::engineering::{thread::Thread, units::Millimetres};
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let bearing = bearing_resistance(sheet, Thread::M8, Millimetres(20.0)).unwrap();
/// assert_eq!(format!("{:.2}", bearing.0 / 1000.0), "3.31");
/// ```
pub fn bearing_resistance(
    sheet: Sheet,
    thread: Thread,
    edge: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = sheet.checked()?;
    let diameter = thread.diameter().0;
    let hole = thread.clearance_hole();
    let distance = check::positive("distance to the edge", edge)?;
    if distance < hole.0 {
        let allowed = format!("at least {hole}, the clearance hole of {thread}");
        return Err(check::refusal("distance to the edge", &edge, allowed));
    }
    let over = if thickness < PLATE_FROM { diameter } else { hole.0 };
    let edge_factor = (distance / (3.0 * over)).min(1.0);
    let thin_factor = if thickness <= 1.25 { (0.8 * thickness + 1.5) / 2.5 } else { 1.0 };
    let full = 2.5 * edge_factor * thin_factor * tensile * diameter * thickness;
    Ok(Newtons(full / GAMMA_M2))
}

/// Tension at which a head is punched through the sheet, by the rule for plate.
///
/// ```text
/// Bp = 0.6 · π · dm · t · fu / γM2
/// ```
///
/// | symbol | meaning                                                                   | unit  |
/// |--------|---------------------------------------------------------------------------|-------|
/// | `Bp`   | punching resistance, result                                               | N     |
/// | `dm`   | `mean_diameter`: mean of the head's width across flats and across corners | mm    |
/// | `t`    | thickness of `sheet`                                                      | mm    |
/// | `fu`   | tensile strength of `sheet`                                               | N/mm² |
/// | `γM2`  | 1.25                                                                      | –     |
///
/// The rule says nothing of washers. In thin sheet, which dishes before it is punched,
/// [`pull_through_resistance`] is lower and governs.
///
/// # Source
///
/// EN 1993-1-8, table 3.4 (seen in public summaries).
///
/// # Example
///
/// M8 hexagon head, dm 13.69 mm, 1.0 mm of 270 N/mm². By hand: 0.6 × π × 13.69 × 270 / 1.25 =
/// 5570 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet, punching_resistance};
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let punching = punching_resistance(sheet, Millimetres(13.69)).unwrap();
/// assert_eq!(format!("{:.2}", punching.0 / 1000.0), "5.57");
/// ```
pub fn punching_resistance(
    sheet: Sheet,
    mean_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = sheet.checked()?;
    let diameter = check::positive("mean diameter of the head", mean_diameter)?;
    Ok(Newtons(0.6 * std::f64::consts::PI * diameter * thickness * tensile / GAMMA_M2))
}

/// Tension at which a washer or head is pulled through thin sheet.
///
/// ```text
/// Fp = dw · t · fu / γM2
/// ```
///
/// | symbol | meaning                                                          | unit  |
/// |--------|------------------------------------------------------------------|-------|
/// | `Fp`   | pull-through resistance, result                                  | N     |
/// | `dw`   | `washer_diameter`, or the bearing diameter of a head without one | mm    |
/// | `t`    | thickness of `sheet`                                             | mm    |
/// | `fu`   | tensile strength of `sheet`                                      | N/mm² |
/// | `γM2`  | 1.25                                                             | –     |
///
/// The standard leaves the pull-through of bolts to tests; this is its rule for screws under static
/// load, a lower figure than that of punching. Under repeated wind load it halves it. The washer
/// must be stiff enough not to dish.
///
/// # Source
///
/// EN 1993-1-3, table 8.2 (static form from memory; the form for repeated load seen).
///
/// # Example
///
/// 16 mm washer, 1.0 mm of 270 N/mm². By hand: 16 × 1 × 270 / 1.25 = 3460 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet, pull_through_resistance};
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let pull_through = pull_through_resistance(sheet, Millimetres(16.0)).unwrap();
/// assert_eq!(format!("{:.2}", pull_through.0 / 1000.0), "3.46");
/// ```
pub fn pull_through_resistance(
    sheet: Sheet,
    washer_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = sheet.checked()?;
    let diameter = check::positive("diameter of the washer", washer_diameter)?;
    Ok(Newtons(diameter * thickness * tensile / GAMMA_M2))
}

/// Tension at which a washer or head is pulled through thin sheet under a load that comes again and
/// again: half of [`pull_through_resistance`].
///
/// ```text
/// Fp = 0.5 · dw · t · fu / γM2
/// ```
///
/// Symbols, units and range as there. The standard says it of wind; a body that shakes is no
/// better.
///
/// # Source
///
/// EN 1993-1-3, table 8.2 (this form seen in a fragment).
///
/// # Example
///
/// 16 mm washer, 1.0 mm of 270 N/mm². By hand: 0.5 × 16 × 1 × 270 / 1.25 = 1730 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{
///     MILD_STEEL_TENSILE, Sheet, repeated_pull_through_resistance,
/// };
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let repeated = repeated_pull_through_resistance(sheet, Millimetres(16.0)).unwrap();
/// assert_eq!(format!("{:.2}", repeated.0 / 1000.0), "1.73");
/// ```
pub fn repeated_pull_through_resistance(
    sheet: Sheet,
    washer_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    Ok(Newtons(0.5 * pull_through_resistance(sheet, washer_diameter)?.0))
}

/// Tension at which a self-tapping screw is pulled out of the sheet that holds its thread.
///
/// ```text
/// Fo = 0.65 · d · t · fu / γM2 from t = P on, 0.45 in place of 0.65 below
/// ```
///
/// | symbol | meaning                                | unit  |
/// |--------|----------------------------------------|-------|
/// | `Fo`   | pull-out resistance, result            | N     |
/// | `d`    | `diameter` of the screw                | mm    |
/// | `t`    | thickness of `sheet`, from 0.75 mm     | mm    |
/// | `P`    | `pitch` of the screw                   | mm    |
/// | `fu`   | tensile strength of `sheet`            | N/mm² |
/// | `γM2`  | 1.25                                   | –     |
///
/// A bolt with a nut is not pulled out.
///
/// # Source
///
/// EN 1993-1-3, table 8.2 (0.65 seen in a fragment, 0.45 from memory).
///
/// # Example
///
/// 6.3 mm screw of 1.8 mm pitch, 2.0 mm of 270 N/mm². By hand: 0.65 × 6.3 × 2 × 270 / 1.25 =
/// 1770 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{
///     MILD_STEEL_TENSILE, Sheet, screw_pull_out_resistance,
/// };
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(2.0), tensile: MILD_STEEL_TENSILE };
/// let out = screw_pull_out_resistance(sheet, Millimetres(6.3), Millimetres(1.8)).unwrap();
/// assert_eq!(format!("{:.2}", out.0 / 1000.0), "1.77");
/// ```
pub fn screw_pull_out_resistance(
    sheet: Sheet,
    diameter: Millimetres,
    pitch: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = sheet.checked()?;
    let given = check::within("diameter of the screw", diameter, (2.0, 10.0))?;
    let share = if thickness >= check::positive("pitch", pitch)? { 0.65 } else { 0.45 };
    Ok(Newtons(share * given * thickness * tensile / GAMMA_M2))
}

/// How much of a resistance a load uses: load / resistance; it holds up to 1.
///
/// # Example
///
/// 1226 N of 3312 N. By hand: 0.370.
///
/// ```
/// use fusewright::engineering::{sheet_metal::utilisation, units::Newtons};
///
/// assert_eq!(format!("{:.3}", utilisation(Newtons(1226.0), Newtons(3312.0)).unwrap()), "0.370");
/// ```
pub fn utilisation(load: Newtons, resistance: Newtons) -> Result<f64, OutOfRange> {
    let load = check::not_negative("load", load)?;
    Ok(load / check::positive("resistance", resistance)?)
}
