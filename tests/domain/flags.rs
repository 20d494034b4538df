//! Flags, not accusations: made-up days of work, each with the flags it should show. For every flag one day just
//! short of its threshold and one just beyond; and honest people who are quick, of whom nothing is to be said.

use std::collections::BTreeMap;

use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::ids::{Moment, PersonId};
use fusewright::domain::job::{
    CLOCK_APART_MS, CLOCK_OFF_MS_MAX, Flag, RUSHED_READINGS, RUSHED_READINGS_MS, RUSHED_STEPS,
    RUSHED_STEPS_MS, SAME_PATHS, SAME_READINGS, SLIP_MS_MAX, StepState,
};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::sheet::{Making, Sheet, WorkshopLimits, make_sheet};
use fusewright::domain::step::StepKind;

use super::cast::{FITTER, MANAGER, METER, MORNING, Pen, dec, good};

mod honest;

const RESTED: &str = "before.battery_rested";
const DEAD: &str = "before.dead";
/// Volts that differ of themselves.
const VOLTS: [&str; 5] =
    [RESTED, "prove.battery_charging", "prove.charge_voltage", "prove.sense_on", "prove.sense_off"];
const BOLT: &str = "mount.fastener_1.torque";

/// A day of work, its entries at the times they were recorded.
struct Day {
    pen: Pen,
}

impl Day {
    fn new() -> Self {
        Self { pen: Pen::with_sheet() }
    }

    /// Records something so many milliseconds after the morning began; it arrives in the same moment.
    fn at(&mut self, ms: i64, person: PersonId, step: &str, payload: Payload) {
        self.arriving((ms, ms), person, step, payload);
    }

    fn arriving(&mut self, (ms, received_ms): (i64, i64), by: PersonId, step: &str, what: Payload) {
        self.pen.write(by, step, what);
        let entry = self.pen.entries.last_mut().unwrap();
        entry.body.at = Moment(MORNING.0 + ms).rfc3339();
        entry.received = Moment(MORNING.0 + received_ms);
    }

    /// As a phone's own clock writes it.
    fn written(&mut self, at: &str, step: &str, payload: Payload) {
        self.pen.write(FITTER, step, payload);
        let entry = self.pen.entries.last_mut().unwrap();
        at.clone_into(&mut entry.body.at);
        entry.received = Moment::parse(at).unwrap();
    }

    /// The good results of all steps of these kinds, so many milliseconds apart.
    fn well(&mut self, wanted: fn(&StepKind) -> bool, count: usize, apart_ms: i64) {
        let steps = self.pen.state().steps;
        let steps = steps.iter().filter(|step| wanted(&step.step.kind)).take(count);
        for (at, step) in (0..).zip(steps) {
            self.at(at * apart_ms, FITTER, &step.step.key, good(&step.step));
        }
    }

    fn volts(&mut self, ms: i64, step: &str, value: &str) {
        self.at(ms, FITTER, step, Payload::Reading { value: dec(value), instrument: METER });
    }

    /// The same voltage on these steps, a minute apart.
    fn alike(&mut self, steps: &[&str], value: &str) {
        for (at, step) in (0..).zip(steps) {
            self.volts(at * MINUTE, step, value);
        }
    }

    /// A fail, and so many milliseconds later something else.
    fn rested(&mut self, was: &str, apart_ms: i64, is: &str) {
        self.volts(0, RESTED, was);
        self.volts(apart_ms, RESTED, is);
    }

    fn torque(&mut self, ms: i64, value: &str) {
        let payload = Payload::Torque { value: dec(value), instrument: METER };
        self.at(ms, FITTER, BOLT, payload);
    }

    fn remark(&mut self, step: &str) {
        let text = "Bolt made new.".to_owned();
        self.pen.write(FITTER, step, Payload::Remark { text, photos: Vec::new() });
    }

    /// Each flag with the number of steps that show it.
    fn flags(&self) -> BTreeMap<Flag, usize> {
        let mut flags = BTreeMap::new();
        for flag in self.pen.state().steps.iter().flat_map(StepState::flags) {
            *flags.entry(flag).or_default() += 1;
        }
        flags
    }
}

fn is_confirm(kind: &StepKind) -> bool {
    matches!(kind, StepKind::Confirm)
}

fn is_torque(kind: &StepKind) -> bool {
    matches!(kind, StepKind::Torque { .. })
}

fn is_any(_: &StepKind) -> bool {
    true
}

fn is_photo(kind: &StepKind) -> bool {
    matches!(kind, StepKind::Photo)
}

type Case = (&'static str, fn(&mut Day), &'static [(Flag, usize)]);

fn look(cases: &[Case]) {
    for (name, write, expected) in cases {
        let mut day = Day::new();
        write(&mut day);
        assert_eq!(day.flags(), expected.iter().copied().collect::<BTreeMap<_, _>>(), "{name}");
    }
}

const MINUTE: i64 = 60_000;

