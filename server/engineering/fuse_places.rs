//! How far from its source a fuse may be; part of the room `fuse`.

use super::units::Millimetres;

/// Highest distance of a fuse from its source, along the cable; farther off, the cable is covered
/// over the whole length up to the fuse. A maker's smaller figure wins.
///
/// # Source
///
/// ISO 10133, 8.1, kept in ISO 13297 (from memory).
pub const FUSE_DISTANCE_MAX: Millimetres = Millimetres(200.0);

/// The same by American law where a fuse at the source is impractical: 7 in.
///
/// # Source
///
/// 33 CFR 183.455(b)(1) (seen in a public copy).
pub const FUSE_DISTANCE_CFR: Millimetres = Millimetres(177.8);

/// The same for a conductor wholly inside a sheath or enclosure: 40 in.
///
/// # Source
///
/// 33 CFR 183.455(b)(2) (seen in a public copy).
pub const FUSE_DISTANCE_CFR_SHEATHED: Millimetres = Millimetres(1016.0);

/// The same for a conductor that starts at the battery itself: 72 in.
///
/// # Source
///
/// 33 CFR 183.460, ABYC E-11 (law text from memory).
pub const FUSE_DISTANCE_CFR_BATTERY: Millimetres = Millimetres(1828.8);

/// The same in recreational vehicles by the American code: 18 in from the supply connection.
///
/// # Source
///
/// NEC 551.31(E) (from memory).
pub const FUSE_DISTANCE_NEC_VEHICLE: Millimetres = Millimetres(457.2);

/// The same on machines: 3 m, laid so that a short circuit is unlikely.
///
/// # Source
///
/// IEC 60204-1, 7.2.8 (seen in a public copy).
pub const FUSE_DISTANCE_MACHINES: Millimetres = Millimetres(3000.0);
