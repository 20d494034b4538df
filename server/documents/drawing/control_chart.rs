//! The control chart of a path: a point a job, centre line and limits, and what stands out by its shape.

use super::{Anchor, Canvas, Place};
use crate::domain::trends::{PathPoint, PathTrend};
use crate::engineering::control_chart::{ControlChart, Signal, SignalKind};

/// How wide a chart is drawn, and so how many points it has room for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartWidth {
    /// For a phone.
    Narrow,
    Wide,
}

const HEIGHT: f64 = 270.0;
const LEFT: f64 = 40.0;
/// Room for the names of the lines, before the first point.
const NAMES: f64 = 72.0;
const TOP: f64 = 44.0;
const BOTTOM: f64 = 232.0;
const DOT: f64 = 3.0;
/// Half the size of a mark that stands out.
const MARK: f64 = 5.5;
const DISC: f64 = 8.0;
/// Words above one another stand at least so far apart.
const WORDS_APART: f64 = 14.0;

impl ChartWidth {
    fn width(self) -> f64 {
        match self {
            Self::Narrow => 360.0,
            Self::Wide => 760.0,
        }
    }

    /// Points that are drawn; the newest ones, where there are more.
    pub fn points_max(self) -> usize {
        match self {
            Self::Narrow => 36,
            Self::Wide => 90,
        }
    }
}

/// The part of the chart that is drawn, and where its values lie.
struct Field<'a> {
    chart: &'a ControlChart,
    points: &'a [PathPoint],
    /// Points before those that are drawn.
    skipped: usize,
    right: f64,
    low: f64,
    high: f64,
}

impl<'a> Field<'a> {
    fn new(chart: &'a ControlChart, all: &'a [PathPoint], width: ChartWidth) -> Self {
        let skipped = all.len().saturating_sub(width.points_max());
        let points = all.get(skipped..).unwrap_or_default();
        let ratios = points.iter().map(|point| point.ratio);
        let low = ratios.clone().fold(chart.lower, f64::min);
        let high = ratios.fold(chart.upper, f64::max);
        // Points that are all alike lie in the middle.
        let air = ((high - low) * 0.08).max(0.02);
        let right = width.width() - 12.0;
        Self { chart, points, skipped, right, low: low - air, high: high + air }
    }

    fn y(&self, ratio: f64) -> f64 {
        BOTTOM - (ratio - self.low) / (self.high - self.low) * (BOTTOM - TOP)
    }

    /// Of a point of the whole chart, if it is drawn.
    fn place(&self, at: usize) -> Option<Place> {
        let drawn = at.checked_sub(self.skipped)?;
        let point = self.points.get(drawn)?;
        let steps = self.points.len().saturating_sub(1).max(1);
        let share = number(drawn) / number(steps);
        let (from, to) = (LEFT + NAMES, self.right - 8.0);
        Some((from + share * (to - from), self.y(point.ratio)))
    }
}

/// A count that is drawn is small.
fn number(count: usize) -> f64 {
    f64::from(u16::try_from(count).unwrap_or(u16::MAX))
}

/// The chart with its centre line, limits and signals; nothing where there are too few points for one.
/// Signals carry the number of their sentence in [`PathTrend::signal_words`].
pub fn control_chart(id: &str, trend: &PathTrend, width: ChartWidth) -> Option<String> {
    let chart = trend.chart.as_ref()?;
    let field = Field::new(chart, &trend.points, width);
    let title = format!("Measured over planned: {}", trend.title);
    let mut canvas = Canvas::new(id, &title, (width.width(), HEIGHT));
    canvas.description = described(&field, trend);
    canvas.words("small", (2.0, 12.0), Anchor::Start, "measured ÷ planned");
    lines(&mut canvas, &field);
    let all = field.skipped..field.skipped + field.points.len();
    let places: Vec<Place> = all.filter_map(|at| field.place(at)).collect();
    canvas.polyline("link", &places);
    for place in &places {
        canvas.dot("dot", *place, DOT);
    }
    for (number, signal) in (1..).zip(&chart.signals) {
        mark(&mut canvas, &field, number, *signal);
    }
    jobs(&mut canvas, &field);
    Some(canvas.svg())
}

fn lines(canvas: &mut Canvas, field: &Field<'_>) {
    let chart = field.chart;
    let (upper, centre, lower) = (chart.upper, chart.centre, chart.lower);
    let has_room = field.y(lower) - field.y(upper) >= 2.0 * WORDS_APART;
    for (ratio, class, words, is_told) in [
        (upper, "limit-dashed", "upper limit", true),
        (centre, "axis", "centre", has_room),
        (lower, "limit-dashed", "lower limit", has_room),
    ] {
        let y = field.y(ratio);
        canvas.line(class, (LEFT, y), (field.right, y));
        if is_told {
            canvas.words("small", (LEFT - 5.0, y + 4.0), Anchor::End, &format!("{ratio:.2}"));
            let below = if class == "axis" || ratio > centre { -4.0 } else { 12.0 };
            canvas.words("small", (LEFT + 2.0, y + below), Anchor::Start, words);
        }
    }
}

/// A single point as a diamond, those of a row as squares, with the number of the signal above its first.
fn mark(canvas: &mut Canvas, field: &Field<'_>, number: u32, signal: Signal) {
    let places: Vec<Place> =
        (signal.first..=signal.last).filter_map(|at| field.place(at)).collect();
    for (x, y) in &places {
        if signal.kind == SignalKind::Beyond {
            let tips = [(*x, y - MARK), (x + MARK, *y), (*x, y + MARK), (x - MARK, *y)];
            canvas.area("needle-out", &tips);
        } else {
            let side = MARK * 1.6;
            canvas.rect("head", (x - side / 2.0, y - side / 2.0), (side, side));
        }
    }
    let Some((x, y)) = places.first() else { return };
    let above = y - MARK - DISC - 3.0;
    canvas.dot("disc", (*x, above), DISC);
    canvas.words("disc-words", (*x, above + 4.0), Anchor::Middle, &number.to_string());
}

/// The first job and the last.
fn jobs(canvas: &mut Canvas, field: &Field<'_>) {
    let (Some(first), Some(last)) = (field.points.first(), field.points.last()) else { return };
    let y = BOTTOM + 24.0;
    let from = field.place(field.skipped).map_or(LEFT, |(x, _)| x);
    canvas.words("small", (from, y), Anchor::Middle, &format!("job {}", first.job_number));
    canvas.words("small", (field.right, y), Anchor::End, &format!("job {}", last.job_number));
}

fn described(field: &Field<'_>, trend: &PathTrend) -> String {
    let all = trend.points.len();
    let drawn = if field.skipped == 0 {
        format!("{all} jobs")
    } else {
        format!("The last {} of {all} jobs", field.points.len())
    };
    let chart = field.chart;
    let signals = match chart.signals.len() {
        0 => "Nothing stands out".to_owned(),
        1 => "One signal, described beside the chart".to_owned(),
        count => format!("{count} signals, described beside the chart"),
    };
    format!(
        "{drawn}, in the order of their measurement. Centre line {:.2}, limits {:.2} and {:.2}. \
         {signals}.",
        chart.centre, chart.lower, chart.upper
    )
}
