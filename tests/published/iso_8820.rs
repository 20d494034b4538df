//! ISO 8820: fuses of road vehicles.
//!
//! Rated voltage, upper rating and breaking capacity were seen in public previews of parts 3, 5 and
//! 6; the lists of ratings and the time gates are from memory, as makers' data sheets repeat them.

use fusewright::engineering::Sureness;
use fusewright::engineering::fault::{FaultLoop, prospective_current};
use fusewright::engineering::fuse::{FuseForm, continuous_max, gate, gate_source, nearest_rating};
use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{Leg, Path, Return, path_resistance};

use super::{assert_near, size};

/// Word of a kit file, standard, rated voltage [V], largest rating [A] and breaking capacity [A]
/// (seen). Part 3 goes up to 100 A, in type E; types C and F end at 40 A and 30 A (from memory). SF
/// 30 ends at 200 A (from memory).
const SCOPE: [(&str, &str, f64, f64, f64); 6] = [
    ("blade_mini", "ISO 8820-3", 32.0, 30.0, 1000.0),
    ("blade", "ISO 8820-3", 32.0, 40.0, 1000.0),
    ("blade_high", "ISO 8820-3", 32.0, 100.0, 1000.0),
    ("strip_30", "ISO 8820-5", 32.0, 200.0, 2000.0),
    ("strip_51", "ISO 8820-5", 32.0, 500.0, 2000.0),
    ("single_bolt", "ISO 8820-6", 58.0, 300.0, 2000.0),
];

#[test]
fn every_form_has_the_scope_of_its_part() {
    assert_eq!(FuseForm::ALL.map(FuseForm::key), SCOPE.map(|(key, ..)| key));
    for (key, standard, volts, largest, breaking) in SCOPE {
        let form = FuseForm::parse(key).unwrap();
        assert_eq!(form.standard(), standard);
        assert_eq!(form.rated_voltage(), Volts(volts));
        assert_eq!(form.ratings().last(), Some(&Amps(largest)));
        assert_eq!(form.breaking_capacity(), Amps(breaking));
        assert_eq!(form.scope_source().sureness, Sureness::Seen);
        assert_eq!(form.ratings_source().sureness, Sureness::FromMemory);
    }
}

/// Blade ratings that have a colour of their own (from memory; 1, 2, 3, 10 and 15 A seen): every
/// one of them is a rating of the medium blade.
#[test]
fn every_coloured_blade_rating_exists() {
    let coloured =
        [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0].map(Amps);
    assert_eq!(FuseForm::Blade.ratings(), coloured);
    assert!(FuseForm::BladeMini.ratings().iter().all(|rating| coloured.contains(rating)));
    for rating in [20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0] {
        assert!(FuseForm::BladeHigh.ratings().contains(&Amps(rating)), "{rating}");
    }
}

/// Ratings of the bolted forms (from memory) [A], typed in a second time.
#[test]
fn bolted_forms_have_the_recalled_ratings() {
    let whole = |form: FuseForm| form.ratings().iter().map(|rating| rating.0).collect::<Vec<_>>();
    assert_eq!(
        whole(FuseForm::Strip30),
        [30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0]
    );
    assert_eq!(
        whole(FuseForm::Strip51),
        [
            60.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0,
            450.0, 500.0
        ]
    );
    assert_eq!(
        whole(FuseForm::SingleBolt),
        [
            30.0, 40.0, 50.0, 60.0, 75.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0,
            300.0
        ]
    );
}

#[test]
fn ratings_stand_in_order() {
    for form in FuseForm::ALL {
        assert!(form.ratings().is_sorted_by(|less, more| less < more), "{form}");
    }
}

/// Part 5 begins at 30 A (seen), part 3 type E at 20 A (from memory).
#[test]
fn bolted_strips_begin_at_thirty_amperes() {
    assert_eq!(FuseForm::Strip30.ratings().first(), Some(&Amps(30.0)));
    assert_eq!(FuseForm::BladeHigh.ratings().first(), Some(&Amps(20.0)));
}

/// Form, multiple of the rating, shortest and longest time [s] (from memory).
type Printed = (FuseForm, f64, f64, Option<f64>);

