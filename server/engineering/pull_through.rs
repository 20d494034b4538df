//! All published ways to reckon how a washer is pulled through sheet, side by side.

use super::sheet_metal::{
    PULL_THROUGH_SOURCE, PUNCHING_SOURCE, REPEATED_SOURCE, Sheet, pull_through_resistance,
    punching_resistance, repeated_pull_through_resistance,
};
use super::sheet_metal_aisi::{
    PULL_OVER_SOURCE, PullOverEdition, allowable_strength, design_strength, pull_over_strength,
};
use super::units::{Millimetres, Newtons};
use super::{OutOfRange, Source};

/// A way to reckon pull-through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PullThroughMethod {
    /// European rule for plate: the head is punched through.
    EuropeanPunching,
    /// European rule for screws in thin sheet, static load: what a mount is judged by here.
    EuropeanStatic,
    /// European rule for screws in thin sheet, load that comes again and again.
    EuropeanRepeated,
    /// American rule, nominal: no safety in it.
    AmericanNominal,
    /// American rule, loads in service.
    AmericanAllowable,
    /// American rule, factored loads.
    AmericanDesign,
}

impl PullThroughMethod {
    /// The method in words.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::EuropeanPunching => "European, punching of plate",
            Self::EuropeanStatic => "European, screw in thin sheet, static load",
            Self::EuropeanRepeated => "European, screw in thin sheet, repeated load",
            Self::AmericanNominal => "American, nominal, without safety",
            Self::AmericanAllowable => "American, loads in service",
            Self::AmericanDesign => "American, factored loads",
        }
    }

    /// Where the method comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::EuropeanPunching => PUNCHING_SOURCE,
            Self::EuropeanStatic => PULL_THROUGH_SOURCE,
            Self::EuropeanRepeated => REPEATED_SOURCE,
            Self::AmericanNominal | Self::AmericanAllowable | Self::AmericanDesign => {
                PULL_OVER_SOURCE
            }
        }
    }
}

/// What one method gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PullThroughFigure {
    /// The method.
    pub method: PullThroughMethod,
    /// The tension it allows.
    pub resistance: Newtons,
}

/// What presses on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressingFace {
    /// Outer diameter of the washer, or the bearing diameter of a head without one.
    pub outer: Millimetres,
    /// Mean of the head's width across flats and across corners, for punching, which knows no
    /// washers.
    pub head_mean: Millimetres,
}

/// Every method on the same sheet and face: they differ by up to 2.6 times, so that an anchor must
/// state its method.
///
/// ```text
/// punching 0.6·π·dm·t·fu/γM2     static dw·t·fu/γM2      repeated 0.5·dw·t·fu/γM2
/// American 1.5·t·min(dw, cap)·fu, then / 3.0 or · 0.5
/// ```
///
/// | symbol | meaning                                                      | unit  |
/// |--------|--------------------------------------------------------------|-------|
/// | `dm`   | `head_mean` of `face`                                        | mm    |
/// | `dw`   | `outer` of `face`                                            | mm    |
/// | `t`    | thickness of `sheet`, from 0.75 to 6.4                       | mm    |
/// | `fu`   | tensile strength of `sheet`                                  | N/mm² |
/// | `cap`  | widest diameter that `edition` counts                        | mm    |
/// | `γM2`  | 1.25                                                         | –     |
///
/// # Source
///
/// Of each as [`PullThroughMethod::source`] says.
///
/// # Example
///
/// M8, 16 mm washer, 1.0 mm of 270 N/mm². By hand: 5.57, 3.46, 1.73, 6.48, 2.16 and 3.24 kN.
///
/// ```
/// use fusewright::engineering::pull_through::{PressingFace, pull_through_methods};
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::sheet_metal_aisi::PullOverEdition;
/// use fusewright::engineering::{thread::Thread, units::Millimetres};
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let head_mean = Thread::M8.head_mean_diameter();
/// let face = PressingFace { outer: Millimetres(16.0), head_mean };
/// let all = pull_through_methods(sheet, face, PullOverEdition::S100Of2016).unwrap();
/// let kilonewtons = all.map(|figure| format!("{:.2}", figure.resistance.0 / 1000.0));
/// assert_eq!(kilonewtons, ["5.57", "3.46", "1.73", "6.48", "2.16", "3.24"]);
/// ```
pub fn pull_through_methods(
    sheet: Sheet,
    face: PressingFace,
    edition: PullOverEdition,
) -> Result<[PullThroughFigure; 6], OutOfRange> {
    let nominal = pull_over_strength(sheet, face.outer, edition)?;
    Ok([
        (PullThroughMethod::EuropeanPunching, punching_resistance(sheet, face.head_mean)?),
        (PullThroughMethod::EuropeanStatic, pull_through_resistance(sheet, face.outer)?),
        (PullThroughMethod::EuropeanRepeated, repeated_pull_through_resistance(sheet, face.outer)?),
        (PullThroughMethod::AmericanNominal, nominal),
        (PullThroughMethod::AmericanAllowable, allowable_strength(nominal)),
        (PullThroughMethod::AmericanDesign, design_strength(nominal)),
    ]
    .map(|(method, resistance)| PullThroughFigure { method, resistance }))
}
