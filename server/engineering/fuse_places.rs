//! How far from its source a fuse may be; part of the room `fuse`.

use super::Source;
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

/// What one rule says about the place of a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FusePlace {
    /// Highest distance from the source along the cable; `None` where the rule names none.
    pub distance: Option<Millimetres>,
    /// Under which condition, in words.
    pub condition: &'static str,
    /// Where the rule comes from.
    pub source: Source,
}

impl FusePlace {
    /// Whether a distance is within the rule's, the limit included; `None` where it names none. The
    /// condition has to be met as well.
    #[must_use]
    pub fn allows(&self, distance: Millimetres) -> Option<bool> {
        self.distance.map(|most| (Millimetres(0.0)..=most).contains(&distance))
    }
}

/// One row of the table.
const fn place(distance: Millimetres, condition: &'static str, source: Source) -> FusePlace {
    FusePlace { distance: Some(distance), condition, source }
}

/// Every named rule on the place of a fuse, strictest first, the one without a figure last. The
/// product goes by [`FUSE_DISTANCE_MAX`]; the others stand beside it.
///
/// # Source
///
/// As each row says.
///
/// # Example
///
/// 300 mm from the battery: too far by the first two rules, allowed by the five others with a figure.
///
/// ```
/// use fusewright::engineering::{fuse::FUSE_PLACES, units::Millimetres};
///
/// let allowed = FUSE_PLACES.map(|place| place.allows(Millimetres(300.0)));
/// assert_eq!(allowed.iter().filter(|allowed| **allowed == Some(false)).count(), 2);
/// assert_eq!(allowed.iter().filter(|allowed| **allowed == Some(true)).count(), 5);
/// ```
pub const FUSE_PLACES: [FusePlace; 8] = [
    place(
        FUSE_DISTANCE_CFR,
        "small craft, where a fuse at the source itself is impractical",
        Source::seen("33 CFR 183.455(b)(1), 7 in"),
    ),
    place(
        FUSE_DISTANCE_MAX,
        "small craft; farther off, covered for the whole length to the fuse",
        Source::from_memory("ISO 10133, 8.1, kept in ISO 13297"),
    ),
    place(
        FUSE_DISTANCE_NEC_VEHICLE,
        "recreational vehicles, from the supply connection",
        Source::from_memory("NEC 551.31(E), 18 in"),
    ),
    place(
        FUSE_DISTANCE_CFR_SHEATHED,
        "small craft, conductor wholly in a sheath or enclosure",
        Source::seen("33 CFR 183.455(b)(2), 40 in"),
    ),
    place(
        FUSE_DISTANCE_CFR_BATTERY,
        "small craft, conductor that starts at the battery itself, in a sheath",
        Source::from_memory("33 CFR 183.460, ABYC E-11, 72 in"),
    ),
    place(
        FUSE_DISTANCE_MACHINES,
        "machines, conductor still rated for the load, laid so that a short circuit is unlikely",
        Source::seen("IEC 60204-1, 7.2.8, 3 m"),
    ),
    place(
        FUSE_DISTANCE_MACHINES,
        "buildings, laid so that a short circuit is unlikely, away from what burns",
        Source::from_memory("IEC 60364-4-43, 434.2.1, 3 m"),
    ),
    FusePlace {
        distance: None,
        condition: "trucks, as close as practical; battery, starter and alternator cables may be \
                    unfused",
        source: Source::seen("a truck maintenance council's recommended practice, RP 111"),
    },
];
