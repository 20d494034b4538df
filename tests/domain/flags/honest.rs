//! Honest people who are quick, and a clock that is put back: nothing is to be said of them.

use std::collections::BTreeMap;

use fusewright::domain::entry::Payload;
use fusewright::domain::job::{Flag, RUSHED_STEPS};

use super::{
    Case, DEAD, Day, FITTER, MANAGER, METER, MINUTE, RESTED, dec, good, is_any, is_confirm,
    is_photo, look,
};

const HONEST: &[Case] = &[
    (
        "eight ticks within a minute, after twenty minutes of work",
        |day| {
            day.volts(0, RESTED, "12.61");
            let steps = day.pen.state().steps;
            let ticks = steps.iter().filter(|step| is_confirm(&step.step.kind)).take(8);
            for (at, step) in (0..).zip(ticks) {
                let ms = 20 * MINUTE + at * 7_500;
                day.at(ms, FITTER, &step.step.key, Payload::Confirm {});
            }
        },
        &[],
    ),
    (
        "a whole day without signal that arrives at once",
        |day| {
            let steps = day.pen.state().steps;
            for (at, step) in (0..).zip(&steps[..60]) {
                let recorded = at * 4 * MINUTE;
                let together = (recorded, 10 * 60 * MINUTE);
                day.arriving(together, FITTER, &step.step.key, good(&step.step));
            }
        },
        &[],
    ),
    (
        "equal bolts by a click wrench, typed one after the other",
        |day| {
            let steps = day.pen.state().steps;
            let bolts = steps.iter().filter(|step| step.step.key.starts_with("mount.fastener"));
            for (at, step) in (0..).zip(bolts.take(6)) {
                let payload = Payload::Torque { value: dec("8.50"), instrument: METER };
                day.at(20 * MINUTE + at * 4_000, FITTER, &step.step.key, payload);
            }
        },
        &[],
    ),
    (
        "proved dead, a typing slip mended, and on with it",
        |day| {
            day.volts(0, RESTED, "126.1");
            day.volts(8_000, RESTED, "12.61");
            day.volts(MINUTE, DEAD, "0.0");
        },
        // The figure beyond the meter's range did not count: that stays to be seen.
        &[(Flag::NotCounted, 1)],
    ),
    (
        "two at one vehicle, each quick in their own corner",
        |day| {
            let steps = day.pen.state().steps;
            let ticks = steps.iter().filter(|step| is_confirm(&step.step.kind));
            for (at, step) in (0_i64..).zip(ticks.take(2 * (RUSHED_STEPS - 1))) {
                let by = if at % 2 == 0 { FITTER } else { MANAGER };
                day.at(at * 500, by, &step.step.key, Payload::Confirm {});
            }
        },
        &[],
    ),
    ("a whole sheet, a minute a step", |day| day.well(is_any, usize::MAX, MINUTE), &[]),
    ("its photos in a row", |day| day.well(is_photo, usize::MAX, 2_000), &[]),
];

/// Nothing is to be said of any of these.
#[test]
fn honest_people_who_are_quick_are_not_flagged() {
    look(HONEST);
}

/// When the clocks go back an hour, the phone writes the same time of day twice; the moment goes on.
#[test]
fn the_night_the_clocks_go_back_rushes_nobody() {
    let mut day = Day::new();
    let steps = day.pen.state().steps;
    let ticks: Vec<&str> = steps
        .iter()
        .filter(|step| is_confirm(&step.step.kind))
        .map(|step| step.step.key.as_str())
        .collect();
    for (at, key) in (0..).zip(&ticks[..RUSHED_STEPS]) {
        // Five before and five after: 02:10 to 02:14 summer time, 02:10 to 02:14 winter time.
        let (minute, zone) = if at < 5 { (10 + at, "+02:00") } else { (5 + at, "+01:00") };
        let written = format!("2026-10-25T02:{minute:02}:00.000{zone}");
        day.written(&written, key, Payload::Confirm {});
    }
    assert_eq!(day.flags(), BTreeMap::new());
    // And the other way: from 02:00 to 03:00 no time passes.
    let mut day = Day::new();
    for (at, key) in (0..).zip(&ticks[..RUSHED_STEPS]) {
        let written = match at {
            0..5 => format!("2026-03-29T01:59:5{}.000+01:00", 2 * (at % 5)),
            _ => format!("2026-03-29T03:00:0{}.000+02:00", at - 5),
        };
        day.written(&written, key, Payload::Confirm {});
    }
    assert_eq!(day.flags(), BTreeMap::from([(Flag::Rushed, RUSHED_STEPS)]));
}
