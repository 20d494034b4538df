//! The figures of the page of trends, ready to print.

use super::super::page::Svg;
use crate::acts::trends::Trends;
use crate::documents::drawing::{ChartWidth, control_chart};
use crate::domain::ids::InstrumentId;
use crate::domain::trends::{
    COURSES_LEAST, Course, Failing, PathPoint, PathTrend, RATED_LEAST, Rate, spread,
};
use crate::storage::results::RESULTS_MAX;

/// Rows of the table beside a chart; the files have all.
const POINTS_LISTED: usize = 40;
/// Signals that are put in words, the newest.
const SIGNALS_LISTED: usize = 12;

/// Everything below the form.
pub(super) struct Figures {
    /// Nothing was measured and no job released.
    pub(super) empty: Option<()>,
    /// What is not complete, as sentences.
    pub(super) notes: Vec<String>,
    pub(super) chart: Option<ChartView>,
    pub(super) rates: Vec<RateGroup>,
    pub(super) least: u32,
    pub(super) failing: Vec<Failing>,
    pub(super) cycles: Vec<CycleView>,
    pub(super) few_cycles: Option<String>,
    pub(super) courses: Vec<CourseView>,
}

pub(super) struct ChartView {
    pub(super) title: String,
    pub(super) kit: String,
    /// Wide and narrow.
    pub(super) drawn: Option<(Svg, Svg)>,
    pub(super) too_few: Option<String>,
    /// Centre line and limits, as a sentence.
    pub(super) limits: String,
    /// The number of the newest signal, as on the chart.
    pub(super) start: usize,
    /// The newest first.
    pub(super) signals: Vec<String>,
    pub(super) points: Vec<PointView>,
    pub(super) left_out: Option<usize>,
}

pub(super) struct PointView {
    pub(super) href: String,
    pub(super) job: u64,
    pub(super) day: String,
    pub(super) measured: String,
    pub(super) planned: String,
    pub(super) ratio: String,
    pub(super) who: String,
    pub(super) tools: String,
    /// The numbers of its signals.
    pub(super) signals: String,
}

pub(super) struct RateGroup {
    pub(super) title: &'static str,
    pub(super) of: &'static str,
    pub(super) rows: Vec<RateView>,
}

pub(super) struct RateView {
    pub(super) name: String,
    pub(super) counts: String,
    pub(super) words: String,
    pub(super) percent: Option<u32>,
}

/// Median and quartiles of one stretch of the way.
pub(super) struct CycleView {
    pub(super) name: &'static str,
    pub(super) lower: String,
    pub(super) median: String,
    pub(super) upper: String,
}

pub(super) struct CourseView {
    pub(super) href: String,
    pub(super) job: u64,
    pub(super) submitted: String,
    pub(super) released: String,
}

pub(super) fn figures(found: &Trends) -> Figures {
    let nothing = found.results.is_empty() && found.courses.is_empty();
    let (cycles, few_cycles) = cycles(&found.courses);
    Figures {
        empty: nothing.then_some(()),
        notes: notes(found),
        chart: found.path.as_ref().map(|path| chart(found, path)),
        rates: rate_groups(found),
        least: RATED_LEAST,
        failing: found.failing.clone(),
        cycles,
        courses: found.courses.iter().take(POINTS_LISTED).map(course).collect(),
        few_cycles,
    }
}

fn notes(found: &Trends) -> Vec<String> {
    let cut = found.is_cut.then(|| {
        format!(
            "Only the newest {RESULTS_MAX} results of this period count here. Choose a shorter one."
        )
    });
    let filling = found.is_filling.then(|| {
        "Earlier jobs are still being read. Load the page again in a few minutes.".to_owned()
    });
    cut.into_iter().chain(filling).collect()
}

fn chart(found: &Trends, path: &PathTrend) -> ChartView {
    let drawn = |id: &str, width| control_chart(id, path, width).map(Svg);
    let mut signals = path.signal_words(|id| found.label_of(id));
    let start = signals.len();
    signals.reverse();
    signals.truncate(SIGNALS_LISTED);
    let newest = (0..path.points.len()).rev().take(POINTS_LISTED);
    let points = newest.filter_map(|at| Some(point(found, path, at, path.points.get(at)?)));
    let left_out = path.points.len().checked_sub(POINTS_LISTED).filter(|count| *count > 0);
    ChartView {
        title: path.title.clone(),
        kit: path.key.kit.clone(),
        drawn: drawn("chart-wide", ChartWidth::Wide).zip(drawn("chart", ChartWidth::Narrow)),
        too_few: path.too_few(),
        limits: path.chart.as_ref().map_or_else(String::new, |chart| {
            format!(
                "Centre line {:.2}, limits {:.2} and {:.2}, from {} jobs.",
                chart.centre,
                chart.lower,
                chart.upper,
                path.points.len()
            )
        }),
        start,
        signals,
        points: points.collect(),
        left_out,
    }
}

