//! Charging on the road: how long, by how much current, what the alternator has left, and how long
//! a vehicle may stand.

use super::units::{AmpereHours, Amps, Days, Hours, Volts, WattHours, Watts};
use super::{OutOfRange, Source, check};

/// State of charge, and other shares of a whole.
const SHARE: (f64, f64) = (0.0, 1.0);

/// Efficiencies of converters; a percentage typed for a share lies outside.
const EFFICIENCY_RANGE: (f64, f64) = (0.01, 1.0);

/// Energy of a pack from what its label says.
///
/// ```text
/// E = C · U
/// ```
///
/// | symbol | meaning                                                  | unit |
/// |--------|----------------------------------------------------------|------|
/// | `E`    | energy, result                                           | Wh   |
/// | `C`    | `capacity`, at the current it is stated for              | Ah   |
/// | `U`    | `voltage`, the pack's mean: 12.8 V for four cells of LFP | V    |
///
/// Not all of it may be used; how much is a choice, made with the state of charge.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 100 Ah, 12.8 V. By hand: 100 × 12.8 = 1 280 Wh.
///
/// ```
/// use fusewright::engineering::{charging::pack_energy, units::*};
///
/// let energy = pack_energy(AmpereHours(100.0), Volts(12.8)).unwrap();
/// assert_eq!(format!("{energy:.0}"), "1280 Wh");
/// ```
pub fn pack_energy(capacity: AmpereHours, voltage: Volts) -> Result<WattHours, OutOfRange> {
    let capacity = check::positive("capacity", capacity)?;
    Ok(WattHours(capacity * check::positive("voltage of the pack", voltage)?))
}

/// The feed from the vehicle to a pack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// At the start of the cable, with the engine running.
    pub source: Volts,
    /// Lost on the way out and back, at the design current; less than the source.
    pub drop: Volts,
    /// Of the converter, from 0.01 to 1; 1 where there is none.
    pub efficiency: f64,
}

impl Feed {
    /// Watts that reach the pack for each ampere in the cable.
    fn per_ampere(self) -> Result<f64, OutOfRange> {
        let source = check::positive("voltage of the source", self.source)?;
        let drop = check::not_negative("voltage drop", self.drop)?;
        if drop >= source {
            let allowed = format!("less than the {} of the source", self.source);
            return Err(check::refusal("voltage drop", &self.drop, allowed));
        }
        Ok((source - drop) * check::within("efficiency", self.efficiency, EFFICIENCY_RANGE)?)
    }
}

/// Power that reaches a pack through cable and converter.
///
/// ```text
/// P = (U − ΔU) · I · η
/// ```
///
/// | symbol | meaning                                                | unit |
/// |--------|--------------------------------------------------------|------|
/// | `P`    | power, result                                          | W    |
/// | `U`    | `source` of the feed                                   | V    |
/// | `ΔU`   | `drop` of the feed, less than `U`                      | V    |
/// | `I`    | `current` in the feed's cable                          | A    |
/// | `η`    | `efficiency` of the feed, from 0.01 to 1               | –    |
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 14.0 V less 0.4 V, 40 A, 0.90. By hand: 13.6 × 40 × 0.90 = 490 W.
///
/// ```
/// use fusewright::engineering::{charging::*, units::*};
///
/// let feed = Feed { source: Volts(14.0), drop: Volts(0.4), efficiency: 0.90 };
/// assert_eq!(format!("{:.0}", feed_power(feed, Amps(40.0)).unwrap()), "490 W");
/// ```
pub fn feed_power(feed: Feed, current: Amps) -> Result<Watts, OutOfRange> {
    Ok(Watts(feed.per_ampere()? * check::not_negative("current of the feed", current)?))
}

/// A pack that is to be filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filling {
    /// Energy of the full pack.
    pub pack: WattHours,
    /// State of charge it starts from, from 0 to 1.
    pub start: f64,
}

impl Filling {
    /// What is missing [Wh].
    fn missing(self) -> Result<f64, OutOfRange> {
        let pack = check::positive("energy of the pack", self.pack)?;
        Ok(pack * (1.0 - check::within("state of charge at the start", self.start, SHARE)?))
    }
}

/// Hours until a pack is full.
///
/// ```text
/// t = E · (1 − s) / P
/// ```
///
/// | symbol | meaning                                                     | unit |
/// |--------|-------------------------------------------------------------|------|
/// | `t`    | time, result                                                | h    |
/// | `E`    | `pack` of the filling                                       | Wh   |
/// | `s`    | `start` of the filling, from 0 to 1                         | –    |
/// | `P`    | `power` that reaches the pack, above 0                      | W    |
///
/// The least time: what charging itself loses, and that the current falls before the end, come on
/// top.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 1 280 Wh from 20 % at 490 W. By hand: 1280 × 0.8 / 490 = 2.09 h.
///
/// ```
/// use fusewright::engineering::{charging::*, units::*};
///
/// let filling = Filling { pack: WattHours(1280.0), start: 0.2 };
/// assert_eq!(format!("{:.2}", hours_to_full(filling, Watts(490.0)).unwrap()), "2.09 h");
/// ```
pub fn hours_to_full(filling: Filling, power: Watts) -> Result<Hours, OutOfRange> {
    Ok(Hours(filling.missing()? / check::positive("charging power", power)?))
}

