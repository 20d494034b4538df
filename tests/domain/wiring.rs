//! The wiring as fitted: what the record says wins over what was planned, and nothing is made up.

use fusewright::domain::entry::Payload;
use fusewright::domain::kit::Pole;
use fusewright::domain::kit_check::colour_name;
use fusewright::domain::wiring::{WiredCircuit, Wiring, colour_codes, wiring};

use super::cast::{FITTER, Pen, dec, kit, plan};

/// Asks one circuit of the tray, after what the pen wrote.
fn with_circuit<T>(pen: &Pen, id: &str, ask: impl Fn(&WiredCircuit<'_>) -> T) -> T {
    with_wiring(pen, |wired| ask(wired.circuits.iter().find(|c| c.kit.id == id).unwrap()))
}

fn with_wiring<T>(pen: &Pen, ask: impl Fn(&Wiring<'_>) -> T) -> T {
    let (kit, plan, state) = (kit(), plan(), pen.state());
    ask(&wiring(&kit, &plan, &state))
}

#[test]
fn every_circuit_of_the_plan_is_there_in_its_order_with_its_ends() {
    let ends = with_wiring(&Pen::with_sheet(), |wired| {
        let ends = wired.circuits.iter().map(|c| (c.kit.id.clone(), c.from(), c.to()));
        ends.collect::<Vec<_>>()
    });
    let expected = [
        ("supply", "vehicle battery", "gear"),
        ("sense", "vehicle wiring", "gear"),
        ("solar", "solar module", "gear"),
    ];
    assert_eq!(ends, expected.map(|(id, from, to)| (id.to_owned(), from, to)));
}

#[test]
fn before_anybody_read_it_the_fuse_is_the_planned_one_and_says_so() {
    let fuse = with_circuit(&Pen::with_sheet(), "supply", |circuit| circuit.fuse.unwrap());
    assert_eq!((fuse.rating_a, fuse.read_back), (dec("50"), false));
    assert_eq!((fuse.distance_mm, fuse.covered), (dec("140"), true));
    assert_eq!(fuse.form.label(), "strip fuse, 30 mm");
}

#[test]
fn a_rating_that_was_read_wins_over_the_planned_one() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, "protect.supply.fuse", Payload::Fuse { rating_a: dec("40") });
    let fuse = with_circuit(&pen, "supply", |circuit| circuit.fuse.unwrap());
    assert_eq!((fuse.rating_a, fuse.read_back), (dec("40"), true));
    // The last word counts, and other circuits keep their own.
    pen.write(FITTER, "protect.supply.fuse", Payload::Fuse { rating_a: dec("50") });
    let fuse = with_circuit(&pen, "supply", |circuit| circuit.fuse.unwrap());
    assert_eq!((fuse.rating_a, fuse.read_back), (dec("50"), true));
    let sense = with_circuit(&pen, "sense", |circuit| circuit.fuse.unwrap());
    assert_eq!((sense.rating_a, sense.read_back), (dec("3"), false));
}

#[test]
fn a_circuit_without_a_fuse_has_none() {
    assert!(with_circuit(&Pen::with_sheet(), "solar", |circuit| circuit.fuse.is_none()));
}

#[test]
fn a_way_back_by_the_body_is_told_from_one_by_cable() {
    let pen = Pen::with_sheet();
    // The sense wire's one terminal is live; there is none for the way back.
    for (id, expected) in [
        ("supply", (false, "IN+", true)),
        ("sense", (true, "RUN", false)),
        ("solar", (false, "PV+", true)),
    ] {
        with_circuit(&pen, id, |circuit| {
            let live = circuit.live().unwrap().label.as_str();
            let found = (circuit.by_chassis(), live, circuit.negative().is_some());
            assert_eq!(found, expected, "{id}");
        });
    }
    let pole = with_circuit(&pen, "supply", |circuit| circuit.negative().unwrap().pole);
    assert_eq!(pole, Pole::Negative);
}

#[test]
fn the_drop_is_the_plans_and_is_missing_where_it_cannot_be_worked_out() {
    let pen = Pen::with_sheet();
    let drop = with_circuit(&pen, "supply", |circuit| circuit.drop.unwrap());
    // 3 % of 12 V.
    assert!((drop.allowed.0 - 0.36).abs() < 1e-12, "{drop:?}");
    assert!(drop.calculated.0 > 0.0 && drop.calculated.0 < drop.allowed.0, "{drop:?}");
    let (kit, mut plan, state) = (kit(), plan(), pen.state());
    plan.circuits[0].ambient_c = dec("400");
    let wired = wiring(&kit, &plan, &state);
    assert_eq!(wired.circuits.len(), 3);
    assert!(wired.circuits[0].drop.is_none() && wired.circuits[1].drop.is_some());
}

#[test]
fn terminals_stand_in_the_order_they_were_read_and_not_in_the_kits() {
    let mut pen = Pen::with_sheet();
    assert!(with_wiring(&pen, |wired| wired.row.is_none()));
    let labels = ["IN-", "IN+", "??"].map(str::to_owned).to_vec();
    pen.write(FITTER, "terminate.order", Payload::Order { labels });
    let row = with_wiring(&pen, |wired| {
        let places = &wired.row.as_ref().unwrap().places;
        let colour = |at: usize| places[at].terminal.map(|terminal| terminal.colour.clone());
        (places.len(), colour(0), colour(1), places[2].label.to_owned(), colour(2))
    });
    let colour = |letters: &str| Some(letters.to_owned());
    assert_eq!(row, (3, colour("BK"), colour("RD"), "??".to_owned(), None));
}

#[test]
fn colour_letters_come_apart_by_twos() {
    assert_eq!(colour_codes("GNYE"), ["GN", "YE"]);
    assert_eq!(colour_codes("rd"), ["RD"]);
    assert!(colour_codes("").is_empty());
    assert_eq!(colour_name("TQ"), Some("turquoise"));
    assert_eq!(colour_name("XX"), None);
}
