//! Torque tools: how far a tool that meets its standard may be off, and from where to where it may
//! be used.
//!
//! Verdicts may rest on these figures, so they are exact decimals, like the rest of what an
//! instrument is said to do ([`uncertainty`]).

use std::fmt;

use rust_decimal::Decimal;

use super::uncertainty;
use super::{OutOfRange, Source, check};

/// The torque up to and including which the wider deviation holds [N·m].
///
/// # Source
///
/// ISO 6789:2003, kept in ISO 6789-1:2017 (seen in a tool's manual that quotes it).
pub const DEVIATION_STEP: Decimal = Decimal::from_parts(10, 0, 0, false, 0);

/// The share of a tool's range below which it is neither calibrated nor used.
///
/// # Source
///
/// ISO 6789:2003, kept in ISO 6789-1:2017: tested at 20 %, 60 % and 100 % (seen in a tool's manual
/// that quotes it).
pub const USABLE_SHARE: Decimal = Decimal::from_parts(2, 0, 0, false, 1);

/// The share of the permitted deviation that one step of a display may be.
///
/// # Source
///
/// ISO 6789-1:2017 (seen in an article of a maker of torque tools).
const RESOLUTION_SHARE: Decimal = Decimal::from_parts(25, 0, 0, false, 2);

/// No fastener of a vehicle takes more; a larger figure is a slipped unit [N·m].
const TORQUE_MAX: Decimal = Decimal::from_parts(10_000, 0, 0, false, 0);

/// A kind of torque tool, as the standard tells them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TorqueTool {
    /// Setting wrench, adjustable, with a scale or a display: the click wrench (type II class A).
    SettingGraduated,
    /// Setting wrench with a bending bar or a fixed torque, without a scale.
    SettingUngraduated,
    /// Setting screwdriver.
    SettingScrewdriver,
    /// Indicating wrench with a bending or twisting bar and a pointer.
    IndicatingBar,
    /// Indicating wrench with a rigid body and a dial.
    IndicatingDial,
    /// Indicating wrench with a rigid body and a display.
    IndicatingElectronic,
    /// Indicating screwdriver with a scale or a dial.
    IndicatingScrewdriver,
}

/// One printed row: the kind, its deviation up to 10 N·m and above [%], what it is called, how sure
/// we are of it.
type Row = (TorqueTool, Decimal, Decimal, &'static str, Source);

const SIX: Decimal = Decimal::from_parts(6, 0, 0, false, 0);
const FOUR: Decimal = Decimal::from_parts(4, 0, 0, false, 0);

const SEEN: Source = Source::seen("ISO 6789:2003, permissible deviation, type II class A");
const SETTING: Source = Source::from_memory("ISO 6789:2003, permissible deviation, type II");
const INDICATING: Source = Source::from_memory("ISO 6789:2003, permissible deviation, type I");

/// ISO 6789:2003, permissible deviation of the torque, kept in ISO 6789-1:2017.
static DEVIATIONS: [Row; 7] = [
    (TorqueTool::SettingGraduated, SIX, FOUR, "setting wrench with a scale", SEEN),
    (TorqueTool::SettingUngraduated, SIX, SIX, "setting wrench without a scale", SETTING),
    (TorqueTool::SettingScrewdriver, SIX, SIX, "setting screwdriver", SETTING),
    (TorqueTool::IndicatingBar, SIX, SIX, "indicating wrench with a bending bar", INDICATING),
    (TorqueTool::IndicatingDial, SIX, FOUR, "indicating wrench with a dial", INDICATING),
    (TorqueTool::IndicatingElectronic, SIX, FOUR, "indicating wrench with a display", INDICATING),
    (TorqueTool::IndicatingScrewdriver, SIX, SIX, "indicating screwdriver", INDICATING),
];

impl TorqueTool {
    /// Every kind, in the order of the table.
    pub const ALL: [Self; 7] = [
        Self::SettingGraduated,
        Self::SettingUngraduated,
        Self::SettingScrewdriver,
        Self::IndicatingBar,
        Self::IndicatingDial,
        Self::IndicatingElectronic,
        Self::IndicatingScrewdriver,
    ];

    /// Its row; the first one for a kind that has none, which a test rules out.
    fn row(self) -> &'static Row {
        let [first, ..] = &DEVIATIONS;
        DEVIATIONS.iter().find(|(tool, ..)| *tool == self).unwrap_or(first)
    }

    /// The kind in words, as it is printed.
    #[must_use]
    pub fn label(self) -> &'static str {
        self.row().3
    }

    /// Where its deviation comes from.
    #[must_use]
    pub fn source(self) -> Source {
        self.row().4
    }
}

