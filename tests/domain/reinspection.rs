//! First value, last value, present value and limit: what can be said of the difference, and what cannot.

use fusewright::domain::certificate::Record;
use fusewright::domain::entry::Payload;
use fusewright::domain::instrument::Range;
use fusewright::domain::number::Decimal;
use fusewright::domain::reinspection::{
    Change, Comparison, Course, EarlierRecord, Outcome, Value, change, compare,
};
use fusewright::domain::sheet::again::{Again, make_again};
use fusewright::domain::step::{Limits, StepKind, Unit};

use super::cast::{FITTER, JOB, METER, Pen, dec, exact_instrument, instrument, small_wrench};
use super::certificate::facts;

const DROP: &str = "prove.supply.drop_out";

fn value(figure: &str, unit: Unit, uncertainty: &str, limit: &Limits) -> Value {
    Value {
        words: format!("{figure} {unit}"),
        figure: Some((dec(figure), unit)),
        uncertainty: Some(dec(uncertainty)),
        limit: limit.words(unit),
        on: "2026-03-12".to_owned(),
    }
}

fn changed(unit: Unit, limits: &Limits, (first, now): ((&str, &str), (&str, &str))) -> Change {
    let was = value(first.0, unit, first.1, limits);
    match change(&was, &value(now.0, unit, now.1, limits), limits) {
        Outcome::Changed(change) => change,
        other => panic!("{other:?}"),
    }
}

/// JCGM 100:2008, 5.1.2 (from memory): of two readings with U = 0.03 and 0.04 the difference has
/// √(0.03² + 0.04²) = 0.05.
#[test]
fn a_difference_counts_from_the_root_of_both_squared_uncertainties_on() {
    let limits = Limits::at_most(dec("2.50"));
    let since = |now| changed(Unit::Milliohm, &limits, (("1.42", "0.03"), (now, "0.04")));
    let below = since("1.469999");
    assert_eq!((below.course, below.uncertainty), (Course::NotShown, dec("0.05")));
    assert_eq!(since("1.47").course, Course::Worse);
    assert_eq!(since("1.370001").course, Course::NotShown);
    assert_eq!(since("1.37").course, Course::Better);
}

/// Invented figures; by hand: 1.63 − 1.42 = 0.21; 0.21 / 1.42 = 14.8 %; 0.21 / (2.50 − 1.42) = 19.4 %.
#[test]
fn a_path_that_has_grown_tells_by_how_much_and_how_much_of_the_way_is_left() {
    let limits = Limits::at_most(dec("2.50"));
    let grown = changed(Unit::Milliohm, &limits, (("1.42", "0.05"), ("1.63", "0.05")));
    assert_eq!((grown.difference, grown.percent), (dec("0.21"), Some(dec("14.8"))));
    assert_eq!(grown.used_percent, Some(dec("20")), "rounded up");
    assert_eq!((grown.word(), grown.by().as_str()), ("Grown", "0.21 mΩ more (14.8 %)"));
    let words = Outcome::Changed(grown).sentence().unwrap();
    assert_eq!(words, "Grown: 0.21 mΩ more (14.8 %), 20 % of the way to the limit used up.");
}

/// By hand: 999 of 1000 parts of the way are used, 99.9 %; printed as 99 % it would look farther off.
#[test]
fn a_way_that_is_nearly_used_up_is_not_rounded_down() {
    let limits = Limits::at_most(dec("2"));
    let grown = changed(Unit::Milliohm, &limits, (("1", "0"), ("1.999", "0")));
    assert_eq!(grown.used_percent, Some(dec("100")));
    let beyond = changed(Unit::Milliohm, &limits, (("1", "0"), ("2.001", "0")));
    assert_eq!(beyond.used_percent, Some(dec("101")));
}

#[test]
fn insulation_gets_worse_as_it_falls_and_better_as_it_rises() {
    let limits = Limits::at_least(dec("1"));
    let since = |now| changed(Unit::Megohm, &limits, (("5", "0.1"), (now, "0.1")));
    let fallen = since("3");
    assert_eq!((fallen.course, fallen.word()), (Course::Worse, "Fallen"));
    assert_eq!((fallen.percent, fallen.used_percent), (Some(dec("-40")), Some(dec("50"))));
    let risen = since("9");
    assert_eq!(
        (risen.course, risen.word(), risen.used_percent),
        (Course::Better, "Improved", None)
    );
}