/// Least current in the feed that fills a pack in the planned time: the lower limit of the reading.
///
/// ```text
/// I = E · (1 − s) / (t · (U − ΔU) · η)
/// ```
///
/// | symbol | meaning                                                      | unit |
/// |--------|--------------------------------------------------------------|------|
/// | `I`    | current, result                                              | A    |
/// | `t`    | `planned`, above 0                                           | h    |
///
/// The other symbols and their range as for [`feed_power`] and [`hours_to_full`]. With the drop at
/// the design current, which is the largest, the figure is on the cautious side.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 1 280 Wh from 20 % in 3 h, 14.0 V less 0.4 V, 0.90. By hand: 1024 / (3 × 13.6 × 0.90) = 27.9 A.
///
/// ```
/// use fusewright::engineering::{charging::*, units::*};
///
/// let filling = Filling { pack: WattHours(1280.0), start: 0.2 };
/// let feed = Feed { source: Volts(14.0), drop: Volts(0.4), efficiency: 0.90 };
/// let least = least_charging_current(filling, feed, Hours(3.0)).unwrap();
/// assert_eq!(format!("{least:.1}"), "27.9 A");
/// ```
pub fn least_charging_current(
    filling: Filling,
    feed: Feed,
    planned: Hours,
) -> Result<Amps, OutOfRange> {
    let planned = check::positive("planned charging time", planned)?;
    Ok(Amps(filling.missing()? / (planned * feed.per_ampere()?)))
}

/// Share of its rated current that an alternator gives when hot, where its maker gives no curve.
///
/// # Source
///
/// [`HOT_FACTOR_SOURCE`].
pub const HOT_FACTOR: f64 = 0.8;

/// Where [`HOT_FACTOR`] comes from.
pub const HOT_FACTOR_SOURCE: Source = Source::from_memory("common practice, no source");

/// Hot factors that are taken.
const HOT_FACTOR_RANGE: (f64, f64) = (0.1, 1.0);

/// An alternator and what hangs on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlternatorLoad {
    /// Current on its plate, stated cold and at full speed.
    pub rated: Amps,
    /// Share of it when hot, from 0.1 to 1; [`HOT_FACTOR`] where nothing better is known.
    pub hot_factor: f64,
    /// What the vehicle itself draws while driving.
    pub base_load: Amps,
    /// What the new feed draws.
    pub feed: Amps,
}

/// Current that an alternator has left; below zero it lacks that much.
///
/// ```text
/// M = k · Ir − Ib − If
/// ```
///
/// | symbol | meaning                                                  | unit |
/// |--------|----------------------------------------------------------|------|
/// | `M`    | margin, result; negative where the battery must help out | A    |
/// | `k`    | `hot_factor`, from 0.1 to 1                              | –    |
/// | `Ir`   | `rated`                                                  | A    |
/// | `Ib`   | `base_load`                                              | A    |
/// | `If`   | `feed`                                                   | A    |
///
/// At idling speed an alternator gives far less; its maker's curve says how much.
///
/// # Source
///
/// First principles; the hot factor as [`HOT_FACTOR_SOURCE`] says.
///
/// # Example
///
/// 150 A, 0.8 hot, 45 A of its own, 50 A of feed. By hand: 120 − 45 − 50 = 25.0 A.
///
/// ```
/// use fusewright::engineering::{charging::*, units::Amps};
///
/// let load = AlternatorLoad {
///     rated: Amps(150.0),
///     hot_factor: HOT_FACTOR,
///     base_load: Amps(45.0),
///     feed: Amps(50.0),
/// };
/// assert_eq!(format!("{:.1}", alternator_margin(load).unwrap()), "25.0 A");
/// ```
pub fn alternator_margin(load: AlternatorLoad) -> Result<Amps, OutOfRange> {
    let rated = check::positive("rated current of the alternator", load.rated)?;
    let quantity = "hot factor of the alternator";
    let hot = rated * check::within(quantity, load.hot_factor, HOT_FACTOR_RANGE)?;
    let base_load = check::not_negative("base load", load.base_load)?;
    Ok(Amps(hot - base_load - check::not_negative("current of the feed", load.feed)?))
}

/// Hours of a day.
const DAY: f64 = 24.0;

/// A battery that feeds a vehicle asleep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Its capacity.
    pub capacity: AmpereHours,
    /// State of charge when the vehicle is left, from 0 to 1.
    pub from: f64,
    /// State of charge that it may come down to, from 0 to `from`.
    pub down_to: f64,
    /// What the vehicle draws asleep, with the new gear.
    pub current: Amps,
}

/// Days that a vehicle may stand.
///
/// ```text
/// d = C · (s1 − s2) / I / 24
/// ```
///
/// | symbol     | meaning                                                 | unit |
/// |------------|---------------------------------------------------------|------|
/// | `d`        | time, result                                            | d    |
/// | `C`        | `capacity`                                              | Ah   |
/// | `s1`, `s2` | `from` and `down_to`, from 1 to 0                       | –    |
/// | `I`        | `current`, above 0                                      | A    |
///
/// Self-discharge, age and frost shorten it.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 60 Ah, full to half, 50 mA. By hand: 60 × 0.5 / 0.05 / 24 = 25.0 d.
///
/// ```
/// use fusewright::engineering::{charging::*, units::*};
///
/// let battery =
///     Standing { capacity: AmpereHours(60.0), from: 1.0, down_to: 0.5, current: Amps(0.05) };
/// assert_eq!(format!("{:.1}", standing_days(battery).unwrap()), "25.0 d");
/// ```
pub fn standing_days(battery: Standing) -> Result<Days, OutOfRange> {
    let capacity = check::positive("capacity", battery.capacity)?;
    let from = check::within("state of charge at the start", battery.from, SHARE)?;
    let down_to = check::within("state of charge to come down to", battery.down_to, (0.0, from))?;
    let current = check::positive("standing current", battery.current)?;
    Ok(Days(capacity * (from - down_to) / current / DAY))
}
