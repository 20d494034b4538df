//! "Find the fuse": a row for each, in words for whoever has never seen this vehicle.

use crate::documents::handover::FuseRow;
use crate::documents::voice::{Voice, end, fuse_words};
use crate::domain::kit::Purpose;
use crate::domain::wiring::{FittedFuse, WiredCircuit, Wiring};

/// One row a fuse, numbered as drawing and schedule number the circuits.
pub(super) fn rows(wired: &Wiring<'_>, voice: &Voice) -> Vec<FuseRow> {
    let numbered = (1..).zip(&wired.circuits);
    numbered.filter_map(|(number, circuit)| row(number, circuit, voice)).collect()
}

fn row(number: usize, circuit: &WiredCircuit<'_>, voice: &Voice) -> Option<FuseRow> {
    let fuse = circuit.fuse?;
    let rating = rating(fuse, voice);
    let form = fuse_words(fuse.form, voice);
    let args = [
        ("circuit", &*circuit.kit.title),
        ("from", &voice.say(&format!("{}-case", end(circuit.from())))),
        ("to", &voice.say(&format!("{}-case", end(circuit.to())))),
    ];
    Some(FuseRow {
        number: number.to_string(),
        place: place(circuit, fuse, voice),
        standard: fuse.form.standard().to_owned(),
        protects: voice.with("fuse-protects", &args),
        replace: voice.with("fuse-replace", &[("rating", &rating), ("form", &form)]),
        form,
        rating,
    })
}

pub(super) fn rating(fuse: FittedFuse, voice: &Voice) -> String {
    voice.figures(&format!("{} A", fuse.rating_a.normalize()))
}

/// Where it is, from something that can be found: `140 mm along the cable from the vehicle battery`.
pub(super) fn place(circuit: &WiredCircuit<'_>, fuse: FittedFuse, voice: &Voice) -> String {
    let from = match circuit.kit.purpose {
        Purpose::Supply => voice.say("from-battery"),
        Purpose::Sense => voice.say("from-joint"),
        Purpose::Solar => voice.say("from-module"),
        Purpose::Load => match circuit.live() {
            Some(terminal) => voice.with("from-terminal", &[("terminal", &terminal.label)]),
            None => voice.say("from-gear"),
        },
    };
    let id = if fuse.covered { "fuse-place-covered" } else { "fuse-place" };
    let distance = voice.figures(&format!("{} mm", fuse.distance_mm.normalize()));
    voice.with(id, &[("distance", &distance), ("from", &from)])
}

/// A circuit without a fuse is told too, or people would look for one.
pub(super) fn without(wired: &Wiring<'_>, voice: &Voice) -> Vec<String> {
    let numbered = (1..).zip(&wired.circuits);
    let bare = numbered.filter(|(_, circuit)| circuit.fuse.is_none());
    bare.map(|(number, circuit): (usize, _)| {
        let args = [("number", &*number.to_string()), ("circuit", &circuit.kit.title)];
        voice.with("circuit-without-fuse", &args)
    })
    .collect()
}
