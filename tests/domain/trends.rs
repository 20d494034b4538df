//! Trends: which results count, rates, failing checks, control charts in words, cycle times.

use fusewright::domain::entry::Payload;
use fusewright::domain::ids::{InstrumentId, JobId, Moment, PersonId};
use fusewright::domain::plan::Back;
use fusewright::domain::step::Unit;
use fusewright::domain::trends::{
    COURSES_LEAST, CountedResult, FAILING_LISTED, JobResult, PathKey, RATED_LEAST, counted_results,
    failing, path_trend, paths, rates, spread,
};
use fusewright::domain::verdict::Verdict;
use uuid::Uuid;

use super::cast::{FITTER, MANAGER, METER, MORNING, Pen, dec, plan, sheet};

const RESTED: &str = "before.battery_rested";
const DROP: &str = "prove.supply.drop_out";

fn volts(value: &str) -> Payload {
    Payload::Reading { value: dec(value), instrument: METER }
}

fn rows(pen: &Pen, step: &str) -> Vec<CountedResult> {
    counted_results(&pen.state()).into_iter().filter(|row| row.step == step).collect()
}

fn verdicts(rows: &[CountedResult]) -> Vec<(u32, Verdict)> {
    rows.iter().map(|row| (row.nth, row.verdict)).collect()
}

#[test]
fn a_correction_is_the_second_result_and_the_first_stays_the_first() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(MANAGER, RESTED, volts("12.6"));
    let rows = rows(&pen, RESTED);
    assert_eq!(verdicts(&rows), [(1, Verdict::Fail), (2, Verdict::Pass)]);
    assert_eq!((rows[0].person, rows[1].person), (FITTER, MANAGER));
    assert_eq!(rows[0].figure, Some((dec("11.0"), Unit::Volt)));
    assert_eq!((rows[0].circuit.as_deref(), rows[0].planned), (None, None));
    assert_eq!(rows[0].instruments, [METER]);
}

#[test]
fn what_is_kept_and_not_counted_is_no_result() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("500"));
    assert_eq!(rows(&pen, RESTED), []);
    pen.write(FITTER, RESTED, volts("12.6"));
    assert_eq!(verdicts(&rows(&pen, RESTED)), [(1, Verdict::Pass)]);
}

#[test]
fn the_first_result_is_the_one_recorded_first_whatever_arrives_first() {
    let mut pen = Pen::with_sheet();
    let before = pen.entries.len();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, volts("12.6"));
    let mut made = pen.entries.split_off(before);
    made.reverse();
    for (seq, mut entry) in (before as u64..).zip(made) {
        (entry.seq, entry.received) = (seq, Moment(MORNING.0 + 3_600_000));
        pen.entries.push(entry);
    }
    assert_eq!(verdicts(&rows(&pen, RESTED)), [(1, Verdict::Fail), (2, Verdict::Pass)]);
}

#[test]
fn a_returned_step_keeps_its_results_and_goes_on_counting() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    let remark = "Measure again at the posts.".to_owned();
    pen.write(MANAGER, "", Payload::Return { remark, steps: vec![RESTED.to_owned()] });
    assert_eq!(verdicts(&rows(&pen, RESTED)), [(1, Verdict::Pass)]);
    pen.write(FITTER, RESTED, volts("12.6"));
    assert_eq!(verdicts(&rows(&pen, RESTED)), [(1, Verdict::Pass), (2, Verdict::Pass)]);
}

#[test]
fn a_step_with_another_limit_begins_anew_and_one_with_the_same_keeps_its_results() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    let before = rows(&pen, DROP);
    assert_eq!((before.len(), before[0].circuit.as_deref()), (1, Some("supply")));
    let mut longer = plan();
    longer.circuits[0].length_out_m += dec("0.4");
    if let Back::Cable { length_m } = &mut longer.circuits[0].back {
        *length_m += dec("0.4");
    }
    pen.sheets.push(sheet(2, &longer));
    pen.make_sheet(2);
    assert_eq!(rows(&pen, DROP), []);
    assert_eq!(rows(&pen, RESTED).len(), 1);
    pen.fill();
    let after = rows(&pen, DROP);
    assert_eq!(after.len(), 1);
    assert!(after[0].planned > before[0].planned, "the plan that it was judged by");
}

#[test]
fn a_path_carries_its_resistance_and_its_plan() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    let row = rows(&pen, DROP).remove(0);
    let (figure, unit) = row.figure.unwrap();
    assert_eq!((unit, row.kind.as_str()), (Unit::Milliohm, "path_drop"));
    // The cast measures exactly what is planned.
    assert_eq!(Some(figure.normalize()), row.planned.map(|planned| planned.normalize()));
    assert!((row.ratio().unwrap() - 1.0).abs() < 1e-12);
}

