//! NEC 551.31(E) and IEC 60204-1, 7.2.8: how far a fuse may be from its source elsewhere.

use fusewright::engineering::fuse::{FUSE_DISTANCE_MACHINES, FUSE_DISTANCE_NEC_VEHICLE};
use fusewright::engineering::units::Millimetres;

/// NEC 551.31(E), recreational vehicles: 18 in from the supply connection (from memory).
#[test]
fn eighteen_inches_in_recreational_vehicles() {
    assert_eq!(FUSE_DISTANCE_NEC_VEHICLE, Millimetres(457.2));
}

/// IEC 60204-1, 7.2.8, machines: 3 m, laid so that a short circuit is unlikely (seen).
#[test]
fn three_metres_on_machines() {
    assert_eq!(FUSE_DISTANCE_MACHINES, Millimetres(3000.0));
}