/// The last of so many in a row comes exactly at the end of a stretch.
fn spread(stretch_ms: i64, count: usize) -> i64 {
    stretch_ms / (i64::try_from(count).unwrap() - 1)
}

#[test]
fn many_results_within_seconds_are_told_and_one_less_or_a_little_slower_is_not() {
    assert_eq!(spread(RUSHED_STEPS_MS, RUSHED_STEPS), 1_666);
    assert_eq!(spread(RUSHED_READINGS_MS, RUSHED_READINGS), 2_000);
    look(&[
        (
            "ten ticks in fifteen seconds",
            |day| day.well(is_confirm, RUSHED_STEPS, 1_666),
            &[(Flag::Rushed, 10)],
        ),
        ("nine of them", |day| day.well(is_confirm, RUSHED_STEPS - 1, 1), &[]),
        ("ten, a moment slower", |day| day.well(is_confirm, RUSHED_STEPS, 1_667), &[]),
        (
            "five readings in eight seconds",
            |day| day.well(is_torque, RUSHED_READINGS, 2_000),
            &[(Flag::Rushed, 5)],
        ),
        ("four of them", |day| day.well(is_torque, RUSHED_READINGS - 1, 1), &[]),
        ("five, a moment slower", |day| day.well(is_torque, RUSHED_READINGS, 2_001), &[]),
        (
            "one step five times",
            |day| {
                for at in 0..10 {
                    day.torque(at * 100, "8.5");
                }
            },
            &[],
        ),
    ]);
}

const EQUAL: &[Case] = &[
    (
        "the same voltage on four steps",
        |day| day.alike(&VOLTS[..SAME_READINGS], "12.61"),
        &[(Flag::SameFigure, 4)],
    ),
    (
        "on three: one battery, read at three places",
        |day| day.alike(&VOLTS[..SAME_READINGS - 1], "12.61"),
        &[],
    ),
    (
        "on four, but one of them corrected",
        |day| {
            day.alike(&VOLTS[..SAME_READINGS], "12.61");
            day.volts(9 * MINUTE, VOLTS[0], "12.64");
        },
        &[],
    ),
    ("two digits are alike by rounding", |day| day.alike(&VOLTS, "13"), &[]),
    (
        "nothing is nothing everywhere",
        |day| {
            day.alike(&VOLTS, "0.000");
            day.volts(9 * MINUTE, DEAD, "0.000");
        },
        &[],
    ),
    (
        "two people read the same battery",
        |day| {
            for (at, step) in (0..).zip(&VOLTS[..SAME_READINGS]) {
                let by = if at == 0 { MANAGER } else { FITTER };
                let payload = Payload::Reading { value: dec("12.61"), instrument: METER };
                day.at(at * MINUTE, by, step, payload);
            }
        },
        &[],
    ),
];

#[test]
fn equal_figures_are_told_where_figures_scatter_and_nowhere_else() {
    look(EQUAL);
}

/// A kit with more circuits than one.
fn paths() -> (Pen, Vec<String>) {
    let kit = read_kit(include_str!("../../server/cli/demo/kits/cool-12.toml")).unwrap();
    let plan = include_str!("../../server/cli/demo/plans/cool-12-camper.toml");
    let plan = read_plan(plan, &kit).unwrap();
    let workshop = &WorkshopLimits::default();
    let sheet: Sheet =
        make_sheet(Making { kit: &kit, plan: &plan, plan_edition: 1, edition: 1, workshop });
    let mut pen = Pen { sheets: vec![sheet], ..Pen::with_sheet() };
    pen.entries.clear();
    pen.make_sheet(1);
    let is_path = |kind: &StepKind| matches!(kind, StepKind::PathDrop { .. });
    let steps = pen.state().steps;
    let keys = steps.iter().filter(|step| is_path(&step.step.kind));
    let keys: Vec<String> = keys.map(|step| step.step.key.clone()).collect();
    (pen, keys)
}

#[test]
fn the_same_drop_at_the_same_current_is_told_on_three_paths_and_not_on_two() {
    for (count, flagged) in [(SAME_PATHS - 1, 0), (SAME_PATHS, SAME_PATHS)] {
        let (pen, keys) = paths();
        assert!(keys.len() >= SAME_PATHS, "{keys:?}");
        let mut day = Day { pen };
        for (at, key) in (0..).zip(&keys[..count]) {
            let payload = Payload::PathDrop {
                drop_v: dec("0.123"),
                current_a: dec("10.0"),
                instrument: METER,
                current_instrument: METER,
            };
            day.at(at * MINUTE, FITTER, key, payload);
        }
        assert_eq!(day.flags().get(&Flag::SameFigure).copied().unwrap_or(0), flagged);
    }
}

