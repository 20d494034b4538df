//! Which instrument a form offers first.

use fusewright::domain::entry::Payload;
use fusewright::domain::ids::{InstrumentId, Moment};
use fusewright::domain::instrument::choice::{Fit, Habit, Wanted, by_fit, last_used};
use fusewright::domain::instrument::{Instrument, Range};
use fusewright::domain::step::{Limits, StepKind, Unit};
use uuid::Uuid;

use super::cast::{
    FITTER, MANAGER, METER, MORNING, Pen, SMALL_WRENCH, dec, exact_instrument, instrument,
};

const FEED: &str = "prove.supply.drop_out";

fn id(number: u128) -> InstrumentId {
    InstrumentId(Uuid::from_u128(number))
}

fn tool(number: u128, label: &str, ranges: &[(Unit, &str, &str)]) -> Instrument {
    let range = |(unit, from, to): &(Unit, &str, &str)| Range {
        unit: *unit,
        from: dec(from),
        to: dec(to),
        resolution: dec("0.001"),
        percent: dec("1"),
        digits: 2,
    };
    let made = instrument(ranges.iter().map(range).collect());
    Instrument { id: id(number), label: label.to_owned(), ..made }
}

/// Up to 10 A.
fn meter() -> Instrument {
    tool(1, "A meter", &[(Unit::Volt, "0", "50"), (Unit::Ampere, "0", "10")])
}

fn clamp() -> Instrument {
    tool(2, "B clamp", &[(Unit::Ampere, "0", "400")])
}

fn drop_at(current_a: &str) -> Vec<Wanted> {
    Wanted::of(&StepKind::PathDrop {
        resistance_max_milliohm: dec("8"),
        planned_milliohm: dec("5"),
        milliohm_per_metre: dec("1"),
        current_a: dec(current_a),
    })
}

fn reading(unit: Unit, limits: &Limits) -> Wanted {
    let kind = StepKind::Reading { unit, limits: limits.clone() };
    Wanted::of(&kind).remove(0)
}

fn torque(low: &str, high: &str) -> Wanted {
    let limits = Limits::between(dec(low), dec(high));
    Wanted::of(&StepKind::Torque { limits }).remove(0)
}

fn first(tools: &[Instrument], wanted: &Wanted, habit: Habit) -> InstrumentId {
    by_fit(tools, wanted, habit, MORNING)[0].id
}

#[test]
fn a_drop_wants_volts_at_plan_and_limit_and_the_planned_current() {
    let wanted = drop_at("40");
    assert_eq!(wanted[0].unit, Unit::Volt);
    // 5 mΩ and 8 mΩ at 40 A.
    assert_eq!((wanted[0].planned, &wanted[0].limits[..]), (dec("0.2"), &[dec("0.32")][..]));
    assert_eq!((wanted[1].unit, wanted[1].planned), (Unit::Ampere, dec("40")));
    assert_eq!(Wanted::of(&StepKind::Confirm), []);
}

#[test]
fn a_drop_at_forty_amperes_is_offered_the_clamp_and_not_the_ten_ampere_meter() {
    let tools = [meter(), clamp()];
    let wanted = drop_at("40");
    assert_eq!(first(&tools, &wanted[0], Habit::default()), id(1));
    assert_eq!(first(&tools, &wanted[1], Habit::default()), id(2));
    // At the end of its range the meter would do; just beyond it would not.
    assert_eq!(first(&tools, &drop_at("10")[1], Habit::default()), id(1));
    assert_eq!(first(&tools, &drop_at("10.001")[1], Habit::default()), id(2));
}

#[test]
fn the_last_choice_of_a_person_comes_first_only_where_it_fits() {
    let tools = [meter(), clamp(), tool(3, "C clamp", &[(Unit::Ampere, "0", "60")])];
    let last = |last| Habit { last: Some(last), taken: None };
    let wanted = drop_at("40");
    assert_eq!(first(&tools, &wanted[1], last(id(3))), id(3));
    assert_eq!(first(&tools, &wanted[1], last(id(1))), id(2));
}

#[test]
fn one_meter_is_not_offered_for_both_figures_where_another_fits() {
    let wanted = drop_at("6");
    let taken = Habit { last: None, taken: Some(id(1)) };
    assert_eq!(first(&[meter(), clamp()], &wanted[1], taken), id(2));
    assert_eq!(first(&[meter()], &wanted[1], taken), id(1));
}