fn point(found: &Trends, path: &PathTrend, at: usize, point: &PathPoint) -> PointView {
    let signals = path.chart.as_ref().map_or(&[][..], |chart| &chart.signals);
    let of_point = (1..).zip(signals).filter(|(_, one)| (one.first..=one.last).contains(&at));
    let numbers: Vec<String> = of_point.map(|(number, _): (u32, _)| number.to_string()).collect();
    PointView {
        href: format!("/jobs/{}", point.job),
        job: point.job_number,
        day: point.recorded.date(),
        measured: format!("{} mΩ", point.measured_milliohm.round_dp(2)),
        planned: format!("{} mΩ", point.planned_milliohm),
        ratio: format!("{:.2}", point.ratio),
        who: found.name_of(point.person),
        tools: tools(found, &point.instruments),
        signals: numbers.join(", "),
    }
}

fn tools(found: &Trends, instruments: &[InstrumentId]) -> String {
    let mut labels: Vec<String> = instruments.iter().map(|id| found.label_of(*id)).collect();
    labels.dedup();
    labels.join(", ")
}

/// In the order of names, not of shares: this is no table of winners.
fn rate_groups(found: &Trends) -> Vec<RateGroup> {
    let kit = |code: &String| {
        let title = found.kits.get(code);
        title.map_or_else(|| code.clone(), |title| format!("{title} ({code})"))
    };
    let groups = [
        ("By month", "Month", rated(&found.by_month, Clone::clone)),
        ("By kit", "Kit", rated(&found.by_kit, kit)),
        ("By person", "Person", rated(&found.by_person, |id| found.name_of(*id))),
        ("By instrument", "Instrument", rated(&found.by_instrument, |id| found.label_of(*id))),
    ];
    let group = |(title, of, mut rows): (_, _, Vec<RateView>)| {
        rows.sort_by(|one, other| one.name.cmp(&other.name));
        RateGroup { title, of, rows }
    };
    groups.into_iter().map(group).filter(|group| !group.rows.is_empty()).collect()
}

fn rated<K>(rates: &[Rate<K>], name: impl Fn(&K) -> String) -> Vec<RateView> {
    let row = |rate: &Rate<K>| RateView {
        name: name(&rate.of),
        counts: format!("{} of {}", rate.passed, rate.first),
        words: rate.words(),
        percent: rate.percent(),
    };
    rates.iter().map(row).collect()
}

fn cycles(courses: &[Course]) -> (Vec<CycleView>, Option<String>) {
    let ways = [
        ("Opened to submitted", courses.iter().map(Course::to_submit_days).collect()),
        ("Submitted to released", courses.iter().map(Course::to_release_days).collect()),
        ("Opened to released", courses.iter().map(Course::whole_days).collect()),
    ];
    let found = ways.into_iter().filter_map(|(name, days)| {
        let spread = spread(days)?;
        let [lower, median, upper] = [spread.lower, spread.median, spread.upper].map(span);
        Some(CycleView { name, lower, median, upper })
    });
    let few = (courses.len() < COURSES_LEAST).then(|| {
        let jobs = if courses.len() == 1 { "job was" } else { "jobs were" };
        format!(
            "{} {jobs} released in this period: too few to say. Median and quartiles need \
             {COURSES_LEAST}.",
            courses.len()
        )
    });
    (found.collect(), few)
}

fn course(course: &Course) -> CourseView {
    CourseView {
        href: format!("/jobs/{}", course.job),
        job: course.job_number,
        submitted: span(course.to_submit_days()),
        released: span(course.to_release_days()),
    }
}

/// `3.5 days`, `5.0 h`, `12 min`
fn span(days: f64) -> String {
    let hours = days * 24.0;
    if days >= 2.0 {
        format!("{days:.1} days")
    } else if hours >= 1.0 {
        format!("{hours:.1} h")
    } else {
        format!("{:.0} min", hours * 60.0)
    }
}