const PASSES: &[Case] = &[
    (
        "made to pass at once: another digit",
        |day| {
            day.torque(0, "7.1");
            day.torque(10_000, "8.1");
        },
        &[(Flag::UnexplainedPass, 1)],
    ),
    (
        "made to pass after a while",
        |day| day.rested("11.00", 20 * MINUTE, "12.61"),
        &[(Flag::UnexplainedPass, 1)],
    ),
    (
        "with a word about what was done",
        |day| {
            day.volts(0, RESTED, "11.00");
            day.remark(RESTED);
            day.volts(20 * MINUTE, RESTED, "12.61");
        },
        &[],
    ),
    (
        "the point stood elsewhere, mended within the minute",
        |day| day.rested("1.261", SLIP_MS_MAX, "12.61"),
        &[],
    ),
    (
        "the same a moment later",
        |day| day.rested("1.261", SLIP_MS_MAX + 1, "12.61"),
        &[(Flag::UnexplainedPass, 1)],
    ),
    ("two digits swapped", |day| day.rested("21.61", 5_000, "12.61"), &[]),
    ("a digit forgotten", |day| day.rested("2.61", 5_000, "12.61"), &[]),
    (
        "a digit put in that moves it just enough",
        |day| {
            day.torque(0, "7.1");
            day.torque(5_000, "7.81");
        },
        &[(Flag::UnexplainedPass, 1)],
    ),
    (
        "somebody else's correction is no slip",
        |day| {
            day.volts(0, RESTED, "1.261");
            let payload = Payload::Reading { value: dec("12.61"), instrument: METER };
            day.at(5_000, MANAGER, RESTED, payload);
        },
        &[(Flag::UnexplainedPass, 1)],
    ),
];

#[test]
fn a_pass_after_a_fail_is_told_unless_it_is_explained_or_puts_a_slip_right() {
    look(PASSES);
}

#[test]
fn a_clock_is_told_beyond_its_limit_and_not_at_it() {
    let rested = || Payload::Reading { value: dec("12.61"), instrument: METER };
    for (ahead_ms, off_ms, expected) in [
        (CLOCK_APART_MS, 0, None),
        (CLOCK_APART_MS + 1, 0, Some(Flag::ClockAhead)),
        (0, CLOCK_OFF_MS_MAX, None),
        (0, CLOCK_OFF_MS_MAX + 1, Some(Flag::ClockOff)),
        (0, -CLOCK_OFF_MS_MAX, None),
        (0, -CLOCK_OFF_MS_MAX - 1, Some(Flag::ClockOff)),
        // A phone that comes out of the basement in the evening: late is not wrong.
        (-10 * 3_600_000, 0, None),
    ] {
        let mut day = Day::new();
        day.pen.clock_ahead_ms = Some(off_ms);
        day.arriving((ahead_ms, 0), FITTER, RESTED, rested());
        let expected: BTreeMap<Flag, usize> = expected.into_iter().map(|flag| (flag, 1)).collect();
        assert_eq!(day.flags(), expected, "{ahead_ms} {off_ms}");
    }
}

#[test]
fn a_photo_from_before_the_job_is_told_and_one_of_the_job_is_not() {
    let photo = |name: &[u8]| Payload::Photo { photos: vec![Digest::of(name)] };
    let mut day = Day::new();
    day.pen.early_photos = vec![Digest::of(b"of another vehicle")];
    day.at(0, FITTER, "before.condition", photo(b"of another vehicle"));
    day.at(MINUTE, FITTER, "mount.beneath", photo(b"of this one"));
    assert_eq!(day.flags(), BTreeMap::from([(Flag::EarlyPhoto, 1)]));
    // Taken anew, nothing is to be said.
    day.at(2 * MINUTE, FITTER, "before.condition", photo(b"of this one, too"));
    assert_eq!(day.flags(), BTreeMap::new());
}

#[test]
fn what_clashes_does_not_count_or_is_improbable_is_told() {
    look(&[
        (
            "an instrument that cannot read it",
            |day| day.volts(0, RESTED, "500"),
            &[(Flag::NotCounted, 1)],
        ),
        (
            "two phones that do not know of each other",
            |day| {
                day.pen.knows = false;
                day.volts(0, RESTED, "12.61");
                let payload = Payload::Reading { value: dec("12.64"), instrument: METER };
                day.at(MINUTE, MANAGER, RESTED, payload);
            },
            &[(Flag::Clash, 1)],
        ),
        (
            "a figure that was asked about and kept",
            |day| {
                day.volts(0, RESTED, "12.61");
                day.pen.entries.last_mut().unwrap().body.improbable = true;
            },
            &[(Flag::Improbable, 1)],
        ),
    ]);
}

/// One flag a sentence, and none said twice.
#[test]
fn every_flag_has_words_of_its_own() {
    let all = [
        Flag::Clash,
        Flag::Improbable,
        Flag::NotCounted,
        Flag::UnexplainedPass,
        Flag::ClockAhead,
        Flag::ClockOff,
        Flag::Rushed,
        Flag::SameFigure,
        Flag::EarlyPhoto,
        Flag::ByFile,
    ];
    let words: std::collections::BTreeSet<&str> = all.iter().map(|flag| flag.words()).collect();
    assert_eq!(words.len(), all.len());
    assert!(words.iter().all(|words| words.ends_with('.')));
}
