//! Screws in thin sheet by the American rule: pull-out, pull-over, tilting and bearing.
//!
//! All figures are nominal strengths; [`allowable_strength`] and [`design_strength`] bring them to
//! what may be used. They stand beside the European ones of [`super::sheet_metal`].

use super::sheet_metal::Sheet;
use super::units::{Millimetres, Newtons};
use super::{OutOfRange, Source, check};

/// Safety factor Ω on the nominal strength of a screw joint, for loads in service.
///
/// # Source
///
/// AISI S100, E4 (2012), J4 (2016) (from memory; recomputes a seen evaluation report).
pub const SAFETY_FACTOR: f64 = 3.0;

/// Resistance factor φ on the nominal strength of a screw joint, for factored loads.
///
/// # Source
///
/// AISI S100, E4 (2012), J4 (2016) (from memory).
pub const RESISTANCE_FACTOR: f64 = 0.5;

/// Where pull-out, tilting and bearing come from.
pub const AISI_SOURCE: Source =
    Source::seen("AISI S100, E4.3 and E4.4.1, by an evaluation report's tables");

/// Where pull-over comes from; the cap on the washer's diameter is from memory.
pub const PULL_OVER_SOURCE: Source = Source::from_memory("AISI S100, E4.4.2 (2012), J4.4.2 (2016)");

/// Thicknesses of sheet that the rule is used for [mm]: a seen table goes from 0.018 in to 0.25 in.
const THICKNESS_RANGE: (f64, f64) = (0.4, 6.4);

/// Tensile strengths of sheet [N/mm²].
const TENSILE_RANGE: (f64, f64) = (50.0, 700.0);

/// Screws of the rule: 0.08 in to 0.25 in (from memory) [mm].
const SCREW_RANGE: (f64, f64) = (2.03, 6.35);

/// Washers this rule can say anything about [mm].
const WASHER_RANGE: (f64, f64) = (2.0, 100.0);

/// The edition that pull-over goes by: each counts only so much of a wide washer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PullOverEdition {
    /// S100-12: up to ½ in.
    S100Of2012,
    /// S100-16: up to ¾ in.
    S100Of2016,
}

impl PullOverEdition {
    /// Both editions.
    pub const ALL: [Self; 2] = [Self::S100Of2012, Self::S100Of2016];

    /// The widest diameter that counts (from memory).
    #[must_use]
    pub const fn diameter_max(self) -> Millimetres {
        match self {
            Self::S100Of2012 => Millimetres(12.7),
            Self::S100Of2016 => Millimetres(19.05),
        }
    }
}

/// Thickness [mm] and strength [N/mm²], checked.
fn checked(sheet: Sheet) -> Result<(f64, f64), OutOfRange> {
    let thickness = check::within("thickness of the sheet", sheet.thickness, THICKNESS_RANGE)?;
    Ok((thickness, check::within("tensile strength of the sheet", sheet.tensile, TENSILE_RANGE)?))
}

/// Tension at which a screw is pulled out of the sheet that holds its thread; nominal.
///
/// ```text
/// Pnot = 0.85 · tc · d · Fu2
/// ```
///
/// | symbol | meaning                                                          | unit  |
/// |--------|------------------------------------------------------------------|-------|
/// | `Pnot` | nominal pull-out strength, result                                | N     |
/// | `tc`   | thickness of `threaded`, less where the screw does not reach     | mm    |
/// | `d`    | `screw`: nominal diameter, from 2.03 to 6.35                     | mm    |
/// | `Fu2`  | tensile strength of `threaded`                                   | N/mm² |
///
/// For self-tapping screws, three threads through the sheet; a bolt with a nut is not pulled out.
///
/// # Source
///
/// AISI S100, E4.4.1 (2012), J4.4.1 (2016) (formula from memory; the table of an evaluation report
/// seen).
///
/// # Example
///
/// 4.83 mm screw, 1.52 mm of 310 N/mm². By hand: 0.85 × 1.52 × 4.83 × 310 = 1930 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::Sheet;
/// use fusewright::engineering::sheet_metal_aisi::pull_out_strength;
/// use fusewright::engineering::units::*;
///
/// let sheet = Sheet { thickness: Millimetres(1.52), tensile: Megapascals(310.0) };
/// let pull_out = pull_out_strength(sheet, Millimetres(4.83)).unwrap();
/// assert_eq!(format!("{:.2}", pull_out.0 / 1000.0), "1.93");
/// ```
pub fn pull_out_strength(threaded: Sheet, screw: Millimetres) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = checked(threaded)?;
    let diameter = check::within("diameter of the screw", screw, SCREW_RANGE)?;
    Ok(Newtons(0.85 * thickness * diameter * tensile))
}