#[test]
fn between_two_limits_it_is_told_which_way_and_towards_the_limit_ahead() {
    let limits = Limits::between(dec("9"), dec("11"));
    let since = |now| changed(Unit::NewtonMetre, &limits, (("10.0", "0.1"), (now, "0.1")));
    assert_eq!((since("9.5").word(), since("9.5").used_percent), ("Fallen", Some(dec("50"))));
    assert_eq!((since("10.8").word(), since("10.8").used_percent), ("Risen", Some(dec("80"))));
    assert_eq!(since("10.0").course, Course::NotShown);
}

#[test]
fn a_voltage_inside_its_window_has_no_share() {
    let limits = Limits::between(dec("13.8"), dec("14.8"));
    let risen = changed(Unit::Volt, &limits, (("14.0", "0.05"), ("14.4", "0.05")));
    assert_eq!((risen.percent, risen.by().as_str()), (None, "0.4 V more"));
}

#[test]
fn another_unit_another_limit_and_a_missing_uncertainty_are_not_comparable() {
    let limits = Limits::at_most(dec("2.50"));
    let was = value("1.42", Unit::Milliohm, "0.03", &limits);
    let not = |now: &Value| matches!(change(&was, now, &limits), Outcome::NotComparable(_));
    assert!(!not(&was));
    assert!(not(&value("1.42", Unit::Volt, "0.03", &limits)));
    assert!(not(&value("1.42", Unit::Milliohm, "0.03", &Limits::at_most(dec("2.49")))));
    assert!(not(&Value { uncertainty: None, ..was.clone() }));
    assert!(not(&Value { figure: None, ..was.clone() }));
}

/// The first job, done and released; its record as the certificate carries it.
fn first_record() -> (Pen, EarlierRecord) {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen.release();
    let facts = fusewright::domain::certificate::Facts { instruments: &pen.instruments, ..facts() };
    let record = Record::of(&pen.state(), facts).unwrap();
    let read = EarlierRecord::read(&record.text()).unwrap();
    (pen, read)
}

/// The re-inspection of a job, nothing recorded yet.
fn inspected_again(first: &Pen) -> Pen {
    let sheet = &first.sheets[0];
    let of = Again { certificate: "C".to_owned(), job: JOB, sheet_sha256: sheet.digest() };
    let mut pen = Pen {
        sheets: vec![make_again(sheet, of, (1, 1))],
        instruments: vec![exact_instrument(), small_wrench()],
        entries: Vec::new(),
        knows: true,
        clock_ahead_ms: None,
        early_photos: Vec::new(),
    };
    pen.make_sheet(1);
    pen
}

fn drop_of(pen: &Pen, records: &[EarlierRecord]) -> Comparison {
    let all = compare(&pen.state().steps, records);
    all.into_iter().find(|one| one.key == DROP).unwrap()
}

fn path(milliohm: Decimal) -> Payload {
    Payload::PathDrop {
        drop_v: milliohm * dec("10") / dec("1000"),
        current_a: dec("10"),
        instrument: METER,
        current_instrument: METER,
    }
}

