//! The individuals chart: whether a row of like measurements still comes from the same work, and where it
//! stopped doing so.

use super::{OutOfRange, Source, check};

/// Points a chart may have.
pub const POINTS_MAX: usize = 10_000;

/// Points that limits should rest on; with fewer they are a first guess.
pub const POINTS_SETTLED: usize = 20;

/// Points in a row on one side of the centre line, or rising, or falling, that are no chance any more.
pub const RUN_LENGTH: usize = 7;

/// Mean of the range of two values of a normal population, over its standard deviation.
const D2_OF_TWO: f64 = 1.128;

/// Upper limit of a range of two, over its mean.
const D4_OF_TWO: f64 = 3.267;

/// Where constants and signals come from.
pub const CONTROL_CHART_SOURCE: Source =
    Source::from_memory("ISO 7870-2:2013, individuals chart; NIST/SEMATECH e-Handbook, 6.3.2.2");

/// What a chart shows that chance does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SignalKind {
    /// One point beyond a control limit.
    Beyond,
    /// [`RUN_LENGTH`] or more in a row on one side of the centre line.
    Run,
    /// [`RUN_LENGTH`] or more in a row, each above the one before, or each below.
    Trend,
}

/// A stretch of points that stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signal {
    /// What is seen.
    pub kind: SignalKind,
    /// Its first point, counted from 0.
    pub first: usize,
    /// Its last point.
    pub last: usize,
    /// Above the line or rising; otherwise below it or falling.
    pub upward: bool,
}

/// An individuals chart, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct ControlChart {
    /// Mean of the points.
    pub centre: f64,
    /// Lower control limit.
    pub lower: f64,
    /// Upper control limit.
    pub upper: f64,
    /// Mean of the moving ranges.
    pub range_centre: f64,
    /// Upper control limit of a moving range.
    pub range_upper: f64,
    /// In the order of their first points; those of one point each by kind.
    pub signals: Vec<Signal>,
}

/// The individuals chart of these points, in the order they were measured.
///
/// ```text
/// MR_i = |x_i − x_(i−1)|      centre = mean(x)      limits = mean(x) ± 3 · mean(MR) / d2
///                                                   limit of MR = D4 · mean(MR)
/// ```
///
/// | symbol | meaning                                                   | unit          |
/// |--------|-----------------------------------------------------------|---------------|
/// | `x`    | `points`: 2 to [`POINTS_MAX`], each within ± 10⁹          | any, the same |
/// | `MR`   | moving range of two neighbours                            | of the points |
/// | `d2`   | 1.128, of two values                                      | –             |
/// | `D4`   | 3.267, of two values                                      | –             |
///
/// A signal is one point beyond a limit, [`RUN_LENGTH`] in a row on one side of the centre line, or
/// [`RUN_LENGTH`] in a row rising or falling. A point on the line, or equal to the one before, ends a row.
/// Points that are all alike show nothing.
///
/// # Errors
///
/// [`OutOfRange`] for fewer than two points, more than [`POINTS_MAX`], or one that is no number.
///
/// # Source
///
/// ISO 7870-2:2013, constants and supplementary rules (from memory); the same limits in the
/// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory).
///
/// # Example
///
/// 49.6, 47.6, 49.9, 51.3. By hand: ranges 2.0, 2.3, 1.4, mean 1.9; mean 49.6; 3 × 1.9 / 1.128 = 5.053;
/// limits 44.547 and 54.653.
///
/// ```
/// use fusewright::engineering::control_chart::control_chart;
///
/// let chart = control_chart(&[49.6, 47.6, 49.9, 51.3]).unwrap();
/// assert!((chart.centre - 49.6).abs() < 1e-9);
/// assert!((chart.lower - 44.547).abs() < 0.001 && (chart.upper - 54.653).abs() < 0.001);
/// assert_eq!(chart.signals, []);
/// ```
pub fn control_chart(points: &[f64]) -> Result<ControlChart, OutOfRange> {
    let count = counted(points)?;
    let centre = points.iter().sum::<f64>() / count;
    let ranges = neighbours(points).map(|(before, after)| (after - before).abs());
    let range_centre = ranges.sum::<f64>() / (count - 1.0);
    let reach = 3.0 * range_centre / D2_OF_TWO;
    let mut chart = ControlChart {
        centre,
        lower: centre - reach,
        upper: centre + reach,
        range_centre,
        range_upper: D4_OF_TWO * range_centre,
        signals: Vec::new(),
    };
    // Points that are all alike differ from their mean by rounding alone.
    if range_centre > 0.0 {
        chart.signals = beyond(&chart, points);
        chart.signals.extend(runs(centre, points));
        chart.signals.extend(trends(points));
        chart.signals.sort_by_key(|signal| signal.first);
    }
    Ok(chart)
}

fn counted(points: &[f64]) -> Result<f64, OutOfRange> {
    let count = u32::try_from(points.len()).unwrap_or(u32::MAX);
    if !(2..=POINTS_MAX).contains(&points.len()) {
        return Err(check::refusal("number of points", &count, format!("from 2 to {POINTS_MAX}")));
    }
    match points.iter().find(|point| point.is_nan() || point.abs() > 1.0e9) {
        Some(wrong) => {
            Err(check::refusal("point of the chart", wrong, "a number within ± 1000000000"))
        }
        None => Ok(f64::from(count)),
    }
}

fn neighbours(points: &[f64]) -> impl Iterator<Item = (f64, f64)> {
    points.iter().copied().zip(points.iter().copied().skip(1))
}

fn beyond(chart: &ControlChart, points: &[f64]) -> Vec<Signal> {
    let allowed = chart.lower..=chart.upper;
    let out = points.iter().enumerate().filter(|(_, point)| !allowed.contains(point));
    out.map(|(at, point)| Signal {
        kind: SignalKind::Beyond,
        first: at,
        last: at,
        upward: *point > chart.centre,
    })
    .collect()
}

fn runs(centre: f64, points: &[f64]) -> Vec<Signal> {
    let sides: Vec<i8> = points.iter().map(|point| side(*point, centre)).collect();
    long_rows(&sides, RUN_LENGTH)
        .map(|(first, last, upward)| Signal { kind: SignalKind::Run, first, last, upward })
        .collect()
}

/// Seven points in a row rise by six steps.
fn trends(points: &[f64]) -> Vec<Signal> {
    let steps: Vec<i8> = neighbours(points).map(|(before, after)| side(after, before)).collect();
    long_rows(&steps, RUN_LENGTH - 1)
        .map(|(first, last, upward)| Signal {
            kind: SignalKind::Trend,
            first,
            last: last + 1,
            upward,
        })
        .collect()
}

/// 1 above, −1 below, 0 neither.
fn side(value: f64, line: f64) -> i8 {
    i8::from(value > line) - i8::from(value < line)
}

/// Rows of the same side that are at least so long: first place, last place, whether above.
fn long_rows(sides: &[i8], least: usize) -> impl Iterator<Item = (usize, usize, bool)> {
    let mut first = 0;
    let rows = sides.chunk_by(|one, other| one == other).map(move |row| {
        let start = first;
        first += row.len();
        (start, row.len(), row.first().copied().unwrap_or(0))
    });
    rows.filter(move |(_, length, side)| *side != 0 && *length >= least)
        .map(|(start, length, side)| (start, start + length - 1, side > 0))
}