/// Tension at which the sheet is pulled over the head or washer; nominal.
///
/// ```text
/// Pnov = 1.5 · t1 · min(dw, cap) · Fu1
/// ```
///
/// | symbol | meaning                                                   | unit  |
/// |--------|-----------------------------------------------------------|-------|
/// | `Pnov` | nominal pull-over strength, result                        | N     |
/// | `t1`   | thickness of `sheet`, from 0.4 to 6.4                     | mm    |
/// | `dw`   | `washer`: outer diameter of washer or head, 2 to 100      | mm    |
/// | `cap`  | what `edition` counts at most: 12.7 or 19.05              | mm    |
/// | `Fu1`  | tensile strength of `sheet`                               | N/mm² |
///
/// The cap is part of the rule: a wider washer gains nothing. The washer must be stiff, 1.3 mm
/// thick at least. A later supplement changes the factors.
///
/// # Source
///
/// AISI S100, E4.4.2 (2012), J4.4.2 (2016) (formula and cap from memory; a technical guide's table
/// seen).
///
/// # Example
///
/// 16 mm washer, 1.0 mm of 270 N/mm², 2016. By hand: 1.5 × 1 × 16 × 270 = 6480 N; in 2012 only
/// 12.7 mm count: 5140 N.
///
/// ```
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::sheet_metal_aisi::{PullOverEdition, pull_over_strength};
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let over = |edition| pull_over_strength(sheet, Millimetres(16.0), edition).unwrap();
/// assert_eq!(format!("{:.2}", over(PullOverEdition::S100Of2016).0 / 1000.0), "6.48");
/// assert_eq!(format!("{:.2}", over(PullOverEdition::S100Of2012).0 / 1000.0), "5.14");
/// ```
pub fn pull_over_strength(
    sheet: Sheet,
    washer: Millimetres,
    edition: PullOverEdition,
) -> Result<Newtons, OutOfRange> {
    let (thickness, tensile) = checked(sheet)?;
    let diameter = check::within("diameter of the washer", washer, WASHER_RANGE)?;
    Ok(Newtons(1.5 * thickness * diameter.min(edition.diameter_max().0) * tensile))
}

/// Shear at which a screw tilts out or a hole tears, of two sheets; nominal.
///
/// ```text
/// t2/t1 ≤ 1:    Pns = min(4.2 · √(t2³·d) · Fu2,  2.7·t1·d·Fu1,  2.7·t2·d·Fu2)
/// t2/t1 ≥ 2.5:  Pns = min(2.7·t1·d·Fu1,  2.7·t2·d·Fu2)
/// between:      straight line over t2/t1
/// ```
///
/// | symbol     | meaning                                       | unit  |
/// |------------|-----------------------------------------------|-------|
/// | `Pns`      | nominal shear strength, result                | N     |
/// | `t1`, `t2` | thickness of the sheets `at_head`, `beneath`  | mm    |
/// | `Fu1`, `Fu2` | their tensile strengths                     | N/mm² |
/// | `d`        | `screw`: nominal diameter, from 2.03 to 6.35  | mm    |
///
/// The screw's own shear strength and the edge are not in it.
///
/// # Source
///
/// AISI S100, E4.3.1 (2012), J4.3.1 (2016) (formula from memory; an evaluation report's table of
/// equal sheets seen).
///
/// # Example
///
/// 4.83 mm screw, two sheets of 0.91 mm and 310 N/mm². By hand: tilting
/// 4.2 × √(0.754 × 4.83) × 310 = 2480 N; bearing 2.7 × 0.91 × 4.83 × 310 = 3680 N; the lesser.
///
/// ```
/// use fusewright::engineering::sheet_metal::Sheet;
/// use fusewright::engineering::sheet_metal_aisi::tilting_and_bearing_strength;
/// use fusewright::engineering::units::*;
///
/// let sheet = Sheet { thickness: Millimetres(0.91), tensile: Megapascals(310.0) };
/// let shear = tilting_and_bearing_strength(sheet, sheet, Millimetres(4.83)).unwrap();
/// assert_eq!(format!("{:.2}", shear.0 / 1000.0), "2.48");
/// ```
pub fn tilting_and_bearing_strength(
    at_head: Sheet,
    beneath: Sheet,
    screw: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let ((first, first_tensile), (second, second_tensile)) = (checked(at_head)?, checked(beneath)?);
    let diameter = check::within("diameter of the screw", screw, SCREW_RANGE)?;
    let tilting = 4.2 * (second.powi(3) * diameter).sqrt() * second_tensile;
    let bearing = 2.7 * diameter * (first * first_tensile).min(second * second_tensile);
    let tilting_share = match second / first {
        ratio if ratio <= 1.0 => 1.0,
        ratio if ratio < 2.5 => (2.5 - ratio) / 1.5,
        _ => 0.0,
    };
    Ok(Newtons(tilting_share * tilting.min(bearing) + (1.0 - tilting_share) * bearing))
}

/// What may be used of a nominal strength under loads in service: Pn / Ω, Ω = 3.0.
///
/// # Source
///
/// AISI S100, as [`SAFETY_FACTOR`] says.
///
/// # Example
///
/// 6480 N nominal. By hand: 6480 / 3 = 2160 N.
///
/// ```
/// use fusewright::engineering::{sheet_metal_aisi::allowable_strength, units::Newtons};
///
/// assert_eq!(allowable_strength(Newtons(6480.0)), Newtons(2160.0));
/// ```
#[must_use]
pub fn allowable_strength(nominal: Newtons) -> Newtons {
    Newtons(nominal.0 / SAFETY_FACTOR)
}

/// What may be used of a nominal strength under factored loads: φ · Pn, φ = 0.5.
///
/// # Source
///
/// AISI S100, as [`RESISTANCE_FACTOR`] says.
///
/// # Example
///
/// 6480 N nominal. By hand: 0.5 × 6480 = 3240 N.
///
/// ```
/// use fusewright::engineering::{sheet_metal_aisi::design_strength, units::Newtons};
///
/// assert_eq!(design_strength(Newtons(6480.0)), Newtons(3240.0));
/// ```
#[must_use]
pub fn design_strength(nominal: Newtons) -> Newtons {
    Newtons(RESISTANCE_FACTOR * nominal.0)
}
