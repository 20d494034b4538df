//! "Find the fuse": a row for each, in words for whoever has never seen this vehicle.

use crate::documents::handover::FuseRow;
use crate::domain::kit::Purpose;
use crate::domain::wiring::{FittedFuse, WiredCircuit, Wiring};

/// One row a fuse, numbered as drawing and schedule number the circuits.
pub(super) fn rows(wired: &Wiring<'_>) -> Vec<FuseRow> {
    let numbered = (1..).zip(&wired.circuits);
    numbered.filter_map(|(number, circuit)| row(number, circuit)).collect()
}

fn row(number: usize, circuit: &WiredCircuit<'_>) -> Option<FuseRow> {
    let fuse = circuit.fuse?;
    let rating = format!("{} A", fuse.rating_a.normalize());
    Some(FuseRow {
        number: number.to_string(),
        place: place(circuit, fuse),
        form: fuse.form.label().to_owned(),
        standard: fuse.form.standard().to_owned(),
        protects: format!(
            "{}: the cable from {} to {}",
            circuit.kit.title,
            circuit.from(),
            circuit.to()
        ),
        replace: format!("{rating}, {}. Never a larger one.", fuse.form.label()),
        rating,
    })
}

/// Where it is, from something that can be found: `140 mm along the cable from the vehicle battery`.
pub(super) fn place(circuit: &WiredCircuit<'_>, fuse: FittedFuse) -> String {
    let from = match circuit.kit.purpose {
        Purpose::Supply => "the vehicle battery".to_owned(),
        Purpose::Sense => "the joint with the vehicle\u{2019}s wiring".to_owned(),
        Purpose::Solar => "the solar module".to_owned(),
        Purpose::Load => match circuit.live() {
            Some(terminal) => format!("terminal {} of the gear", terminal.label),
            None => "the gear".to_owned(),
        },
    };
    let covered = if fuse.covered { ", in a covered run" } else { "" };
    format!("{} mm along the cable from {from}{covered}", fuse.distance_mm.normalize())
}

/// A circuit without a fuse is told too, or people would look for one.
pub(super) fn without(wired: &Wiring<'_>) -> Vec<String> {
    let numbered = (1..).zip(&wired.circuits);
    let bare = numbered.filter(|(_, circuit)| circuit.fuse.is_none());
    bare.map(|(number, circuit): (usize, _)| {
        format!("Circuit {number}, {}, has no fuse of its own in this kit.", circuit.kit.title)
    })
    .collect()
}