/// Planned figure of the path: the first job measured just that.
fn planned(pen: &Pen) -> (Decimal, Decimal) {
    match pen.sheets[0].step(DROP).map(|step| step.kind.clone()) {
        Some(StepKind::PathDrop { planned_milliohm, resistance_max_milliohm, .. }) => {
            (planned_milliohm, resistance_max_milliohm)
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn before_a_reading_the_step_tells_first_value_day_and_limit_and_after_it_the_change() {
    let (first, record) = first_record();
    let mut pen = inspected_again(&first);
    let (planned, most) = planned(&pen);
    let before = drop_of(&pen, std::slice::from_ref(&record));
    assert_eq!(before.since_first, Outcome::Due);
    let told = before.before().unwrap();
    assert_eq!(told, format!("First {planned} mΩ on 2026-11-25; limit at most {most} mΩ."));
    assert_eq!(before.after(), None);

    pen.write(FITTER, DROP, path(planned + dec("0.10")));
    let after = drop_of(&pen, &[record]);
    assert!(after.after().unwrap().starts_with("Grown: 0.10 mΩ more"), "{:?}", after.after());
    assert_eq!(after.since_last, None, "the first is the last");
}

#[test]
fn a_read_back_is_not_told_before_it_is_read() {
    let (first, record) = first_record();
    let mut pen = inspected_again(&first);
    let of_kind = |pen: &Pen, word| {
        let all = compare(&pen.state().steps, std::slice::from_ref(&record));
        let keys = pen.sheets[0].steps.iter().filter(|step| step.kind.word() == word);
        let key = keys.map(|step| step.key.clone()).next().unwrap();
        all.into_iter().find(|one| one.key == key).unwrap()
    };
    for word in ["fuse", "order"] {
        assert_eq!(of_kind(&pen, word).before(), None, "{word}");
    }
    let fuse = of_kind(&pen, "fuse").key;
    pen.write(FITTER, &fuse, Payload::Fuse { rating_a: dec("7") });
    assert_eq!(of_kind(&pen, "fuse").since_first, Outcome::OtherThanBefore);
    pen.fill();
    assert_eq!(of_kind(&pen, "order").since_first, Outcome::SameAsBefore);
    assert_eq!(of_kind(&pen, "order").now.unwrap().words, "as read back");
}

#[test]
fn the_first_value_is_the_oldest_and_the_last_the_one_before() {
    let (first, oldest) = first_record();
    let mut newer = oldest.clone();
    let step = newer.steps.iter_mut().find(|step| step.key == DROP).unwrap();
    step.figure = step.figure.as_ref().map(|figure| (dec(figure) + dec("0.05")).to_string());
    let mut pen = inspected_again(&first);
    let (planned, _) = planned(&pen);
    pen.write(FITTER, DROP, path(planned + dec("0.05")));
    let compared = drop_of(&pen, &[oldest, newer]);
    assert_eq!(compared.first.as_ref().unwrap().figure.unwrap().0, planned);
    assert_eq!(compared.last.as_ref().unwrap().figure.unwrap().0, planned + dec("0.05"));
    let words = compared.after().unwrap();
    assert!(words.starts_with("Grown: 0.05 mΩ more"), "{words}");
    assert!(words.contains("Since the last one: No change that these instruments can show"));
}

#[test]
fn what_was_found_is_told_where_it_was_put_right() {
    let (first, record) = first_record();
    let mut pen = inspected_again(&first);
    let (planned, most) = planned(&pen);
    pen.write(FITTER, DROP, path(most + dec("1")));
    pen.write(FITTER, DROP, path(planned));
    let compared = drop_of(&pen, &[record]);
    assert_eq!(compared.found.as_ref().unwrap().figure.unwrap().0, most + dec("1"));
    assert!(compared.after().unwrap().ends_with(&format!("Found at {} mΩ.", most + dec("1"))));
}

/// A meter that is off by a tenth tells no change of a tenth.
#[test]
fn a_coarse_instrument_shows_less() {
    let (first, record) = first_record();
    let mut pen = inspected_again(&first);
    let (planned, _) = planned(&pen);
    let coarse = Unit::ALL.map(|unit| Range {
        unit,
        from: dec("0"),
        to: dec("100"),
        resolution: dec("0.001"),
        percent: dec("10"),
        digits: 0,
    });
    pen.instruments = vec![instrument(coarse.into())];
    pen.write(FITTER, DROP, path(planned * dec("1.1")));
    let Outcome::Changed(change) = drop_of(&pen, &[record]).since_first else { panic!() };
    assert_eq!(change.course, Course::NotShown);
    assert!(change.uncertainty > change.difference);
}

#[test]
fn a_step_that_the_first_record_has_not_is_new_and_a_record_without_keys_is_readable() {
    let (first, _) = first_record();
    let mut pen = inspected_again(&first);
    pen.fill();
    let bare = EarlierRecord::read(br#"{"format":"fusewright-record/1","steps":[{"key":"a"}]}"#);
    let compared = drop_of(&pen, &[bare.unwrap()]);
    assert_eq!(compared.first, None);
    assert!(matches!(compared.since_first, Outcome::NotComparable(_)));
    assert!(compared.after().unwrap().starts_with("Not comparable: new"));
    assert!(EarlierRecord::read(b"no record").is_err());
}

#[test]
fn the_record_of_a_re_inspection_names_the_certificate_and_others_do_not() {
    let (first, _) = first_record();
    let of = |reinspection_of| {
        let facts = fusewright::domain::certificate::Facts { reinspection_of, ..facts() };
        String::from_utf8(Record::of(&first.state(), facts).unwrap().text()).unwrap()
    };
    assert!(of(Some("AB-26-00001-X")).contains("\"reinspection_of\": \"AB-26-00001-X\""));
    assert!(!of(None).contains("reinspection_of"));
}