impl fmt::Display for TorqueTool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// How far a tool that meets its standard may be off at a torque, in percent of that torque.
///
/// | kind of tool                                                     | up to 10 N·m | above |
/// |------------------------------------------------------------------|--------------|-------|
/// | setting wrench with a scale; indicating wrench with a rigid body | 6 %          | 4 %   |
/// | bending bar, screwdriver, setting wrench without a scale         | 6 %          | 6 %   |
///
/// More than 0 N·m and at most 10 000 N·m. A calibration certificate with smaller deviations may
/// stand instead; a tool without any is not covered.
///
/// # Source
///
/// ISO 6789:2003, kept in ISO 6789-1:2017: the setting wrench with a scale seen in a tool's manual
/// that quotes it, the others from memory ([`TorqueTool::source`]).
///
/// # Example
///
/// A click wrench: 6 % at 10 N·m, 4 % at 10.1 N·m.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, permitted_percent};
/// use rust_decimal::Decimal;
///
/// let percent = |torque: &str| {
///     permitted_percent(TorqueTool::SettingGraduated, torque.parse().unwrap()).unwrap()
/// };
/// assert_eq!(percent("10"), Decimal::from(6));
/// assert_eq!(percent("10.1"), Decimal::from(4));
/// ```
pub fn permitted_percent(tool: TorqueTool, torque: Decimal) -> Result<Decimal, OutOfRange> {
    let torque = checked("torque", torque)?;
    let (_, low, high, ..) = tool.row();
    Ok(if torque <= DEVIATION_STEP { *low } else { *high })
}

/// The same in newton metres: the half-width of what a torque set or read may really be.
///
/// ```text
/// a = T · p / 100
/// ```
///
/// | symbol | meaning                                        | unit |
/// |--------|------------------------------------------------|------|
/// | `a`    | half-width, result, exact                      | N·m  |
/// | `T`    | `torque`, set or read                          | N·m  |
/// | `p`    | [`permitted_percent`]                          | %    |
///
/// # Source
///
/// As for [`permitted_percent`].
///
/// # Example
///
/// 24.6 N·m with a click wrench. By hand: 24.6 × 0.04 = 0.984 N·m.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, permitted_deviation};
///
/// let torque = "24.6".parse().unwrap();
/// let deviation = permitted_deviation(TorqueTool::SettingGraduated, torque).unwrap();
/// assert_eq!(deviation.to_string(), "0.984");
/// ```
pub fn permitted_deviation(tool: TorqueTool, torque: Decimal) -> Result<Decimal, OutOfRange> {
    let percent = permitted_percent(tool, torque)?;
    Ok((torque * percent / Decimal::ONE_HUNDRED).normalize())
}

/// Expanded uncertainty (k = 2) of a torque set or read: the deviation taken as the half-width of a
/// rectangular distribution, as for every other instrument.
///
/// ```text
/// U = 2 · a / √3
/// ```
///
/// | symbol | meaning                                              | unit |
/// |--------|------------------------------------------------------|------|
/// | `U`    | expanded uncertainty, result, rounded up             | N·m  |
/// | `a`    | [`permitted_deviation`]                              | N·m  |
///
/// # Source
///
/// JCGM 100:2008, 4.3.7, by [`uncertainty::expanded`]; the deviation as for [`permitted_percent`].
///
/// # Example
///
/// 24.6 N·m with a click wrench. By hand: 2 × 0.984 / 1.7321 = 1.14 N·m.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, torque_uncertainty};
///
/// let torque = "24.6".parse().unwrap();
/// let u = torque_uncertainty(TorqueTool::SettingGraduated, torque).unwrap();
/// assert_eq!(u.to_string(), "1.136226");
/// ```
pub fn torque_uncertainty(tool: TorqueTool, torque: Decimal) -> Result<Decimal, OutOfRange> {
    let percent = permitted_percent(tool, torque)?;
    Ok(uncertainty::expanded(torque, percent, 0, Decimal::ZERO))
}

/// From where to where, both included, and how far off there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToolRange {
    /// Lowest torque [N·m].
    pub from: Decimal,
    /// Highest torque [N·m].
    pub to: Decimal,
    /// Permitted deviation [%].
    pub percent: Decimal,
}

/// What a torque really is, when a tool that meets its standard was set to it or read it.
///
/// ```text
/// from T − a to T + a
/// ```
///
/// Symbols, units and source as for [`permitted_deviation`].
///
/// # Example
///
/// 24.6 N·m with a click wrench. By hand: 24.6 ± 0.984 is 23.6 N·m to 25.6 N·m.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, true_torque};
///
/// let band = true_torque(TorqueTool::SettingGraduated, "24.6".parse().unwrap()).unwrap();
/// assert_eq!((band.from.to_string(), band.to.to_string()), ("23.616".into(), "25.584".into()));
/// ```
pub fn true_torque(tool: TorqueTool, torque: Decimal) -> Result<ToolRange, OutOfRange> {
    let percent = permitted_percent(tool, torque)?;
    let half_width = permitted_deviation(tool, torque)?;
    Ok(ToolRange { from: torque - half_width, to: torque + half_width, percent })
}

