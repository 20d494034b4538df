//! Trends as tables for other programs.

use super::Trends;
use crate::documents::table_file::{Cell, Table};
use crate::domain::number::Decimal;
use crate::domain::trends::{JobResult, PathPoint, Rate};

/// Decimals of a ratio, and of what is worked out from ratios.
const RATIO_DECIMALS: u32 = 4;
/// Decimals of days.
const DAY_DECIMALS: u32 = 3;

/// Every measured result, a row each, the newest first.
pub fn results(trends: &Trends) -> Table {
    Table {
        name: "Results",
        head: vec![
            "Job",
            "Recorded (UTC)",
            "Kit",
            "Step",
            "Check",
            "Result no.",
            "Circuit",
            "Kind",
            "Figure",
            "Unit",
            "Planned [mΩ]",
            "Measured over planned [1]",
            "Verdict",
            "Person",
            "Instrument",
            "Other instrument",
        ],
        rows: trends.results.iter().map(|result| result_row(trends, result)).collect(),
    }
}

fn result_row(trends: &Trends, result: &JobResult) -> Vec<Cell> {
    let counted = &result.counted;
    let instrument = |at: usize| {
        let id = counted.instruments.get(at).copied();
        id.map_or(Cell::Empty, |id| text(trends.label_of(id)))
    };
    vec![
        whole(result.job_number),
        Cell::At(counted.recorded),
        text(&result.kit),
        text(&counted.step),
        text(&counted.title),
        whole(u64::from(counted.nth)),
        counted.circuit.as_ref().map_or(Cell::Empty, text),
        text(&counted.kind),
        counted.figure.map_or(Cell::Empty, |(figure, _)| Cell::Number(figure)),
        counted.figure.map_or(Cell::Empty, |(_, unit)| text(unit.symbol())),
        counted.planned.map_or(Cell::Empty, Cell::Number),
        counted.ratio().map_or(Cell::Empty, |ratio| figure(ratio, RATIO_DECIMALS)),
        text(counted.verdict.word()),
        text(trends.name_of(counted.person)),
        instrument(0),
        instrument(1),
    ]
}

/// What the page shows, a sheet each; and every result.
pub fn workbook(trends: &Trends) -> Vec<Table> {
    vec![chart(trends), pass_rates(trends), failing(trends), courses(trends), results(trends)]
}

fn chart(trends: &Trends) -> Table {
    let path = trends.path.as_ref();
    let points = path.map_or(&[][..], |path| path.points.as_slice());
    let limits = path.and_then(|path| path.chart.as_ref());
    let limits = limits.map_or([Cell::Empty, Cell::Empty, Cell::Empty], |chart| {
        [chart.lower, chart.centre, chart.upper].map(|ratio| figure(ratio, RATIO_DECIMALS))
    });
    let row = |point: &PathPoint| {
        let mut row = vec![
            whole(point.job_number),
            Cell::At(point.recorded),
            text(path.map_or("", |path| &path.title)),
            Cell::Number(point.measured_milliohm),
            Cell::Number(point.planned_milliohm),
            figure(point.ratio, RATIO_DECIMALS),
        ];
        row.extend(limits.clone());
        row
    };
    Table {
        name: "Control chart",
        head: vec![
            "Job",
            "Recorded (UTC)",
            "Path",
            "Measured [mΩ]",
            "Planned [mΩ]",
            "Measured over planned [1]",
            "Lower limit [1]",
            "Centre line [1]",
            "Upper limit [1]",
        ],
        rows: points.iter().map(row).collect(),
    }
}

/// Counts alone: a share of few is left to whoever knows how few they are.
fn pass_rates(trends: &Trends) -> Table {
    let mut rows = Vec::new();
    rows.extend(rated("Month", &trends.by_month, Clone::clone));
    rows.extend(rated("Kit", &trends.by_kit, Clone::clone));
    rows.extend(rated("Person", &trends.by_person, |id| trends.name_of(*id)));
    rows.extend(rated("Instrument", &trends.by_instrument, |id| trends.label_of(*id)));
    Table {
        name: "First-time pass",
        head: vec!["By", "Of", "Passed at first", "First results", "Share [%]"],
        rows,
    }
}

fn rated<K>(by: &str, rates: &[Rate<K>], name: impl Fn(&K) -> String) -> Vec<Vec<Cell>> {
    let row = |rate: &Rate<K>| {
        let share = rate.percent().map_or(Cell::Empty, |percent| whole(u64::from(percent)));
        let (passed, first) = (whole(u64::from(rate.passed)), whole(u64::from(rate.first)));
        vec![text(by), text(name(&rate.of)), passed, first, share]
    };
    rates.iter().map(row).collect()
}

fn failing(trends: &Trends) -> Table {
    let rows = trends.failing.iter().map(|check| {
        vec![
            text(&check.kit),
            text(&check.step),
            text(&check.title),
            whole(u64::from(check.failed)),
            whole(u64::from(check.inconclusive)),
            whole(u64::from(check.first)),
        ]
    });
    Table {
        name: "Failing checks",
        head: vec!["Kit", "Step", "Check", "Failed at first", "Inconclusive", "First results"],
        rows: rows.collect(),
    }
}

fn courses(trends: &Trends) -> Table {
    let rows = trends.courses.iter().map(|course| {
        vec![
            whole(course.job_number),
            Cell::At(course.opened),
            Cell::At(course.submitted),
            Cell::At(course.released),
            figure(course.to_submit_days(), DAY_DECIMALS),
            figure(course.to_release_days(), DAY_DECIMALS),
            figure(course.whole_days(), DAY_DECIMALS),
        ]
    });
    Table {
        name: "Cycle times",
        head: vec![
            "Job",
            "Opened (UTC)",
            "Submitted (UTC)",
            "Released (UTC)",
            "Opened to submitted [d]",
            "Submitted to released [d]",
            "Opened to released [d]",
        ],
        rows: rows.collect(),
    }
}

fn text(text: impl Into<String>) -> Cell {
    Cell::Text(text.into())
}

fn whole(count: u64) -> Cell {
    Cell::Number(Decimal::from(count))
}

fn figure(value: f64, decimals: u32) -> Cell {
    let exact = Decimal::from_f64_retain(value);
    exact.map_or(Cell::Empty, |exact| Cell::Number(exact.round_dp(decimals).normalize()))
}