/// A first result of job `number`, a day apart.
fn result(number: u64, verdict: Verdict) -> JobResult {
    JobResult {
        job: JobId(Uuid::from_u128(u128::from(number))),
        job_number: number,
        kit: "tray-40".to_owned(),
        counted: CountedResult {
            step: DROP.to_owned(),
            title: "Drop, positive path: Supply".to_owned(),
            nth: 1,
            circuit: Some("supply".to_owned()),
            kind: "path_drop".to_owned(),
            figure: Some((dec("5"), Unit::Milliohm)),
            planned: Some(dec("5")),
            verdict,
            person: FITTER,
            instruments: vec![METER],
            recorded: MORNING.plus_days(i64::try_from(number).unwrap()),
        },
    }
}

fn rated(passed: u32, failed: u32) -> fusewright::domain::trends::Rate<PersonId> {
    let verdicts = (0..passed).map(|_| Verdict::Pass).chain((0..failed).map(|_| Verdict::Fail));
    let results: Vec<JobResult> = (1..).zip(verdicts).map(|(at, v)| result(at, v)).collect();
    rates(&results, |result| [result.counted.person]).remove(0)
}

#[test]
fn a_rate_is_a_percentage_from_twenty_first_results_on_and_not_before() {
    assert_eq!(RATED_LEAST, 20);
    assert_eq!((rated(19, 0).percent(), rated(19, 0).words().as_str()), (None, "too few to say"));
    assert_eq!((rated(20, 0).percent(), rated(20, 0).words().as_str()), (Some(100), "100 %"));
    assert_eq!((rated(0, 20).percent(), rated(0, 20).words().as_str()), (Some(0), "0 %"));
}

#[test]
fn only_all_make_a_hundred_percent_and_only_none_make_nothing() {
    assert_eq!(rated(999, 1).words(), "99 %");
    assert_eq!(rated(1, 999).words(), "less than 1 %");
}

#[test]
fn only_first_measured_results_are_rated_and_inconclusive_is_no_pass() {
    let mut second = result(3, Verdict::Pass);
    second.counted.nth = 2;
    let results = [
        result(1, Verdict::Pass),
        result(2, Verdict::Inconclusive),
        second,
        result(4, Verdict::Done),
        result(5, Verdict::Unable),
    ];
    let rate = rates(&results, |result| [result.kit.clone()]).remove(0);
    assert_eq!((rate.passed, rate.first), (1, 2));
    assert!(rates(&[], |result| [result.kit.clone()]).is_empty());
}

#[test]
fn the_checks_that_fail_most_come_first_and_equal_ones_in_order_of_their_names() {
    let of = |step: &str, verdict| {
        let mut one = result(1, verdict);
        one.counted.step = step.to_owned();
        one
    };
    let results = [
        of("b", Verdict::Fail),
        of("a", Verdict::Fail),
        of("c", Verdict::Fail),
        of("c", Verdict::Fail),
        of("d", Verdict::Inconclusive),
        of("e", Verdict::Pass),
    ];
    let listed = |results: &[JobResult]| -> Vec<String> {
        failing(results).into_iter().map(|check| check.step).collect()
    };
    assert_eq!(listed(&results), ["c", "a", "b", "d"]);
    let many: Vec<JobResult> = (0..=FAILING_LISTED)
        .map(|number| of(&format!("step {number:02}"), Verdict::Fail))
        .collect();
    assert_eq!(listed(&many).len(), FAILING_LISTED);
    assert_eq!(listed(&many[..1]), ["step 00"]);
}

pub(crate) fn key() -> PathKey {
    PathKey { kit: "tray-40".to_owned(), step: DROP.to_owned() }
}

/// Job after job, so much of the planned 5 mΩ, in thousandths.
pub(crate) fn measured(permille: &[i64]) -> Vec<JobResult> {
    let one = |(number, permille): (u64, &i64)| {
        let mut one = result(number, Verdict::Pass);
        let milliohm = dec("5") * fusewright::domain::number::Decimal::new(*permille, 3);
        one.counted.figure = Some((milliohm, Unit::Milliohm));
        one
    };
    let mut results: Vec<JobResult> = (1..).zip(permille).map(one).collect();
    // Lists come with the newest first.
    results.reverse();
    results
}