/// The ranges in which a tool may be used, from 20 % to 100 % of its top, each with its deviation;
/// two where the deviation changes between, at 10 N·m, which belongs to the lower one.
///
/// | symbol | meaning                                  | unit |
/// |--------|------------------------------------------|------|
/// | `top`  | the highest torque the tool is made for  | N·m  |
///
/// # Source
///
/// As [`USABLE_SHARE`] and [`permitted_percent`] say.
///
/// # Example
///
/// A click wrench up to 40 N·m. By hand: 40 × 0.2 = 8; 8 to 10 N·m with 6 %, 10 to 40 N·m with 4 %.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, usable_ranges};
/// use rust_decimal::Decimal;
///
/// let ranges = usable_ranges(TorqueTool::SettingGraduated, Decimal::from(40)).unwrap();
/// assert_eq!((ranges[0].from, ranges[0].percent), (Decimal::from(8), Decimal::from(6)));
/// assert_eq!((ranges[1].to, ranges[1].percent), (Decimal::from(40), Decimal::from(4)));
/// ```
pub fn usable_ranges(tool: TorqueTool, top: Decimal) -> Result<Vec<ToolRange>, OutOfRange> {
    let top = checked("top of the torque tool's range", top)?;
    let least = (top * USABLE_SHARE).normalize();
    let (_, low, high, ..) = tool.row();
    let whole = |percent: &Decimal| ToolRange { from: least, to: top, percent: *percent };
    if low == high || top <= DEVIATION_STEP {
        return Ok(vec![whole(low)]);
    }
    if least > DEVIATION_STEP {
        return Ok(vec![whole(high)]);
    }
    let lower = ToolRange { to: DEVIATION_STEP, ..whole(low) };
    Ok(vec![lower, ToolRange { from: DEVIATION_STEP, ..whole(high) }])
}

/// Refuses a torque at which a tool may not be used: below 20 % of its top, or above it.
///
/// # Source
///
/// As [`USABLE_SHARE`] says.
///
/// # Example
///
/// A wrench up to 50 N·m. By hand: 50 × 0.2 = 10; 10 N·m is allowed, 9.9 N·m is not.
///
/// ```
/// use fusewright::engineering::torque_tool::check_usable;
/// use rust_decimal::Decimal;
///
/// let top = Decimal::from(50);
/// assert!(check_usable(top, "10".parse().unwrap()).is_ok());
/// let refused = check_usable(top, "9.9".parse().unwrap()).unwrap_err();
/// assert_eq!(refused.to_string(), "The torque is 9.9 N·m; it must be from 10 to 50 N·m.");
/// ```
pub fn check_usable(top: Decimal, torque: Decimal) -> Result<(), OutOfRange> {
    let top = checked("top of the torque tool's range", top)?;
    let least = (top * USABLE_SHARE).normalize();
    if (least..=top).contains(&torque) {
        return Ok(());
    }
    let allowed = format!("from {least} to {} N·m", top.normalize());
    Err(check::refusal("torque", &format!("{torque} N·m"), allowed))
}

/// The coarsest step that the display of an electronic tool may have at a torque.
///
/// ```text
/// q = a / 4
/// ```
///
/// | symbol | meaning                                     | unit |
/// |--------|---------------------------------------------|------|
/// | `q`    | coarsest step, result, exact                | N·m  |
/// | `a`    | [`permitted_deviation`] at that torque      | N·m  |
///
/// It grows with the torque, but for the step down just above 10 N·m where 6 % turns to 4 %; a display
/// with one step for its whole range is asked at the lower end and just above 10 N·m.
///
/// # Source
///
/// ISO 6789-1:2017 (seen in an article of a maker of torque tools).
///
/// # Example
///
/// 12 N·m with a display wrench. By hand: 12 × 0.04 / 4 = 0.12 N·m.
///
/// ```
/// use fusewright::engineering::torque_tool::{TorqueTool, resolution_max};
///
/// let step = resolution_max(TorqueTool::IndicatingElectronic, "12".parse().unwrap()).unwrap();
/// assert_eq!(step.to_string(), "0.12");
/// ```
pub fn resolution_max(tool: TorqueTool, torque: Decimal) -> Result<Decimal, OutOfRange> {
    Ok((permitted_deviation(tool, torque)? * RESOLUTION_SHARE).normalize())
}

/// Passes on a torque of more than nothing that a vehicle's fastener can take.
fn checked(quantity: &'static str, torque: Decimal) -> Result<Decimal, OutOfRange> {
    if torque > Decimal::ZERO && torque <= TORQUE_MAX {
        return Ok(torque);
    }
    let allowed = format!("more than 0 and at most {TORQUE_MAX} N·m");
    Err(check::refusal(quantity, &format!("{torque} N·m"), allowed))
}
