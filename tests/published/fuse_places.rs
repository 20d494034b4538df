//! How far a fuse may be from its source elsewhere, and the whole table of named rules side by side.

use fusewright::engineering::Sureness;
use fusewright::engineering::fuse::{
    FUSE_DISTANCE_MACHINES, FUSE_DISTANCE_NEC_VEHICLE, FUSE_PLACES,
};
use fusewright::engineering::units::Millimetres;

use super::assert_near;

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

/// Start of the source's text, distance [mm], whether it was seen. One public exam site words the
/// 40 in and 72 in as a separation of cables, which is wrong: it is a distance along the conductor.
const PLACES: [(&str, Option<f64>, bool); 8] = [
    ("33 CFR 183.455(b)(1)", Some(177.8), true),
    ("ISO 10133", Some(200.0), false),
    ("NEC 551.31(E)", Some(457.2), false),
    ("33 CFR 183.455(b)(2)", Some(1016.0), true),
    ("33 CFR 183.460", Some(1828.8), false),
    ("IEC 60204-1", Some(3000.0), true),
    ("IEC 60364-4-43", Some(3000.0), false),
    // A manual page quotes it: "as close as practical", no figure.
    ("a truck maintenance council", None, true),
];

#[test]
fn every_named_rule_on_the_place_has_its_printed_distance() {
    for (ours, (source, distance, seen)) in FUSE_PLACES.iter().zip(PLACES) {
        assert!(ours.source.text.starts_with(source), "{}", ours.source);
        assert_eq!(ours.distance, distance.map(Millimetres), "{source}");
        let sureness = if seen { Sureness::Seen } else { Sureness::FromMemory };
        assert_eq!(ours.source.sureness, sureness, "{source}");
    }
}

/// American rules print inches.
#[test]
fn distances_printed_in_inches_are_those() {
    for place in FUSE_PLACES {
        if let Some((_, printed)) = place.source.text.rsplit_once(", ")
            && let Some(inches) = printed.strip_suffix(" in")
        {
            let inches: f64 = inches.parse().unwrap();
            assert_near(place.distance.unwrap().0, inches * 25.4, 1e-9);
        }
    }
}