/// Up and down about the plan.
pub(crate) fn steady(count: usize) -> Vec<i64> {
    (0..count).map(|at| if at % 2 == 0 { 990 } else { 1010 }).collect()
}

#[test]
fn nineteen_points_are_too_few_to_say_and_twenty_make_a_chart() {
    let few = path_trend(&measured(&steady(19)), &key());
    assert_eq!(few.chart, None);
    let words = few.too_few().unwrap();
    assert_eq!(words, "19 results: too few to say. A control chart needs 20.");
    let one = path_trend(&measured(&steady(1)), &key()).too_few().unwrap();
    assert!(one.starts_with("1 result: too few"));
    let enough = path_trend(&measured(&steady(20)), &key());
    assert_eq!(enough.too_few(), None);
    assert!((enough.chart.unwrap().centre - 1.0).abs() < 1e-12);
}

#[test]
fn steady_work_gives_no_signal() {
    let trend = path_trend(&measured(&steady(40)), &key());
    assert_eq!(trend.signal_words(|_| String::new()), [""; 0]);
    assert_eq!(trend.points[0].job_number, 1, "the oldest first");
}

/// The last seven of thirty lie above the mean, alternating so that they neither rise nor leave the limits.
#[test]
fn seven_above_the_centre_line_say_since_which_job_and_to_look_at_the_crimp_tool() {
    let mut work = steady(24);
    work.extend([1030, 1020, 1030, 1020, 1030, 1020]);
    let label = |id: InstrumentId| if id == METER { "Meter 1" } else { "?" }.to_owned();
    // The 24th of the steady ones lies above the line as well.
    let trend = path_trend(&measured(&work), &key());
    let words = trend.signal_words(label);
    assert_eq!(
        words,
        [
            "Seven in a row above the centre line, since job 24: look at the crimp tool, and at how lugs \
          are crimped now. All were measured with Meter 1: look at it too."
        ]
    );
    work.pop();
    assert_eq!(path_trend(&measured(&work), &key()).signal_words(label), [""; 0], "six are chance");
}

#[test]
fn a_row_that_has_ended_names_its_last_job_and_several_meters_none() {
    let mut work = vec![1030, 1020, 1030, 1020, 1030, 1020, 1030];
    work.extend(steady(24));
    let mut results = measured(&work);
    let last = results.len() - 1;
    results[last].counted.instruments = vec![InstrumentId(Uuid::from_u128(9))];
    let words = path_trend(&results, &key()).signal_words(|_| "Meter".to_owned());
    assert_eq!(words.len(), 1, "{words:?}");
    assert!(words[0].starts_with("Seven in a row above the centre line, from job 1 to job 7: "));
    assert!(!words[0].contains("Meter"));
}

#[test]
fn one_job_beyond_a_limit_is_named_with_what_to_look_at() {
    let mut work = steady(30);
    (work[9], work[19]) = (1400, 600);
    let words = path_trend(&measured(&work), &key()).signal_words(|_| String::new());
    assert_eq!(words.len(), 2, "{words:?}");
    assert!(words[0].starts_with("Job 10 lies above the upper limit: look at its crimps"));
    assert!(words[1].starts_with("Job 20 lies below the lower limit: see whether its cable"));
}

#[test]
fn a_path_measured_again_and_one_without_a_plan_are_no_points() {
    let mut results = measured(&steady(3));
    results[0].counted.nth = 2;
    results[1].counted.planned = Some(dec("0"));
    assert_eq!(path_trend(&results, &key()).points.len(), 1);
    assert_eq!(paths(&results), [(key(), "Drop, positive path: Supply".to_owned(), 1)]);
    let other = PathKey { kit: "tray-40".to_owned(), step: "prove.supply.drop_back".to_owned() };
    assert!(path_trend(&results, &other).points.is_empty());
}

/// Quartiles of 1 to 8 are 2.75, 4.5 and 6.25: Hyndman and Fan 1996, type 7 (from memory).
#[test]
fn median_and_quartiles_lie_between_figures_in_proportion() {
    let shuffled = vec![8.0, 1.0, 3.0, 2.0, 7.0, 4.0, 6.0, 5.0];
    let found = spread(shuffled).unwrap();
    assert_eq!((found.lower, found.median, found.upper, found.count), (2.75, 4.5, 6.25, 8));
    let same = spread(vec![2.0; 9]).unwrap();
    assert_eq!((same.lower, same.median, same.upper), (2.0, 2.0, 2.0));
    assert_eq!(spread(vec![1.0; COURSES_LEAST - 1]), None);
}