const GATES: [Printed; 21] = [
    (FuseForm::Blade, 1.10, 360_000.0, None),
    (FuseForm::Blade, 1.35, 0.75, Some(600.0)),
    (FuseForm::Blade, 1.60, 0.25, Some(50.0)),
    (FuseForm::Blade, 2.00, 0.15, Some(5.0)),
    (FuseForm::Blade, 3.50, 0.04, Some(0.5)),
    (FuseForm::Blade, 6.00, 0.02, Some(0.1)),
    (FuseForm::BladeHigh, 1.10, 360_000.0, None),
    (FuseForm::BladeHigh, 1.35, 60.0, Some(1800.0)),
    (FuseForm::BladeHigh, 2.00, 2.0, Some(60.0)),
    (FuseForm::BladeHigh, 3.50, 0.2, Some(7.0)),
    (FuseForm::BladeHigh, 6.00, 0.04, Some(1.0)),
    (FuseForm::Strip51, 1.00, 14_400.0, None),
    (FuseForm::Strip51, 1.35, 120.0, Some(1800.0)),
    (FuseForm::Strip51, 2.00, 1.0, Some(15.0)),
    (FuseForm::Strip51, 3.50, 0.3, Some(5.0)),
    (FuseForm::Strip51, 6.00, 0.1, Some(1.0)),
    (FuseForm::Strip30, 1.00, 14_400.0, None),
    (FuseForm::Strip30, 1.50, 90.0, Some(3600.0)),
    (FuseForm::Strip30, 2.00, 3.0, Some(100.0)),
    (FuseForm::Strip30, 3.00, 0.3, Some(3.0)),
    (FuseForm::Strip30, 5.00, 0.1, Some(1.0)),
];

#[test]
fn every_gate_is_as_recalled() {
    for (form, multiple, shortest, longest) in GATES {
        let found = gate(form, multiple).unwrap();
        assert_eq!(found.shortest, Seconds(shortest), "{form} at {multiple}");
        assert_eq!(found.longest, longest.map(Seconds), "{form} at {multiple}");
    }
}

/// A larger current never takes longer: a slipped digit in both copies would break that.
#[test]
fn gates_close_as_the_current_grows() {
    for (before, after) in GATES.iter().zip(GATES.iter().skip(1)) {
        if before.0 == after.0 {
            assert!(before.2 > after.2, "{} at {}", after.0, after.1);
            assert!(before.3.is_none_or(|longest| Some(longest) > after.3), "{}", after.0);
        }
        assert!(after.3.is_none_or(|longest| longest > after.2), "{} at {}", after.0, after.1);
    }
}

/// Golden case G09 (from memory): a 20 A blade fuse at 22, 27 and 40 A.
#[test]
fn a_twenty_ampere_blade_fuse_at_22_27_and_40_amperes() {
    let at = |current: f64| gate(FuseForm::Blade, current / 20.0).unwrap();
    assert_eq!((at(22.0).shortest, at(22.0).longest), (Seconds(360_000.0), None));
    assert_eq!((at(27.0).shortest, at(27.0).longest), (Seconds(0.75), Some(Seconds(600.0))));
    assert_eq!((at(40.0).shortest, at(40.0).longest), (Seconds(0.15), Some(Seconds(5.0))));
}

#[test]
fn gates_are_marked_from_memory_and_miniature_has_those_of_medium() {
    for form in FuseForm::ALL {
        let sureness = gate_source(form).map(|source| source.sureness);
        let expected = (form != FuseForm::SingleBolt).then_some(Sureness::FromMemory);
        assert_eq!(sureness, expected, "{form}");
    }
    assert_eq!(gate(FuseForm::BladeMini, 2.0), gate(FuseForm::Blade, 2.0));
    assert_eq!(gate(FuseForm::SingleBolt, 2.0), None);
}

/// Part 2, user guide (from memory): 80 % of the rating for good.
#[test]
fn a_fuse_carries_four_fifths_of_its_rating_for_good() {
    assert_eq!(continuous_max(Amps(100.0)).unwrap(), Amps(80.0));
    assert_eq!(continuous_max(Amps(7.5)).unwrap(), Amps(6.0));
    assert_eq!(nearest_rating(FuseForm::Strip51, Amps(80.0)).unwrap(), Amps(100.0));
    assert_eq!(nearest_rating(FuseForm::Strip51, Amps(80.1)).unwrap(), Amps(125.0));
}

/// 12.6 V, 6 mΩ inside, 6 m of 16 mm² class 5: 950 A (computed), within the 1 000 A of a blade fuse
/// (seen). A source of 4 mΩ exceeds it: a blade fuse at such a battery must fail the check.
#[test]
fn a_low_impedance_source_exceeds_what_a_blade_fuse_breaks() {
    let leg = Leg { size: size("16 mm²"), length: Metres(3.0) };
    let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
    let cable = path_resistance(&path, Celsius(20.0)).unwrap().total;
    let current = |source| {
        prospective_current(FaultLoop { voltage: Volts(12.6), source: Ohms(source), path: cable })
    };
    assert_near(current(0.006).unwrap().0, 950.0, 0.5);
    assert!(current(0.006).unwrap() < FuseForm::Blade.breaking_capacity());
    assert!(current(0.004).unwrap() > FuseForm::Blade.breaking_capacity());
    assert!(current(0.004).unwrap() < FuseForm::Strip51.breaking_capacity());
}