#[test]
fn an_instrument_that_reads_both_limits_comes_before_one_that_reads_the_middle() {
    let wanted = reading(Unit::Volt, &Limits::between(dec("12"), dec("16")));
    let to = |number, label, top| tool(number, label, &[(Unit::Volt, "0", top)]);
    let tools = [to(1, "A", "13.9"), to(2, "B", "14"), to(3, "C", "15.999"), to(4, "D", "16")];
    let fits: Vec<_> = tools.iter().map(|tool| tool.fit(&wanted, MORNING).unwrap()).collect();
    assert_eq!(fits, [Fit::Elsewhere, Fit::Planned, Fit::Planned, Fit::Whole]);
    assert_eq!(first(&tools, &wanted, Habit::default()), id(4));
}

#[test]
fn a_wrench_is_offered_from_a_fifth_of_its_range() {
    let wrench = |number, label, top| tool(number, label, &[(Unit::NewtonMetre, "0", top)]);
    let (large, small) = (wrench(1, "A", "50"), wrench(2, "B", "15"));
    assert_eq!(large.fit(&torque("10", "12"), MORNING), Some(Fit::Whole));
    assert_eq!(large.fit(&torque("9.9", "12"), MORNING), Some(Fit::Planned));
    assert_eq!(large.fit(&torque("7.9", "12"), MORNING), Some(Fit::Elsewhere));
    assert_eq!(first(&[large, small], &torque("9", "11"), Habit::default()), id(2));
}

#[test]
fn an_instrument_out_of_calibration_comes_last_and_one_put_away_not_at_all() {
    let wanted = drop_at("40").remove(1);
    let mut lapsed = clamp();
    lapsed.calibrations[0].due_on = "2026-11-24".to_owned();
    assert_eq!(lapsed.fit(&wanted, MORNING), Some(Fit::Lapsed));
    let habit = Habit { last: Some(id(2)), taken: None };
    assert_eq!(first(&[lapsed.clone(), meter()], &wanted, habit), id(1));
    lapsed.calibrations[0].due_on = "2026-11-25".to_owned();
    assert_eq!(lapsed.fit(&wanted, MORNING), Some(Fit::Whole));
    lapsed.retired = true;
    assert!(by_fit(&[lapsed], &wanted, habit, MORNING).is_empty());
    let volts = drop_at("40").remove(0);
    assert_eq!(clamp().fit(&volts, MORNING), None);
}

#[test]
fn a_negative_limit_is_read_by_its_size() {
    let wanted = reading(Unit::Volt, &Limits::between(dec("-0.5"), dec("0.5")));
    assert_eq!(meter().fit(&wanted, Moment(MORNING.0)), Some(Fit::Whole));
    let high = tool(1, "A", &[(Unit::Volt, "0", "0.499")]);
    assert_eq!(high.fit(&wanted, MORNING), Some(Fit::Planned));
}

#[test]
fn the_last_one_used_is_told_by_figure_and_person() {
    let mut pen = Pen::with_sheet();
    let clamp = Instrument { id: id(2), label: "Clamp".to_owned(), ..exact_instrument() };
    pen.instruments.push(clamp);
    assert_eq!(last_used(&pen.state(), FITTER, Unit::Ampere), None);
    let step = pen.state().steps.iter().find(|s| s.step.key == FEED).unwrap().step.clone();
    let payload = Payload::PathDrop {
        drop_v: dec("0.01"),
        current_a: dec("10"),
        instrument: METER,
        current_instrument: id(2),
    };
    pen.write(FITTER, &step.key, payload);
    // The meter would measure amperes too, but it was used for the volts.
    assert_eq!(last_used(&pen.state(), FITTER, Unit::Volt), Some(METER));
    assert_eq!(last_used(&pen.state(), FITTER, Unit::Ampere), Some(id(2)));
    assert_eq!(last_used(&pen.state(), MANAGER, Unit::Ampere), None);
    let joint = pen.state();
    let joint = joint.steps.iter().find(|s| s.step.kind.word() == "torque").unwrap();
    for instrument in [METER, SMALL_WRENCH] {
        pen.write(FITTER, &joint.step.key, Payload::Torque { value: dec("4"), instrument });
    }
    assert_eq!(last_used(&pen.state(), FITTER, Unit::NewtonMetre), Some(SMALL_WRENCH));
}
